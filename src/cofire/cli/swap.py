from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from cofire.cli.common import allowed, command, finish, in_stock, studio

if TYPE_CHECKING:
    from cofire.answers.swap import SwapAnswer
    from cofire.records import Recipe
    from cofire.studio import Studio


@command()
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
    from rich.progress import track

    from cofire.show.terminal import error_console

    *recipes, name = words
    if every_recipe == bool(recipes):
        raise click.UsageError("name recipes before the material, or say --every-recipe.")

    def progress(glazes: Sequence[Recipe]) -> Iterable[Recipe]:
        quiet = len(glazes) < 8
        out = error_console()
        return track(glazes, "Rebuilding", console=out, transient=True, disable=quiet)

    maker = studio()
    answer = maker.swap(
        recipes or None, name, allowed=allowed(shelf, stock, only), progress=progress
    )
    if save:
        _save(maker, Path(save), answer.recipes)
    finish(answer, as_json, "swap.show_swaps", saved=save)
    return 0 if answer.yes else 1


def _save(maker: Studio, folder: Path, answers: Sequence[SwapAnswer]) -> None:
    from cofire.errors import DataFileError, Place

    if not folder.is_dir():
        raise DataFileError(
            "this folder does not exist.", hint="Create it first.", place=Place(folder)
        )
    for answer in answers:
        best = answer.ways[0].recipe
        notes = f"From “{answer.recipe.name}” without {answer.without.name}."
        maker.save(best, folder / f"{best.id}.toml", notes)
