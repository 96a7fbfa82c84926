"""What can be named: recipes, bodies and firings, the person's own first."""

from __future__ import annotations

from dataclasses import dataclass

from cofire.errors import CofireError
from cofire.files.library import Library
from cofire.units import show_temperature


@dataclass(frozen=True)
class ShelfItem:
    id: str
    name: str
    about: str
    own: bool


def shelf(library: Library, kind: str) -> list[ShelfItem]:
    """Items of “recipes”, “bodies” or “firings”; a file that cannot be read says so itself."""
    where = {"recipes": ("recipes", ""), "bodies": ("materials", "bodies")}
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
    return list(items.values())


def _describe(library: Library, kind: str, path: str) -> tuple[str, str]:
    if kind == "recipes":
        recipe = library.recipe(path)
        return recipe.name, recipe.surface
    if kind == "bodies":
        body = library.body(path)
        low, high = body.alpha_1e6_per_k
        return body.name, f"expansion {low:g} to {high:g} ×10⁻⁶/K"
    firing = library.firing(path)
    return firing.name, f"peak {show_temperature(firing.peak_c)}"
