from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from cofire.cli.common import (
    body_options,
    cooling_option,
    json_option,
    library,
    odds_option,
    print_json,
    ware,
)
from cofire.records import SURFACES

if TYPE_CHECKING:
    from cofire.files.library import Library
    from cofire.records import Surface


@click.command()
@click.argument("recipe", metavar="RECIPE")
@click.option(
    "--want",
    "wants",
    multiple=True,
    metavar="WISH",
    help="e.g. “expansion 7.2”, “black crackle 8 mm”, “ripe at 920 C”, “SiO2:Al2O3 8”, "
    "“kaolin at least 8 %”, “soluble at most 2 %”, “cost at most 0.40” (for 100 g). As often as "
    "you like.",
)
@click.option("--body", metavar="BODY", help="It should also fit this clay.")
@click.option("--firing", metavar="FIRING", help="It should also be ripe in this firing.")
@click.option("--keep", multiple=True, metavar="MATERIAL", help="Leave this amount as it is.")
@click.option("--without", multiple=True, metavar="MATERIAL", help="Leave this one out.")
@click.option("--from", "shelf", multiple=True, metavar="A,B,...", help="Only these may come in.")
@click.option("--only", is_flag=True, help="Nothing new may come in.")
@click.option("--surface", type=click.Choice(SURFACES), help="The surface it should have.")
@cooling_option
@body_options
@odds_option
@click.option("--save", metavar="FILE", help="Write the first answer as a recipe.")
@json_option
@click.pass_context
def adjust(
    ctx: click.Context,
    recipe: str,
    wants: tuple[str, ...],
    body: str | None,
    firing: str | None,
    keep: tuple[str, ...],
    without: tuple[str, ...],
    shelf: tuple[str, ...],
    only: bool,
    surface: Surface | None,
    cooling: str | None,
    coat: str | None,
    wall: str | None,
    odds: float,
    save: str | None,
    as_json: bool,
) -> int:
    """The nearest recipe that does what you want.

    With --body and no wish about stress, crackle or expansion it should fit the clay as its surface
    asks; with --firing it should be ripe at every pull. Leaves with 0 when all wishes can be met,
    1 when they cannot.
    """
    from cofire.answers.adjust import adjust as answer_for
    from cofire.answers.change.available_materials import at_hand, read_shelf
    from cofire.answers.change.targets import material_meant, read_wish

    lib = library(ctx)
    glaze = lib.recipe(recipe)
    wishes = [read_wish(text, lib, glaze) for text in wants]
    kinds = {w.kind for w in wishes}
    if body and not kinds & {"expansion", "stress", "crackle", "black", "fits"}:
        wishes.append(read_wish("fits", lib, glaze))
    if firing and not kinds & {"ripe", "ripe at"}:
        wishes.append(read_wish("ripe", lib, glaze))
    coat_read, wall_mm = ware(coat, wall)
    answer = answer_for(
        lib,
        glaze,
        wishes,
        [] if only else at_hand(lib, read_shelf(lib, shelf)),
        body=lib.body(body) if body else None,
        firing=lib.firing(firing) if firing else None,
        coat=coat_read,
        wall_mm=wall_mm,
        cooled=cooling,
        odds=odds,
        keep=[material_meant(name, lib, glaze) for name in keep],
        without=[material_meant(name, lib, glaze) for name in without],
        surface=surface,
        prices={} if "cost" not in kinds else _prices(lib),
    )
    if save:
        from cofire.files.recipe_writer import write_recipe

        notes = f"From “{glaze.name}”: {answer.proposals[0].reason}."
        write_recipe(Path(save), answer.proposals[0].recipe, notes)
    if as_json:
        from cofire.show.adjust import adjust_dict

        print_json(adjust_dict(answer))
    else:
        from cofire.show.adjust import show_adjust

        show_adjust(answer, saved=save)
    return 0 if answer.yes else 1


def _prices(lib: Library) -> dict[str, float]:
    """What a kg of each material costs, where stock.toml says so."""
    from cofire.files.stock import read_stock

    shelf = read_stock(lib).shelf
    return {k: v.price_per_kg for k, v in shelf.items() if v.price_per_kg is not None}
