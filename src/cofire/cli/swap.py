from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from cofire.cli.common import allowed, answer_command, finish, in_stock, progress, studio

if TYPE_CHECKING:
    from cofire.answers.swap import SwapAnswer
    from cofire.errors import CofireError


@answer_command()
@click.argument("words", nargs=-1, required=True, metavar="RECIPE... MATERIAL")
@click.option("--every-recipe", is_flag=True, help="All recipes that hold the material.")
@click.option(
    "--from", "shelf", multiple=True, metavar="A,B,...", help="New materials may only be these."
)
@in_stock
@click.option("--only", is_flag=True, help="Use no new materials.")
@click.option("--save", metavar="FOLDER", help="Write each rebuilt recipe there.")
def swap(
    words: tuple[str, ...],
    every_recipe: bool,
    shelf: tuple[str, ...],
    stock: bool,
    only: bool,
    save: str | None,
    as_json: bool,
) -> int:
    """Rebuild a glaze without a material that is gone or has changed.

    The last word names the material. The fired glaze stays as near as the available materials
    allow. For a new analysis of the same material name the new one with --from. Exit status 0 when
    every recipe stays the same glaze, 1 when not.
    """
    *recipes, name = words
    if every_recipe == bool(recipes):
        raise click.UsageError("name recipes before the material, or say --every-recipe.")

    maker = studio()
    answer = maker.swap(
        recipes or None,
        name,
        allowed=allowed(shelf, stock, only),
        progress=progress("Rebuilding", 8),
    )
    refused = _save(Path(save), answer.recipes) if save else []
    finish(answer, as_json, "swap.show_swaps", saved=None if refused else save)
    if refused:
        from cofire.errors import Problems

        count = len(answer.recipes)
        if not as_json:
            written = count - len(refused)
            click.echo(f"In {save} are {written} of {count} recipes; refused:", err=True)
        raise Problems(refused)
    return 0 if answer.yes else 1


def _save(folder: Path, answers: Sequence[SwapAnswer]) -> list[CofireError]:
    """Write the recipes that are not there yet; the errors are those of the others."""
    from cofire.errors import CofireError, DataFileError, Place
    from cofire.files.recipe_writer import write_recipe

    if not folder.is_dir():
        raise DataFileError(
            "this folder does not exist.", hint="Create it first.", place=Place(folder)
        )
    refused: list[CofireError] = []
    for answer in answers:
        best = answer.ways[0].recipe
        notes = f"From “{answer.recipe.name}” without {answer.without.name}."
        try:
            write_recipe(folder / f"{best.id}.toml", best, notes, again=True)
        except CofireError as error:
            refused.append(error)
    return refused
