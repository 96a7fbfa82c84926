from __future__ import annotations

from datetime import datetime

import click

from cofire.cli.common import command, finish, library


@command()
@click.argument("recipe")
@click.option("--why", default="", metavar="REASON", help="Why it changed: “it crazed”.")
def keep(recipe: str, why: str, as_json: bool) -> None:
    """Keep the present version of a recipe, and why it changed.

    It is added to a plain text file in the folder “history” beside the recipe; nothing is added
    when nothing changed since the last time.
    """
    from cofire.answers.history import keep as keep_now

    lib = library()
    kept = keep_now(lib, lib.recipe_file(recipe), why, datetime.now())
    finish(kept, as_json, "history.show_kept")
