"""At which peak each draw of a glaze is ripe, as a firing is shifted up and down as a whole."""

from __future__ import annotations

import numpy as np

from cofire.arrays import Array
from cofire.firing.history import dwell_s
from cofire.model.draws import GlazeDraws
from cofire.model.ripening import Fluidity, needed_for
from cofire.ripeness.judge import Criteria
from cofire.ripeness.melt_range import standard_shape

#: Shifts of a firing that are tried, °C, and the step of temperatures worked with.
_SHIFTS_C = np.arange(-300.0, 501.0, 10.0)
_STEP_C = 5.0
#: The plain firing is first laid here; any peak near that of low-fire glazes would do, °C.
_PLAIN_PEAK_C = 950.0


def plain_firing(peak_c: float = _PLAIN_PEAK_C) -> tuple[Array, Array]:
    """Time (T,), s, and temperature (T,), °C, of the firing that ``formula`` speaks of."""
    time_s, below = standard_shape()
    return time_s, peak_c + below


def ripening(
    draws: GlazeDraws, surface: str, time_s: Array, ware_c: Array, by: Criteria
) -> tuple[Array, Array]:
    """The peak (N,), °C, at which each draw is just ripe, NaN where none tried is enough, and how
    many decades of fluidity (N,) it has over what it needs without a shift; crystals of a matte
    apart."""
    top = float(ware_c.max())
    hot = ware_c > top - 350.0  # colder than that a firing does next to nothing
    first = int(np.argmax(hot))
    time_s, ware_c = time_s[first:], ware_c[first:]
    grid = np.arange(top - 350.0 + _SHIFTS_C[0], top + _SHIFTS_C[-1] + 3 * _STEP_C, _STEP_C)
    known = Fluidity(grid, draws.fluidity(grid))
    seconds = np.stack([dwell_s(time_s, ware_c + shift, grid) for shift in _SHIFTS_C], axis=1)
    flow = np.asarray(known.per_pa_s @ seconds.astype(np.float32), dtype=float)
    needed = np.broadcast_to(needed_for(surface, draws, by), len(flow))
    spare = np.log10(np.maximum(flow, 1e-30)) - np.log10(needed)[:, None]
    enough = spare >= 0.0
    k = np.clip(enough.argmax(axis=1), 1, None)
    rows = np.arange(len(flow))
    before, after = spare[rows, k - 1], spare[rows, k]
    shift = _SHIFTS_C[k] - (_SHIFTS_C[k] - _SHIFTS_C[k - 1]) * after / (after - before)
    ripens_c = np.where(enough.any(axis=1), top + shift, np.nan)
    return ripens_c, spare[:, int(np.argmin(np.abs(_SHIFTS_C)))]
