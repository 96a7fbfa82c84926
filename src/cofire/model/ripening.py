"""How far glazes get in a firing: what ware went through, applied to each draw."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from cofire.arrays import Array, Mask
from cofire.firing.history import dwell_s
from cofire.model.analysis import melt_share
from cofire.model.draws import GlazeDraws
from cofire.model.schedule import Moment
from cofire.records import Recipe
from cofire.ripeness.judge import Criteria, Stages, ripe_enough, runs, stages_of
from cofire.ripeness.stages import fluidity_for_pores, fluidity_for_ripple

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
    """Fluidities where a glaze does its work, with ``spare_c`` to either side for other peaks."""
    low = max(_COLD_C, top_c - _WORKING_SPAN_C - spare_c)
    grid = np.arange(low, max(top_c + spare_c, _COLD_C) + 15.0, _GRID_STEP_C)
    return Fluidity(grid, draws.fluidity(grid))


def all_ripe(recipe: Recipe, done: Sequence[Stages], by: Criteria) -> Mask:
    """Which draws are ripe and do not run at every one of some moments."""
    right = [ripe_enough(d, recipe.surface, by) & ~runs(d, by) for d in done]
    return np.asarray(np.logical_and.reduce(right))


def stages_at(
    when: Sequence[Moment],
    recipe: Recipe,
    draws: GlazeDraws,
    by: Criteria,
    known: Fluidity | None = None,
    liquid: Callable[[float], Array | float] | None = None,
) -> list[Stages]:
    """How far each draw has got at each moment.

    Sealing, levelling and running need the history only as time spent at each temperature. A batch
    whose grains are locked does none of them, however soft its glass would be. ``known`` spares
    working the fluidities out again for another firing; ``liquid`` gives, for each draw, the share
    of the batch that is glass or liquid at a temperature where that is not the recipe's.
    """
    if known is None:
        known = fluidity_up_to(max(float(m.ware_c.max()) for m in when), draws)
    flow = np.stack([known.through(moment) for moment in when], axis=1)
    for k, moment in enumerate(when):
        top_c = float(moment.ware_c.max())
        share = melt_share(recipe, top_c) if liquid is None else liquid(top_c)
        flow[:, k] *= np.asarray(share) >= by.melt_share
    out = []
    for k, moment in enumerate(when):
        kept = None
        if recipe.surface == "matte":
            kept = draws.crystal_minutes(moment.time_s, moment.ware_c)
        out.append(stages_of(flow[:, k], draws.coat_mm, draws.melt, by, kept))
    return out


def needed_for(surface: str, draws: GlazeDraws, by: Criteria) -> Array:
    """Integral of dt/eta, 1/Pa, that ripens each draw (N,), crystals of a matte apart."""
    gamma = draws.melt.surface_tension_n_m
    left = by.dry_pores_left if surface == "dry matte" else by.pores_left
    sealed = fluidity_for_pores(left, by.grain_radius_um, gamma)
    ripple = {"satin": by.satin_ripple_mm, "matte": None, "dry matte": None}.get(
        surface, by.ripple_mm
    )
    if ripple is None:
        return sealed
    return np.maximum(sealed, fluidity_for_ripple(by.ripple_left, draws.coat_mm, ripple, gamma))
