from __future__ import annotations

from typing import Any, Literal

import click

from cofire.cli.common import (
    answer_command,
    conditions_options,
    draw,
    finish,
    may_draw,
    paper,
    studio,
)


@answer_command()
@click.argument("firing")
@click.argument("recipes", nargs=-1, metavar="[RECIPE]...")
@click.option("--svg", metavar="FILE", callback=may_draw, help="Also draw it as a picture.")
@click.option(
    "--cards",
    metavar="FILE",
    callback=may_draw,
    help="Also write cards to print, one per load (.html or .pdf).",
)
@paper
@conditions_options(
    "after", "kiln", "load", "volts", "amps", "cable", "price_per_kwh", "coat", "wall"
)
def firing(
    firing: str,
    recipes: tuple[str, ...],
    svg: str | None,
    cards: str | None,
    paper: Literal["A4", "Letter"],
    asked: dict[str, Any],
    as_json: bool,
) -> None:
    """A firing over time: what to key in, when loads are ready, how glazes ripen along it.

    FIRING is the name of a firing (see “cofire firings”) or a firing file; recipes named after it
    are drawn along the curve.
    """
    here = studio()
    answer = here.firing(firing, recipes, **asked)
    draw(answer, svg, "pictures.firing.firing_svg")
    if cards:
        here.cards(answer, cards, paper=paper)
    finish(answer, as_json, "firing.show_firing")
