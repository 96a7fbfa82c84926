from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from cofire.cli.common import command, library, print_json

if TYPE_CHECKING:
    from cofire.answers.swap import SwapAnswer
    from cofire.files.library import Library
    from cofire.records import Material, Recipe


@command()
@click.argument("words", nargs=-1, required=True, metavar="RECIPE... MATERIAL")
@click.option("--every-recipe", is_flag=True, help="All recipes that hold the material.")
@click.option(
    "--from", "shelf", multiple=True, metavar="A,B,...", help="New materials may only be these."
)
@click.option("--only", is_flag=True, help="Use no new materials.")
@click.option("--save", metavar="FOLDER", help="Write each rebuilt recipe there.")
def swap(
    words: tuple[str, ...],
    every_recipe: bool,
    shelf: tuple[str, ...],
    only: bool,
    save: str | None,
    as_json: bool,
) -> int:
    """Rebuild a glaze without a material that is gone, or is not what it was.

    The last word names the material. The fired glaze stays as near as the available materials
    allow. For a new analysis of the same material name the new one with --from. Exit status 0 when
    every recipe stays the same glaze, 1 when not.
    """
    from cofire.answers.change.available_materials import available_materials, read_allowed
    from cofire.errors import CompositionError

    lib = library()
    *recipes, name = words
    if every_recipe == bool(recipes):
        raise click.UsageError("name recipes before the material, or say --every-recipe.")
    candidates = [] if only else available_materials(lib, read_allowed(lib, shelf))
    if every_recipe:
        gone, _ = lib.material(name)
        glazes = holding(lib, gone)
        if not glazes:
            raise CompositionError(
                f"no recipe holds {gone.name} ({gone.id}).", hint="See them with  cofire recipes"
            )
    else:
        from cofire.answers.change.targets import material_meant

        glazes = [lib.recipe(r) for r in recipes]
        gone = material_meant(name, lib, glazes[0])
    answers, without = _all(lib, glazes, gone, candidates)
    if save:
        _save(Path(save), answers)
    yes = bool(answers) and not without and all(a.yes for a in answers)
    if as_json:
        failed = [{"name": glaze.name, "why": why} for glaze, why in without]
        print_json({"without": gone.id, "yes": yes, "recipes": answers, "failed": failed})
    else:
        from cofire.show.swap import show_book, show_swap

        if len(glazes) == 1 and answers:
            show_swap(answers[0], saved=save)
        else:
            show_book(gone, answers, without, saved=save)
    return 0 if yes else 1


def holding(lib: Library, gone: Material) -> list[Recipe]:
    """All recipes that can be named and hold a material."""
    seen: dict[str, Recipe] = {}
    for path, _ in lib.files("recipes"):
        if path.stem not in seen:
            seen[path.stem] = lib.recipe(path)
    return [r for r in seen.values() if gone.id in {p.material.id for p in r.parts if p.amount}]


def _all(
    lib: Library, glazes: list[Recipe], gone: Material, candidates: list[Material]
) -> tuple[list[SwapAnswer], list[tuple[Recipe, str]]]:
    """Answers, and recipes without an answer with the reason; a single recipe raises its error."""
    from rich.progress import track

    from cofire.answers.swap import swap as answer_for
    from cofire.errors import CompositionError
    from cofire.show.terminal import error_console

    answers: list[SwapAnswer] = []
    without: list[tuple[Recipe, str]] = []
    quiet = len(glazes) < 8
    for glaze in track(
        glazes, "Rebuilding", console=error_console(), transient=True, disable=quiet
    ):
        try:
            answers.append(answer_for(lib, glaze, gone, candidates))
        except CompositionError as error:
            if len(glazes) == 1:
                raise
            without.append((glaze, error.message))
    return answers, without


def _save(folder: Path, answers: list[SwapAnswer]) -> None:
    from cofire.errors import DataFileError, Place
    from cofire.files.recipe_writer import write_recipe

    if not folder.is_dir():
        raise DataFileError(
            "this folder does not exist.", hint="Create it first.", place=Place(folder)
        )
    for answer in answers:
        best = answer.ways[0].recipe
        notes = f"From “{answer.recipe.name}” without {answer.without.name}."
        write_recipe(folder / f"{best.id}.toml", best, notes)
