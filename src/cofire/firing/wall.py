"""A pulled pot while it cools: heat conducted through its wall, in air, smoke and water."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from typing import Literal, NamedTuple

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
#: above the room halves in this many minutes; common practice (warm enough to lift out with gloves
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
    """A time in one medium; the last one should be long enough to get cold."""

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


class _State(NamedTuple):
    """Layers (X,) of a wall, and its outer and its inner face, °C."""

    layers: Array
    faces_c: tuple[float, float]


def _lost_w_m2(medium: Medium, face_c: float, mean_c: float, wall_m: float) -> float:
    """Heat that leaves the outer face."""
    if medium == "water":
        return WATER_W_M2_K * (face_c - ROOM_C)
    if medium == "bin":
        rate = math.log(2.0) / (60.0 * BIN_HALF_TIME_MIN) * (mean_c - ROOM_C)
        return 0.5 * HEAT_CAPACITY_J_M3_K * wall_m * rate
    kelvin, room = face_c + KELVIN, ROOM_C + KELVIN
    radiated = EMISSIVITY * STEFAN_BOLTZMANN * (kelvin**4 - room**4)
    return radiated + AIR_CONVECTION_W_M2_K * (kelvin - room)


@cache
def _modes(layers: int) -> tuple[Array, Array]:
    """Rates (X,) and shapes (X, X) in which layers that exchange heat with their neighbours alone
    change, for a conductance of one between them."""
    neighbours = np.diag(np.ones(layers - 1), 1) + np.diag(np.ones(layers - 1), -1)
    rates, shapes = np.linalg.eigh(neighbours - np.diag(neighbours.sum(axis=1)))
    return rates, shapes


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
    to_face = 0.5 * dx / (DIFFUSIVITY_M2_S * HEAT_CAPACITY_J_M3_K)  # from a middle, m² K/W
    rates, shapes = _modes(_LAYERS)

    def implicit(base: Array, settle: Array, dt: float, state: _State, medium: Medium) -> _State:
        """Layers that are ``base`` and their own change over ``dt``, and their faces; first taken
        to be like ``state``. ``settle`` does that for layers that lose nothing to the outside."""
        free = settle @ base
        near, far = float(settle[0, 0]), float(settle[0, -1])
        outer, inner = float(free[0]) - ROOM_C, float(free[-1]) - ROOM_C
        mean_c, faces = float(state.layers.mean()), state.faces_c
        for _ in range(2):  # what is lost depends on the face, which depends on that
            per_c = []
            for face_c, part in zip(faces, (1.0, inside if medium == "air" else 1.0), strict=True):
                lost = part * _lost_w_m2(medium, face_c, mean_c, wall_m)
                at_face = lost / max(face_c - ROOM_C, 1e-6)
                per_c.append(at_face / (1.0 + at_face * to_face))
            a, b = (dt * each / (HEAT_CAPACITY_J_M3_K * dx) for each in per_c)
            # both outermost layers over the room: each is cooled by what leaves at either face
            whole = (1.0 + near * a) * (1.0 + near * b) - far * far * a * b
            u = (outer * (1.0 + near * b) - inner * far * b) / whole
            v = (inner * (1.0 + near * a) - outer * far * a) / whole
            mean_c = float(free.mean()) - (a * u + b * v) / _LAYERS
            faces = (
                ROOM_C + u * (1.0 - per_c[0] * to_face),
                ROOM_C + v * (1.0 - per_c[1] * to_face),
            )
        return _State(free - settle[:, 0] * (a * u) - settle[:, -1] * (b * v), faces)

    now = _State(np.full(_LAYERS, float(from_c)), (float(from_c), float(from_c)))
    time_s, layers, skins, ends = [0.0], [now.layers], [from_c], []
    for stay in stays:
        if stay.lasts_s > 0.0:
            first = min(_FIRST_S, 0.01 * stay.lasts_s)
            at = np.concatenate([[0.0], np.geomspace(first, stay.lasts_s, _MOMENTS)])
            start = time_s[-1]
            for before, after in pairwise(at.tolist()):
                part = _GAMMA * (after - before)
                settle = shapes / (1.0 - part * DIFFUSIVITY_M2_S / dx**2 * rates) @ shapes.T
                half = implicit(now.layers, settle, part, now, stay.medium)
                base = now.layers + (1.0 - _GAMMA) / _GAMMA * (half.layers - now.layers)
                now = implicit(base, settle, part, half, stay.medium)
                time_s.append(start + after)
                layers.append(now.layers)
                skins.append(now.faces_c[0])
        ends.append(len(time_s) - 1)
    across = np.array(layers)
    return WallPath(np.array(time_s), across, np.array(skins), across.mean(axis=1), tuple(ends))
