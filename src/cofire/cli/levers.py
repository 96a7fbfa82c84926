from __future__ import annotations

from typing import Any

import click

from cofire.cli.common import JUDGED, answer_command, conditions_options, finish, studio


@answer_command()
@click.argument("recipe", metavar="RECIPE")
@click.option(
    "--want",
    required=True,
    metavar="TARGET",
    help="One wish, e.g. “black crackle 15 mm”, “crackle at least 8 mm”, “stress at most -20”, "
    "“crazes at most 10 %”.",
)
@conditions_options(*JUDGED, body={"required": True})
def levers(recipe: str, want: str, asked: dict[str, Any], as_json: bool) -> int:
    """How far glaze, coat, air, bin, wall and clay each go towards one wish.

    Each is tried alone; then the two of them that bring it with the least trouble. Exit status 0
    when one or two bring it with the odds asked, 1 when none do.
    """
    answer = studio().levers(recipe, want, **asked)
    finish(answer, as_json, "levers.show_levers")
    return 0 if answer.yes else 1
