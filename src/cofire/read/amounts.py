"""Amounts as spreadsheets write them: “12,5”, “1 234.5 g”, “2 lb 3 oz”, “12 %” -> decimals."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from cofire.errors import Place, QuantityError
from cofire.read.units import GRAMS

#: What a table shows a comma to mean: it marks decimals, or thousands. “point”: nothing shows that,
#: but points mark decimals. Empty: nothing shows either.
Convention = Literal["decimal", "thousands", "point", ""]

_NUMBER = r"(?:\d[\d.,]*|[.,]\d+)"
_SPACED = r"\d{1,3}(?:[ '’]\d{3})+(?:[.,]\d+)?"
_AMOUNT = re.compile(
    rf"^(?P<sign>[+\-−–]?)\s*(?P<number>{_SPACED}|{_NUMBER})(?P<power>[eE][+-]?\d{{1,3}})?"
    r"\s*(?P<unit>%|[A-Za-z]+\.?)?$"
)
_TWO = re.compile(rf"^({_NUMBER})\s*(lbs?|pounds?)\.?\s*,?\s*({_NUMBER})\s*(oz|ounces?)\.?$", re.I)
#: Any amount other than nothing lies between these, in grams or parts; our choice.
_LEAST, _MOST = Decimal("1e-9"), Decimal("1e9")
#: No amount takes more characters; our choice.
_LONGEST = 60
_PLAIN = ("part", "parts", "pts")
_THOUSANDS = re.compile(r"^\d{1,3}(?:([.,])\d{3})(?:\1\d{3})*$")


@dataclass(frozen=True)
class Amount:
    """``unit`` is “g” (weights, in grams already), “%” or “parts”; ``plus``: a “+” stood there."""

    value: Decimal
    unit: Literal["g", "%", "parts"]
    plus: bool = False
    slack: Decimal = Decimal(0)  # half of its last digit; whole numbers are meant exactly


def known_unit(word: str) -> Literal["g", "%", "parts"] | None:
    """What a word is a unit of; None if it is none."""
    low = word.lower().rstrip(".")
    if low in GRAMS:
        return "g"
    return "%" if low == "%" else "parts" if low in _PLAIN else None


def is_amount(cell: str, *, spaced: bool = True) -> bool:
    """Whether a cell is one number, perhaps with a unit; ``spaced``: perhaps “1 234”."""
    if _TWO.match(cell):
        return True
    match = _AMOUNT.match(cell)
    if not match or (match["unit"] and not known_unit(match["unit"])):
        return False
    return spaced or " " not in match["number"]


def convention(cells: Iterable[str]) -> Convention:
    """What commas mean in these cells, by those that can only be read in one way."""
    found: set[Convention] = set()
    for cell in cells:
        match = _AMOUNT.match(cell)
        if not match:
            continue
        number = re.sub("[ '’]", "", match["number"])
        if "," in number and "." in number:
            found.add("decimal" if number.rindex(",") > number.rindex(".") else "thousands")
        elif number.count(",") == 1 and not _could_be_thousands(number):
            found.add("decimal")
        elif number.count(".") == 1 and not _could_be_thousands(number):
            found.add("thousands")  # the point marks decimals
    return found.pop() if len(found) == 1 else ""


def _could_be_thousands(number: str) -> bool:
    return bool(_THOUSANDS.match(number)) and not number.startswith("0")


def amount_of(
    cell: str, commas: Convention, place: Place | None, remarks: list[str] | None = None
) -> Amount:
    """One amount; weights become grams. Raises QuantityError where it could mean two things."""
    if len(cell) > _LONGEST:
        raise _unusable(f"{cell[: _LONGEST // 2]}…", place)
    if two := _TWO.match(cell):
        pounds, ounces = (_decimal(two[k], commas, place, remarks) for k in (1, 3))
        return Amount(pounds * _grams("lb") + ounces * _grams("oz"), "g")
    match = _AMOUNT.match(cell)
    if not match:
        raise QuantityError(
            f"“{cell}” is no amount.",
            hint="Write one number, such as 12.5 or “120 g”.",
            place=place,
        )
    unit = known_unit(match["unit"] or "parts")
    if unit is None:
        raise QuantityError(
            f"“{match['unit']}” in “{cell}” is no unit of weight.",
            hint="Write g, kg, oz or lb, or plain parts.",
            place=place,
        )
    if match["sign"] in ("-", "−", "–"):
        raise QuantityError(
            f"“{cell}” is negative.", hint="Write how much goes in, or delete it.", place=place
        )
    value = _decimal(match["number"], commas, place, remarks)
    if match["power"]:
        value = value.scaleb(int(match["power"][1:]))
    if value and not _LEAST <= value < _MOST:
        raise _unusable(cell, place)
    factor = _grams(match["unit"].lower().rstrip(".")) if unit == "g" else Decimal(1)
    exponent = int(value.as_tuple().exponent)
    slack = Decimal(5).scaleb(exponent - 1) * factor if exponent < 0 else Decimal(0)
    return Amount(value * factor, unit, match["sign"] == "+", slack)


def _grams(unit: str) -> Decimal:
    return Decimal(repr(GRAMS[unit])).normalize()


def _decimal(
    number: str, commas: Convention, place: Place | None, remarks: list[str] | None
) -> Decimal:
    bare = re.sub("[ '’]", "", number)
    signs = {s for s in ",." if s in bare}
    if len(signs) == 2:
        last = "," if bare.rindex(",") > bare.rindex(".") else "."
        head, _, tail = bare.rpartition(last)
        if not _THOUSANDS.match(head) or not tail.isdigit():
            raise _unclear(number, place)
        value = Decimal(re.sub("[.,]", "", head) + "." + tail)
    elif not signs or (bare.count(sign := signs.pop()) == 1 and not _could_be_thousands(bare)):
        value = Decimal(bare.replace(",", "."))
    elif bare.count(sign) > 1:
        if not _could_be_thousands(bare):
            raise _unclear(number, place)
        value = Decimal(bare.replace(sign, ""))
    elif sign == "." and commas in ("thousands", "point"):
        return Decimal(bare)
    elif sign == "," and commas in ("decimal", "thousands"):
        value = Decimal(bare.replace(",", "." if commas == "decimal" else ""))
    else:
        raise QuantityError(
            f"“{number}” may be {bare.replace(sign, '.')} or {bare.replace(sign, '')}.",
            hint=f"Write {bare.replace(sign, '')} without a sign between thousands, or "
            f"{bare.replace(sign, '.')}0 with a point.",
            place=place,
        )
    obvious = re.fullmatch(r"\d*[.,]?\d*", number) and Decimal(number.replace(",", ".")) == value
    if remarks is not None and not obvious:
        remarks.append(f"“{number}” is read as {value.normalize():f}")
    return value


def _unusable(said: str, place: Place | None) -> QuantityError:
    return QuantityError(f"“{said}” is not a usable amount.", hint="Check it.", place=place)


def _unclear(number: str, place: Place | None) -> QuantityError:
    return QuantityError(f"“{number}” is not one number.", hint="Write it like 1234.5", place=place)
