"""A pulled pot on its way to the room: heat conducted through its wall, in air, smoke and water."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

import numpy as np

from cofire.arrays import Array
from cofire.firing.history import (
    AIR_CONVECTION_W_M2_K,
    DIFFUSIVITY_M2_S,
    EMISSIVITY,
    HEAT_CAPACITY_J_M3_K,
    KELVIN,
    STEFAN_BOLTZMANN,
)

Medium = Literal["air", "bin", "water"]
ROOM_C = 20.0
#: A closed bin of burning paper or sawdust takes the pot's heat over to the room: its temperature
#: above the room halves in so many minutes; common practice (warm enough to lift out with gloves
#: after half an hour), no source.
BIN_HALF_TIME_MIN = 12.0
#: Heat transfer to water that boils on the wall, W/(m² K); from memory: nucleate boiling gives 2 to
#: 10 thousand. A film of steam can spare very hot ware for a while; rough clay breaks it, so that
#: is not counted on.
WATER_W_M2_K = 3000.0

#: Steps through the wall, and in time through a stay; our choice: with 96 and 400 the widest gap
#: of skin and mean and the mean at the end of a stay move by under 2 °C in walls of 4 to 12 mm.
_LAYERS = 24
_MOMENTS = 28
#: Of the two-stage implicit method of second order that damps stiff parts (Alexander, SIAM J.
#: Numer. Anal. 14 (1977) 1006).
_GAMMA = 1.0 - 0.5**0.5
#: The first step into another medium, s.
_FIRST_S = 0.02


@dataclass(frozen=True, eq=False)
class Stay:
    """So long in one medium; whichever is last should be long enough to get cold."""

    medium: Medium
    lasts_s: float


@dataclass(frozen=True, eq=False)
class WallPath:
    """Temperatures of a wall over time: ``layers_c`` (T, X) from the outer face in, °C.

    ``skin_c`` (T,) is the face, under the coat, and ``mean_c`` (T,) what the length of the wall
    follows. ``ends`` index the last moment of each stay.
    """

    time_s: Array
    layers_c: Array
    skin_c: Array
    mean_c: Array
    ends: tuple[int, ...]


def _lost_w_m2(medium: Medium, face_c: Array, mean_c: float, wall_m: float, inside: float) -> Array:
    """Heat that leaves the outer and the inner face (2,)."""
    if medium == "water":
        return WATER_W_M2_K * (face_c - ROOM_C)
    if medium == "bin":
        rate = np.log(2.0) / (60.0 * BIN_HALF_TIME_MIN) * (mean_c - ROOM_C)
        return np.full(2, 0.5 * HEAT_CAPACITY_J_M3_K * wall_m * rate)
    kelvin, room = face_c + KELVIN, ROOM_C + KELVIN
    radiated = EMISSIVITY * STEFAN_BOLTZMANN * (kelvin**4 - room**4)
    return np.array([1.0, inside]) * (radiated + AIR_CONVECTION_W_M2_K * (kelvin - room))


def wall_path(
    wall_mm: float, from_c: float, stays: tuple[Stay, ...], inside: float = 1.0
) -> WallPath:
    """Follow a wall, even at ``from_c`` (°C), that loses heat from both faces.

    In air the inner face loses ``inside`` (0 to 1) of what the outer one does: a hollow pot's
    sees mostly itself. Finite volumes across the wall, implicit in time, in steps that grow from
    the moment the medium changes.
    """
    wall_m = wall_mm * 1e-3
    dx = wall_m / _LAYERS
    conductivity = DIFFUSIVITY_M2_S * HEAT_CAPACITY_J_M3_K
    neighbours = np.diag(np.ones(_LAYERS - 1), 1) + np.diag(np.ones(_LAYERS - 1), -1)
    spread = DIFFUSIVITY_M2_S / dx**2 * (neighbours - np.diag(neighbours.sum(axis=1)))
    to_face = 0.5 * dx / conductivity  # from the middle of a layer, m² K/W
    ends_of_wall = [0, -1]

    def implicit(
        base: Array, dt: float, layers: Array, face: Array, medium: Medium
    ) -> tuple[Array, Array]:
        """Layers that are ``base`` and their own change over ``dt``, and their faces; first taken
        to be like the last ones."""
        new: Array = layers
        for _ in range(2):  # what is lost depends on the face, which depends on that
            lost = _lost_w_m2(medium, face, float(new.mean()), wall_m, inside)
            per_c = lost / np.maximum(face - ROOM_C, 1e-6)
            per_c = per_c / (1.0 + per_c * to_face)
            drain = dt * per_c / (HEAT_CAPACITY_J_M3_K * dx)
            matrix, right = np.eye(_LAYERS) - dt * spread, base.copy()
            matrix[ends_of_wall, ends_of_wall] += drain
            right[ends_of_wall] += drain * ROOM_C
            new = np.asarray(np.linalg.solve(matrix, right), dtype=float)
            face = new[ends_of_wall] - per_c * (new[ends_of_wall] - ROOM_C) * to_face
        return new, face

    now, face = np.full(_LAYERS, float(from_c)), np.full(2, float(from_c))
    time_s, layers, skins, ends = [0.0], [now], [from_c], []
    for stay in stays:
        if stay.lasts_s > 0.0:
            first = min(_FIRST_S, 0.01 * stay.lasts_s)
            at = np.concatenate([[0.0], np.geomspace(first, stay.lasts_s, _MOMENTS)])
            start = time_s[-1]
            for before, after in pairwise(at):
                part = _GAMMA * (after - before)
                inner, face = implicit(now, part, now, face, stay.medium)
                base = now + (1.0 - _GAMMA) / _GAMMA * (inner - now)
                now, face = implicit(base, part, inner, face, stay.medium)
                time_s.append(start + after)
                layers.append(now)
                skins.append(float(face[0]))
        ends.append(len(time_s) - 1)
    across = np.array(layers)
    return WallPath(np.array(time_s), across, np.array(skins), across.mean(axis=1), tuple(ends))
