"""Pulled ware: which cracks open in air, which in the smoke, which later and stay pale."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import product

import numpy as np
from numpy.typing import NDArray

from cofire.arrays import Array, Mask, blocks
from cofire.firing.history import DIFFUSIVITY_M2_S, HEAT_CAPACITY_J_M3_K
from cofire.firing.wall import INSIDE_OF_POT, WallPath
from cofire.model.body_draws import BodyDraws, in_air
from cofire.model.cooling import Way, pulled_paths
from cofire.model.cooling_stress import CoolingStress, stress_of
from cofire.model.glaze_draws import GlazeDraws, strain_along
from cofire.records import Shape, Smoke

#: What the path through a wall takes for granted (``firing.history``).
_CONDUCTS_TAKEN = DIFFUSIVITY_M2_S * HEAT_CAPACITY_J_M3_K
#: Moments of a path that matter are this many degrees apart, at the skin or in its gradient.
_STEP_C = 12.0
#: Draws behind bands that are only looked at, and how far apart these are, °C.
_SOME, _BAND_C = 600, 20.0
#: Walls that are followed for all draws: so many losses in air, each with so many in a bin.
_AIR_LEVELS, _BIN_LEVELS = 4, 3


@dataclass(frozen=True, eq=False)
class Pulled:
    """Worst stress (N,), MPa, up to the end of the air, up to the end of the smoke, and ever;
    largest compression; and cold. ``smoked`` are draws in which there was smoke at all."""

    air_mpa: Array
    smoke_mpa: Array
    max_tension_mpa: Array
    max_compression_mpa: Array
    cold_mpa: Array
    smoked: Array
    skin_c: Array  # (T,) temperatures of the face, rising
    bands_mpa: Array  # (3, T): 5 %, middle and 95 % of the stress there


@dataclass(frozen=True, eq=False)
class Walls:
    """The same way to treat a pot for each draw: paths (K, T) of walls that lose more and less
    heat, which of them a draw (N,) follows, and how far its face trails its mean over that of the
    path, in air and in the bin."""

    path: WallPath
    of: NDArray[np.intp]
    in_air: Array
    in_bin: Array

    def those(self, rows: slice) -> Walls:
        """Those draws."""
        return Walls(self.path, self.of[rows], self.in_air[rows], self.in_bin[rows])


@dataclass(frozen=True, eq=False)
class _Coat:
    """Where draws (N,) of a coat set, °C, how much they shrink from there to the room, a strain,
    their ``GlazeDraws.bend``, and the stress of a strain, MPa."""

    set_c: Array
    shrinks: Array
    bend: Array
    per_strain_mpa: Array

    def those(self, rows: slice) -> _Coat:
        """Those draws."""
        values = (self.set_c, self.shrinks, self.bend, self.per_strain_mpa)
        return _Coat(*(v[rows] for v in values))

    def stress_mpa(self, skin_c: Array, wall_c: Array, set_wall_c: Array, body: BodyDraws) -> Array:
        """Stress (N, T) of a coat at ``skin_c`` (N, T) on walls at ``wall_c`` (N, T), that were at
        ``set_wall_c`` (N,) when it set."""
        at_set = self.shrinks - body.strain(set_wall_c) + body.relaxation
        strain = body.strain(wall_c)
        strain -= strain_along(self.bend, skin_c)
        strain += at_set[:, None]
        strain *= self.per_strain_mpa[:, None]
        cooled = (self.set_c[:, None] - skin_c) / np.maximum(self.set_c - 20.0, 1.0)[:, None]
        np.clip(cooled, 0.0, 1.0, out=cooled)
        cooled *= body.scatter_mpa[:, None]  # what sets pots apart grows as they cool
        strain += cooled
        return strain


def gradient_factor(shape: Shape, body: BodyDraws) -> Array:
    """How much more than the middle path a wall's outer face trails its mean in air (n,): clay
    conducts less or more, and both faces lose less or more."""
    less = _insulates(body) * body.air_heat
    if shape == "tile":
        return np.asarray(less)
    return np.asarray((2.0 - body.inside) / (2.0 - INSIDE_OF_POT) * less)


def _insulates(body: BodyDraws) -> Array:
    """How much less than the middle path's clay the drawn ones conduct (n,)."""
    return np.asarray(_CONDUCTS_TAKEN / np.maximum(body.conducts_w_m_k, 0.2))


def _levels(values: Array, count: int) -> tuple[Array, NDArray[np.intp]]:
    """Middles (L,) of equal parts of the values in their order, and the part of each (n,); one part
    where all are alike."""
    count = 1 if np.ptp(values) == 0.0 else min(count, len(values))
    part = np.empty(len(values), dtype=np.intp)
    part[np.argsort(values, kind="stable")] = np.arange(len(values)) * count // len(values)
    return np.array([np.median(values[part == k]) for k in range(count)]), part


@lru_cache(maxsize=8)  # the same for every glaze on a body
def walls(ways: tuple[Way, ...], wall_mm: float, shape: Shape, body: BodyDraws) -> list[Walls]:
    """Some ways to treat a pot, for each draw of heat lost."""
    lost = in_air(shape, body.air_heat, body.inside)
    air, of_air = _levels(lost, _AIR_LEVELS)
    bin_, of_bin = _levels(body.bin_heat, _BIN_LEVELS)
    of = of_air * len(bin_) + of_bin
    heat = tuple(product(air.tolist(), bin_.tolist()))
    paths = pulled_paths(ways, wall_mm, shape, heat)
    trails = gradient_factor(shape, body) / air[of_air]
    in_bin = _insulates(body) * body.bin_heat / bin_[of_bin]
    return [Walls(path, of, trails, in_bin) for path in paths]


def stations(path: WallPath, below_c: float) -> NDArray[np.intp]:
    """Indices of moments that matter once the skin of one of the paths (K, T) is below ``below_c``,
    the ends among them."""
    both = np.concatenate([path.skin_c, path.mean_c - path.skin_c]).T
    last = len(both) - 1
    kept = [int(np.argmax((path.skin_c < below_c).any(axis=0)))]
    while kept[-1] < last:
        after = kept[-1] + 1
        moved = (np.abs(both[after:] - both[kept[-1]]) >= _STEP_C).any(axis=1)
        nearest = [after + int(moved.argmax())] if moved.any() else []
        nearest += [end for end in path.ends if end >= after]
        if not nearest:
            break
        kept.append(min(nearest))
    return np.array(kept)


def pulled_stress(
    glaze: GlazeDraws,
    body: BodyDraws,
    set_c: Array,
    smoke: Smoke,
    of: Walls,
    wall_mm: float,
    shape: Shape,
) -> Pulled:
    """Follow the coat along the paths of pulled ware; of a pot glazed on both sides, the coats of
    both faces, and take the worse of the two."""
    per_strain = stress_of(shape, np.ones_like(set_c), glaze, body, wall_mm)
    shrinks = glaze.alpha_1e6_per_k(set_c) * 1e-6 * (set_c - 20.0)
    coat = _Coat(set_c, shrinks, glaze.bend, per_strain)
    outer = _at_face(coat, body, smoke, of)
    if shape != "both-sides":
        return outer
    inner = _at_face(coat, body, smoke, of, inside=True)
    more = ("air_mpa", "smoke_mpa", "max_tension_mpa", "cold_mpa")
    worse = {name: np.maximum(getattr(outer, name), getattr(inner, name)) for name in more}
    lower = np.minimum(outer.max_compression_mpa, inner.max_compression_mpa)
    return replace(outer, **worse, max_compression_mpa=lower)


def _in_air(path: WallPath, smoke: Smoke) -> Mask:
    """Moments (T,) in air, or under wind or mist."""
    k = np.arange(path.time_s.shape[1])
    return np.asarray((k <= path.ends[0]) | ((k > path.ends[1]) & (smoke.then == "air")))


def _outer_gap(of: Walls, in_air: Mask, k: NDArray[np.intp]) -> Array:
    """How much hotter the mean of a wall is than its outer face at moments ``k`` (n, J), or (1, J)
    for all alike, °C, (n, J)."""
    gap = of.path.mean_c - of.path.skin_c
    return np.where(in_air[k], of.in_air[:, None], of.in_bin[:, None]) * gap[of.of[:, None], k]


def _inner_gap(of: Walls, in_air: Mask, k: NDArray[np.intp], body: BodyDraws) -> Array:
    """How much hotter the mean of a wall is than its inner face, as ``_outer_gap``.

    A wall with even losses has both faces alike; each trails the mean by a third of its own heat
    flow less a sixth of the other's (a parabola through the wall, theoretical), so an inner face
    that loses half of what the outer does hardly trails it at all.
    """
    path, inside = of.path, body.inside[:, None]
    gap = path.mean_c - path.skin_c
    inner = path.layers_c[..., -1] + 0.5 * (path.layers_c[..., -1] - path.layers_c[..., -2])
    trail = of.in_air[:, None] * (2.0 - INSIDE_OF_POT) / (2.0 - inside)
    rows = of.of[:, None]
    off = 2.0 * (inside - INSIDE_OF_POT) / (2.0 - INSIDE_OF_POT) * gap[rows, k]
    plain = (path.mean_c - inner)[rows, k]
    return np.where(in_air[k], trail * (plain + off), of.in_bin[:, None] * plain)


def _at_face(
    coat: _Coat, body: BodyDraws, smoke: Smoke, of: Walls, *, inside: bool = False
) -> Pulled:
    """Follow the coat of one face along the paths.

    The coat has the temperature of the face, the wall's length that of its mean. A coat that sets
    while the wall inside is hotter ends with less tension, as the wall still has to shrink: air
    cooling tempers it. Chilled later, in water, it is pulled apart.
    """
    path, set_c = of.path, coat.set_c
    in_air, face = _in_air(path, smoke), path.skin_c
    last = face.shape[1] - 1

    def gap(of: Walls, k: NDArray[np.intp], body: BodyDraws) -> Array:
        return _inner_gap(of, in_air, k, body) if inside else _outer_gap(of, in_air, k)

    if inside:
        gaps = gap(of, np.arange(last + 1)[None], body)
        groups = [np.median(gaps[of.of == k], axis=0) for k in range(len(face))]
        face = path.mean_c - np.array(groups)
    set_at = _last_passing(face, of.of, set_c)
    i = stations(replace(path, skin_c=face), float(set_c.max()))
    # water takes heat faster than clay conducts it, so its gradient depends little on the clay
    in_water = (i > path.ends[1]) & (smoke.then == "water")
    stress, worst = (np.empty((len(set_c), len(i))) for _ in range(2))
    for rows in blocks(len(set_c)):
        walls_of, body_of, coat_of = of.those(rows), body.those(rows), coat.those(rows)
        before = np.clip(set_at[rows].astype(int), 0, last - 1)
        at_set = gap(walls_of, np.stack([before, before + 1], axis=1), body_of)
        wall_at_set = coat_of.set_c + _between(at_set, set_at[rows] - before)
        skin = face[:, i][walls_of.of]
        wall = gap(walls_of, i[None], body_of)
        wall[:, in_water] = (path.mean_c - face)[:, i[in_water]][walls_of.of]
        wall += skin
        has_set = i >= set_at[rows, None]
        stress[rows] = coat_of.stress_mpa(skin, wall, wall_at_set, body_of) * has_set
        # before it has set the coat takes no stress, and then first that of its own relaxation
        first = has_set * (coat_of.per_strain_mpa * body_of.relaxation)[:, None]
        np.maximum.accumulate(np.maximum(stress[rows], first), axis=1, out=worst[rows])
    ends = list(path.ends[:2])
    if ends[0] == ends[1] and not in_water.any():  # without a bin all of it is air
        ends[0] = path.ends[2]
    air, bin_ = (int(np.searchsorted(i, end, side="right")) - 1 for end in ends)
    nothing = np.zeros(len(set_c))
    smoked = path.mean_c[of.of, path.ends[0]] >= body.smoke_ends_c
    smoked &= path.ends[1] > path.ends[0]
    # a coat that is still soft when the pot leaves the bin has no crack for smoke to enter
    smoke_ends = np.minimum(_last_passing(path.mean_c[:, i], of.of, body.smoke_ends_c), bin_)
    black = _between(worst, smoke_ends) if bin_ >= 0 else nothing
    grid = np.arange(20.0, float(np.percentile(set_c, 95.0)), _BAND_C)
    bands = _between(stress[:_SOME], _last_passing(face[:, i], of.of[:_SOME], grid))
    return Pulled(
        air_mpa=worst[:, air] if air >= 0 else nothing,
        smoke_mpa=np.where(smoked, black, 0.0),
        max_tension_mpa=worst[:, -1],
        max_compression_mpa=stress.min(axis=1),
        cold_mpa=stress[:, -1],
        smoked=smoked,
        skin_c=grid,
        bands_mpa=np.percentile(bands, [5.0, 50.0, 95.0], axis=0),
    )


def _last_passing(t_c: Array, of: NDArray[np.intp], at_c: Array) -> Array:
    """When draws (n,) that follow curves (K, T) pass temperatures (n,), or all of them the same
    (G,) in columns (n, G), for the last time, as indices with their fractions: a chilled face warms
    up again in the bin."""
    latest = np.maximum.accumulate(t_c[:, ::-1], axis=1)[:, ::-1]
    index = np.arange(t_c.shape[1], dtype=float)
    if len(at_c) != len(of):
        return np.array([np.interp(-at_c, -curve, index) for curve in latest])[of]
    when = np.empty(len(of))
    for k, curve in enumerate(latest):
        rows = np.flatnonzero(of == k)
        when[rows] = np.interp(-at_c[rows], -curve, index)
    return when


def _between(values: Array, at: Array) -> Array:
    """Values (n, T) at fractional indices (n,), or (n, G)."""
    row = np.arange(len(values)).reshape((-1,) + (1,) * (at.ndim - 1))
    low = np.clip(at.astype(int), 0, max(values.shape[1] - 2, 0))
    high = np.minimum(low + 1, values.shape[1] - 1)
    share = np.clip(at - low, 0.0, 1.0)
    return np.asarray((1.0 - share) * values[row, low] + share * values[row, high])


def stress_of_pulled(pulled: Pulled) -> CoolingStress:
    """The same for pulled ware, by the temperature of its face; if it warms up again in the bin,
    the later moment counts."""
    return CoolingStress(pulled.skin_c, *pulled.bands_mpa)
