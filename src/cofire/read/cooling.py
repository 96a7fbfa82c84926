"""How ware cools, in words: “100 C/h” in a kiln, or “20 s air, 30 min bin, water” when pulled."""

from __future__ import annotations

import re

from cofire.errors import refusal
from cofire.read.number import items, short
from cofire.read.units import rate_c_per_h, seconds
from cofire.records import Bed, End, Smoke

EXAMPLE = "“100 C/h” for a kiln, or “20 s air, 30 min bin, water” for pulled ware"
#: Where pulled ware stays for a time, by words for it, in their order.
_WHERE = (
    ("air", "still air"),
    ("fan", "wind"),
    ("spray", "mist"),
    ("bin", "smoke", "sawdust", "buried in sawdust", "buried"),
)
_BEDS: dict[str, Bed] = {"sawdust": "sawdust", "buried": "buried", "buried in sawdust": "buried"}
_PLACE = (
    r"(?:(?:in|on|under|before)\s+)?(?:(?:a|the)\s+)?"
    rf"(?P<where>{'|'.join(name for names in _WHERE for name in names)})"
)
#: “40 min buried”, or “buried 40 min”.
_STAYS = (
    re.compile(rf"(?P<time>.*?\S)\s+{_PLACE}"),
    re.compile(rf"{_PLACE}\s+(?:for\s+)?(?P<time>.*\S)"),
)
_ENDS: dict[str, End] = {"water": "water", "quench": "water", "into water": "water", "air": "air"}


def read_cooling(text: str) -> Smoke | float:
    """“100 C/h”, or what happens to a pulled pot in its order: air, fan, spray, then bin, sawdust
    or buried, then air or water.

    Raises QuantityError.
    """
    words = items(short(text).lower())
    if re.search(r"[^0-9 ] ?/|\bper\b", text):
        rate = rate_c_per_h(text)
        if not 1.0 <= rate <= 3000.0:
            raise refusal("no-cooling-of-ware", rate=rate, example=EXAMPLE)
        return rate
    lasts_s = [0.0] * len(_WHERE)
    bed: Bed = "bin"
    then: End = "air"
    stage = -1
    for word in words:
        word = word.removeprefix("then ").strip()
        if word in _ENDS:
            then, now = _ENDS[word], len(_WHERE)
        else:
            match = next(filter(None, (stay.fullmatch(word) for stay in _STAYS)), None)
            if match is None:
                raise refusal("no-way-to-cool", word=word, example=EXAMPLE)
            where = match["where"]
            now = next(k for k, names in enumerate(_WHERE) if where in names)
            lasts_s[now] = seconds(match["time"])
            if not 0.0 <= lasts_s[now] <= 86_400.0:
                raise refusal("no-waiting-time", word=word, example=EXAMPLE)
            bed = _BEDS.get(where, bed)
        if now <= stage:
            raise refusal("air-bin-out-of-order", text=text, example=EXAMPLE)
        stage = now
    air_s, fan_s, spray_s, bin_s = lasts_s
    return Smoke(air_s, bin_s / 60.0, then, False, fan_s, spray_s, bed)
