"""Amounts: what is one, how much it is, and how far its last digit leaves it open."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest

from cofire.errors import Place, QuantityError
from cofire.read.amounts import Amount, amount_of, is_amount, known_unit
from cofire.read.number import Convention

D = Decimal


@pytest.mark.parametrize(
    ("word", "kind"),
    [("g", "g"), ("KG", "g"), ("lbs.", "g"), ("%", "%"), ("Per  Cent", "%"), ("percent", "%"),
     ("", "parts"), ("Parts", "parts"), ("pts", "parts"), ("pt", None), ("mm", None)],
)  # fmt: skip
def test_kinds_of_units(word: str, kind: str | None) -> None:
    assert known_unit(word) == kind


@pytest.mark.parametrize(
    ("cell", "spaced", "unspaced"),
    [
        ("12", True, True),
        ("12.5 g", True, True),
        ("12 per cent", True, True),  # the blank is in its unit
        ("1 234", True, False),
        ("1 234 g", True, False),
        ("2 1/2", True, False),
        ("2 lb 3 oz", True, True),
        ("12 mm", False, False),
        ("2 lb 3", False, False),
        ("2 lb 3 %", False, False),
        ("2 lb 3 mm", False, False),
        ("silica", False, False),
        ("", False, False),
    ],
)
def test_which_cells_are_amounts(cell: str, spaced: bool, unspaced: bool) -> None:
    assert (is_amount(cell), is_amount(cell, spaced=False)) == (spaced, unspaced)


@pytest.mark.parametrize(
    ("cell", "value", "unit", "slack"),
    [
        # half of the last digit: 0.1 / 2, 0.01 / 2; whole numbers are meant exactly
        ("12.5", "12.5", "parts", "0.05"),
        ("12.50 %", "12.50", "%", "0.005"),
        ("12", "12", "parts", "0"),
        ("0.5 parts", "0.5", "parts", "0.05"),
        ("1.5 kg", "1500", "g", "50"),
        ("250.0 mg", "0.25", "g", "0.00005"),
        ("1e1", "10", "parts", "0"),
        # sums of pounds and ounces are taken as they stand: 2 * 453.59237 + 3 * 28.349523125
        ("2 lb 3 oz", "992.233309375", "g", "0"),
        ("2 lb 3.5 oz", "1006.4080709375", "g", "0"),
    ],
)
def test_how_much_it_is_and_how_far_that_is_open(
    cell: str, value: str, unit: str, slack: str
) -> None:
    read = amount_of(cell)
    assert read == Amount(D(value), unit, False, D(slack))  # type: ignore[arg-type]


def test_a_plus_is_kept() -> None:
    assert amount_of("+ 5").plus and amount_of(" +5 g").plus
    assert not amount_of("5").plus


@pytest.mark.parametrize(
    ("cell", "commas", "said"),
    [
        ("12", "", []),
        ("+12.50", "", []),
        ("12,5 g", "decimal", []),
        (",5", "decimal", []),
        ("1,200", "decimal", []),
        ("1,200", "thousands", ["“1,200” is read as 1200"]),
        ("1 234.5 g", "", ["“1 234.5” is read as 1234.5"]),
        ("2 1/2", "", ["“2 1/2” is read as 2.5"]),
        ("2½ lb 3 oz", "", None),
        ("2 lb 1/2 oz", "", ["“1/2” is read as 0.5"]),
        ("1e3", "", ["“1e3” is read as 1000"]),
    ],
)
def test_what_is_remarked(cell: str, commas: Convention, said: list[str] | None) -> None:
    remarks: list[str] = []
    if said is None:  # half a pound and three ounces may be a sum
        with pytest.raises(QuantityError, match="a sum"):
            amount_of(cell, commas, remarks=remarks)
    else:
        amount_of(cell, commas, remarks=remarks)
        assert remarks == said


@pytest.mark.parametrize(
    ("cell", "says"),
    [("-1", "negative"), ("-0.5 g", "negative"), ("lots", "not an amount"), ("5 pt", "pint"),
     ("5 mm", "not a unit of weight"), ("x" * 90, f"“{'x' * 60}” is not an amount")],
)  # fmt: skip
def test_what_is_refused_with_its_place(cell: str, says: str) -> None:
    place = Place(Path("mine.csv"), 7)
    with pytest.raises(QuantityError, match=says) as error:
        amount_of(cell, place=place)
    assert error.value.place == place


def test_nothing_of_a_material_is_an_amount() -> None:
    assert amount_of("0") == Amount(D(0), "parts")
