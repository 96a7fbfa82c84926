from __future__ import annotations

from typing import TYPE_CHECKING

import click

from cofire.cli.common import command, conditions_options, finish, library

if TYPE_CHECKING:
    from cofire.model.conditions import Asked

_EXAMPLE = "“clear-crackle, 0.25 mm fired, crazed 4 mm” or “frit-gloss, 3 brushed, whole”"


@command()
@click.argument("tiles", nargs=-1, required=True, metavar="TILE...")
@conditions_options(
    "body",
    "firing",
    "kiln",
    "load",
    "cooling",
    "wall",
    "shape",
    body={"required": True, "help": "The clay: a body file near to it."},
    firing={"help": "The firing the tiles had."},
    wall={"help": "Thickness of the tile, e.g. “6 mm”."},
    shape={"default": "tile", "show_default": True},
)
def tile(tiles: tuple[str, ...], asked: Asked, as_json: bool) -> None:
    """Learn a clay's expansion from fired tiles with glazes you know.

    Each TILE is “RECIPE, COAT, WHAT”: crazed or black (cracks; with their distance, if you measured
    it), whole, or shivered. Two or three glazes of different expansion say most. Distances also
    tell how many flaws start cracks on it, the one number that crackle spacing needs.
    """

    from cofire.answers.tile import Tile, read_tiles
    from cofire.errors import QuantityError
    from cofire.model.conditions import Conditions
    from cofire.read.coat import read_coat
    from cofire.read.number import items, short
    from cofire.read.units import millimetres

    lib = library()
    read = []
    for text in tiles:
        *name, thick, what = ["", "", *items(short(text))]
        seen, _, apart = what.lower().partition(" ")
        cracked = seen in ("crazed", "black")
        if len(name) < 3 or not (cracked or what.lower() in ("whole", "shivered")):
            raise QuantityError(f"“{text}” is not a tile.", hint=f"Write for example {_EXAMPLE}.")
        spacing = millimetres(apart) if apart else None
        if spacing is not None and not 0.2 <= spacing <= 200.0:
            raise QuantityError(f"cracks cannot be {spacing:g} mm apart.", hint=_EXAMPLE)
        glaze = lib.recipe(", ".join(name[2:]))
        read.append(Tile(glaze, read_coat(thick), seen, spacing))
    answer = read_tiles(read, Conditions.read(lib, **asked))
    finish(answer, as_json, "tile.show_tiles")
