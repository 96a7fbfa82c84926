"""A pulled pot while it cools: heat conducted through its wall, in air, smoke and water."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

from cofire.arrays import Array
from cofire.firing.history import (
    AIR_CONVECTION_W_M2_K,
    DIFFUSIVITY_M2_S,
    EMISSIVITY,
    HEAT_CAPACITY_J_M3_K,
    KELVIN,
    STEFAN_BOLTZMANN,
)

Medium = Literal["air", "fan", "spray", "bin", "sawdust", "buried", "water"]
ROOM_C = 20.0
#: Heat that the inner face of a hollow pot loses in air, over that of the outer: some of it sees
#: out of the mouth; from memory. A tile has two outer faces.
INSIDE_OF_POT = 0.5
#: Share of the heat it would lose in still air that ware loses in a closed bin, where flame, ash
#: and hot metal give back the rest: in paper or straw, on and under sawdust, and buried in it. With
#: these a pot of 6 mm is below 300 °C after a quarter of an hour in paper and warm enough to lift
#: out with gloves after half an hour (common practice, no source); a bed of sawdust (0.08 W/(m K),
#: from memory) 30 mm thick lets a tenth through.
IN_BIN = {"bin": 0.22, "sawdust": 0.12, "buried": 0.06}
#: Heat that a fan's wind or a mist of water takes beside radiation, W/(m² K), from memory, order of
#: magnitude: wind of 5 m/s; a hand sprayer that lets some 20 g/(s m²) boil on the wall.
FAN_W_M2_K = 40.0
SPRAY_W_M2_K = 100.0
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
#: The first step into another medium, s, and as a share of a short stay.
_FIRST_S, _FIRST_SHARE = 0.02, 0.01


@dataclass(frozen=True, eq=False)
class Stay:
    """A time in one medium, s, for one wall or for each of several (K,); the last one should be
    long enough to get cold. ``heat`` is how much more is lost there than by the middle law."""

    medium: Medium
    lasts_s: Array | float
    heat: Array | float = 1.0


@dataclass(frozen=True, eq=False)
class WallPath:
    """Temperatures of one wall over time, or of several (K, ...): ``layers_c`` (T, X) from the
    outer face in, °C.

    ``skin_c`` (T,) is the face, under the coat, and ``mean_c`` (T,) what the length of the wall
    follows. ``ends`` index the last moment of each stay.
    """

    time_s: Array
    layers_c: Array
    skin_c: Array
    mean_c: Array
    ends: tuple[int, ...]

    def __getitem__(self, k: int | NDArray[np.intp]) -> WallPath:
        return WallPath(self.time_s[k], self.layers_c[k], self.skin_c[k], self.mean_c[k], self.ends)


def _still_w_m2(face_c: Array, room_c: float) -> Array:
    """Heat that leaves a face in still air."""
    kelvin, room = face_c + KELVIN, room_c + KELVIN
    radiated = EMISSIVITY * STEFAN_BOLTZMANN * (kelvin**4 - room**4)
    return np.asarray(radiated + AIR_CONVECTION_W_M2_K * (face_c - room_c))


def _lost_w_m2(medium: Medium, faces_c: Array, inside: float, room_c: float) -> Array:
    """Heat (2, K) that leaves the outer and the inner faces."""
    if medium == "water":
        return WATER_W_M2_K * (faces_c - room_c)
    lost = _still_w_m2(faces_c, room_c)
    if medium in IN_BIN:
        return IN_BIN[medium] * lost
    more = {"fan": FAN_W_M2_K - AIR_CONVECTION_W_M2_K, "spray": SPRAY_W_M2_K}.get(medium, 0.0)
    lost[0] += more * (faces_c[0] - room_c)
    lost[1] *= inside
    return lost


def times_still_air(medium: Medium, face_c: float) -> float:
    """Heat that the outer face loses in a medium over that in still air."""
    face = np.full((2, 1), face_c)
    lost = _lost_w_m2(medium, face, 1.0, ROOM_C)[0] / _still_w_m2(face[0], ROOM_C)
    return float(lost[0])


@cache
def _modes(layers: int) -> tuple[Array, Array]:
    """Rates (X,) and shapes (X, X) in which layers that exchange heat with their neighbours alone
    change, for a conductance of one between them."""
    neighbours = np.diag(np.ones(layers - 1), 1) + np.diag(np.ones(layers - 1), -1)
    rates, shapes = np.linalg.eigh(neighbours - np.diag(neighbours.sum(axis=1)))
    return rates, shapes


class _State(NamedTuple):
    """Layers (K, X) of walls, and their outer and inner faces (2, K), °C."""

    layers: Array
    faces_c: Array


def wall_path(
    wall_mm: Array | float,
    from_c: Array | float,
    stays: tuple[Stay, ...],
    inside: float = 1.0,
    room_c: float = ROOM_C,
) -> WallPath:
    """Follow a wall, even at ``from_c`` (°C), that loses heat from both faces to what is at
    ``room_c``, or takes it up; or several (K,) through the same media, which costs little more.

    In air the inner face loses ``inside`` (0 to 1) of what the outer one does: a hollow pot's
    sees mostly itself, and neither wind nor mist reach it. Finite volumes across the wall, implicit
    in time, in steps that grow from the moment the medium changes.
    """
    dx = np.asarray(wall_mm) * 1e-3 / _LAYERS
    to_face = 0.5 * dx / (DIFFUSIVITY_M2_S * HEAT_CAPACITY_J_M3_K)  # from a middle, m² K/W
    rates, shapes = _modes(_LAYERS)

    def implicit(base: Array, dt: Array, state: _State, stay: Stay) -> _State:
        """Layers that are ``base`` and their own change over ``dt``, and their faces; first taken
        to be like ``state``."""
        settle = 1.0 / (1.0 - (dt * DIFFUSIVITY_M2_S / dx**2)[:, None] * rates)
        # layers that lose nothing to the outside, and what a unit lost at either face does to them
        free = (base @ shapes * settle) @ shapes.T
        at_outer, at_inner = ((settle * shapes[k]) @ shapes.T for k in (0, -1))
        near, far = at_outer[:, 0], at_outer[:, -1]
        outer, inner = free[:, 0] - room_c, free[:, -1] - room_c
        faces = state.faces_c
        for _ in range(2):  # what is lost depends on the face, which depends on that
            lost = stay.heat * _lost_w_m2(stay.medium, faces, inside, room_c)
            over = faces - room_c
            at_face = lost / np.where(np.abs(over) < 1e-6, 1e-6, over)
            per_c = at_face / (1.0 + at_face * to_face)
            a, b = dt * per_c / (HEAT_CAPACITY_J_M3_K * dx)
            # both outermost layers over the room: each is cooled by what leaves at either face
            whole = (1.0 + near * a) * (1.0 + near * b) - far * far * a * b
            u = (outer * (1.0 + near * b) - inner * far * b) / whole
            v = (inner * (1.0 + near * a) - outer * far * a) / whole
            faces = room_c + np.stack([u, v]) * (1.0 - per_c * to_face)
        return _State(free - at_outer * (a * u)[:, None] - at_inner * (b * v)[:, None], faces)

    each = [np.broadcast_arrays(stay.lasts_s, stay.heat) for stay in stays]
    shape = np.broadcast_shapes(dx.shape, np.shape(from_c), *(lasts.shape for lasts, _ in each))
    count = max(int(np.prod(shape)), 1)
    even_c = np.broadcast_to(np.asarray(from_c, dtype=float), shape).reshape(count)
    now = _State(np.tile(even_c[:, None], _LAYERS), np.stack([even_c, even_c]))
    time_s, layers, skins, ends = [np.zeros(count)], [now.layers], [now.faces_c[0]], []
    for stay in stays:
        lasts = np.broadcast_to(np.asarray(stay.lasts_s, dtype=float), shape).reshape(count)
        if lasts.any():
            first = np.minimum(_FIRST_S / np.maximum(lasts, _FIRST_S), _FIRST_SHARE)
            along = first[:, None] ** np.linspace(1.0, 0.0, _MOMENTS)
            at = lasts[:, None] * np.concatenate([np.zeros((count, 1)), along], axis=1)
            start = time_s[-1]
            for before, after in pairwise(at.T):
                part = _GAMMA * (after - before)
                half = implicit(now.layers, part, now, stay)
                base = now.layers + (1.0 - _GAMMA) / _GAMMA * (half.layers - now.layers)
                now = implicit(base, part, half, stay)
                time_s.append(start + after)
                layers.append(now.layers)
                skins.append(now.faces_c[0])
        ends.append(len(time_s) - 1)
    across = np.stack(layers, axis=1)
    several = WallPath(
        np.stack(time_s, axis=1), across, np.stack(skins, axis=1), across.mean(axis=-1), tuple(ends)
    )
    return several if shape else several[0]
