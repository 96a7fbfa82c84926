"""After the pull: how long the pot stays soft, and when it may go into the closed bin."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from cofire.arrays import Array
from cofire.firing.history import air_cooling_c_per_s
from cofire.model.cooling import Cooling
from cofire.model.fit import set_points_c
from cofire.model.glaze_draws import GlazeDraws
from cofire.model.interval import Interval
from cofire.records import Recipe, Smoke

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
    """Times in still air, s, from the moment of the pull at ``from_c``."""

    from_c: float
    dull_red_after_s: float
    # both faces free; and a closed pot, whose inside cannot radiate
    no_longer_lights_paper_after_s: tuple[float, float]
    smoke: Smoke
    glazes: tuple[Softness, ...]


#: Stiffer than this a fold of newspaper leaves no mark; between the Littleton point, where a fibre
#: sags by itself (10^6.6), and the transition; our choice. log10 Pa·s.
_STIFF = 8.0


def seconds_in_air(from_c: float, to_c: Array, wall_mm: float) -> Array:
    """How long a pulled pot takes to cool to ``to_c`` (N,), s; 0 where it is colder already."""
    grid = np.linspace(from_c, 40.0, 600)
    slow = 1.0 / air_cooling_c_per_s(wall_mm, grid)
    along = np.concatenate([[0.0], np.cumsum(0.5 * (slow[1:] + slow[:-1]) * -np.diff(grid))])
    return np.asarray(np.interp(-np.asarray(to_c), -grid, along))


def after_pull(
    from_c: float,
    wall_mm: float,
    glazes: list[tuple[Recipe, GlazeDraws]],
    cooling: Cooling,
    smoke: Smoke,
) -> AfterPull:
    """Cooling by radiation and convection from both faces of a wall."""
    softness = []
    for recipe, draws in glazes:
        sets = set_points_c(draws, cooling)
        softens = draws.curve.isokom(_STIFF)[draws.pick]
        softness.append(
            Softness(
                recipe,
                Interval.of_draws(seconds_in_air(from_c, softens, wall_mm), "s"),
                Interval.of_draws(seconds_in_air(from_c, sets, wall_mm), "s"),
                Interval.of_draws(sets, "°C"),
            )
        )
    dull, paper = seconds_in_air(from_c, np.array([DULL_RED_C, PAPER_BURNS_C]), wall_mm)
    return AfterPull(
        from_c, float(dull), (float(paper), 2.0 * float(paper)), smoke, tuple(softness)
    )
