from __future__ import annotations

import click

from cofire.cli.common import command, finish, studio


@command()
@click.argument("recipe")
@click.option("--why", default="", metavar="REASON", help="Why it changed: “it crazed”.")
def keep(recipe: str, why: str, as_json: bool) -> None:
    """Keep the present version of a recipe, and why it changed.

    It is added to a plain text file in the folder “history” beside the recipe; nothing is added
    when nothing changed since the last time.
    """
    finish(studio().keep(recipe, why), as_json, "history.show_kept")
