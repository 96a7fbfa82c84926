from __future__ import annotations

from typing import Any

import click

from cofire.cli.common import (
    JUDGED,
    answer_command,
    conditions_options,
    draw,
    finish,
    may_draw,
    studio,
)


@answer_command()
@click.argument("recipes", nargs=-1, required=True, metavar="RECIPE...")
@click.option(
    "--svg",
    metavar="FILE",
    callback=may_draw,
    help="Also draw the strip from shivering to crazing.",
)
@conditions_options(
    *JUDGED,
    "steam",
    body={
        "required": True,
        "help": "A clay body that yours is like (see “cofire bodies”), or “unknown”.",
    },
    firing={"help": "It has to be ripe in this firing, and sets as it cools."},
)
def fit(recipes: tuple[str, ...], svg: str | None, asked: dict[str, Any], as_json: bool) -> int:
    """Will this glaze craze or shiver on that body?

    A crackle glaze is meant to craze; every other surface is meant to sit. With --firing it also
    has to be ripe at every pull. Exit status 0 when that is sure enough, 1 when it is not.
    Several glazes are ranked, most tension first.
    """
    answers = studio().rank(recipes, **asked)
    draw(answers.glazes, svg, "pictures.strip.strip_svg")
    finish(answers, as_json, "fit.show_fits")
    return 0 if answers.yes else 1
