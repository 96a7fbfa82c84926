"""Amounts of a recipe: “12,5”, “1 234.5 g”, “2 lb 3 oz”, “12 %” -> exact decimals."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Literal

from cofire.errors import Place, QuantityError, refusal
from cofire.read.number import LONGEST, Convention, number
from cofire.read.units import GRAMS, WEIGHT, measured, plain_unit, terms

_KIND = replace(
    WEIGHT,
    shown=f"plain parts, or a weight such as “120 g” ({WEIGHT.shown})",
    refused={**WEIGHT.refused, "pt": "it may be a part or a pint"},
)
_PARTS = ("", "part", "parts", "pts")
_PER_CENT = ("%", "percent", "per cent")


@dataclass(frozen=True)
class Amount:
    """``unit`` is “g” (weights, in grams already), “%” or “parts”; ``plus``: a “+” stood there."""

    value: Decimal
    unit: Literal["g", "%", "parts"]
    plus: bool = False
    slack: Decimal = Decimal(0)  # half of its last digit; whole numbers are meant exactly


def known_unit(word: str) -> Literal["g", "%", "parts"] | None:
    """The kind of unit of a word; None if it is not a unit."""
    low = plain_unit(word)
    return "g" if low in GRAMS else "%" if low in _PER_CENT else "parts" if low in _PARTS else None


def is_amount(cell: str, *, spaced: bool = True) -> bool:
    """Whether a cell is one number, perhaps with a unit; ``spaced``: perhaps “1 234”."""
    pieces = terms(cell, _KIND)
    units = {known_unit(unit) for _, unit in pieces}
    alike = units == {"g"} or (len(pieces) == 1 and None not in units)
    return alike and (spaced or " " not in pieces[0][0])


def amount_of(
    cell: str, commas: Convention = "", place: Place | None = None, remarks: list[str] | None = None
) -> Amount:
    """One amount; weights become grams. Raises QuantityError where it could mean two things."""
    try:
        return _amount(cell.strip(), commas, remarks)
    except QuantityError as error:
        raise QuantityError(error.message, hint=error.hint, place=place) from None


def _amount(cell: str, commas: Convention, remarks: list[str] | None) -> Amount:
    pieces = terms(cell, _KIND)
    if not pieces:
        raise refusal("no-amount", said=cell[:LONGEST])
    unit = known_unit(pieces[0][1]) if len(pieces) == 1 else None
    slack = Decimal(0)
    if unit is None:
        value, unit = measured(cell, _KIND, commas), "g"
    else:
        factor = GRAMS.get(plain_unit(pieces[0][1]), Decimal(1))
        value = number(pieces[0][0], commas)
        exponent = int(value.as_tuple().exponent)
        slack = Decimal(5).scaleb(exponent - 1) * factor if exponent < 0 else slack
        value *= factor
    if value < 0:
        raise QuantityError(f"“{cell}” is negative.", hint="Write how much goes in, or delete it.")
    for said, _ in pieces if remarks is not None else ():
        plain = re.fullmatch("[+]?([0-9]*)[.,]?([0-9]*)", said)
        read = number(said, commas)
        if remarks is not None and not (plain and Decimal(f"{plain[1]}.{plain[2]}") == read):
            remarks.append(f"“{said}” is read as {read.normalize():f}")
    return Amount(value, unit, cell.startswith("+"), slack)
