from __future__ import annotations

import click

from cofire.cli.common import Count, command, finish, studio


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
    plan = studio().day(firing, pots=pots, pot=pot, chamber=chamber, bins=bins, per_bin=per_bin)
    finish(plan, as_json, "day.show_day")
