"""A day with the kiln: how many firings N pots take, and when bins are free again."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import ClassVar

from cofire.errors import refusal
from cofire.model.schedule import leavings, planned
from cofire.read.size import read_sides
from cofire.record import Record
from cofire.records import Firing

#: Room between pots and over them, mm, for glaze, heat and tongs; common practice, no source.
_GAP_MM = 15.0
_HEADROOM_MM = 25.0
#: Share of a round shelf that round pots can cover; circles packed in a circle; our choice.
_PACKING = 0.70
#: Minutes to empty and fill the kiln between firings, and to empty a bin; common practice,
#: no source.
_RELOAD_MIN = 20.0
_EMPTY_BIN_MIN = 3.0


@dataclass(frozen=True)
class Round:
    """One firing of the day; minutes after the start of the day."""

    number: int
    pots: int
    starts_min: float
    first_pull_min: float
    last_pull_min: float
    bins_free_min: float


@dataclass(frozen=True, eq=False, repr=False)
class DayPlan(Record):
    firing: Firing
    pots: int
    pots_per_load: int
    bins: int
    pull_every_min: float
    firings: tuple[Round, ...]
    hold_limits_pots: bool  # whether the hold, not the chamber, says how many pots a firing takes
    schema: ClassVar = "day"
    json_also: ClassVar = ("total_min",)

    @property
    def total_min(self) -> float:
        return self.firings[-1].bins_free_min


def pots_per_load(pot_mm: tuple[float, float], chamber_mm: tuple[float, float]) -> int:
    """How many round pots (diameter, height) a round chamber (diameter, height) takes, on shelves.

    Standing upright with a finger's room between them.
    """
    across = pot_mm[0] + _GAP_MM
    if across > chamber_mm[0] or pot_mm[1] + _HEADROOM_MM > chamber_mm[1]:
        return 0
    layers = int(chamber_mm[1] // (pot_mm[1] + _HEADROOM_MM))
    return max(1, math.floor(_PACKING * (chamber_mm[0] / across) ** 2)) * layers


def read_size(text: str, what: str) -> tuple[float, float]:
    """“12 x 15 cm” -> (diameter, height) in mm. Raises QuantityError."""
    size = read_sides(text, what, "Write diameter and height: “12 x 15 cm”.")
    if not all(10.0 <= side <= 3000.0 for side in size):
        raise refusal("no-such-size", what=what, text=text)
    return size


def plan_day(
    firing: Firing,
    pots: int,
    pot_mm: tuple[float, float],
    chamber_mm: tuple[float, float],
    bins: int,
    pots_per_bin: int = 1,
) -> DayPlan:
    """Loads and bins for a day. Raises CompositionError when a pot does not fit the kiln, or the
    firing pulls nothing hot."""
    per_load = pots_per_load(pot_mm, chamber_mm)
    if per_load == 0:
        raise refusal(
            "pot-larger-than-kiln",
            pot_across=pot_mm[0],
            pot_high=pot_mm[1],
            kiln_across=chamber_mm[0],
            kiln_high=chamber_mm[1],
        )
    past = planned(firing)
    openings = leavings(firing, past)
    if not openings:
        raise refusal("nothing-pulled", firing.place, firing=firing.name)
    ready = openings[0].at_min
    room = (past.time_s[-1] / 60.0) - ready
    # a bin is busy for its smoke and its emptying; pots leave as bins come free
    air_min, bin_min = firing.smoke.air_s / 60.0, firing.smoke.bin_min
    every = (bin_min + _EMPTY_BIN_MIN) / bins
    most = pots_per_bin * (math.floor(room / every + 1e-9) + 1)
    rounds: list[Round] = []
    left, start = pots, 0.0
    while left > 0:
        here = min(left, per_load, most)
        first = start + ready
        pulls = max(math.ceil(here / pots_per_bin), 1)
        last = first + every * (pulls - 1)
        free = last + air_min + bin_min
        rounds.append(Round(len(rounds) + 1, here, start, first, last, free))
        left -= here
        # the next first pot finds the bin that was filled longest ago
        bin_free = free + _EMPTY_BIN_MIN - every * (min(bins, pulls) - 1)
        bin_free = bin_free if pulls >= bins else 0.0
        start = max(last + _RELOAD_MIN, bin_free - air_min - ready)
    return DayPlan(firing, pots, min(per_load, most), bins, every, tuple(rounds), most < per_load)
