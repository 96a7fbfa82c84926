"""After the pull: how long the pot stays soft, and when it may go into the closed bin."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from cofire.arrays import Array
from cofire.model.body_draws import heat_in_air
from cofire.model.cooling import Cooling, pulled_path
from cofire.model.fit import set_points_c
from cofire.model.glaze_draws import GlazeDraws
from cofire.model.interval import Interval
from cofire.model.standard_draws import N
from cofire.records import Recipe, Shape, Smoke

#: The last red that shows in a shaded yard, and where paper catches fire; from memory.
DULL_RED_C = 600.0
PAPER_BURNS_C = 230.0


@dataclass(frozen=True, eq=False)
class Softness:
    """Seconds in still air until a glaze no longer takes a fingerprint, and until it has set."""

    recipe: Recipe
    stiff_after_s: Interval
    set_after_s: Interval
    set_c: Interval
    json_also: ClassVar = ("recipe.name",)
    json_hides: ClassVar = ("recipe",)


@dataclass(frozen=True, eq=False)
class AfterPull:
    """Times in still air from the moment of the pull at ``from_c``."""

    from_c: float
    dull_red_after_s: Interval
    no_longer_lights_paper_after_s: Interval
    smoke: Smoke
    glazes: tuple[Softness, ...]


#: Stiffer than this a fold of newspaper leaves no mark; between the Littleton point, where a fibre
#: sags by itself (10^6.6), and the transition; our choice. log10 Pa·s.
_STIFF = 8.0


#: As long as anybody waits.
IN_STILL_AIR = Smoke(air_s=3600.0, bin_min=0.0)


def seconds_in_air(
    from_c: float, to_c: Array, wall_mm: float, shape: Shape = "pot", heat: Array | float = 1.0
) -> Array:
    """How long the face of a pulled pot takes to cool to ``to_c`` (N,) in still air, s; 0 where it
    is colder already.

    On the path that ``fit`` follows its coat along. Walls that lose ``heat`` (N,) times what the
    middle one does are that much quicker (a wall of one temperature, theoretical).
    """
    path = pulled_path(wall_mm, from_c, IN_STILL_AIR, shape)
    log_s = np.interp(-np.asarray(to_c), -path.skin_c[1:], np.log(path.time_s[1:]))
    return np.asarray(np.where(to_c < from_c, np.exp(log_s), 0.0) / heat)


def after_pull(
    from_c: float,
    wall_mm: float,
    glazes: list[tuple[Recipe, GlazeDraws]],
    cooling: Cooling,
    smoke: Smoke,
) -> AfterPull:
    """Times on the way of a closed pot, with the doubts of glaze and of the heat lost."""
    heat = heat_in_air("pot", N)
    softness = []
    for recipe, draws in glazes:
        sets = set_points_c(draws, cooling)
        softens = draws.curve.isokom(_STIFF)[draws.pick]
        stiff_s, set_s = (
            seconds_in_air(from_c, t_c, wall_mm, heat=heat[: len(t_c)]) for t_c in (softens, sets)
        )
        softness.append(
            Softness(
                recipe,
                Interval.of_draws(stiff_s, "s"),
                Interval.of_draws(set_s, "s"),
                Interval.of_draws(sets, "°C"),
            )
        )
    dull, paper = (
        Interval.of_draws(seconds_in_air(from_c, np.array([t_c]), wall_mm, heat=heat), "s")
        for t_c in (DULL_RED_C, PAPER_BURNS_C)
    )
    return AfterPull(from_c, dull, paper, smoke, tuple(softness))
