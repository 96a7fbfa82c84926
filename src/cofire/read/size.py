"""Two sides in one go: “12 x 15 cm”, “12,5 by 15 cm”, “12 cm × 6 in” -> millimetres."""

from __future__ import annotations

import re

from cofire.errors import QuantityError
from cofire.read.number import short
from cofire.read.units import LENGTH, millimetres, terms

_BY = re.compile(r"\s*(?:[xX×]|\bby\b)\s*")


def read_sides(text: str, what: str, hint: str) -> tuple[float, float]:
    """The sides of ``what``, mm; the first may leave its unit to the second. Raises QuantityError
    with the hint for what is not a size."""
    sides = _BY.split(short(text).strip())
    lengths = [terms(side, LENGTH) for side in sides]
    if len(sides) != 2 or not all(lengths):
        raise QuantityError(f"“{text}” is not the size of {what}.", hint=hint)
    unit = lengths[1][-1][1]
    if not unit:
        raise QuantityError(f"“{text}” has no unit.", hint=hint)
    first = sides[0] if lengths[0][-1][1] else f"{sides[0]} {unit}"
    return millimetres(first), millimetres(sides[1])
