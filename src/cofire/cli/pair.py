from __future__ import annotations

from typing import Any

import click

from cofire.cli.common import JUDGED, answer_command, conditions_options, finish, studio


@answer_command()
@click.argument("recipes", nargs=-1, required=True, metavar="RECIPE...")
@conditions_options(*JUDGED, "clear_foot", "ripple", "grain", firing={"required": True})
def pair(recipes: tuple[str, ...], asked: dict[str, Any], as_json: bool) -> int:
    """Do these glazes share one firing, and do they fit the body?

    Each is judged at the first and at the last pull. Two glazes with --shape both-sides are one
    inside and one outside. Exit status 0 for yes, 1 for no; the odds
    are always shown.
    """
    answer = studio().pair(recipes, **asked)
    finish(answer, as_json, "pair.show_pair")
    return 0 if answer.yes else 1
