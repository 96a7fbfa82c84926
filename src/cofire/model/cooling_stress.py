"""Stress in a coat between setting and the room, by shape."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from cofire.arrays import Array
from cofire.fit.stress import TwoLayers, closed_pot_mpa, flat_tile_mpa, tile_bending_mpa
from cofire.model.body_draws import BodyDraws
from cofire.model.glaze_draws import GlazeDraws
from cofire.records import Shape

#: How each shape takes the pull of its glaze, in words.
SHAPES: dict[Shape, str] = {
    "pot": "closed pot, glazed on one side",
    "both-sides": "closed pot, glazed inside and out",
    "tile": "flat tile, free to bend",
}


@dataclass(frozen=True, eq=False)
class Through:
    """Stress through coat and wall in the room, MPa, middle of the draws: at the coat's face, in
    it at the bond, in the body at the bond, and on the body's other side."""

    coat_face: float
    coat_at_bond: float
    body_at_bond: float
    body_back: float


@dataclass(frozen=True, eq=False)
class CoolingStress:
    """Stress in the coat while cooling, MPa, (T,) at each temperature: 5 %, middle and 95 %."""

    temperature_c: Array
    stress_low_mpa: Array
    stress_mpa: Array
    stress_high_mpa: Array


def stress_of(
    shape: Shape, strain: Array, glaze: GlazeDraws, body: BodyDraws, wall_mm: float
) -> Array:
    """Coat stress, MPa, (N,) or (N, T), of mismatch strains in a shape."""
    layers = _layers(glaze, body, wall_mm, columns=strain.ndim > 1)
    if shape == "tile":
        return flat_tile_mpa(strain, layers)
    return closed_pot_mpa(strain, layers, 2 if shape == "both-sides" else 1)


def facing_mpa(
    both_mpa: Array, glaze: GlazeDraws, body: BodyDraws, wall_mm: float, across: Array
) -> Array:
    """Stress of a coat (N,), MPa, whose wall bears another glaze on its other face that pulls by
    ``across`` (N,), N/mm, from that with the same glaze on both: of 1 + 2 s, in the balance of
    forces, one s is its own. The scatter between pots is taken along."""
    layers = _layers(glaze, body, wall_mm)
    coat, wall = layers.biaxial_gpa
    share = coat * glaze.coat_mm / (wall * wall_mm)
    eased = coat / (1.0 + share) * across / (wall * wall_mm)
    return np.asarray(both_mpa * (1.0 + 2.0 * share) / (1.0 + share) - eased)


def _layers(
    glaze: GlazeDraws, body: BodyDraws, wall_mm: float, *, columns: bool = False
) -> TwoLayers:
    values = (glaze.youngs_gpa, glaze.poisson, glaze.coat_mm, body.youngs_gpa, body.poisson)
    e, nu, coat_mm, body_e, body_nu = (v[:, None] if columns else v for v in values)
    return TwoLayers(e, nu, coat_mm, body_e, body_nu, wall_mm)


def through_mpa(
    shape: Shape, glaze: GlazeDraws, body: BodyDraws, wall_mm: float, mean_mpa: Array
) -> Through:
    """How the mean stress of the coat (N,) is spread through coat and wall."""
    bend = np.zeros((2, len(mean_mpa)))  # half the difference between the faces of coat and body
    if shape == "tile":
        bend = tile_bending_mpa(mean_mpa, _layers(glaze, body, wall_mm))
    sides = 2 if shape == "both-sides" else 1
    in_body = -sides * mean_mpa * glaze.coat_mm / wall_mm
    values = (mean_mpa - bend[0], mean_mpa + bend[0], in_body - bend[1], in_body + bend[1])
    return Through(*(float(np.median(v)) for v in values))


#: Temperatures at which stress is computed, °C: around the steps of silica.
_STATIONS_C = (
    60.0,
    100.0,
    140.0,
    180.0,
    215.0,
    240.0,
    280.0,
    330.0,
    380.0,
    430.0,
    480.0,
    520.0,
    np.inf,
)


def worst_on_the_way(
    glaze: GlazeDraws, body: BodyDraws, set_c: Array, at_room_mpa: Array, per_strain_mpa: Array
) -> tuple[Array, Array]:
    """Most tension and most compression (N,) between setting and the room, MPa.

    A glaze shrinks most just after it has set, so stress may be worst half way down; and
    cristobalite can crack a glaze before its own step relieves it. The scatter between pots grows
    as they cool.
    """
    tension, compression = at_room_mpa.copy(), at_room_mpa.copy()
    scatter = body.scatter_mpa / np.maximum(set_c - 20.0, 1.0)
    # stress is this less what is the same product at the temperature of a station
    at_set = per_strain_mpa * (_longer(glaze, body, set_c) + body.relaxation) + scatter * set_c
    for here in _stations(set_c):
        stress = at_set - per_strain_mpa * _longer(glaze, body, here)
        stress -= scatter * here
        np.maximum(tension, stress, out=tension)
        np.minimum(compression, stress, out=compression)
    return tension, compression


def _stations(set_c: Array) -> Iterator[Array]:
    """Temperatures (N,) where stress is computed, no hotter than where draws set; (1,) where all
    have set, which is quicker."""
    coldest = float(set_c.min())
    for t in _STATIONS_C:
        yield np.array([t]) if t <= coldest else np.minimum(t, set_c)


def _longer(glaze: GlazeDraws, body: BodyDraws, t_c: Array) -> Array:
    """How much more the glaze than the body has grown from 20 °C to ``t_c`` (N,), or (1,) for all
    alike, a strain (N,)."""
    return np.asarray(glaze.alpha_1e6_per_k(t_c) * 1e-6 * (t_c - 20.0) - body.strain(t_c))


#: Draws for the stress while cooling, enough for a picture.
_SOME = 600


def stress_while_cooling(
    glaze: GlazeDraws,
    body: BodyDraws,
    set_c: Array,
    at_room_mpa: Array,
    wall_mm: float,
    shape: Shape,
) -> CoolingStress:
    """Stress in the coat at temperatures from setting down to the room, known already there."""
    glaze, body, set_c = glaze.some(_SOME), body.some(_SOME), set_c[:_SOME]
    grid = np.arange(20.0, float(np.percentile(set_c, 95.0)), 20.0)
    at_set = _longer(glaze, body, set_c) + body.relaxation
    gaps = []
    for t in grid:
        gaps.append(at_set - (_longer(glaze, body, np.minimum(t, set_c)) if t > 21.0 else 0.0))
    stress = stress_of(shape, np.stack(gaps, axis=1), glaze, body, wall_mm)
    bands = np.percentile(stress, [5.0, 50.0, 95.0], axis=0)
    bands[:, 0] = np.percentile(at_room_mpa, [5.0, 50.0, 95.0])
    return CoolingStress(grid, *bands)
