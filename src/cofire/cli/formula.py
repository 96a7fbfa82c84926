from __future__ import annotations

import click

from cofire.cli.common import command, finish, studio


@command()
@click.argument("recipe")
@click.option("--firing", metavar="FIRING", help="Give the melt range in the shape of this firing.")
@click.option(
    "--more", is_flag=True, help="Add all that our models and the published ones say, with sources."
)
def formula(recipe: str, firing: str | None, more: bool, as_json: bool) -> None:
    """Oxides, unity formula, expansion and melt range of a recipe.

    RECIPE is the name of a recipe (see “cofire recipes”) or a recipe file.
    """
    finish(studio().formula(recipe, firing=firing), as_json, "terminal.show_formula", more=more)
