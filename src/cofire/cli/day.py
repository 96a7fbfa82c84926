from __future__ import annotations

import click

from cofire.cli.common import Count, command, finish, library


def _size(text: str, what: str) -> tuple[float, float]:
    """“12 x 15 cm” -> (diameter, height) in mm."""
    from cofire.errors import QuantityError
    from cofire.read.size import read_sides

    size = read_sides(text, what, "Write diameter and height: “12 x 15 cm”.")
    if not all(10.0 <= side <= 3000.0 for side in size):
        raise QuantityError(f"{what} cannot be {text}.", hint="Check the unit.")
    return size


@command()
@click.argument("firing")
@click.option("--pots", type=Count(1, 2000), required=True, help="Number of pots.")
@click.option("--pot", required=True, metavar="SIZE", help="Diameter and height, “12 x 15 cm”.")
@click.option(
    "--chamber",
    required=True,
    metavar="SIZE",
    help="Diameter and height of the kiln chamber, “40 x 45 cm”.",
)
@click.option("--bins", type=Count(1, 50), required=True, help="Number of smoke bins with lids.")
@click.option("--per-bin", type=Count(1, 20), default=1, show_default=True, help="Pots in one bin.")
def day(
    firing: str, pots: int, pot: str, chamber: str, bins: int, per_bin: int, as_json: bool
) -> None:
    """Plan a day: how many firings the pots take, when they leave, when bins are free."""
    from cofire.answers.day import plan_day

    lib = library()
    plan = plan_day(
        lib.firing(firing), pots, _size(pot, "a pot"), _size(chamber, "a chamber"), bins, per_bin
    )
    finish(plan, as_json, "day.show_day")
