"""A fired tile read backwards: what its cracks say about the clay it is on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from cofire.answers.coat import Coat
from cofire.answers.cooling import cooling
from cofire.answers.draws import draw_body, draw_glaze, quantiles
from cofire.answers.fit import FitDraws, fit_draws
from cofire.answers.formula import Interval
from cofire.arrays import Array
from cofire.errors import CompositionError
from cofire.glass.estimate import Z90
from cofire.records import Body, Firing, Recipe, Shape

#: Counting cracks along a line tells their mean distance to about this (1 sd of its logarithm),
#: and the model of crack spacing is hardly better than a factor of two; our choice.
_SPACING_SPREAD = 0.7
#: Body expansions tried, 1e-6/K: wide enough for any clay, so that what comes out is the tile's
#: word and not the file's.
_TRIED_1E6_PER_K = (3.0, 12.0)
_DRAWS = 4000


@dataclass(frozen=True, eq=False)
class Tile:
    """One tile: a known glaze on the clay in question, and what was seen on it."""

    recipe: Recipe
    coat: Coat
    seen: str  # “crazed”, “whole” or “shivered”
    spacing_mm: float | None = None


@dataclass(frozen=True, eq=False)
class TileAnswer:
    """The body's mean expansion to the set temperature, 1e-6/K, as tiles tell it and as its file
    does; ``agrees`` are the odds of these tiles on the clay that explains them best."""

    body: Body
    alpha_body: Interval
    open_below: bool  # whether the tiles leave the lower, or the upper, end open
    open_above: bool
    before: Interval
    together: Interval
    overlap: bool  # whether tiles and file can both be right
    agrees: float


def read_tiles(
    tiles: Sequence[Tile],
    body: Body,
    *,
    firing: Firing | None = None,
    wall_mm: float = 6.0,
    shape: Shape = "pot",
    cooled: str | None = None,
) -> TileAnswer:
    """Weigh the expansions a clay could have by how well they explain the tiles.

    Bayes with a flat prior: a tile counts by its odds of coming out as it did. Raises
    CompositionError when nothing tried explains them.
    """
    if not tiles:
        raise CompositionError("no tile was given.")
    cool = cooling(firing, wall_mm, cooled, shape)
    base = draw_body(body).some(_DRAWS)
    grid = np.linspace(*_TRIED_1E6_PER_K, 46)
    log_weight = np.zeros(len(grid))
    for tile in tiles:
        glaze = draw_glaze(tile.recipe, tile.coat, _DRAWS)
        odds = np.array(
            [
                _odds(tile, fit_draws(
                    tile.recipe, glaze, base.with_alpha(float(alpha)), wall_mm, cool, shape
                ))
                for alpha in grid
            ]
        )  # fmt: skip
        log_weight += np.log(np.maximum(odds, 1e-6))
    weight = np.exp(log_weight - log_weight.max())
    agrees = float(np.exp(log_weight.max()))
    if agrees < 1e-3 ** len(tiles):
        raise CompositionError(
            "no clay explains these tiles together.",
            hint="Check which glaze and which coat each of them has.",
        )
    before = Interval(*quantiles(base.alpha_1e6_per_k), 0.9, "1e-6/K")
    sd = max((before.high - before.low) / (2.0 * Z90), 0.05)
    file_says = np.exp(-0.5 * ((grid - before.value) / sd) ** 2)
    told = _interval(grid, weight)
    return TileAnswer(
        body,
        told,
        bool(weight[0] > 0.3),
        bool(weight[-1] > 0.3),
        before,
        _interval(grid, weight * file_says),
        told.low <= before.high and before.low <= told.high,
        agrees,
    )


def _interval(grid: Array, weight: Array) -> Interval:
    cumulative = np.cumsum(weight) / weight.sum()
    low, middle, high = (float(np.interp(q, cumulative, grid)) for q in (0.05, 0.5, 0.95))
    return Interval(middle, low, high, 0.9, "1e-6/K")


def _odds(tile: Tile, fits: FitDraws) -> float:
    """Odds that a tile comes out as it did."""
    if tile.seen == "shivered":
        return float(fits.could_shiver.mean())
    if tile.seen == "whole":
        return float((~fits.crazes_now & ~fits.shivers).mean())
    if tile.spacing_mm is None:
        return float(fits.crazes_now.mean())
    crazed: Array = fits.spacing_mm[fits.crazes_now]
    if not len(crazed):
        return 0.0
    off = (np.log(crazed) - np.log(tile.spacing_mm)) / _SPACING_SPREAD
    return float(fits.crazes_now.mean() * np.exp(-0.5 * off**2).mean())
