from __future__ import annotations

import click

from cofire.cli.common import answer_command, finish, studio


@answer_command()
@click.argument("recipe")
@click.option("--firing", metavar="FIRING", help="Give the melt range in the shape of this firing.")
def formula(recipe: str, firing: str | None, as_json: bool) -> None:
    """Oxides, unity formula, expansion and melt range of a recipe.

    RECIPE is the name of a recipe (see “cofire recipes”) or a recipe file.
    """
    finish(studio().formula(recipe, firing=firing), as_json, "formula.show_formula")
