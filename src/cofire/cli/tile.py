from __future__ import annotations

import re
from typing import TYPE_CHECKING

import click

from cofire.cli.common import cooling_option, json_option, library, print_json

if TYPE_CHECKING:
    from cofire.records import Shape

_TILE = re.compile(r"\s*(.+?)\s*,\s*(.+?)\s*,\s*(crazed|black|whole|shivered)\s*(.*?)\s*", re.I)
_EXAMPLE = "“clear-crackle, 0.25 mm fired, crazed 4 mm” or “frit-gloss, 3 brushed, whole”"


@click.command()
@click.argument("tiles", nargs=-1, required=True, metavar="TILE...")
@click.option("--body", required=True, metavar="BODY", help="The clay: a body file near to it.")
@click.option("--firing", metavar="FIRING", help="The firing the tiles had.")
@cooling_option
@click.option("--wall", metavar="LENGTH", help="Thickness of the tile, e.g. “6 mm”.")
@click.option(
    "--shape", type=click.Choice(["pot", "both-sides", "tile"]), default="tile", show_default=True
)
@json_option
@click.pass_context
def tile(
    ctx: click.Context,
    tiles: tuple[str, ...],
    body: str,
    firing: str | None,
    cooling: str | None,
    wall: str | None,
    shape: Shape,
    as_json: bool,
) -> None:
    """Learn a clay's expansion from fired tiles with glazes you know.

    Each TILE is “RECIPE, COAT, WHAT”: crazed or black (cracks; with their distance, if you measured
    it), whole, or shivered. Two or three glazes of different expansion say most. Distances also
    tell how many flaws start cracks on it, the one number that crackle spacing needs.
    """
    from cofire.answers.tile import Tile, read_tiles
    from cofire.cli.common import ware
    from cofire.errors import QuantityError
    from cofire.read.coat import read_coat
    from cofire.read.units import millimetres

    lib = library(ctx)
    _, wall_mm = ware(None, wall)
    read = []
    for text in tiles:
        match = re.fullmatch(
            r"\s*(.+?)\s*,\s*(.+?)\s*,\s*(crazed|black|whole|shivered)\s*(.*?)\s*", text
        )
        seen = match[3].lower() if match else ""
        if not match or (match[4] and seen not in ("crazed", "black")):
            raise QuantityError(f"“{text}” is no tile.", hint=f"Write for example {_EXAMPLE}.")
        spacing = millimetres(match[4]) if match[4] else None
        if spacing is not None and not 0.2 <= spacing <= 200.0:
            raise QuantityError(f"cracks {spacing:g} mm apart are no net.", hint=_EXAMPLE)
        read.append(Tile(lib.recipe(match[1]), read_coat(match[2]), seen, spacing))
    answer = read_tiles(
        read,
        lib.body(body),
        firing=lib.firing(firing) if firing else None,
        wall_mm=wall_mm,
        shape=shape,
        cooled=cooling,
    )
    if as_json:
        print_json(answer)
    else:
        from cofire.show.practice import show_tiles

        show_tiles(answer)
