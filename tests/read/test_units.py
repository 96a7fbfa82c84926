"""Units: a closed list, its factors against an independent library, and reasons for the rest."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from cofire.errors import QuantityError
from cofire.read import units
from cofire.read.number import written
from cofire.read.units import DENSITY, LENGTH, POWER, TIME, VOLUME, WEIGHT, Quantity, measured

REGISTRY: Any = pint.UnitRegistry(non_int_type=Decimal)
#: Spellings that pint does not know, or knows as something else.
IN_PINT = {
    "gm": "g", "gramme": "g", "grammes": "g", "kilo": "kg", "kilos": "kg", '"': "inch", 
    "”": "inch", "in": "inch", "'": "foot", "′": "foot", "’": "foot", "mil": "thou", "mils": "thou",
    "sec": "s", "secs": "s", "mins": "min", "hrs": "h", "hr": "h", "kw": "kW", "w": "W",
    "us gal": "gallon", "us gallon": "gallon", "us gallons": "gallon", "gal": "gallon",
    "qt": "quart", "fl oz": "fluid_ounce", "cm3": "cm**3", "kg/l": "kg/l", "g/cc": "g/cc",
    "g/cm3": "g/cm**3",
}  # fmt: skip


@pytest.mark.parametrize("kind", [WEIGHT, LENGTH, TIME, POWER, VOLUME, DENSITY])
def test_every_factor_agrees_with_pint(kind: Quantity) -> None:
    for word, factor in kind.factors.items():
        other = REGISTRY.Quantity(Decimal(1), IN_PINT.get(word, word)).to(kind.base).magnitude
        assert float(factor) == pytest.approx(float(other), rel=1e-12), word
        assert measured(f"2,5{word}", kind) == Decimal("2.5") * factor
        assert measured(f"2.5 {word.upper()}", kind) == Decimal("2.5") * factor


@pytest.mark.parametrize("value", ["-40", "0", "212", "1730", "2200,5"])
@pytest.mark.parametrize(
    ("words", "name"),
    [
        (("C", "°C", "℃", "deg C", "degrees Celsius", "º C"), "degC"),
        (("F", "°F", "℉", "Fahrenheit"), "degF"),
    ],
)
def test_temperatures_agree_with_pint(value: str, words: tuple[str, ...], name: str) -> None:
    registry = pint.UnitRegistry()
    number = float(value.replace(",", "."))
    wanted = registry.Quantity(number, name).to("degC").magnitude
    gap = registry.Quantity(number, f"delta_{name}").to("delta_degC").magnitude
    for word in words:
        assert units.temperature_c(f"{value} {word}") == pytest.approx(wanted, abs=1e-9)
        assert units.difference_c(f"{value}{word}") == pytest.approx(gap, abs=1e-9)
        assert units.rate_c_per_h(f"{value} {word}/min") == pytest.approx(60 * gap, abs=1e-7)
        assert units.rate_c_per_h(f"{value} {word} per hour") == pytest.approx(gap, abs=1e-9)


GOOD: list[tuple[Callable[[Any], float], str, float]] = [
    (units.grams, "2 lb 3 oz", 35 * 28.349523125),
    (units.grams, "2lb. 3,5oz", 35.5 * 28.349523125),
    (units.grams, "2 1/2 lb", 2.5 * 453.59237),
    (units.grams, "½ lb", 0.5 * 453.59237),
    (units.grams, "1 234,5 g", 1234.5),
    (units.grams, "-3 g", -3.0),
    (units.millimetres, '1/4"', 6.35),
    (units.millimetres, "5 ft 3 in", 63 * 25.4),
    (units.millimetres, "5' 3 1/2\"", 63.5 * 25.4),
    (units.millimetres, "3½″", 88.9),
    (units.millimetres, "10 μm", 0.01),
    (units.minutes, "1h30", 90.0),
    (units.minutes, "1 h 30 min", 90.0),
    (units.minutes, "1h30m", 90.0),
    (units.minutes, "1 h 5 min 30 s", 65.5),
    (units.minutes, "4:00", 240.0),
    (units.hours, "90 min", 1.5),
    (units.seconds, "20 s", 20.0),
    (units.kilowatts, "2900 W", 2.9),
    (units.millilitres, "2 gal", 2 * 3785.411784),
    (units.millilitres, "5 cm³", 5.0),
    (units.g_per_ml, "1,45", 1.45),
    (units.g_per_ml, "1450 g / l", 1.45),
    (units.temperature_c, "300 K", 26.85),
]


@pytest.mark.parametrize(("read", "text", "wanted"), GOOD)
def test_quantities_people_write(read, text: str, wanted: float) -> None:  # type: ignore[no-untyped-def]
    assert read(text) == pytest.approx(wanted, rel=1e-14)


BAD: list[tuple[Callable[[Any], float], str, str]] = [
    (units.grams, "5", "has no unit"),
    (units.grams, "5 gr", "grains"),
    (units.grams, "2 bags", "as heavy"),
    (units.grams, "1 ton", "country"),
    (units.grams, "3 cups", "volume"),
    (units.grams, "1 pt", "volume"),
    (units.grams, "2 stone", "1 stone is 6350.29 g"),
    (units.grams, "2 slurps", "mg, g, kg, oz or lb"),
    (units.grams, "5 mm", "not a unit of weight"),
    (units.grams, "5 % ", "not a unit of weight"),
    (units.grams, "1,200 g", "1.200 or 1200"),
    (units.grams, "1.250 kg", "1.250 or 1250"),
    (units.grams, "2.5 lb 3 oz", "twice"),
    (units.grams, "2 lb 16 oz", "twice"),
    (units.grams, "3 oz 2 lb", "twice"),
    (units.grams, "2 lb -3 oz", "not a weight"),
    (units.grams, "-2 lb 3 oz", "twice"),
    (units.grams, "1e 5 g", "not a weight"),
    (units.grams, "12² g", "not a unit of weight"),
    (units.grams, "nan g", "not a weight"),
    (units.grams, "g", "not a weight"),
    (units.grams, "5 g" + " " * 500 + "x", "not a weight"),
    (units.millimetres, "5 hands", "mm, cm, m, in, ft"),
    (units.minutes, "1:75", "not a time"),
    (units.minutes, "4:5", "not a time"),
    (units.minutes, "5 m", "metre"),
    (units.minutes, "1 day", "1 day is 86400 s"),
    (units.millilitres, "3 pt", "473 or 568"),
    (units.millilitres, "3 oz", "weight"),
    (units.millilitres, "3 kg", "not a unit of volume"),
    (units.temperature_c, "943", "has no unit"),
    (units.temperature_c, "943 °", "C, F or K"),
    (units.temperature_c, "cone 06", "not a temperature"),
    (units.temperature_c, "-300 C", "absolute zero"),
    (units.temperature_c, "1,730 F", "1.730 or 1730"),
    (units.rate_c_per_h, "150 C", "C/h"),
    (units.rate_c_per_h, "150 C/kg", "C/h"),
    (units.g_per_ml, "1.450", "1.450 or 1450"),
]


@pytest.mark.parametrize(("read", "text", "said"), BAD)
def test_refusals_say_why_and_what_to_write(read, text: str, said: str) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(QuantityError) as wrong:
        read(text)
    assert said in str(wrong.value) and wrong.value.hint, wrong.value
    assert len(str(wrong.value)) < 250


@given(
    st.decimals("0.0001", "99999", places=4),
    st.sampled_from([(kind, word) for kind in (WEIGHT, LENGTH, TIME, VOLUME)
                     for word in kind.factors]),
)  # fmt: skip
def test_what_is_written_reads_back(value: Decimal, of: tuple[Quantity, str]) -> None:
    kind, word = of
    assert measured(f"{written(value)} {word}", kind) == value * kind.factors[word]


@given(st.integers(0, 99), st.decimals("0", "15.99", places=2))
def test_pounds_and_ounces_add_up(lb: int, oz: Decimal) -> None:
    wanted = lb * WEIGHT.factors["lb"] + oz * WEIGHT.factors["oz"]
    assert measured(f"{lb} lb {written(oz)} oz", WEIGHT) == wanted


@given(st.text("0123456789.,/ gkmlbozh°CF'\"½µ³²", max_size=16))
def test_anything_typed_is_a_quantity_or_a_refusal(text: str) -> None:
    for read in (units.grams, units.millimetres, units.minutes, units.temperature_c,
                 units.rate_c_per_h, units.millilitres, units.g_per_ml):  # fmt: skip
        try:
            assert abs(read(text)) < 1e13
        except QuantityError:
            continue


@pytest.mark.parametrize(
    ("text", "minutes"), [("0:00", 0.0), ("9:05", 545.0), ("15:30", 930.0), ("23:59", 1439.0)]
)
def test_times_of_day(text: str, minutes: float) -> None:
    assert units.clock_minutes(text) == minutes


@pytest.mark.parametrize("text", ["24:00", "9:60", "9", "9.30", "-1:00"])
def test_no_times_of_day(text: str) -> None:
    with pytest.raises(QuantityError):
        units.clock_minutes(text)
