from __future__ import annotations

import click

from cofire.cli.common import command, finish, studio


@command()
@click.argument("recipe")
@click.argument("changes", nargs=-1, required=True, metavar="CHANGE...")
@click.option("--why", default="", metavar="REASON", help="Why: “it crazed”.")
def set(recipe: str, changes: tuple[str, ...], why: str, as_json: bool) -> None:
    """Change one amount in a recipe's file, and remember what it was.

    CHANGE is “kaolin = 12”, “+ tin oxide = 5” for an addition, or “silica = none” to take it out.
    Comments, order and all else in the file stay as they are; the versions before and after go to
    its history. Of a recipe that came with cofire a copy is made in your studio.
    """
    finish(studio().set(recipe, *changes, why=why), as_json, "history.show_set")
