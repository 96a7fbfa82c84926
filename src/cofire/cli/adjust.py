from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from cofire.cli.common import (
    JUDGED,
    allowed,
    answer_command,
    conditions_options,
    finish,
    in_stock,
    studio,
)
from cofire.errors import refusal
from cofire.records import SURFACES

if TYPE_CHECKING:
    from cofire.records import Surface


@answer_command()
@click.argument("recipe", metavar="RECIPE")
@click.option(
    "--want",
    "wants",
    multiple=True,
    metavar="TARGET",
    help="e.g. “expansion 7.2”, “black crackle 8 mm”, “ripe at 920 C”, “SiO2:Al2O3 8”, "
    "“SiO2 +0.2”, “kaolin at least 8 %”, “soluble at most 2 %”, “cost at most 0.40” (for 100 g). "
    "Cracks may be from half as far apart as you say to twice. As often as you like.",
)
@click.option(
    "--keep", multiple=True, metavar="MATERIAL", help="Do not change the amount of this material."
)
@click.option("--without", multiple=True, metavar="MATERIAL", help="Leave this material out.")
@click.option(
    "--from", "shelf", multiple=True, metavar="A,B,...", help="New materials may only be these."
)
@in_stock
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
    stock: bool,
    only: bool,
    surface: Surface | None,
    save: str | None,
    asked: dict[str, Any],
    as_json: bool,
) -> int:
    """The nearest recipe that does what you want.

    With --body it also has to do what its surface wants of the clay, with --firing to be ripe at
    every pull: a yes is the yes that “pair” and “fit” give the recipe. Exit status 0 when all
    targets can be met, 1 when they cannot.
    """
    maker = studio()
    answer = maker.adjust(
        recipe,
        wants,
        allowed=allowed(shelf, stock, only),
        keep=keep,
        without=without,
        surface=surface,
        **asked,
    )
    if save:
        best = answer.proposals[0]
        if best.seen is None:
            raise refusal("no-glaze-to-save")
        notes = f"From “{answer.recipe.name}”: {best.reason or 'as it is'}."
        maker.save(best.recipe, save, notes)
    finish(answer, as_json, "adjust.show_adjust", saved=save)
    return 0 if answer.yes else 1
