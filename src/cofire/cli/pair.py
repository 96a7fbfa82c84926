from __future__ import annotations

from typing import TYPE_CHECKING

import click

from cofire.cli.common import JUDGED, command, conditions_options, finish, library

if TYPE_CHECKING:
    from cofire.model.conditions import Asked


@command()
@click.argument("recipes", nargs=-1, required=True, metavar="RECIPE...")
@conditions_options(*JUDGED, "clear_foot", "ripple", "grain", firing={"required": True})
def pair(recipes: tuple[str, ...], asked: Asked, as_json: bool) -> int:
    """Do these glazes share one firing, and do they fit the body?

    Each is judged at the first and at the last pull. Exit status 0 for yes, 1 for no; the odds
    are always shown.
    """
    from cofire.answers.pair import pair as answer_for
    from cofire.model.conditions import Conditions

    lib = library()
    at = Conditions.read(lib, **asked)
    answer = answer_for(lib, [lib.recipe(r) for r in recipes], at)
    finish(answer, as_json, "pair_and_fit.show_pair")
    return 0 if answer.yes else 1
