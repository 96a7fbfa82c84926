"""Where one glaze lies over the other: every mixture of the two, and two coats thick."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from cofire.arrays import Array
from cofire.model.conditions import Conditions
from cofire.model.fit import fit_draws
from cofire.model.glaze_draws import Drawing, GlazeDraws, draw_glazes
from cofire.model.glaze_set import GlazeSet, glaze_set
from cofire.model.ripening import fired, stages_at
from cofire.read.coat import Coat
from cofire.records import Recipe
from cofire.ripeness.judge import runs

#: Draws per mixture: odds with a standard error of at most 3 per cent.
DRAWS = 300


def shares_of(pairs: int) -> Array:
    """Shares of the second glaze by weight that are looked at; the ends are the glazes themselves.

    Every 10 % for one pair, every 20 % for more, to keep it quick.
    """
    return np.linspace(0.0, 1.0, 11 if pairs == 1 else 6)


@dataclass(frozen=True, eq=False)
class Overlap:
    """Two glazes over each other at the last pull, as thick as both coats together: odds (M,) that
    each mixture runs, at each ``share_of_second``, and that it crazes by the horizon."""

    first: Recipe
    second: Recipe
    coat_fired_mm: float
    share_of_second: Array  # (M,)
    runs: Array  # (M,)
    crazes: Array | None  # (M,)

    @property
    def worst(self) -> int:
        """Which mixture runs most."""
        return int(self.runs.argmax())


def overlaps(recipes: Sequence[Recipe], at: Conditions) -> tuple[Overlap, ...]:
    """All pairs of the glazes, each over the other, at the last pull of the firing; of a glaze of
    unknown recipe nobody knows the mixture."""
    known = [(k, recipe) for k, recipe in enumerate(recipes) if recipe.known]
    pairs = list(itertools.combinations(known, 2))
    shares = shares_of(len(pairs))
    return tuple(_overlap(first, second, shares, at) for first, second in pairs)


def stays_apart(over: Sequence[Overlap]) -> float:
    """Odds that nothing runs where glazes overlap, at the worst mixture of all."""
    return 1.0 - max((float(one.runs.max()) for one in over), default=0.0)


def _overlap(
    lower: tuple[int, Recipe], upper: tuple[int, Recipe], shares: Array, at: Conditions
) -> Overlap:
    (k, first), (j, second) = lower, upper
    both = with_both_coats(at, k, j)
    draws = draw_mixtures(first, second, shares, both, DRAWS)
    stages = stages_at(at.when[-1:], draws, at.criteria)[0]
    crazed = None
    if at.body_draws is not None:
        fits = fit_draws(fired(draws, at.when), at.body_draws.some(DRAWS).tiled(len(shares)), both)
        crazed = draws.by_glaze(fits.crazes).mean(axis=1)
    ran = draws.by_glaze(runs(stages, at.criteria)).mean(axis=1)
    return Overlap(first, second, both.coat_fired_mm, shares, ran, crazed)


def with_both_coats(at: Conditions, k: int, j: int) -> Conditions:
    """The same where the coats of two layers lie over each other."""
    thick = min(at.coat(k).fired_mm + at.coat(j).fired_mm, at.wall_mm)  # no test for a pot of glaze
    return at.with_coat(Coat(thick, f"both coats, {thick:.2g} mm fired"))


def draw_mixtures(
    first: Recipe, second: Recipe, shares: Array, both: Conditions, n: int
) -> GlazeDraws:
    """``n`` draws of each mixture of two glazes, by shares (M,) of the second."""
    glazes, ends = mixtures(first, second)
    parts = (1.0 - shares[:, None]) * ends[0] + shares[:, None] * ends[1]
    return draw_glazes(glazes, parts, both, Drawing(n))


def mixtures(first: Recipe, second: Recipe) -> tuple[GlazeSet, Array]:
    """Both batches as one set, and what makes 100 g of each fired glaze (2, M)."""
    merged = replace(
        first,
        base=(*first.parts, *second.parts),
        additions=(),
        undissolved={**first.undissolved, **second.undissolved},
        crystals={},
        ambiguous=(),
    )
    glazes, _ = glaze_set(merged)
    column = {m.id: k for k, m in enumerate(glazes.materials)}
    ends = np.zeros((2, len(column)))
    for row, recipe in zip(ends, (first, second), strict=True):
        for part in recipe.parts:
            row[column[part.material.id]] += part.amount
    fired = ends * (1.0 - np.array([m.loi_percent for m in glazes.materials]) / 100.0)
    return glazes, 100.0 * ends / fired.sum(axis=1, keepdims=True)
