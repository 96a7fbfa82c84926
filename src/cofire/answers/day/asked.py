"""What is asked of a day with the kiln, and how many pots a kiln takes."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from cofire.errors import refusal
from cofire.read.size import read_sides
from cofire.read.units import clock_minutes
from cofire.records import Firing

#: Room between pots and over them, mm, for glaze, heat and tongs; common practice, no source.
_GAP_MM = 15.0
_HEADROOM_MM = 25.0
#: Share of a round shelf that round pots can cover; circles packed in a circle; our choice.
_PACKING = 0.70
#: Wall of a thrown pot, mm, as in other answers; biscuit, kg/m³, from memory of earthenware.
_WALL_MM, _POT_KG_M3 = 6.0, 1900.0
#: A kiln shelf, mm, and cordierite, kg/m³; from memory.
_SHELF_MM, _SHELF_KG_M3 = 15.0, 2000.0
#: Cold glazed pots go into a kiln no hotter than this, °C, unless told otherwise; common practice,
#: no source.
RELOAD_C = 200.0
#: Nobody keeps a day longer than this, minutes; our choice.
_LONGEST_MIN = 12 * 60.0
#: Nor rests longer than this in it; our choice.
_LONGEST_BREAK_MIN = 4 * 60.0
#: Minutes of a day and a night.
DAY_MIN = 24 * 60.0


@dataclass(frozen=True)
class Day:
    """What is asked: pots and kiln in mm, minutes of the clock (None: not said)."""

    firing: Firing
    pots: int
    pot_mm: tuple[float, float]
    chamber_mm: tuple[float, float] | None  # None: the kiln takes what is pulled
    bins: int
    per_bin: int = 1
    layers: int = 1
    kilns: int = 1
    hands: int = 2
    days: int = 1
    pot_kg: float | None = None
    reload_c: float = RELOAD_C
    start: float | None = None
    end: float | None = None
    #: When nobody pulls, empties bins or fills the kiln, minutes of the clock.
    breaks: tuple[tuple[float, float], ...] = ()

    def after_breaks(self, minute: float, takes: float) -> float:
        """The first moment from ``minute`` on, after the start, in which work that ``takes`` so
        long is not in a break."""
        midnight = minute // DAY_MIN * DAY_MIN
        for begin, end in sorted(self.breaks):
            begin, end = (midnight + at - (self.start or 0.0) for at in (begin, end))
            if begin - takes < minute < end:
                minute = end
        return minute

    @property
    def each_kg(self) -> float:
        """A pot's weight, as said or a thin cylinder with a floor."""
        if self.pot_kg is not None:
            return self.pot_kg
        return pot_kg(self.pot_mm)

    @property
    def per_layer(self) -> int:
        """Pots in a layer. Raises CompositionError where none fits."""
        if self.chamber_mm is None:
            return self.pots
        if layer := pots_per_layer(self.pot_mm, self.chamber_mm):
            return layer
        pot, kiln = self.pot_mm, self.chamber_mm
        raise refusal("pot-larger-than-kiln", pot_across=pot[0], pot_high=pot[1],
                      kiln_across=kiln[0], kiln_high=kiln[1])  # fmt: skip

    @property
    def longest_min(self) -> float:
        """How long a day may last."""
        both = self.start is not None and self.end is not None
        return self.end - self.start if both else _LONGEST_MIN  # type: ignore[operator]

    def load_kg(self, pots: int) -> float:
        """Pots and the shelves between their layers, in whole 100 g, as one can type it."""
        shelves_kg = 0.0
        if self.chamber_mm is not None:
            shelves = math.ceil(pots / pots_per_layer(self.pot_mm, self.chamber_mm)) - 1
            area = math.pi * (1e-3 * self.chamber_mm[0]) ** 2 / 4.0
            shelves_kg = shelves * _SHELF_KG_M3 * 1e-3 * _SHELF_MM * area
        return round(pots * self.each_kg + shelves_kg, 1)


def pot_kg(pot_mm: tuple[float, float]) -> float:
    """Weight of a biscuit pot of a diameter and height: a thin cylinder with a floor."""
    across, high = (1e-3 * side for side in pot_mm)
    area = math.pi * across * high + math.pi * across**2 / 4.0
    return _POT_KG_M3 * 1e-3 * _WALL_MM * area


def pots_per_layer(pot_mm: tuple[float, float], chamber_mm: tuple[float, float]) -> int:
    """How many round pots (diameter, height) stand on the floor of a round chamber; 0 if none.

    Upright, with a finger's room between them.
    """
    across = pot_mm[0] + _GAP_MM
    if across > chamber_mm[0] or pot_mm[1] + _HEADROOM_MM > chamber_mm[1]:
        return 0
    return max(1, math.floor(_PACKING * (chamber_mm[0] / across) ** 2))


def layers_possible(pot_mm: tuple[float, float], chamber_mm: tuple[float, float]) -> int:
    """Layers of pots that a chamber is high enough for."""
    return int(chamber_mm[1] // (pot_mm[1] + _HEADROOM_MM))


def read_size(text: str, what: str) -> tuple[float, float]:
    """“12 x 15 cm” -> (diameter, height) in mm. Raises QuantityError."""
    size = read_sides(text, what, "Write diameter and height: “12 x 15 cm”.")
    if not all(10.0 <= side <= 3000.0 for side in size):  # of any pot or kiln; our choice
        raise refusal("no-such-size", what=what, text=text)
    return size


def read_breaks(texts: Sequence[str], start: str | None) -> tuple[tuple[float, float], ...]:
    """“12:00-12:45” -> minutes of the clock. Raises QuantityError."""
    if texts and start is None:
        raise refusal("break-without-start")
    breaks = []
    for text in texts:
        begin, _, end = text.replace("–", "-").partition("-")
        if not end:
            raise refusal("no-such-break", text=text)
        from_min, to_min = clock_minutes(begin), clock_minutes(end)
        if not 0.0 < to_min - from_min <= _LONGEST_BREAK_MIN:
            raise refusal("no-such-break", text=text)
        breaks.append((from_min, to_min))
    return tuple(breaks)
