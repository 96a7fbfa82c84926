"""What people type -> one fixed unit, and back. A bare number is never guessed at.

Each quantity has a closed list of units. What is not on it is refused, with the reason or with what
it is in ours (asked of pint, which is loaded only then).
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Final

from cofire.errors import QuantityError, refusal
from cofire.read.number import ALONE, LONGEST, Convention, number


@dataclass(frozen=True)
class Quantity:
    """``name`` as in “is no weight”; ``factors`` from each spelling to the unit ``base``;
    ``shown`` is the list people read. ``refused``: units that mislead, and why. ``parts``: smaller
    units may follow, as in “2 lb 3 oz”."""

    name: str
    example: str
    base: str
    shown: str
    factors: dict[str, Decimal] = field(default_factory=dict)
    refused: dict[str, str] = field(default_factory=dict)
    parts: bool = False


def _factors(lines: str) -> dict[str, Decimal]:
    """Lines of “factor: spelling, spelling” -> spelling -> factor."""
    pairs = (line.split(":") for line in lines.strip().splitlines())
    return {word.strip(): Decimal(one.strip()) for one, words in pairs for word in words.split(",")}


def _reasons(*pairs: tuple[str, str]) -> dict[str, str]:
    return {word: why for words, why in pairs for word in words.split(", ")}


#: Avoirdupois pound exactly 453.59237 g (international yard and pound, 1959).
WEIGHT: Final = Quantity(
    "weight", "“500 g” or “1.5 lb”", "g", "mg, g, kg, oz or lb",
    _factors("""
        0.001: mg, milligram, milligrams
        1: g, gm, gram, grams, gramme, grammes
        1000: kg, kilo, kilos, kilogram, kilograms
        28.349523125: oz, ounce, ounces
        453.59237: lb, lbs, pound, pounds"""),
    _reasons(
        ("gr, grs", "grams to some, grains (0.065 g) to others"),
        ("t, ton, tons, tonne, tonnes", "1000, 907 or 1016 kg, depending on the country"),
        ("bag, bags, sack, sacks", "not all are as heavy"),
        ("cup, cups, tbsp, tablespoon, tablespoons, tsp, teaspoon, teaspoons, spoon, spoons, "
         "scoop, scoops", "a volume, and powders pack differently"),
        ("pt, pint, pints", "a measure of volume, and “pt” may also be a part"),
    ),
    parts=True,
)  # fmt: skip
#: Inch exactly 25.4 mm (1959), foot twelve of them, mil a thousandth of one.
LENGTH: Final = Quantity(
    "length", "“6 mm” or “0.25 in”", "mm", "mm, cm, m, in, ft, µm or mil",
    _factors("""
        1: mm, millimetre, millimetres, millimeter, millimeters
        10: cm, centimetre, centimetres, centimeter, centimeters
        1000: m, metre, metres, meter, meters
        25.4: in, inch, inches, ", ”
        304.8: ft, foot, feet, ', ′, ’
        0.001: µm, um, micron, microns, micrometre, micrometres, micrometer, micrometers
        0.0254: mil, mils"""),
    parts=True,
)  # fmt: skip
TIME: Final = Quantity(
    "time", "“10 min” or “4 h”", "s", "s, min or h",
    _factors("""
        1: s, sec, secs, second, seconds
        60: min, mins, minute, minutes
        3600: h, hr, hrs, hour, hours"""),
    _reasons(("m", "it may also be a metre")),
    parts=True,
)  # fmt: skip
POWER: Final = Quantity(
    "power", "“3.6 kW”", "kW", "W or kW",
    _factors("0.001: w, watt, watts\n1: kw, kilowatt, kilowatts"),
)  # fmt: skip
VOLTAGE: Final = Quantity("voltage", "“230 V”", "V", "V", _factors("1: v, volt, volts"))
CURRENT: Final = Quantity(
    "current", "“16 A”", "A", "A", _factors("1: a, amp, amps, ampere, amperes")
)
#: US gallon 231 in³, quart a quarter of it, fluid ounce 1/128 (NIST Handbook 44, Appendix C; from
#: memory); exact.
VOLUME: Final = Quantity(
    "volume", "“10 l” or “2 gal” (US)", "ml", "ml, cl, l, or US gal, qt and fl oz",
    _factors("""
        1: ml, cc, cm3, millilitre, millilitres, milliliter, milliliters
        10: cl
        1000: l, litre, litres, liter, liters
        3785.411784: gal, gallon, gallons, us gal, us gallon, us gallons
        946.352946: qt, quart, quarts
        29.5735295625: fl oz"""),
    _reasons(
        ("pt, pint, pints", "473 or 568 ml, depending on the country"),
        ("cup, cups", "237 to 284 ml, depending on the country"),
        ("oz, ounce, ounces", "it is a weight"),
    ),
)  # fmt: skip
DENSITY: Final = Quantity(
    "density", "“1.45 g/ml”", "g/ml", "g/ml, kg/l or g/l, as in “1.45 g/ml”",
    _factors("1: g/ml, g/cc, g/cm3, kg/l\n0.001: g/l"),
)  # fmt: skip
_HEAT: Final = Quantity("temperature", "“943 C” or “1730 F”", "C", "C, F or K")
_GAP: Final = Quantity("difference of temperature", "“16 C” or “30 F”", "C", "C, F or K")
_RATE: Final = Quantity(
    "heating rate", "“150 C/h”, “300 F/h” or “5 C/min”", "C/h", "C/h, F/h, C/min or F/min"
)

GRAMS: Final = WEIGHT.factors

_TERM = re.compile(rf"(?P<number>{ALONE})\s*(?P<unit>[^0-9\s.,/][^0-9]*[23]?)?", re.S)
_CLOCK = re.compile(r"([0-9]{1,3})\s*(?:h|hrs?|hours?|:)\s*([0-5][0-9])\s*m?", re.I)
_NEXT = re.compile(r"(?<=[a-zA-Z'\"′″’”])(?<![0-9][eE])(?:\.?[\s,]+|)(?=\.?[0-9])")
_DEGREE = re.compile(r"°|degrees?|deg\.?")
_PER = re.compile(r"(.+?)\s*(?:/|\bper\b|\ban\b)\s*(.+)")


def plain_unit(unit: str) -> str:
    """“KG.”, “cm³” -> “kg”, “cm3”: as the lists above spell units."""
    word = " ".join(unicodedata.normalize("NFKC", unit).casefold().split())
    return re.sub(r" ?/ ?", "/", word.replace("μ", "µ").replace("′′", '"')).rstrip(".")


def terms(text: object, kind: Quantity) -> list[tuple[str, str]]:
    """The numbers and units of “2 lb 3 oz”, as written; empty if it is not a quantity."""
    typed = str(text).strip()
    pieces = _NEXT.split(typed) if kind.parts else [typed]
    matches = [_TERM.fullmatch(piece) for piece in pieces if len(typed) <= LONGEST]
    return [(m["number"], m["unit"] or "") for m in matches if m] if all(matches) else []


def split(text: object, kind: Quantity, commas: Convention = "") -> tuple[Decimal, str]:
    """One number and its unit, as it was written; QuantityError when either is missing."""
    pieces = terms(text, kind)
    if len(pieces) != 1:
        words = str(text)[:LONGEST] + "…" * (len(str(text)) > LONGEST)
        raise refusal("no-such-quantity", said=words, kind=kind.name, example=kind.example)
    value = number(pieces[0][0], commas)
    if not pieces[0][1]:
        raise refusal("no-unit", text=text, example=kind.example)
    return value, pieces[0][1]


def measured(text: object, kind: Quantity, commas: Convention = "") -> Decimal:
    """An exact quantity in the unit ``base``. Raises QuantityError."""
    pieces = terms(text, kind)
    values, factors = [], []
    for said in [f"{n} {unit}".strip() for n, unit in pieces] if len(pieces) > 1 else [text]:
        value, unit = split(said, kind, commas)
        if plain_unit(unit) not in kind.factors:
            raise _unknown(unit, kind)
        values.append(value)
        factors.append(kind.factors[plain_unit(unit)])
    parts = [value * factor for value, factor in zip(values, factors, strict=True)]
    for k in range(1, len(parts)):
        if values[k - 1] % 1 or not 0 <= parts[k] < factors[k - 1] or values[0] < 0:
            raise refusal("sum-or-same-twice", text=text)
    return sum(parts, Decimal(0))


def _unknown(unit: str, kind: Quantity) -> QuantityError:
    word = plain_unit(unit)
    if word in kind.refused:
        return QuantityError(
            f"“{unit}” is not read: {kind.refused[word]}.", hint=f"Write {kind.shown}."
        )
    return QuantityError(
        f"“{unit}” is not a unit of {kind.name}.", hint=f"Write {kind.shown}.{_in_ours(word, kind)}"
    )


def _in_ours(word: str, kind: Quantity) -> str:
    """“1 stone is 6350.29 g.”; nothing for a word that pint does not know, or knows otherwise."""
    if not kind.factors or not (word.isascii() and word.isalpha()):
        return ""
    import pint

    try:
        one = float(pint.application_registry.Quantity(1.0, word).to(kind.base).magnitude)
    except Exception:  # pint raises tokenizer, attribute and dimension errors alike
        return ""
    return f" 1 {word} is {one:.6g} {kind.base}."


def grams(text: object, commas: Convention = "") -> float:
    """“120 g”, “5 lb”, “2 lb 3 oz” -> g."""
    return float(measured(text, WEIGHT, commas))


def millimetres(text: object) -> float:
    """“6 mm”, “1/4 in” -> mm."""
    return float(measured(text, LENGTH))


def seconds(text: object, commas: Convention = "") -> float:
    """“20 s”, “10 min”, “4 h”, “1h30”, “4:00” (h:mm) -> seconds."""
    if clock := _CLOCK.fullmatch(str(text).strip()):
        return 3600.0 * int(clock[1]) + 60.0 * int(clock[2])
    return float(measured(text, TIME, commas))


def minutes(text: object, commas: Convention = "") -> float:
    """As ``seconds``, in minutes."""
    return seconds(text, commas) / 60.0


def clock_minutes(text: str) -> float:
    """“9:00”, “15:30” -> minutes after midnight. Raises QuantityError."""
    found = re.fullmatch(r"\s*([01]?\d|2[0-3]):([0-5]\d)\s*", text)
    if found is None:
        raise refusal("no-time-of-day", text=text)
    return 60.0 * int(found[1]) + int(found[2])


def hours(text: object) -> float:
    """As ``seconds``, in hours."""
    return seconds(text) / 3600.0


def kilowatts(text: object) -> float:
    """“3.6 kW”, “2900 W” -> kW."""
    return float(measured(text, POWER))


def volts(text: object) -> float:
    """“230 V” -> V."""
    return float(measured(text, VOLTAGE))


def amperes(text: object) -> float:
    """“16 A” -> A."""
    return float(measured(text, CURRENT))


def cable(text: str) -> tuple[float, float]:
    """“30 m of 1.5 mm2” -> m, mm². Raises QuantityError."""
    found = re.fullmatch(r"(?P<length>.+?)\s+of\s+(?P<mm2>[0-9.,]+)\s*mm(2|²)", text.strip())
    if found is None:
        raise refusal("unreadable-cable", text=text)
    return millimetres(found["length"]) / 1000.0, float(number(found["mm2"]))


def millilitres(text: object) -> float:
    """“10 l”, “2 gal” (US), “500 ml” -> ml."""
    return float(measured(text, VOLUME))


def g_per_ml(text: str) -> float:
    """“1.45 g/ml”, “1450 g/l” -> g/ml; a number alone is g/ml, as everybody says it."""
    bare = not re.search("[a-df-zA-DF-Z]", text)
    return float(measured(f"{text} g/ml" if bare else text, DENSITY))


def _degrees(unit: str) -> str:
    """“°F”, “deg F”, “Fahrenheit” -> “f”; empty for other words."""
    word = _DEGREE.sub("", plain_unit(re.sub("[º˚]", "°", unit))).strip()
    known = {"celsius": "c", "centigrade": "c", "fahrenheit": "f", "kelvin": "k"}
    return known.get(word, word if word in ("c", "f", "k") else "")


def temperature_c(text: object, commas: Convention = "") -> float:
    """“1730 F”, “943 °C” -> °C. Refuses bare numbers and anything below absolute zero."""
    value, unit = split(text, _HEAT, commas)
    letter = _degrees(unit)
    if not letter:
        raise _unknown(unit, _HEAT)
    celsius = {"c": value, "f": (value - 32) * 5 / 9, "k": value - Decimal("273.15")}[letter]
    if celsius < Decimal("-273.15"):
        raise QuantityError(f"“{text}” is below absolute zero.", hint="Check the number.")
    return float(celsius)


def difference_c(text: object) -> float:
    """“16 C”, “-30 F” -> a difference in °C, so °F × 5/9."""
    value, unit = split(text, _GAP)
    letter = _degrees(unit)
    if not letter:
        raise _unknown(unit, _GAP)
    return float(value * 5 / 9 if letter == "f" else value)


def rate_c_per_h(text: object) -> float:
    """“150 C/h”, “300 F/hour”, “5 °C/min” -> °C per hour (a difference, so °F × 5/9)."""
    value, unit = split(text, _RATE)
    match = _PER.fullmatch(unit)
    letter = _degrees(match[1]) if match else ""
    time = TIME.factors.get(plain_unit(match[2])) if match else None
    if not letter or time is None:
        raise _unknown(unit, _RATE)
    return float(value * 3600 / time * (5 if letter == "f" else 9) / 9)


def fahrenheit(celsius: float) -> float:
    """°C -> °F."""
    return celsius * 1.8 + 32.0


def show_temperature(celsius: float) -> str:
    """Both scales, rounded to the degree: “943 °C (1729 °F)”."""
    return f"{celsius:.0f} °C ({fahrenheit(celsius):.0f} °F)"


def show_weight(gram: float) -> str:
    """Both systems: “500 g (17.6 oz)”, kg and lb from 1 kg up."""
    if gram >= 1000:
        return f"{gram / 1000:.3g} kg ({gram / float(GRAMS['lb']):.3g} lb)"
    return f"{gram:.4g} g ({gram / float(GRAMS['oz']):.3g} oz)"
