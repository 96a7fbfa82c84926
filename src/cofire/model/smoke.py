"""Pulled ware: which cracks open in air, which in the smoke, which later and stay pale."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from cofire.arrays import Array
from cofire.firing.history import DIFFUSIVITY_M2_S, HEAT_CAPACITY_J_M3_K
from cofire.firing.wall import WallPath
from cofire.model.body_draws import BodyDraws
from cofire.model.cooling import INSIDE_OF_POT, Cooling
from cofire.model.cooling_stress import CoolingStress, stress_of
from cofire.model.glaze_draws import GlazeDraws
from cofire.records import Shape

#: What the path through a wall takes for granted (``firing.history``).
_CONDUCTS_TAKEN = DIFFUSIVITY_M2_S * HEAT_CAPACITY_J_M3_K
#: Moments of a path that matter are this many degrees apart, at the skin or in its gradient.
_STEP_C = 12.0
#: Draws behind bands that are only looked at.
_SOME = 600


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
    skin_c: Array  # (T,) temperatures of the face on its way
    bands_mpa: Array  # (3, T): 5 %, middle and 95 % of the stress there


def gradient_factor(shape: Shape, body: BodyDraws) -> Array:
    """How much more than the wall of a path a wall's face trails its mean (n,): other clay conducts
    less or more, and the inner face of a pot loses less or more."""
    less = _CONDUCTS_TAKEN / np.maximum(body.conducts_w_m_k, 0.2)
    if shape == "tile":
        return np.asarray(less)
    return np.asarray((2.0 - body.inside) / (2.0 - INSIDE_OF_POT) * less)


def stations(path: WallPath, below_c: float) -> Array:
    """Indices of moments that matter once the skin is below ``below_c``, the ends among them."""
    gap = path.mean_c - path.skin_c
    start = int(np.argmax(path.skin_c < below_c))
    kept = [start]
    for k in range(start + 1, len(path.time_s)):
        moved = abs(path.skin_c[k] - path.skin_c[kept[-1]]), abs(gap[k] - gap[kept[-1]])
        if max(moved) >= _STEP_C or k in path.ends:
            kept.append(k)
    return np.array(kept)


def pulled_stress(
    glaze: GlazeDraws, body: BodyDraws, set_c: Array, cooling: Cooling, wall_mm: float, shape: Shape
) -> Pulled:
    """Follow the coat along the path of pulled ware; of a pot glazed on both sides, the coats of
    both faces, and take the worse of the two."""
    outer = _at_face(glaze, body, set_c, cooling, wall_mm, shape)
    if shape != "both-sides":
        return outer
    inner = _at_face(glaze, body, set_c, cooling, wall_mm, shape, inside=True)
    more = ("air_mpa", "smoke_mpa", "max_tension_mpa", "cold_mpa")
    worse = {name: np.maximum(getattr(outer, name), getattr(inner, name)) for name in more}
    lower = np.minimum(outer.max_compression_mpa, inner.max_compression_mpa)
    return replace(outer, **worse, max_compression_mpa=lower)


def _inner_gap(path: WallPath, body: BodyDraws, trail: Array, *, ends_in_air: bool) -> Array:
    """How much hotter the mean of a wall is than its inner face (n, T), °C.

    A wall with even losses has both faces alike; each trails the mean by a third of its own heat
    flow less a sixth of the other's (a parabola through the wall, theoretical), so an inner face
    that loses half of what the outer does hardly trails it at all.
    """
    gap = path.mean_c - path.skin_c
    inner = path.layers_c[:, -1] + 0.5 * (path.layers_c[:, -1] - path.layers_c[:, -2])
    less = trail * (2.0 - INSIDE_OF_POT) / (2.0 - body.inside)
    off = 2.0 * (body.inside - INSIDE_OF_POT) / (2.0 - INSIDE_OF_POT)
    moment = np.arange(len(gap))
    in_air = (moment <= path.ends[0]) | (moment > path.ends[1]) & ends_in_air
    moved = np.where(in_air, off[:, None] * gap, 0.0)
    return np.asarray(less[:, None] * (path.mean_c - inner + moved))


def _at_face(
    glaze: GlazeDraws,
    body: BodyDraws,
    set_c: Array,
    cooling: Cooling,
    wall_mm: float,
    shape: Shape,
    *,
    inside: bool = False,
) -> Pulled:
    """Follow the coat of one face along the path.

    The coat has the temperature of the face, the wall's length that of its mean. A coat that sets
    while the wall inside is hotter ends with less tension, as the wall still has to shrink: air
    cooling tempers it. Chilled later, in water, it is pulled apart.
    """
    path = cooling.path
    assert path is not None
    n = len(set_c)
    trail = gradient_factor(shape, body)
    gap = path.mean_c - path.skin_c
    face = path.skin_c
    gaps = trail[:, None] * gap
    if inside:
        in_air = cooling.smoke is None or cooling.smoke.then == "air"
        gaps = _inner_gap(path, body, trail, ends_in_air=in_air)
        face = path.mean_c - np.median(gaps, axis=0)
    latest = np.maximum.accumulate(face[::-1])[::-1]
    set_at_s = np.interp(-set_c, -latest, path.time_s)
    at = np.clip(np.searchsorted(path.time_s, set_at_s), 1, len(path.time_s) - 1)
    row = np.arange(n)
    share = (set_at_s - path.time_s[at - 1]) / (path.time_s[at] - path.time_s[at - 1])
    wall_at_set = set_c + (1.0 - share) * gaps[row, at - 1] + share * gaps[row, at]
    i = stations(path, float(set_c.max()))
    skin = face[i]
    # water takes heat faster than clay conducts it, so its gradient depends little on the clay
    in_water = np.full(len(i), cooling.smoke is not None and cooling.smoke.then == "water")
    in_water &= i > path.ends[1]
    wall = skin + np.where(in_water, path.mean_c[i] - skin, gaps[:, i])
    longer = glaze.strain(skin) - body.strain(wall)
    at_set = (glaze.alpha_1e6_per_k(set_c) * 1e-6 * (set_c - 20.0)) - body.strain(wall_at_set)
    strain = (at_set + body.relaxation)[:, None] - longer
    cooled = (set_c[:, None] - skin) / np.maximum(set_c - 20.0, 1.0)[:, None]
    scatter = body.scatter_mpa[:, None] * np.clip(cooled, 0.0, 1.0)  # grows as a pot cools
    stress = stress_of(shape, strain, glaze, body, wall_mm) + scatter
    # before it has set the coat takes no stress, and then first that of its own relaxation
    has_set = path.time_s[i] >= set_at_s[:, None]
    first = stress_of(shape, body.relaxation, glaze, body, wall_mm)[:, None]
    stress = np.where(has_set, stress, 0.0)
    worst = np.maximum.accumulate(np.maximum(stress, np.where(has_set, first, 0.0)), axis=1)
    ends = list(path.ends[:2])
    if ends[0] == ends[1] and not in_water.any():  # without a bin all of it is air
        ends[0] = path.ends[2]
    air, bin_ = (int(np.searchsorted(i, end, side="right")) - 1 for end in ends)
    hot = path.mean_c[i] >= body.smoke_ends_c[:, None]
    last_hot = hot.sum(axis=1) - 1
    smoked = (path.mean_c[path.ends[0]] >= body.smoke_ends_c) & (path.ends[1] > path.ends[0])
    upto = np.clip(np.minimum(last_hot, bin_), 0, len(i) - 1)
    nothing = np.zeros(n)
    return Pulled(
        air_mpa=worst[:, air] if air >= 0 else nothing,
        smoke_mpa=np.where(smoked, worst[np.arange(n), upto], 0.0),
        max_tension_mpa=worst[:, -1],
        max_compression_mpa=stress.min(axis=1),
        cold_mpa=stress[:, -1],
        smoked=smoked,
        skin_c=skin,
        bands_mpa=np.percentile(stress[:_SOME], [5.0, 50.0, 95.0], axis=0),
    )


def stress_of_pulled(pulled: Pulled) -> CoolingStress:
    """The same for pulled ware, by the temperature of its face; if it warms up again in the bin,
    the later moment counts."""
    colder = pulled.skin_c < np.append(pulled.skin_c[:1] + 1.0, pulled.skin_c[:-1])
    lowest = np.flip(np.maximum.accumulate(np.flip(pulled.skin_c)))
    kept = np.flatnonzero((pulled.skin_c >= lowest) & colder)[::-1]
    return CoolingStress(pulled.skin_c[kept], *pulled.bands_mpa[:, kept])
