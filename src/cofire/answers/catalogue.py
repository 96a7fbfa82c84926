"""What can be named: recipes, bodies, firings and kilns, the person's own first."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from cofire.errors import CofireError
from cofire.files.library import Library
from cofire.read.units import show_temperature
from cofire.record import Record


@dataclass(frozen=True, repr=False)
class ShelfItem(Record):
    id: str
    name: str
    about: str
    own: bool


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
    for path, own in library.files(root, inner):
        if path.stem in items:
            continue
        try:
            name, about = _describe(library, kind, str(path))
        except CofireError as error:
            name, about = path.stem, f"cannot be read: {error.message}"
        items[path.stem] = ShelfItem(path.stem, name, about, own)
    return Catalogue(kind, tuple(items.values()))


def _describe(library: Library, kind: str, path: str) -> tuple[str, str]:
    if kind == "recipes":
        recipe = library.recipe(path)
        return recipe.name, recipe.surface
    if kind == "bodies":
        body = library.body(path)
        low, high = body.alpha_1e6_per_k
        return body.name, f"expansion {low:g} to {high:g} ×10⁻⁶/K"
    if kind == "kilns":
        kiln = library.kiln(path)
        power = f"{kiln.power_kw:g} kW, " if kiln.power_kw else ""
        return kiln.name, (
            f"{power}up {kiln.heating_c_per_h:.0f} to {kiln.heating_at_top_c_per_h:.0f} °C/h, "
            f"cools by half in {kiln.cooling_half_time_h:.1f} h"
        )
    firing = library.firing(path)
    return firing.name, f"peak {show_temperature(firing.peak_c)}"
