from __future__ import annotations

from datetime import datetime

import click

from cofire.cli.common import command, library


@command()
@click.argument("recipe")
@click.option("--why", default="", metavar="REASON", help="Why it changed: “it crazed”.")
@click.pass_context
def keep(ctx: click.Context, recipe: str, why: str) -> None:
    """Keep the present version of a recipe, and why it changed.

    It is added to a plain text file in the folder “history” beside the recipe; nothing is added
    when nothing changed since the last time.
    """
    from cofire.answers.history import keep as keep_now
    from cofire.show.history import kept_line

    lib = library(ctx)
    kept = keep_now(lib, lib.recipe_file(recipe), why, datetime.now())
    click.echo(kept_line(kept))
