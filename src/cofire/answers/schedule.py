"""A firing file as temperature over time, for the kiln's air and for the ware."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cofire.arrays import Array
from cofire.errors import CompositionError
from cofire.firing.history import (
    History,
    KilnSpeed,
    OutOfReachError,
    Step,
    air_cooling_c_per_s,
    history,
    until,
    ware,
)
from cofire.records import Firing
from cofire.units import show_temperature


@dataclass(frozen=True, eq=False)
class Moment:
    """A load of ware at the moment it leaves the fire: its history so far, (T,) each."""

    name: str
    at_min: float
    time_s: Array
    ware_c: Array


def kiln_history(firing: Firing) -> History:
    """Air temperature of the whole firing. Raises CompositionError when the kiln cannot do it."""
    kiln = KilnSpeed(
        firing.kiln.heating_c_per_h,
        firing.kiln.heating_at_top_c_per_h,
        firing.kiln.top_c,
        firing.kiln.cooling_half_time_h,
    )
    steps = [Step(s.rate_c_per_h, s.target_c, s.hold_min) for s in firing.segments]
    try:
        return history(steps, kiln, ambient_c=firing.ambient_c)
    except OutOfReachError as limit:
        raise CompositionError(
            f"“{firing.name}”, segment {limit.step}: this kiln never gets to "
            f"{show_temperature(limit.target_c)}; it stands still near "
            f"{show_temperature(limit.limit_c)}.",
            hint="Change the target, or the [kiln] of the firing.",
            place=firing.place,
        ) from None


def moments(firing: Firing, wall_mm: float) -> list[Moment]:
    """The first and the last load, or the end of the firing when nothing is pulled hot."""
    past = kiln_history(firing)
    temperatures = ware(past, wall_mm)
    if not firing.pulls:
        return [Moment("end of firing", past.time_s[-1] / 60.0, past.time_s, temperatures)]
    found = []
    for pull in firing.pulls:
        ramp_end = past.ramp_end_s[pull.segment - 1]
        at = ramp_end + 60.0 * pull.after_min
        time_s, ware_c = until(past.time_s, temperatures, at)
        found.append(Moment(pull.name, at / 60.0, time_s, ware_c))
    found.sort(key=lambda m: m.at_min)
    return [found[0], found[-1]] if len(found) > 1 else found


def too_fast(firing: Firing) -> tuple[int, ...]:
    """Segments (from 1) that ask for more than this kiln can do."""
    return kiln_history(firing).too_fast


@dataclass(frozen=True, eq=False)
class Cooling:
    """How fast ware cools while the glaze sets, K/s over the range (T,), and in words."""

    c_per_s: Array
    t_c: Array
    words: str


#: Cooling of a closed small kiln through 600-500 °C when nothing is said; common practice,
#: no source.
ASSUMED_KILN_C_PER_H = 100.0


def cooling(firing: Firing | None, wall_mm: float) -> Cooling:
    """Pulled ware cools in air, other ware with the kiln; assumed and said when unknown."""
    t_c = np.arange(300.0, 901.0, 5.0)
    if firing is not None and firing.pulls:
        rate = air_cooling_c_per_s(wall_mm, t_c)
        return Cooling(
            rate, t_c, f"pulled red-hot, cools in air (about {rate[50]:.1f} °C a second at 550 °C)"
        )
    if firing is not None:
        kiln_rate = (
            np.log(2.0) / (firing.kiln.cooling_half_time_h * 3600.0) * (t_c - firing.ambient_c)
        )
        return Cooling(
            kiln_rate, t_c, f"cools in the kiln (about {3600 * kiln_rate[50]:.0f} °C/h at 550 °C)"
        )
    rate = np.full_like(t_c, ASSUMED_KILN_C_PER_H / 3600.0)
    return Cooling(
        rate,
        t_c,
        f"cooling assumed: in the kiln at {ASSUMED_KILN_C_PER_H:.0f} °C/h; name a "
        "--firing for your own",
    )
