from __future__ import annotations

from typing import Any

import click

from cofire.cli.common import answer_command, conditions_options, finish, studio


@answer_command()
@click.argument("recipe")
@conditions_options(
    "firing",
    "kiln",
    "load",
    "wall",
    firing={"help": "Also say when a pulled pot is in the window."},
)
def lustre(recipe: str, asked: dict[str, Any], as_json: bool) -> None:
    """Between which temperatures a lustre glaze can be reduced.

    Soft enough for copper, silver or bismuth to move, too stiff to smear or stick.
    """
    finish(studio().lustre(recipe, **asked), as_json, "lustre.show_lustre")
