"""What people type -> one fixed unit, and back. A bare number is never guessed at.

Common spellings take a short path; anything else goes to pint, which is loaded only then.
"""

from __future__ import annotations

import math
import re
from typing import Any, Final

from cofire.errors import QuantityError

_NUMBER: Final = r"[+-]?\d+(?:\.\d+)?|[+-]?\.\d+"
_SPLIT = re.compile(rf"^\s*({_NUMBER})\s*(.*?)\s*$")

#: gram per unit; avoirdupois pound exactly 453.59237 g (international yard and pound, 1959).
GRAMS: Final = {
    "g": 1.0, "gram": 1.0, "grams": 1.0, "kg": 1000.0, "kilo": 1000.0, "kilos": 1000.0,
    "mg": 0.001, "lb": 453.59237, "lbs": 453.59237, "pound": 453.59237, "pounds": 453.59237,
    "oz": 28.349523125, "ounce": 28.349523125, "ounces": 28.349523125,
}  # fmt: skip
#: millimetre per unit; inch exactly 25.4 mm (1959).
MILLIMETRES: Final = {
    "mm": 1.0, "cm": 10.0, "in": 25.4, "inch": 25.4, "inches": 25.4, '"': 25.4,
    "um": 0.001, "µm": 0.001, "μm": 0.001, "micron": 0.001, "microns": 0.001, "mil": 0.0254,
}  # fmt: skip
MINUTES: Final = {
    "s": 1 / 60, "sec": 1 / 60, "second": 1 / 60, "seconds": 1 / 60, "min": 1.0, "mins": 1.0,
    "minute": 1.0, "minutes": 1.0, "h": 60.0, "hr": 60.0, "hrs": 60.0, "hour": 60.0, "hours": 60.0,
}  # fmt: skip


def split(text: object, wanted: str, example: str) -> tuple[float, str]:
    """Number and unit of a quantity; QuantityError when either is missing."""
    match = _SPLIT.match(str(text))
    if not match:
        raise QuantityError(f"“{text}” is not {wanted}.", hint=f"Write for example {example}.")
    if not match[2]:
        raise QuantityError(
            f"“{text}” has no unit, and a unit is never guessed.", hint=f"Write {example}."
        )
    value = float(match[1])
    if not math.isfinite(value):
        raise QuantityError(f"“{text}” is not {wanted}.", hint=f"Write for example {example}.")
    return value, match[2]


def temperature_c(text: object) -> float:
    """“1730 F”, “943 °C” -> °C. Refuses bare numbers and anything below absolute zero."""
    value, unit = split(text, "a temperature", "“943 C” or “1730 F”")
    letter = unit.replace("°", "").replace("º", "").replace("deg", "").strip().upper()
    if letter in ("C", "CELSIUS"):
        celsius = value
    elif letter in ("F", "FAHRENHEIT"):
        celsius = (value - 32.0) / 1.8
    elif letter in ("K", "KELVIN"):
        celsius = value - 273.15
    else:
        raise QuantityError(
            f"“{unit}” is not a unit of temperature.", hint="Write “943 C” or “1730 F”."
        )
    if celsius < -273.15:
        raise QuantityError(f"“{text}” is below absolute zero.", hint="Check the number.")
    return celsius


def rate_c_per_h(text: object) -> float:
    """“150 C/h”, “300 F/hour”, “5 °C/min” -> °C per hour (a difference, so °F × 5/9)."""
    value, unit = split(text, "a heating rate", "“150 C/h” or “300 F/h”")
    match = re.match(r"^°?\s*([CFK])\s*(?:/|per)\s*(h|hr|hour|min|minute)$", unit, re.IGNORECASE)
    if not match:
        raise QuantityError(
            f"“{unit}” is not a heating rate.", hint="Write “150 C/h”, “300 F/h” or “5 C/min”."
        )
    per_degree = 1 / 1.8 if match[1].upper() == "F" else 1.0
    return value * per_degree * (60.0 if match[2].lower().startswith("m") else 1.0)


def difference_c(text: object) -> float:
    """“16 C”, “-30 F” -> a difference in °C, so °F × 5/9."""
    value, unit = split(text, "a difference of temperature", "“16 C” or “30 F”")
    letter = unit.replace("°", "").strip().upper()
    if letter not in ("C", "F", "K"):
        raise QuantityError(f"“{unit}” is not a unit of temperature.", hint="Write “16 C”.")
    return value / 1.8 if letter == "F" else value


def kilowatts(text: object) -> float:
    """“3.6 kW”, “2900 W” -> kW."""
    return _scaled(text, {"kw": 1.0, "w": 0.001}, "kilowatt", "a power", "“3.6 kW”")


def _scaled(text: object, table: dict[str, float], si: str, wanted: str, example: str) -> float:
    value, unit = split(text, wanted, example)
    factor = table.get(unit) or table.get(unit.lower().rstrip("."))
    return value * (factor if factor is not None else _by_pint(unit, si, text, wanted, example))


def _by_pint(unit: str, si: str, text: object, wanted: str, example: str) -> float:
    import pint

    registry: Any = pint.application_registry
    try:
        return float(registry.Quantity(1.0, unit).to(si).magnitude)
    except Exception as problem:  # pint raises tokenizer, attribute and dimension errors alike
        raise QuantityError(
            f"“{text}” is not {wanted}.", hint=f"Write for example {example}."
        ) from problem


def grams(text: object) -> float:
    """“120 g”, “5 lb”, “3 oz” -> g."""
    return _scaled(text, GRAMS, "gram", "a weight", "“500 g” or “1.5 lb”")


def millimetres(text: object) -> float:
    """“6 mm”, “1/4 in” -> mm."""
    return _scaled(_fraction(text), MILLIMETRES, "millimeter", "a length", "“6 mm” or “0.25 in”")


def minutes(text: object) -> float:
    """“10 min”, “4 h”, “1h30”, “4:00” (h:mm) -> minutes."""
    raw = str(text).strip().lower()
    if match := re.match(r"^(\d+)\s*(?:h|hr|hours?|:)\s*(\d{1,2})\s*(?:m|min|minutes?)?$", raw):
        return float(match[1]) * 60 + float(match[2])
    return _scaled(text, MINUTES, "minute", "a length of time", "“10 min” or “4 h”")


def hours(text: object) -> float:
    """As ``minutes``, in hours."""
    return minutes(text) / 60.0


def seconds(text: object) -> float:
    """As ``minutes``, in seconds."""
    return minutes(text) * 60.0


def _fraction(text: object) -> object:
    """“1/4 in” -> “0.25 in”: the way inches are read off a ruler."""
    match = re.match(r"^\s*(\d+)\s*/\s*(\d+)\s*(\D.*)$", str(text))
    if not match or float(match[2]) == 0.0:
        return text
    return f"{float(match[1]) / float(match[2])} {match[3]}"


def fahrenheit(celsius: float) -> float:
    """°C -> °F."""
    return celsius * 1.8 + 32.0


def show_temperature(celsius: float) -> str:
    """Both scales, rounded to the degree: “943 °C (1729 °F)”."""
    return f"{celsius:.0f} °C ({fahrenheit(celsius):.0f} °F)"


def show_weight(gram: float) -> str:
    """Both systems: “500 g (17.6 oz)”, kg and lb from 1 kg up."""
    if gram >= 1000:
        return f"{gram / 1000:.3g} kg ({gram / GRAMS['lb']:.3g} lb)"
    return f"{gram:.4g} g ({gram / GRAMS['oz']:.3g} oz)"
