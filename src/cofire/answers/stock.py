"""What is on the shelf, and what it cost."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from cofire.files.library import Library
from cofire.files.stock import read_stock
from cofire.record import Record


@dataclass(frozen=True, repr=False)
class StockItem(Record):
    """A material, the grams in stock and the price of a kilogram; None if the file does not say."""

    id: str
    name: str
    have_g: float | None
    price_per_kg: float | None


@dataclass(frozen=True, eq=False, repr=False)
class StockAnswer(Record):
    """All that stock.toml says, in its order. ``currency`` is as the person calls it."""

    currency: str
    stock: tuple[StockItem, ...]
    schema: ClassVar = "stock"


def stock(library: Library) -> StockAnswer:
    """Raises DataFileError and others for what is wrong with stock.toml."""
    read = read_stock(library)
    return StockAnswer(
        read.currency,
        tuple(
            StockItem(key, library.materials[key].name, one.have_g, one.price_per_kg)
            for key, one in read.shelf.items()
        ),
    )
