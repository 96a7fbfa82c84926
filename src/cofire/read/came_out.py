"""What was seen on a fired tile: “crazed 4 mm”, “whole after 2 weeks”, “shivered”."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import cast, get_args

from cofire.errors import refusal
from cofire.read.number import short
from cofire.read.units import millimetres
from cofire.records import Seen

#: A tile is looked at after some days unless it is said when.
LOOKED_AT_YEARS = 3.0 / 365.25
_AGE = re.compile(r"(?P<count>\d+(?:\.\d+)?|a|an)\s+(?P<unit>day|week|month|year)s?")
_DAYS = {"day": 1.0, "week": 7.0, "month": 30.4, "year": 365.25}


@dataclass(frozen=True)
class CameOut:
    """What was seen, how far apart the cracks stood, and how old the tile was."""

    seen: Seen
    spacing_mm: float | None = None
    years: float = LOOKED_AT_YEARS


def read_came_out(text: str) -> CameOut:
    """One of crazed and black (perhaps with the distance of cracks), whole and shivered, perhaps
    “after 2 weeks”. Raises QuantityError."""
    what, _, age = short(text).strip().lower().partition(" after ")
    seen, _, apart = what.partition(" ")
    when = _AGE.fullmatch(age)
    if seen not in get_args(Seen) or (apart and seen in ("whole", "shivered")):
        raise refusal("no-such-result", text=text)
    if age and not when:
        raise refusal("no-such-result", text=text)
    spacing = millimetres(apart) if apart else None
    if spacing is not None and not 0.2 <= spacing <= 200.0:
        raise refusal("no-such-net", spacing=spacing)
    years = LOOKED_AT_YEARS
    if when:
        count = 1.0 if when["count"].startswith("a") else float(when["count"])
        years = count * _DAYS[when["unit"]] / 365.25
        if not 0.0 < years <= 58.0:
            raise refusal("no-age-of-a-tile", years=years)
    return CameOut(cast(Seen, seen), spacing, years)
