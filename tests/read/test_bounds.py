"""The bounds of what is read, each from both sides."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest

from cofire.errors import QuantityError
from cofire.read.came_out import read_came_out
from cofire.read.cooling import read_cooling
from cofire.read.number import convention, number, short, whole_number, written
from cofire.read.size import read_sides
from cofire.read.steam import read_steam
from cofire.read.units import cable, difference_c, show_temperature, show_weight, temperature_c


@pytest.mark.parametrize(
    ("read", "passes", "fails"),
    [
        # 60 letters of a number, 400 of a phrase
        (number, "1." + "0" * 58, "1." + "0" * 59),
        (short, "x" * 400, "x" * 401),
        # between 1e-15 and 1e9; nothing is a number too
        (number, "999999999.9", "1000000000"),
        (number, "-999999999.9", "-1000000000"),
        (number, "1e-15", "9e-16"),
        (number, "0e999", "1e999"),
        (number, "0/7", "7/0"),
        (number, "2 3/4", "2 4/4"),
        (number, "5/4", "1 5/4"),
        (whole_number, "3.0", "3.5"),
        (read_steam, "15 bar, 100 h", "15.1 bar, 100 h"),
        (read_steam, "0 bar, 1 h", "0 bar, 100.1 h"),
        (read_steam, "0 bar, 1 s", "0 bar, 0 s"),
        (read_steam, "5 bar; 2 h", "5 bar; 2 h; 1 h"),
        (read_cooling, "86400 s bin", "86401 s bin"),
        (read_cooling, "0 s bin, air", "-1 s bin, air"),
        (read_cooling, "20 s air, water", "water, 20 s air"),
        (read_came_out, "whole after 58 years", "whole after 58.1 years"),
        (temperature_c, "-273.15 C", "-273.16 C"),
        (temperature_c, "0 K", "-0.01 K"),
    ],
)  # fmt: skip
def test_from_both_sides(read: Callable[[Any], object], passes: str, fails: str) -> None:
    read(passes)
    with pytest.raises(QuantityError):
        read(fails)


@pytest.mark.parametrize(
    ("text", "value"),
    [("1/3", Decimal(1) / 3), ("⅚", Decimal(5) / 6), ("⅞", Decimal("0.875")),
     ("3 ⅖", Decimal("3.4")), ("12 3/8", Decimal("12.375")), ("-2½", Decimal("-2.5")),
     ("− 1/4", Decimal("-0.25"))],
)  # fmt: skip
def test_fractions(text: str, value: Decimal) -> None:
    assert number(text) == value


def test_what_commas_mean_is_open_where_cells_contradict_one_another() -> None:
    assert convention(["1,5", "2.25"]) == ""
    assert convention(["1,5", "2,25", "3"]) == "decimal"
    assert convention(["x" * 399 + "1,5"]) == ""  # beyond 400 letters nothing is looked at
    assert convention(["x" * 397 + "1,5"]) == "decimal"


def test_numbers_are_written_to_twelve_digits_and_never_like_thousands() -> None:
    assert written(2.0 / 3.0) == "0.666666666667"
    assert [written(one) for one in (1.5, 1.125, 120.0, 0.125, -1.125)] == [
        "1.5", "1.1250", "120", "0.125", "-1.1250",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("text", "mm"),
    [("12 x 15 cm", (120.0, 150.0)), ("12 cm by 6 in", (120.0, 152.4)),
     ("1 ft X 1 m", (304.8, 1000.0))],
)  # fmt: skip
def test_sides(text: str, mm: tuple[float, float]) -> None:
    assert read_sides(text, "a pot", "") == pytest.approx(mm)


@pytest.mark.parametrize("text", ["12 cm", "12 x 15 x 18 cm", "12 cm x 15", "x 15 cm", "a x b cm"])
def test_no_sides(text: str) -> None:
    with pytest.raises(QuantityError) as error:
        read_sides(text, "a pot", "Write 12 x 15 cm.")
    assert error.value.hint == "Write 12 x 15 cm."


def test_cables_are_metres_and_square_millimetres() -> None:
    assert cable("30 m of 1.5 mm2") == (30.0, 1.5)
    assert cable("100 ft of 2,5 mm²") == pytest.approx((30.48, 2.5))


def test_a_difference_of_fahrenheits_has_no_zero_point() -> None:
    assert difference_c("-18 F") == pytest.approx(-10.0)
    assert difference_c("16 K") == difference_c("16 C") == 16.0


def test_both_scales_are_shown() -> None:
    """1000 °C are 1832 °F, -40 °C are -40 °F."""
    assert show_temperature(1000.0) == "1000 °C (1832 °F)"
    assert show_temperature(-40.0) == "-40 °C (-40 °F)"
    assert show_temperature(0.0) == "0 °C (32 °F)"


@pytest.mark.parametrize(
    ("gram", "shown"),
    [
        (1000.0, "1 kg (2.2 lb)"),  # 2.2046 lb
        (999.0, "999 g (35.2 oz)"),  # 35.239 oz
        (4535.9237, "4.54 kg (10 lb)"),
        (28.349523125, "28.35 g (1 oz)"),
    ],
)
def test_both_systems_of_weights_are_shown(gram: float, shown: str) -> None:
    assert show_weight(gram) == shown


@pytest.mark.parametrize("unit", ["coulomb", "farad"])
def test_a_word_whose_symbol_is_that_of_a_scale_is_not_put_into_it(unit: str) -> None:
    """C is a coulomb and F a farad to those who know units; nothing here is charged."""
    with pytest.raises(QuantityError) as error:
        temperature_c(f"5 {unit}")
    assert error.value.hint == "Write C, F or K."
