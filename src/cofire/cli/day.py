from __future__ import annotations

from typing import Any, Literal

import click

from cofire.cli.common import (
    Count,
    answer_command,
    conditions_options,
    finish,
    may_draw,
    paper,
    studio,
)


@answer_command()
@click.argument("firing")
@click.option("--pots", type=Count(1, 2000), required=True, help="Number of pots.")
@click.option("--pot", required=True, metavar="SIZE", help="Diameter and height, “12 x 15 cm”.")
@click.option("--weight", metavar="WEIGHT", help="A pot's weight, “600 g”.  [from its size]")
@click.option(
    "--chamber",
    required=True,
    metavar="SIZE",
    help="Diameter and height of the kiln chamber, “40 x 45 cm”.",
)
@click.option(
    "--layers",
    type=Count(1, 10),
    default=1,
    show_default=True,
    help="Layers of pots; a lower one stands under a shelf.",
)
@click.option("--bins", type=Count(1, 50), required=True, help="Number of smoke bins with lids.")
@click.option("--per-bin", type=Count(1, 20), default=1, show_default=True, help="Pots in one bin.")
@click.option("--kilns", type=Count(1, 10), default=1, show_default=True, help="Kilns like it.")
@click.option(
    "--hands",
    type=Count(1, 20),
    default=2,
    show_default=True,
    help="People who pull pots and empty bins.",
)
@click.option(
    "--reload",
    metavar="TEMPERATURE",
    help="How far the kiln cools before the next cold pots go in.  [200 °C]",
)
@click.option("--start", metavar="H:MM", help="When the first kiln goes on, “9:00”.")
@click.option("--end", metavar="H:MM", help="When the last bin has to be empty, “15:30”.")
@click.option(
    "--break",
    "breaks",
    multiple=True,
    metavar="H:MM-H:MM",
    help="When nobody pulls, empties bins or fills the kiln, “12:00-12:45”; needs --start.",
)
@click.option("--days", type=Count(1, 14), default=1, show_default=True, help="Days there are.")
@click.option(
    "--wall",
    metavar="FILE",
    callback=may_draw,
    help="Also write the day by the clock, to hang up (.html or .pdf).",
)
@click.option(
    "--cards",
    metavar="FILE",
    callback=may_draw,
    help="Also write cards to print, one for each pull (.html or .pdf).",
)
@paper
@conditions_options("kiln")
def day(
    firing: str,
    pots: int,
    wall: str | None,
    cards: str | None,
    paper: Literal["A4", "Letter"],
    as_json: bool,
    asked: dict[str, Any],
    **how: Any,
) -> int:
    """Plan a day: how many firings the pots take, when each leaves, when bins are free.

    Exit status 0 when people can keep the plan, 1 when it takes too long or fires one pot at a
    time; what would help is said.
    """
    given = {name: value for name, value in how.items() if value is not None}
    here = studio()
    plan = here.day(firing, pots=pots, **given, **asked)
    if wall:
        here.wall(plan, wall, paper=paper)
    if cards:
        here.cards(plan, cards, paper=paper)
    finish(plan, as_json, "day.show_day")
    return 0 if plan.kept else 1
