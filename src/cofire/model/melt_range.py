"""The peaks at which glazes seal, are ripe and run, as a firing is shifted up and down as a whole:
the one definition of a melt range."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from cofire.arrays import Array
from cofire.model.conditions import Conditions
from cofire.model.glaze_draws import MIDDLE, GlazeDraws, draw_glazes
from cofire.model.glaze_set import GlazeSet
from cofire.model.ripening import (
    NO_FLOW,
    needed_to_ripen,
    needed_to_run,
    needed_to_seal,
    path_of,
    seconds_near,
)
from cofire.ripeness.judge import Criteria
from cofire.ripeness.melting import Steps

#: Shifts of a firing that are tried, °C, and the step of temperatures worked with; our choice.
_SHIFTS_C = np.arange(-450.0, 501.0, 10.0)
_STEP_C = 5.0
#: Colder than this below its peak a firing does less than a thousandth of its work on any glaze.
_SPAN_C = 350.0
#: Steps of a history that is shifted; our choice.
_STEPS = 16
#: The plain firing is first laid here; any peak near that of low-fire glazes would do, °C.
_PLAIN_PEAK_C = 950.0
#: Shape of the plain firing: its last 300 °C at this rate, then a soak; our choice.
_PLAIN_C_PER_H, _PLAIN_SOAK_MIN = 150.0, 10.0


@dataclass(frozen=True, eq=False)
class Peaks:
    """Peaks (P n,), °C, at which each draw is just sealed, just ripe, and starts to run too far;
    NaN if none that is tried does. ``spare_decades`` (P n,) is the fluidity of the firing over the
    fluidity that ripening needs, without crystals of a matte."""

    seals_c: Array
    matures_c: Array
    runs_c: Array
    spare_decades: Array


@dataclass(frozen=True, eq=False)
class MeltRange:
    """Peaks (°C) at which a glaze seals, is ripe and runs; NaN if none that is tried does.

    ``half_width_c`` is the 90 % half-width that the viscosity model allows near maturity.
    """

    seals_c: float
    matures_c: float
    runs_c: float
    half_width_c: float
    schedule: str


def plain_firing(peak_c: float = _PLAIN_PEAK_C) -> tuple[Array, Array]:
    """Time (T,), s, and temperature (T,), °C, of a firing that climbs its last 300 °C at 150 °C/h
    and soaks 10 min."""
    climb_s = 300.0 / _PLAIN_C_PER_H * 3600.0
    hold_s = climb_s + np.linspace(0.0, 60.0 * _PLAIN_SOAK_MIN, 21)[1:]
    below = np.concatenate([np.linspace(-300.0, 0.0, 151), np.zeros(20)])
    return np.concatenate([np.linspace(0.0, climb_s, 151), hold_s]), peak_c + below


def history_of(at: Conditions) -> tuple[Array, Array]:
    """Time (T,), s, and temperature (T,), °C, of the ware up to the first pull of the firing, or of
    a plain firing if none is named."""
    return (at.when[0].time_s, at.when[0].ware_c) if at.when else plain_firing()


def peaks(draws: GlazeDraws, time_s: Array, ware_c: Array, by: Criteria) -> Peaks:
    """Shift a history (T,) as a whole until each draw is sealed, ripe, and runs."""
    top = float(ware_c.max())
    first = int(np.argmax(ware_c > top - _SPAN_C))
    path = path_of(time_s[first:], ware_c[first:], _STEPS)
    grid = np.arange(top - _SPAN_C + _SHIFTS_C[0], top + _SHIFTS_C[-1] + 3 * _STEP_C, _STEP_C)
    known = draws.fluidity(grid)
    shifted = [replace(path, sample_c=path.sample_c + shift) for shift in _SHIFTS_C]
    seconds = np.concatenate([seconds_near(one, grid) for one in shifted])
    flows = (known @ seconds.T).reshape(len(known), len(_SHIFTS_C), _STEPS)
    rows = np.arange(len(known))

    def decades(which: Array) -> Array:
        """log10 of the fluidity of each draw (N,), its firing shifted by one of ``_SHIFTS_C``."""
        shift, flow = _SHIFTS_C[which], flows[rows, which].T
        flowed = draws.flowed(Steps(path.t_c, path.hottest_c, flow), shift)[0][-1]
        return np.asarray(np.log10(np.maximum(flowed, NO_FLOW)))

    def first_peak(needed: Array) -> Array:
        """The least shift at which there is enough, straight between those tried; NaN if none."""
        aim = np.log10(np.broadcast_to(needed, len(known)))
        low, high = np.zeros(len(known), int), np.full(len(known), len(_SHIFTS_C) - 1)
        after, before = decades(high), decades(low)
        never, always = after < aim, before >= aim
        while (high - low).max() > 1:
            middle = (low + high) // 2
            there = decades(middle)
            enough = there >= aim
            high, after = np.where(enough, middle, high), np.where(enough, there, after)
            low, before = np.where(enough, low, middle), np.where(enough, before, there)
        part = (aim - before) / np.maximum(after - before, 1e-9)
        shift = _SHIFTS_C[low] + (_SHIFTS_C[high] - _SHIFTS_C[low]) * part
        return np.asarray(top + np.where(never, np.nan, np.where(always, _SHIFTS_C[0], shift)))

    ripens = needed_to_ripen(draws, by)
    return Peaks(
        first_peak(needed_to_seal(draws, by)),
        first_peak(ripens),
        first_peak(needed_to_run(draws, by)),
        decades(np.full(len(known), int(np.argmin(np.abs(_SHIFTS_C))))) - np.log10(ripens),
    )


def melt_range(glazes: GlazeSet, parts: Array, at: Conditions) -> MeltRange:
    """Of the middle of one glaze of ``parts`` (M,), under a firing's shape or a plain one's."""
    draws = draw_glazes(glazes, parts[None, :], at, MIDDLE)
    peaks_c = peaks(draws, *history_of(at), at.criteria)
    schedule = (
        f"peaks of a firing shaped like “{at.firing.name}”"
        if at.firing
        else "peaks of a firing that climbs its last 300 °C at 150 °C/h and soaks 10 min"
    )
    seals, matures, runs = (
        float(v[0]) for v in (peaks_c.seals_c, peaks_c.matures_c, peaks_c.runs_c)
    )
    near = np.array([matures if np.isfinite(matures) else 1000.0])
    slope = (draws.log10_eta(near - 5.0) - draws.log10_eta(near + 5.0))[0, 0] / 10.0
    half = float(draws.curve.width(near)[0].item() / max(slope, 1e-6))
    return MeltRange(seals, matures, runs, half, schedule)
