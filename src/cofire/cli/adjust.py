from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from cofire.cli.common import JUDGED, command, conditions_options, finish, library
from cofire.errors import refusal
from cofire.records import SURFACES

if TYPE_CHECKING:
    from cofire.files.library import Library
    from cofire.model.conditions import Asked
    from cofire.records import Surface


@command()
@click.argument("recipe", metavar="RECIPE")
@click.option(
    "--want",
    "wants",
    multiple=True,
    metavar="TARGET",
    help="e.g. “expansion 7.2”, “black crackle 8 mm”, “ripe at 920 C”, “SiO2:Al2O3 8”, "
    "“kaolin at least 8 %”, “soluble at most 2 %”, “cost at most 0.40” (for 100 g). As often as "
    "you like.",
)
@click.option(
    "--keep", multiple=True, metavar="MATERIAL", help="Do not change the amount of this material."
)
@click.option("--without", multiple=True, metavar="MATERIAL", help="Leave this material out.")
@click.option(
    "--from", "shelf", multiple=True, metavar="A,B,...", help="New materials may only be these."
)
@click.option("--only", is_flag=True, help="Use no new materials.")
@click.option("--surface", type=click.Choice(SURFACES), help="The surface it should have.")
@click.option("--save", metavar="FILE", help="Write the first answer as a recipe.")
@conditions_options(
    *JUDGED,
    body={"help": "It has to do what its surface wants of this clay."},
    firing={"help": "It has to be ripe in this firing."},
)
def adjust(
    recipe: str,
    wants: tuple[str, ...],
    keep: tuple[str, ...],
    without: tuple[str, ...],
    shelf: tuple[str, ...],
    only: bool,
    surface: Surface | None,
    save: str | None,
    asked: Asked,
    as_json: bool,
) -> int:
    """The nearest recipe that does what you want.

    With --body it also has to do what its surface wants of the clay, with --firing to be ripe at
    every pull: a yes is the yes that “pair” and “fit” give the recipe. Exit status 0 when all
    targets can be met, 1 when they cannot.
    """
    from dataclasses import replace

    from cofire.answers.adjust import adjust as answer_for
    from cofire.answers.change.available_materials import available_materials, read_allowed
    from cofire.answers.change.problem import Allowed
    from cofire.answers.change.targets import material_meant, read_target
    from cofire.model.conditions import Conditions

    lib = library()
    glaze = lib.recipe(recipe)
    glaze = replace(glaze, surface=surface) if surface else glaze
    targets = [read_target(text, lib, glaze) for text in wants]
    answer = answer_for(
        lib,
        glaze,
        targets,
        Conditions.read(lib, **asked),
        Allowed(
            candidates=[] if only else available_materials(lib, read_allowed(lib, shelf)),
            kept=[material_meant(name, lib, glaze) for name in keep],
            left_out=[material_meant(name, lib, glaze) for name in without],
            prices=_prices(lib) if any(w.kind == "cost" for w in targets) else {},
        ),
    )
    if save:
        if answer.proposals[0].seen is None:
            raise refusal("no-glaze-to-save")
        from cofire.files.recipe_writer import write_recipe

        notes = f"From “{glaze.name}”: {answer.proposals[0].reason or 'as it is'}."
        write_recipe(Path(save), answer.proposals[0].recipe, notes)
    finish(answer, as_json, "adjust.show_adjust", saved=save)
    return 0 if answer.yes else 1


def _prices(lib: Library) -> dict[str, float]:
    """Prices per kg from stock.toml."""
    from cofire.files.stock import read_stock

    shelf = read_stock(lib).shelf
    return {k: v.price_per_kg for k, v in shelf.items() if v.price_per_kg is not None}
