"""Ripening of each draw in the history of the ware."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from cofire.arrays import Array, Mask
from cofire.model.glaze_draws import GlazeDraws
from cofire.model.schedule import Moment
from cofire.ripeness.judge import Criteria, Stages, ripe_enough, runs, stages_of
from cofire.ripeness.melting import Steps
from cofire.ripeness.stages import fluidity_for_pores, fluidity_for_ripple, fluidity_for_run

#: Below this the ware does no work on any glaze worth counting.
_COLD_C = 450.0
_GRID_STEP_C = 5.0
#: Colder than this below its peak a firing does less than a thousandth of its work on any glaze.
_WORKING_SPAN_C = 350.0
#: A fluidity, 1/Pa, that is none; our choice.
NO_FLOW = 1e-30
#: A history is followed in so many steps of about the same work each, each of so many samples; work
#: grows e-fold in so many degrees. Our choice.
_STEPS, _SAMPLES, _E_FOLD_C = 24, 8, 40.0


@dataclass(frozen=True, eq=False)
class Path:
    """A history in K steps of S samples: seconds (K S,) near temperatures (K S,), °C; middle
    temperature of each step and the highest so far (K,)."""

    seconds: Array
    sample_c: Array
    t_c: Array
    hottest_c: Array


def path_of(time_s: Array, ware_c: Array, steps: int = _STEPS) -> Path:
    """Temperatures (T,) over time (T,) as steps of about equal work."""
    fine_s = np.linspace(time_s[0], time_s[-1], 2001)
    fine_c = np.interp(fine_s, time_s, ware_c)
    work = np.cumsum(np.exp((fine_c - fine_c.max()) / _E_FOLD_C))
    cuts = np.linspace(work[0], work[-1], steps * _SAMPLES + 1)
    return _between(np.interp(cuts, work, fine_s), time_s, ware_c)


def _between(edges: Array, time_s: Array, ware_c: Array) -> Path:
    """Samples between moments (K S + 1,), s."""
    steps = len(edges) // _SAMPLES
    middle = 0.5 * (edges[1:] + edges[:-1])
    sample_c = np.interp(middle, time_s, ware_c)
    hottest = np.maximum.accumulate(sample_c).reshape(steps, _SAMPLES).mean(axis=1)
    seconds = np.diff(edges)
    t_c = sample_c.reshape(steps, _SAMPLES).mean(axis=1)
    return Path(seconds, sample_c, t_c, hottest)


@dataclass(frozen=True, eq=False)
class Fluidity:
    """1/eta of the melt without grains of each draw (N, G) on a grid of temperatures (G,), °C."""

    draws: GlazeDraws
    grid_c: Array
    per_pa_s: NDArray[np.float32]
    _known: dict[Moment, tuple[Array, Array]] = field(default_factory=dict)

    def some(self, n: int) -> Fluidity:
        """Those of the first ``n`` draws."""
        return Fluidity(self.draws.some(n), self.grid_c, self.per_pa_s[:n])

    def followed(self, moment: Moment, at_s: Array) -> Array:
        """As ``through`` at each of rising, even times ``at_s`` (M,) on the way, (M, N)."""
        edges = np.interp(
            np.arange(_SAMPLES * (len(at_s) - 1) + 1), _SAMPLES * np.arange(len(at_s)), at_s
        )
        flowed, _ = self._along(_between(edges, moment.time_s, moment.ware_c))
        return np.concatenate([np.zeros((1, flowed.shape[1])), flowed])

    def _along(self, path: Path) -> tuple[Array, Array]:
        flow = np.asarray(seconds_near(path, self.grid_c) @ self.per_pa_s.T, dtype=np.float32)
        return self.draws.flowed(Steps(path.t_c, path.hottest_c, flow))

    def through(self, moment: Moment) -> Array:
        """Integral of dt/eta, 1/Pa, of each draw (N,) up to a moment, grains in it."""
        return self._melted(moment)[0]

    def left(self, moment: Moment) -> Array:
        """Share of the coat of each draw that is solid at a moment, by size of grain (S, N)."""
        return self._melted(moment)[1]

    def _melted(self, moment: Moment) -> tuple[Array, Array]:
        if moment not in self._known:
            flowed, left = self._along(_path(moment))
            self._known[moment] = flowed[-1], left
        return self._known[moment]


@lru_cache(maxsize=64)
def _path(moment: Moment) -> Path:
    """The same for every glaze in a firing."""
    return path_of(moment.time_s, moment.ware_c)


def seconds_near(path: Path, grid_c: Array) -> NDArray[np.float32]:
    """Seconds of each step near each of even temperatures (G,), shape (K, G)."""
    count = len(grid_c)
    place = np.clip((path.sample_c - grid_c[0]) / (grid_c[1] - grid_c[0]), 0.0, count - 1.001)
    warm = path.seconds * (path.sample_c >= grid_c[0])
    low = place.astype(int)
    step = np.repeat(np.arange(len(path.t_c)), _SAMPLES) * count
    size = len(path.t_c) * count
    out = np.bincount(step + low, (1.0 - place + low) * warm, size)
    out += np.bincount(step + low + 1, (place - low) * warm, size)
    return out.reshape(-1, count).astype(np.float32)


def fluidity_up_to(top_c: float, draws: GlazeDraws, spare_c: float = 0.0) -> Fluidity:
    """Fluidities in the range that matters, with ``spare_c`` to either side for other peaks."""
    low = max(_COLD_C, top_c - _WORKING_SPAN_C - spare_c)
    grid = np.arange(low, max(top_c + spare_c, _COLD_C) + 15.0, _GRID_STEP_C)
    return Fluidity(draws, grid, draws.fluidity(grid))


def hottest_c(when: Sequence[Moment]) -> float:
    """The highest temperature of the ware up to these moments, °C."""
    return max(float(m.ware_c.max()) for m in when)


def stages_at(
    when: Sequence[Moment], draws: GlazeDraws, by: Criteria, known: Fluidity | None = None
) -> list[Stages]:
    """How far each draw has got at each moment, grains in the melt.

    ``known`` saves computing the fluidities again for another firing.
    """
    if known is None:
        known = fluidity_up_to(hottest_c(when), draws)
    out = []
    for moment in when:
        flow = known.through(moment)
        kept = None
        if draws.glazes.surface in ("matte", "dry matte"):
            kept = draws.crystal_minutes(moment.time_s, moment.ware_c)
        solid = known.left(moment).sum(axis=0) + draws.opacified
        out.append(stages_of(flow, draws.coat_mm, draws.melt, by, kept, solid))
    return out


def fired(draws: GlazeDraws, when: Sequence[Moment], known: Fluidity | None = None) -> GlazeDraws:
    """The glazes with the grains that each draw holds when it leaves the kiln, between the first
    and the last moment; as they are without a firing."""
    if not when:
        return draws
    known = known or fluidity_up_to(hottest_c(when), draws)
    first, last = known.left(when[0]), known.left(when[-1])
    return draws.with_grains(first + (last - first) * draws.pull)


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
