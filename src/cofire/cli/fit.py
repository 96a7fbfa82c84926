from __future__ import annotations

from typing import TYPE_CHECKING

import click

from cofire.cli.common import JUDGED, command, conditions_options, draw, finish, library, may_draw

if TYPE_CHECKING:
    from cofire.model.conditions import Asked


@command()
@click.argument("recipes", nargs=-1, required=True, metavar="RECIPE...")
@click.option(
    "--svg",
    metavar="FILE",
    callback=may_draw,
    help="Also draw the strip from shivering to crazing.",
)
@conditions_options(
    *JUDGED,
    "horizon",
    body={
        "required": True,
        "help": "A clay body that yours is like (see “cofire bodies”), or “unknown”.",
    },
    firing={"help": "It has to be ripe in this firing, and sets as it cools."},
)
def fit(recipes: tuple[str, ...], svg: str | None, asked: Asked, as_json: bool) -> int:
    """Will this glaze craze or shiver on that body?

    A crackle glaze is meant to craze; every other surface is meant to sit. With --firing it also
    has to be ripe at every pull. Exit status 0 when that is sure enough, 1 when it is not.
    Several glazes are ranked, most tension first.
    """
    from cofire.answers.fit import fit as answer_for
    from cofire.answers.fit import rank
    from cofire.answers.results.fit import FitAnswers
    from cofire.model.conditions import Conditions

    lib = library()
    at = Conditions.read(lib, **asked)
    glazes = [lib.recipe(r) for r in recipes]
    answers = rank(glazes, at) if len(glazes) > 1 else [answer_for(lib, glazes[0], at)]
    answer = FitAnswers(answers)
    draw(answers, svg, "pictures.strip.strip_svg")
    finish(answer, as_json, "pair_and_fit.show_fits")
    return 0 if answer.yes else 1
