"""The lowest peak at which a glaze seals and is ripe, and the highest before it runs."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from cofire.arrays import Array, Mask
from cofire.ripeness.judge import Criteria, ripe_enough, runs, stages
from cofire.ripeness.stages import Melt

#: Peaks tried, °C.
PEAKS_C = np.arange(500.0, 1401.0, 5.0)


def standard_shape(rate_c_per_h: float = 150.0, soak_min: float = 10.0) -> tuple[Array, Array]:
    """A plain firing relative to its peak: the last 300 °C at a steady rate, then a soak.

    Returns time in s and temperature below the peak in °C, both (T,). Below 300 °C under its peak
    a glaze does less than a thousandth of its work.
    """
    climb_s = 300.0 / rate_c_per_h * 3600.0
    climb = np.linspace(0.0, climb_s, 151)
    hold = climb_s + np.linspace(0.0, soak_min * 60.0, 21)[1:]
    below = np.concatenate([np.linspace(-300.0, 0.0, 151), np.zeros(20)])
    return np.concatenate([climb, hold]), below


def melt_range(
    log10_eta_at: Callable[[Array], Array],
    time_s: Array,
    below_peak_c: Array,
    surface: str,
    coat_mm: float,
    melt: Melt,
    by: Criteria,
) -> tuple[float, float, float]:
    """Peaks (°C) at which one glaze seals, is ripe, and runs; NaN where none up to 1400 °C does.

    ``log10_eta_at`` gives log10 Pa·s at temperatures (M,) -> (M,). The history is shifted as a
    whole, so its shape, soak and hold stay what they are.
    """
    grid = np.arange(PEAKS_C[0] + below_peak_c.min(), PEAKS_C[-1] + 5.0, 5.0)
    table = log10_eta_at(grid)
    along = np.interp(PEAKS_C[:, None] + below_peak_c, grid, table)
    done = stages(time_s, along, coat_mm, melt, by)
    return (
        _first(done.pores_left <= by.pores_left),
        _first(ripe_enough(done, surface, by)),
        _first(runs(done, by)),
    )


def _first(true: Mask) -> float:
    return float(PEAKS_C[int(np.argmax(true))]) if true.any() else float("nan")
