from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from cofire.cli.common import (
    body_options,
    cooling_option,
    json_option,
    library,
    may_draw,
    odds_option,
    print_json,
    ware,
)

if TYPE_CHECKING:
    from cofire.answers.fit import FitAnswer
    from cofire.records import Shape


def _draw(svg: str | None, answers: list[FitAnswer]) -> None:
    if svg is None:
        return
    from cofire.files.atomic_write import drawing
    from cofire.show.pictures.strip import strip_svg

    with drawing(Path(svg), "picture") as out:
        out.write(strip_svg(answers))


@click.command()
@click.argument("recipes", nargs=-1, required=True, metavar="RECIPE...")
@click.option(
    "--body",
    required=True,
    metavar="BODY",
    help="A clay body that yours is like (see “cofire bodies”), or “unknown”.",
)
@click.option("--firing", metavar="FIRING", help="The glaze sets as this firing cools.")
@cooling_option
@click.option(
    "--shape",
    type=click.Choice(["pot", "both-sides", "tile"]),
    default="pot",
    show_default=True,
    help="A closed pot glazed on one side or both, or a flat tile.",
)
@click.option(
    "--svg",
    metavar="FILE",
    callback=may_draw,
    help="Also draw the strip from shivering to crazing.",
)
@body_options
@odds_option
@json_option
@click.pass_context
def fit(
    ctx: click.Context,
    recipes: tuple[str, ...],
    body: str,
    firing: str | None,
    cooling: str | None,
    shape: Shape,
    svg: str | None,
    coat: str | None,
    wall: str | None,
    odds: float,
    as_json: bool,
) -> int:
    """Will this glaze craze or shiver on that body?

    A crackle glaze is meant to craze; every other surface is meant to sit. Leaves with 0 when
    that is sure enough, 1 when it is not. Several glazes are ranked, most tension first.
    """
    from cofire.answers.fit import fit as answer_for
    from cofire.answers.fit import rank

    lib = library(ctx)
    coat_read, wall_mm = ware(coat, wall)
    clay = lib.body(body)
    glazes = [lib.recipe(r) for r in recipes]

    how: dict[str, Any] = {
        "firing": lib.firing(firing) if firing else None,
        "coat": coat_read,
        "wall_mm": wall_mm,
        "odds": odds,
        "shape": shape,
        "cooled": cooling,
    }
    answers = (
        rank(glazes, clay, **how) if len(glazes) > 1 else [answer_for(lib, glazes[0], clay, **how)]
    )
    _draw(svg, answers)
    if as_json:
        from cofire.show.machine import fits_dict

        print_json(fits_dict(answers))
    elif len(answers) > 1:
        from cofire.show.verdict import show_ranking

        show_ranking(answers)
    else:
        from cofire.show.verdict import show_fit

        show_fit(answers[0])
    return 0 if all(a.yes for a in answers) else 1
