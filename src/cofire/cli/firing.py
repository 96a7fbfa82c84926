from __future__ import annotations

from typing import TYPE_CHECKING

import click

from cofire.cli.common import command, conditions_options, draw, finish, library, may_draw

if TYPE_CHECKING:
    from cofire.model.conditions import AskedOfWare


@command()
@click.argument("firing")
@click.argument("recipes", nargs=-1, metavar="[RECIPE]...")
@click.option("--svg", metavar="FILE", callback=may_draw, help="Also draw it as a picture.")
@click.option(
    "--cards",
    metavar="FILE",
    callback=may_draw,
    help="Also write cards to print, one per load (HTML).",
)
@conditions_options("kiln", "load", "price", "coat", "wall")
def firing(
    firing: str,
    recipes: tuple[str, ...],
    svg: str | None,
    cards: str | None,
    asked: AskedOfWare,
    as_json: bool,
) -> None:
    """A firing over time: what to key in, when loads are ready, how glazes ripen along it.

    FIRING is the name of a firing (see “cofire firings”) or a firing file; recipes named after it
    are drawn along the curve.
    """
    from cofire.answers.firing import firing_answer
    from cofire.model.conditions import Conditions

    lib = library()
    at = Conditions.read(lib, **asked, firing=firing)
    answer = firing_answer(lib, [lib.recipe(r) for r in recipes], at)
    draw(answer, svg, "pictures.firing.firing_svg")
    draw(answer, cards, "sheets.cards.firing_cards", "page")
    finish(answer, as_json, "firing.show_firing")
