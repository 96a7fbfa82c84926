"""A glaze that is bought ready-made: what its bucket says, and tiles on clays that are known."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import ClassVar, cast

from cofire.errors import QuantityError
from cofire.files.fired import FiredTile
from cofire.files.toml import Document, Table
from cofire.most import at_most
from cofire.read.came_out import read_came_out
from cofire.read.coat import read_coat
from cofire.read.number import items, short
from cofire.read.units import temperature_c
from cofire.records import SURFACES, Body, Material, Part, Recipe, Surface

_CONE = re.compile(r"(?:cone\s*|\^)?(0?\d{1,2}(?:\.5)?)", re.IGNORECASE)
#: A usual low-fire glaze with boron, wt %, which stands in for what nobody knows: our choice, in
#: the middle of the demo recipes and of low-fire glazes in textbooks (from memory).
_USUAL_WT = {
    "SiO2": 55.5, "B2O3": 12.9, "Al2O3": 11.0, "Na2O": 7.6, "K2O": 4.4, "CaO": 8.6
}  # fmt: skip
_IN_THE_BUCKET = Material(
    id="glaze-in-the-bucket",
    names=("what is in the bucket",),
    oxides_wt_percent=_USUAL_WT,
    loi_percent=0.0,
    source="our choice: a usual low-fire glaze",
    melts_c=float("-inf"),
)
#: The same as a recipe.
STANDS_IN = Recipe(
    "bought", "bought", (Part("what is in the bucket", 100.0, _IN_THE_BUCKET),), (), "gloss"
)


@dataclass(frozen=True, eq=False, repr=False)
class Bought(Recipe):
    """A glaze of unknown recipe. Its one part stands in wherever a composition is asked for; what
    it does is drawn from its bucket and its tiles instead (``model.bought``). ``ripe`` holds two
    cones by name, or two peaks in °C; the same twice where one is said."""

    maker: str = ""
    ripe: tuple[str | float, str | float] = ("06", "06")
    tiles: tuple[FiredTile, ...] = ()
    known: ClassVar = False
    json_hides: ClassVar[tuple[str, ...]] = (
        "ambiguous",
        "upon",
        "place",
        "base",
        "additions",
        "tiles",
    )
    json_inside: ClassVar = "name"


def read_bought(
    doc: Document, body: Callable[[str], Body], fired: tuple[FiredTile, ...] = ()
) -> Bought:
    """A bought glaze, with tiles of its own file and those that were ``fired`` later. Raises
    CofireError."""
    top = Table(doc, doc.data, what="the bought glaze")
    name, maker = top.name("name", doc.path.stem), top.name("maker", "")
    surface = cast("Surface", top.choice("surface", SURFACES))
    notes = top.text("notes", "")
    try:
        ripe = _ripe(top.text("ripe"))
    except QuantityError as error:
        raise top.fail(f"“ripe”: {error.message}", "ripe", hint=error.hint) from None
    said = top.names("tiles", ())
    top.finish()
    at_most("tiles", len(said) + len(fired), doc.place("tiles"))
    tiles = tuple(_tile(top, text, body) for text in said)
    return Bought(
        id=doc.path.stem,
        name=name,
        base=STANDS_IN.base,
        additions=(),
        surface=surface,
        notes=notes.strip(),
        place=doc.place("ripe"),
        maker=maker,
        ripe=ripe,
        tiles=(*tiles, *fired),
    )


def _ripe(text: str) -> tuple[str | float, str | float]:
    """“cone 06”, “cone 06 to 04”, “1000 C to 1060 C” -> two cones or two temperatures."""
    ends = [end.strip() for end in re.split(r"\s+to\s+|\s*[–—]\s*", short(text).strip())]
    cones = [_CONE.fullmatch(end) for end in ends]
    if len(ends) > 2 or not re.search(r"[A-Za-z^°]", text):
        raise QuantityError(f"“{text}” is not where it ripens.", hint=_EXAMPLE)
    if all(cones):
        named = [cone[1] for cone in cones if cone]
        return named[0], named[-1]
    read = [temperature_c(end) for end in ends]
    if read[0] > read[-1]:
        raise QuantityError(f"“{text}” runs from high to low.", hint=_EXAMPLE)
    return read[0], read[-1]


_EXAMPLE = 'Write  ripe = "cone 06 to 04"  or  ripe = "1000 C to 1060 C".'


def _tile(top: Table, text: str, body: Callable[[str], Body]) -> FiredTile:
    """“yard-raku, 3 brushed, crazed 4 mm”."""
    *name, thick, what = ["", "", *items(short(text))]
    if len(name) < 3:
        raise top.refuse("no-tile-of-bought", "tiles", text=text)
    try:
        coat, seen = read_coat(thick), read_came_out(what)
    except QuantityError as error:
        raise top.fail(f"“{text}”: {error.message}", "tiles", hint=error.hint) from None
    return FiredTile(body(", ".join(name[2:])), coat, seen)
