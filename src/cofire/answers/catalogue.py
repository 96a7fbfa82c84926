"""What can be named: recipes, bodies, firings and kilns, the person's own first."""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from pathlib import Path
from typing import ClassVar

from cofire.errors import CofireError
from cofire.files.library import BOUGHT, Library
from cofire.read.units import show_temperature
from cofire.record import Record
from cofire.records import Body, Firing, Kiln, Recipe

#: What can be named: the commands that list it, and the keys of their JSON.
KINDS = ("recipes", "bodies", "firings", "kilns")


@dataclass(frozen=True, repr=False)
class ShelfItem(Record):
    """One thing that can be named; its JSON holds all that is known of it."""

    id: str
    name: str
    about: str
    own: bool
    said: Recipe | Body | Firing | Kiln | None = None  # None where its file cannot be read
    json_spreads: ClassVar = ("said",)


@dataclass(frozen=True, eq=False, repr=False)
class Catalogue(Record):
    """All of one ``kind`` that can be named."""

    kind: str
    items: tuple[ShelfItem, ...]
    json_hides: ClassVar = ("kind", "items")
    json_spreads: ClassVar = ("by_kind",)

    @property
    def schema(self) -> str:  # type: ignore[override]
        return self.kind

    @property
    def by_kind(self) -> dict[str, tuple[ShelfItem, ...]]:
        return {self.kind: self.items}


def catalogue(library: Library, kind: str) -> Catalogue:
    """Items of “recipes”, “bodies”, “firings” or “kilns”; an unreadable file says so itself."""
    where = {
        "recipes": ("recipes", ""),
        "bodies": ("materials", "bodies"),
        "kilns": ("recipes", "kilns"),
    }
    root, inner = where.get(kind, ("recipes", "firings"))
    items: dict[str, ShelfItem] = {}
    folders = [
        library.files(root, one) for one in ((inner, BOUGHT) if kind == "recipes" else (inner,))
    ]
    for path, own in itertools.chain(*folders):
        if path.stem in items:
            continue
        try:
            item = _described(library, kind, path, own)
        except CofireError as error:
            about = f"cannot be read: {error.message}"
            item = ShelfItem(path.stem, path.stem, about, own)
        items[path.stem] = item
    return Catalogue(kind, tuple(items.values()))


def _described(library: Library, kind: str, path: Path, own: bool) -> ShelfItem:
    said: Recipe | Body | Firing | Kiln
    about: str
    if kind == "recipes":
        said = library.glaze(path)
        about = said.surface if said.known else f"{said.surface}, bought ready-made"
    elif kind == "bodies":
        said = library.body(path)
        low, high = said.alpha_1e6_per_k
        about = f"expansion {low:g} to {high:g} ×10⁻⁶/K"
    elif kind == "kilns":
        said = library.kiln(path)
        power = f"{said.power_kw:g} kW, " if said.power_kw else ""
        about = (
            f"{power}up {said.heating_c_per_h:.0f} to {said.heating_at_top_c_per_h:.0f} °C/h, "
            f"cools by half in {said.cooling_half_time_h:.1f} h"
        )
    else:
        said = library.firing(path)
        about = f"peak {show_temperature(said.peak_c)}"
    return ShelfItem(path.stem, said.name, about, own, said)
