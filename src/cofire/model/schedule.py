"""A firing file as temperature over time, for the kiln's air and for the ware."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from cofire.arrays import Array
from cofire.errors import refusal
from cofire.firing.history import (
    History,
    OutOfReachError,
    Step,
    after_cooling,
    history,
    until,
    ware,
    with_lid,
)
from cofire.firing.kiln import KilnSpeed, Lid
from cofire.most import MOST, at_most
from cofire.read.units import show_temperature
from cofire.records import Firing


@dataclass(frozen=True, eq=False)
class Moment:
    """A load of ware at the moment it leaves the fire: its history so far, (T,) each."""

    name: str
    at_min: float
    time_s: Array
    ware_c: Array


@dataclass(frozen=True)
class Leaving:
    """One opening of the kiln: which pull, when, and how long the lid is up."""

    name: str
    at_min: float
    open_s: float


def speed(firing: Firing) -> KilnSpeed:
    """What the firing's kiln can do with its load."""
    kiln = firing.kiln
    return KilnSpeed(
        kiln.heating_c_per_h,
        kiln.heating_at_top_c_per_h,
        kiln.top_c,
        kiln.cooling_half_time_h,
        kiln.power_kw,
        firing.load_kg,
        kiln.wear,
    )


@lru_cache(maxsize=4)
def planned(firing: Firing) -> History:
    """What the pyrometer shows as long as the lid stays shut. Raises CompositionError when the
    kiln cannot do it, QuantityError when it lasts for weeks."""
    steps = [Step(s.rate_c_per_h, s.target_c, s.hold_min) for s in firing.segments]
    try:
        most_s = 3600.0 * MOST["hours of a firing"]
        past = history(steps, speed(firing), ambient_c=firing.ambient_c, most_s=most_s)
        at_most("hours of a firing", past.hold_end_s[-1] / 3600.0, firing.place)
        return past
    except OutOfReachError as limit:
        if (supply := firing.supply) is not None:
            raise refusal(
                "supply-too-weak",
                firing.place,
                firing=firing.name,
                step=limit.step,
                volts=supply.volts_at_kiln,
                power_kw=supply.power_kw,
                rated_kw=supply.rated_kw,
                target_c=show_temperature(limit.target_c),
                limit_c=show_temperature(limit.limit_c),
            ) from None
        raise refusal(
            "never-gets-there",
            firing.place,
            firing=firing.name,
            step=limit.step,
            target_c=show_temperature(limit.target_c),
            limit_c=show_temperature(limit.limit_c),
        ) from None


def leavings(firing: Firing, past: History) -> list[Leaving]:
    """Every opening in the order of time."""
    result = []
    for pull in firing.pulls:
        start_min = past.ramp_end_s[pull.segment - 1] / 60.0 + pull.after_min
        for k in range(pull.count):
            name = pull.name if pull.count == 1 else f"{pull.name} {k + 1}"
            result.append(Leaving(name, start_min + k * pull.every_min, pull.open_s))
    return sorted(result, key=lambda leaving: leaving.at_min)


#: Ware that cools in the closed kiln is followed down to here, °C: colder nothing in it moves.
_STILL_C = 500.0
#: Between two firings, s: ware is cold and nothing happens; our choice.
_BETWEEN_S = 1.0
#: Share of the pyrometer's drop that ware left in the kiln feels: it sees hot walls all around and
#: the sky only through the lid; from memory of view factors in a small top loader.
_WARE_SHARE = 0.35


@lru_cache(maxsize=8)
def kiln_history(firing: Firing, share: float = 1.0) -> History:
    """What the pyrometer shows, with the lid going up at every pull; or with a ``share`` of its
    drops."""
    past = planned(firing)
    if not firing.pulls:
        return after_cooling(past, speed(firing), firing.ambient_c, _STILL_C)
    kiln = firing.kiln
    openings = np.array(
        [(60.0 * o.at_min, o.open_s) for o in leavings(firing, past) if o.open_s > 0.0]
    ).reshape(-1, 2)
    lid = Lid(kiln.lid_drop_c, kiln.lid_drop_s, kiln.lid_recovery_s)
    return with_lid(past, openings, lid, firing.ambient_c, share)


@lru_cache(maxsize=8)
def ware_c(firing: Firing, wall_mm: float) -> Array:
    """Temperature of the ware at the moments of ``kiln_history`` (T,): it lags behind what is round
    it, and differs from the pyrometer."""
    return ware(kiln_history(firing, _WARE_SHARE), wall_mm) + firing.kiln.reads_off_c


def fired_before(earlier: Sequence[Firing], wall_mm: float) -> tuple[Array, Array]:
    """Time (T,), s, and temperature (T,), °C, of ware through whole firings, one after the other.
    Cold days between them do nothing and last no time."""
    time_s, ware_c_ = [np.zeros(0)], [np.zeros(0)]
    start_s = 0.0
    for firing in earlier:
        moment = moments(firing, wall_mm)[-1]
        ended = moment.time_s, moment.ware_c
        if not firing.pulls:
            past = kiln_history(firing, _WARE_SHARE)
            ended = past.time_s, ware_c(firing, wall_mm)
        time_s.append(start_s + ended[0])
        ware_c_.append(ended[1])
        start_s += float(ended[0][-1]) + _BETWEEN_S
    return np.concatenate(time_s), np.concatenate(ware_c_)


def _after(before: tuple[Array, Array], moment: Moment) -> Moment:
    """A moment of ware with a past."""
    if not len(before[0]):
        return moment
    shifted = before[0][-1] + _BETWEEN_S + moment.time_s
    joined = np.concatenate([before[0], shifted]), np.concatenate([before[1], moment.ware_c])
    return Moment(moment.name, moment.at_min, *joined)


def moments(firing: Firing, wall_mm: float, earlier: Sequence[Firing] = ()) -> list[Moment]:
    """The first and the last load, or the end of the firing when nothing is pulled hot; the ware
    went through ``earlier`` firings, in their order."""
    before = fired_before(earlier, wall_mm)
    return [_after(before, moment) for moment in _moments(firing, wall_mm)]


def _moments(firing: Firing, wall_mm: float) -> list[Moment]:
    past, temperatures = kiln_history(firing, _WARE_SHARE), ware_c(firing, wall_mm)
    openings = leavings(firing, past)
    if not openings:
        return [Moment("end of firing", past.hold_end_s[-1] / 60.0, past.time_s, temperatures)]
    # a pot that is pulled has not felt its own opening of the lid
    ends = [openings[0], openings[-1]] if len(openings) > 1 else openings
    names = [e.name for e in ends]
    if len(ends) == 2 and len(firing.pulls) == 1:
        names = [f"first {firing.pulls[0].name}", f"last {firing.pulls[0].name}"]
    return [
        Moment(name, e.at_min, *until(past.time_s, temperatures, 60.0 * e.at_min))
        for name, e in zip(names, ends, strict=True)
    ]


def cooled_to(firing: Firing, wall_mm: float, to_c: float) -> tuple[Array, Array]:
    """Time (T,), s, and temperature (T,), °C, of ware in a kiln that stays closed, down to
    ``to_c``."""
    still_c = max(min(_STILL_C, to_c - 20.0), firing.ambient_c + 5.0)
    past = after_cooling(planned(firing), speed(firing), firing.ambient_c, still_c)
    return past.time_s, ware(past, wall_mm) + firing.kiln.reads_off_c


def too_fast(firing: Firing) -> tuple[int, ...]:
    """Segments (from 1) that ask for more than this kiln can do."""
    return planned(firing).too_fast
