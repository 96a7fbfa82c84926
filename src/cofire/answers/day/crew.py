"""Hands and bins: when each pot of a firing can leave, and into which bin."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace

import numpy as np

from cofire.answers.day.asked import Day
from cofire.model.schedule import leavings, planned
from cofire.records import Firing

#: Minutes to fill the kiln, to empty a bin, and for one pair of hands from the lid to the closed
#: bin; common practice, no source.
FILL_MIN = 20.0
EMPTY_BIN_MIN = 3.0
_PULL_MIN = 2.0
#: Minutes to take a red-hot shelf out and set it down; common practice, no source.
_SHELF_MIN = 3.0
#: A load that is pulled all at once leaves within this, minutes; common practice, no source.
_AT_ONCE_MIN = 20.0


@dataclass(frozen=True)
class Pull:
    """What leaves the kiln together; minutes after the start. ``free_min``: its bin is empty;
    ``shelf_min``: a shelf comes out before it."""

    number: int
    pots: int
    bin: int
    at_min: float
    in_bin_min: float
    free_min: float
    shelf_min: float | None = None


@dataclass(frozen=True)
class Openings:
    """When pots may leave, minutes after the start of a firing from cold, and up to when."""

    at_min: tuple[float, ...]
    until_min: float
    at_once: bool  # the whole load in one go
    hot_c: float  # of the kiln at the last opening
    saved_min: float = 0.0  # by a kiln that is still warm


def openings_of(firing: Firing, from_c: float | None = None) -> Openings:
    """The openings of a firing, from cold or from a kiln that is still at ``from_c``."""
    past = planned(firing)
    found = leavings(firing, past)
    if not found:
        return Openings((), 0.0, False, 0.0)
    saved = 0.0
    if from_c is not None:
        first = min(from_c, firing.segments[0].target_c)
        saved = float(past.time_s[int(np.argmax(past.air_c >= first))]) / 60.0
    at = tuple(opening.at_min - saved for opening in found)
    end = past.time_s[-1] / 60.0 - saved
    hot = float(np.interp(60.0 * found[-1].at_min, past.time_s, past.air_c))
    once = len(found) == 1
    until = max(end, at[0] + _AT_ONCE_MIN) if once else end
    return Openings(at, until, once, hot, saved)


@dataclass
class Crew:
    """Hands and bins over the day: when each is free, and what is in a bin."""

    hands: list[float]
    clean: list[float]  # when each bin is empty; infinite while it holds a pot
    due: dict[int, tuple[float, int]] = field(default_factory=dict)  # bin -> smoke over, pull
    freed: dict[int, float] = field(default_factory=dict)  # pull -> its bin is empty
    pulled: int = 0
    last: float = -math.inf  # pull; one lid is up at a time

    @classmethod
    def of(cls, asked: Day, start: float = 0.0, pulled: int = 0) -> Crew:
        """All hands free and all bins empty at a start, with so many pulls behind them."""
        return cls([start] * asked.hands, [start] * asked.bins, pulled=pulled)

    def copy(self) -> Crew:
        hands, clean = [*self.hands], [*self.clean]
        return Crew(hands, clean, dict(self.due), dict(self.freed), self.pulled, self.last)

    def pull(self, pots: int, asked: Day, openings: Openings, start: float) -> list[Pull]:
        """Pots leave one bin's worth at a time, from the top layer down, as openings, hands, bins
        and breaks allow."""
        smoke, layer, gone = asked.firing.smoke, asked.per_layer, 0
        pulls: list[Pull] = []
        air_min = smoke.before_bin_s / 60.0
        while pots > 0:
            k = len(pulls)
            if openings.at_once:
                planned_min = openings.at_min[0]
            elif k < len(openings.at_min):
                planned_min = openings.at_min[k]
            else:
                break
            bin_at = min(range(len(self.clean)), key=self.clean.__getitem__)
            shelf_min = _SHELF_MIN if gone and gone % layer == 0 else 0.0
            begin = max(start + planned_min - shelf_min, self.last + _PULL_MIN, min(self.hands))
            begin = max(begin, self.clean[bin_at] - air_min - shelf_min)
            at = asked.after_breaks(begin, shelf_min + max(_PULL_MIN, air_min)) + shelf_min
            if self.due and max(min(self.due.values())[0], min(self.hands)) <= at - shelf_min:
                self.empty_one(asked)
                continue
            if at > start + openings.until_min + 1e-9:
                break
            here = min(pots, asked.per_bin, layer - gone % layer)
            self.hands[self.hands.index(min(self.hands))] = at + max(_PULL_MIN, air_min)
            self.clean[bin_at] = math.inf
            self.due[bin_at] = (at + air_min + smoke.bin_min, self.pulled)
            shelf_at = at - shelf_min if shelf_min else None
            pulls.append(Pull(self.pulled, here, bin_at + 1, at, at + air_min, math.nan, shelf_at))
            self.pulled += 1
            pots, self.last, gone = pots - here, at, gone + here
        return pulls

    def fill(self, asked: Day, ready: float) -> float:
        """When a kiln is full that may be filled from ``ready`` on, by who is free first."""
        hand = self.hands.index(min(self.hands))
        begin = asked.after_breaks(max(ready, self.hands[hand]), FILL_MIN)
        self.hands[hand] = begin + FILL_MIN
        return begin + FILL_MIN

    def empty_one(self, asked: Day) -> None:
        """The bin whose smoke is over first is emptied by whoever is free first."""
        bin_at = min(self.due, key=lambda b: self.due[b])
        over, pull = self.due.pop(bin_at)
        hand = self.hands.index(min(self.hands))
        begin = asked.after_breaks(max(over, self.hands[hand]), EMPTY_BIN_MIN)
        done = begin + EMPTY_BIN_MIN
        self.hands[hand] = self.clean[bin_at] = self.freed[pull] = done

    def all_free(self, asked: Day) -> dict[int, float]:
        """When each pull's bin is empty, if nothing more is pulled."""
        rest = self.copy()
        while rest.due:
            rest.empty_one(asked)
        return rest.freed


def first_pulls(asked: Day, pots: int) -> list[Pull]:
    """When ``pots`` leave the first firing of a day and into which bins; fewer where hold and bins
    do not let out all of them."""
    openings = openings_of(replace(asked.firing, load_kg=asked.load_kg(pots)))
    return Crew.of(asked).pull(pots, asked, openings, 0.0)
