"""How ware cools, in words: “100 C/h” in a kiln, or “20 s air, 30 min bin, water” when pulled."""

from __future__ import annotations

import re

from cofire.errors import QuantityError, refusal
from cofire.read.number import items, short
from cofire.read.units import rate_c_per_h, seconds
from cofire.records import Smoke

EXAMPLE = "“100 C/h” for a kiln, or “20 s air, 30 min bin, water” for pulled ware"
_STAY = re.compile(r"(?P<time>.*?\S)\s+(?:in\s+)?(?:the\s+)?(?P<where>air|bin|smoke)\s*")


def read_cooling(text: str) -> Smoke | float:
    """“100 C/h”, or what happens to a pulled pot in its order: air, bin, then air or water.

    Raises QuantityError.
    """
    words = items(short(text).lower())
    if re.search(r"[^0-9 ] ?/|\bper\b", text):
        rate = rate_c_per_h(text)
        if not 1.0 <= rate <= 3000.0:
            raise refusal("no-cooling-of-ware", rate=rate, example=EXAMPLE)
        return rate
    air_s, bin_min, then = 0.0, 0.0, None
    stage = 0
    for word in words:
        word = word.removeprefix("then ").strip()
        if word in ("water", "quench", "into water"):
            then, now = "water", 3
        elif word == "air":
            then, now = "air", 3
        else:
            match = _STAY.fullmatch(word)
            if not match:
                raise QuantityError(f"“{word}” is not a way to cool.", hint=f"Write {EXAMPLE}.")
            lasts_s = seconds(match["time"])
            now = 1 if match["where"] == "air" else 2
            if not 0.0 <= lasts_s <= 86_400.0:
                raise QuantityError(f"“{word}” is not a waiting time.", hint=f"Write {EXAMPLE}.")
            if now == 1:
                air_s = lasts_s
            else:
                bin_min = lasts_s / 60.0
        if now <= stage:
            raise refusal("air-bin-out-of-order", text=text, example=EXAMPLE)
        stage = now
    return Smoke(air_s, bin_min, "water" if then == "water" else "air", assumed=False)
