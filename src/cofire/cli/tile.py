from __future__ import annotations

from typing import Any

import click

from cofire.cli.common import answer_command, conditions_options, finish, studio


@answer_command()
@click.argument("tiles", nargs=-1, metavar="[TILE]...")
@click.option("--fired", is_flag=True, help="Also learn of what “cofire fired” wrote of this clay.")
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
def tile(tiles: tuple[str, ...], fired: bool, asked: dict[str, Any], as_json: bool) -> None:
    """Learn a clay's expansion from fired tiles with glazes you know.

    Each TILE is “RECIPE, COAT, WHAT”: crazed or black (cracks; with their distance, if you measured
    it), whole, or shivered. Two or three glazes of different expansion say most. Distances also
    tell how many flaws start cracks on it, the one number that crackle spacing needs.
    """
    finish(studio().tile(tiles, fired=fired, **asked), as_json, "tile.show_tiles")
