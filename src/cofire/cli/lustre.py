from __future__ import annotations

from typing import TYPE_CHECKING

import click

from cofire.cli.common import command, conditions_options, finish, library

if TYPE_CHECKING:
    from cofire.model.conditions import Asked


@command()
@click.argument("recipe")
@conditions_options(
    "firing",
    "kiln",
    "load",
    "wall",
    firing={"help": "Also say when a pulled pot is in the window."},
)
def lustre(recipe: str, asked: Asked, as_json: bool) -> None:
    """Between which temperatures a lustre glaze can be reduced.

    Soft enough for copper, silver or bismuth to move, too stiff to smear or stick.
    """
    from cofire.answers.lustre import lustre as answer_for
    from cofire.model.conditions import Conditions

    lib = library()
    answer = answer_for(lib, lib.recipe(recipe), Conditions.read(lib, **asked))
    finish(answer, as_json, "lustre.show_lustre")
