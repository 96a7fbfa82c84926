"""Ripening of each draw in the history of the ware."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from cofire.arrays import Array, Mask
from cofire.firing.history import dwell_s
from cofire.model.glaze_draws import GlazeDraws
from cofire.model.schedule import Moment
from cofire.ripeness.judge import Criteria, Stages, ripe_enough, runs, stages_of
from cofire.ripeness.stages import fluidity_for_pores, fluidity_for_ripple, fluidity_for_run

#: Below this the ware does no work on any glaze worth counting.
_COLD_C = 450.0
_GRID_STEP_C = 5.0
#: Colder than this below its peak a firing does less than a thousandth of its work on any glaze.
_WORKING_SPAN_C = 350.0


@dataclass(frozen=True, eq=False)
class Fluidity:
    """1/eta of each draw (N, G) on a grid of temperatures (G,), °C."""

    grid_c: Array
    per_pa_s: NDArray[np.float32]

    def some(self, n: int) -> Fluidity:
        """Those of the first ``n`` draws."""
        return Fluidity(self.grid_c, self.per_pa_s[:n])

    def through(self, moment: Moment) -> Array:
        """Integral of dt/eta, 1/Pa, of each draw (N,) up to a moment."""
        seconds = _dwell_s(moment, float(self.grid_c[0]), len(self.grid_c))
        return np.asarray(self.per_pa_s @ seconds, dtype=float)


@lru_cache(maxsize=64)
def _dwell_s(moment: Moment, from_c: float, count: int) -> NDArray[np.float32]:
    """Seconds near each temperature of a grid: the same for every glaze in a firing."""
    grid = np.asarray(from_c + _GRID_STEP_C * np.arange(count), dtype=float)
    return dwell_s(moment.time_s, moment.ware_c, grid).astype(np.float32)


def fluidity_up_to(top_c: float, draws: GlazeDraws, spare_c: float = 0.0) -> Fluidity:
    """Fluidities in the range that matters, with ``spare_c`` to either side for other peaks."""
    low = max(_COLD_C, top_c - _WORKING_SPAN_C - spare_c)
    grid = np.arange(low, max(top_c + spare_c, _COLD_C) + 15.0, _GRID_STEP_C)
    return Fluidity(grid, draws.fluidity(grid))


def hottest_c(when: Sequence[Moment]) -> float:
    """The highest temperature of the ware up to these moments, °C."""
    return max(float(m.ware_c.max()) for m in when)


def stages_at(
    when: Sequence[Moment], draws: GlazeDraws, by: Criteria, known: Fluidity | None = None
) -> list[Stages]:
    """How far each draw has got at each moment.

    Sealing, levelling and running need the history only as time spent at each temperature. A batch
    whose grains are locked does none of them, however soft its glass would be. ``known`` saves
    computing the fluidities again for another firing.
    """
    if known is None:
        known = fluidity_up_to(hottest_c(when), draws)
    out = []
    for moment in when:
        flow = known.through(moment)
        flow *= draws.liquid_share(float(moment.ware_c.max())) >= by.melt_share
        kept = None
        if draws.glazes.surface == "matte":
            kept = draws.crystal_minutes(moment.time_s, moment.ware_c)
        out.append(stages_of(flow, draws.coat_mm, draws.melt, by, kept))
    return out


def ripe_at_all(stages: Sequence[Stages], surface: str, by: Criteria) -> Mask:
    """Which draws are ripe and do not run at every one of some moments."""
    right = [ripe_enough(d, surface, by) & ~runs(d, by) for d in stages]
    return np.asarray(np.logical_and.reduce(right))


def needed_to_seal(draws: GlazeDraws, by: Criteria) -> Array:
    """Integral of dt/eta, 1/Pa, that seals each draw (N,)."""
    return fluidity_for_pores(by.pores_left, by.grain_radius_um, draws.surface_tension_n_m)


def needed_to_ripen(draws: GlazeDraws, by: Criteria) -> Array:
    """Integral of dt/eta, 1/Pa, that ripens each draw (N,), crystals of a matte apart."""
    gamma, surface = draws.surface_tension_n_m, draws.glazes.surface
    if surface == "dry matte":
        return fluidity_for_pores(by.dry_pores_left, by.grain_radius_um, gamma)
    if surface == "matte":
        return needed_to_seal(draws, by)
    ripple = by.satin_ripple_mm if surface == "satin" else by.ripple_mm
    level = fluidity_for_ripple(by.ripple_left, draws.coat_mm, ripple, gamma)
    return np.maximum(needed_to_seal(draws, by), level)


def needed_to_run(draws: GlazeDraws, by: Criteria) -> Array:
    """Integral of dt/eta, 1/Pa, at which each draw (N,) has run as far as it may."""
    return fluidity_for_run(by.run_limit_mm, draws.coat_mm, draws.melt)
