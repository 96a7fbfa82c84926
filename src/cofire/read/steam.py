"""A steam test in words: “5 bar, 2 h”."""

from __future__ import annotations

import re

from cofire.errors import refusal
from cofire.read.number import NUMBER, items, number, short
from cofire.read.units import hours
from cofire.records import Steam

_BAR = re.compile(rf"(?P<number>{NUMBER})\s*bar", re.IGNORECASE)


def read_steam(text: str) -> Steam:
    """Pressure above that of the air, and how long. Raises QuantityError."""
    words = items(short(text))
    match = _BAR.fullmatch(words[0]) if len(words) == 2 else None
    if match is None:
        raise refusal("no-steam-test", text=text)
    bar, lasts_h = float(number(match["number"])), hours(words[1])
    if not (0.0 <= bar <= 15.0 and 0.0 < lasts_h <= 100.0):
        raise refusal("steam-beyond-autoclaves", bar=bar, hours=lasts_h)
    return Steam(bar, lasts_h)
