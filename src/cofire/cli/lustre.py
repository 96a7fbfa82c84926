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
    firing={"help": "Also say when a pulled pot, or a closed kiln, is in the window."},
)
@click.option(
    "--process",
    type=click.Choice(["paste", "glaze", "resinate"]),
    help="A paste on the fired glaze, metal in the glaze, or a bought resinate; if not said, the "
    "glaze if it holds metal.",
)
def lustre(recipe: str, process: str | None, asked: dict[str, Any], as_json: bool) -> None:
    """Between which temperatures a lustre can be reduced.

    Soft enough for copper, silver or bismuth to move, too stiff to smear or stick. A glaze in which
    nothing can turn is refused.
    """
    answer = studio().lustre(recipe, process=process, **asked)  # type: ignore[arg-type]
    finish(answer, as_json, "lustre.show_lustre")
