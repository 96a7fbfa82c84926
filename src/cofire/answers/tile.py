"""The expansion of a body from the cracks on fired tiles."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from cofire.arrays import Array
from cofire.errors import refusal
from cofire.files.library import Library
from cofire.fit.crackle import FLAWS_PER_MM, spacing_mm
from cofire.glass.estimate import Z90
from cofire.model.conditions import Conditions
from cofire.model.fit import FitDraws, fit_draws
from cofire.model.glaze_draws import Drawing
from cofire.model.interval import Interval
from cofire.model.outcome import draw_recipe
from cofire.read.coat import Coat, read_coat
from cofire.read.number import items, short
from cofire.read.units import millimetres
from cofire.record import Record
from cofire.records import Body, Recipe, Shape

#: Counting cracks along a line tells their mean distance to about this (1 sd of its logarithm),
#: tile for tile; our choice.
_SPACING_SPREAD = 0.4
#: Flaws per mm that are tried, and how far (1 sd of the logarithm) a clay's may be from what is the
#: default; our choice.
_FLAWS_PER_MM = np.geomspace(0.01, 1.5, 13)
_FLAWS_SPREAD = 1.0
#: Body expansions tried, 1e-6/K: wide enough for any clay, so that the result is the tile's word
#: and not the file's.
_TRIED_1E6_PER_K = (3.0, 12.0)
_DRAWS = 1500


@dataclass(frozen=True, eq=False)
class Tile:
    """One tile: a known glaze on the clay in question, and what was seen on it."""

    recipe: Recipe
    coat: Coat
    seen: str  # “crazed”, “black” (cracks that turned black), “whole” or “shivered”
    spacing_mm: float | None = None


@dataclass(frozen=True, eq=False, repr=False)
class TileAnswer(Record):
    """The body's mean expansion over its file's range, 1e-6/K, as tiles tell it and as its file
    does; ``odds_of_these_tiles`` are those that they come out so on
    the clay that explains them best."""

    body: Body
    alpha_body_from_tiles: Interval
    open_below: bool  # whether the tiles leave the lower, or the upper, end open
    open_above: bool
    alpha_body_in_file: Interval
    alpha_body_together: Interval | None  # None where one denies the other
    tiles_and_file_agree: bool  # whether both can be right
    odds_of_these_tiles: float
    shape: Shape
    wall_mm: float
    cooling: str
    flaws_per_mm: Interval | None = None  # that start cracks, where their distance was measured
    schema: ClassVar = "tile"


def read_tile(library: Library, text: str) -> Tile:
    """“clear-crackle, 0.25 mm fired, crazed 4 mm” -> a tile. Raises CofireError."""
    *name, thick, what = ["", "", *items(short(text))]
    seen, _, apart = what.lower().partition(" ")
    cracked = seen in ("crazed", "black")
    if len(name) < 3 or not (cracked or what.lower() in ("whole", "shivered")):
        raise refusal("no-such-tile", text=text)
    spacing = millimetres(apart) if apart else None
    if spacing is not None and not 0.2 <= spacing <= 200.0:
        raise refusal("no-such-net", spacing=spacing)
    return Tile(library.recipe(", ".join(name[2:])), read_coat(thick), seen, spacing)


def read_tiles(tiles: Sequence[Tile], at: Conditions) -> TileAnswer:
    """Weight possible expansions of a body by how well they explain the tiles.

    Bayes with a flat prior: a tile counts by its odds of coming out as it did. Raises
    CompositionError when nothing tried explains them.
    """
    if not tiles:
        raise refusal("no-tile")
    if at.body_draws is None:
        raise refusal("no-body")
    body, base = at.body_draws.body, at.body_draws.some(_DRAWS)
    grid = np.linspace(*_TRIED_1E6_PER_K, 46)
    far = np.log(_FLAWS_PER_MM / FLAWS_PER_MM) / _FLAWS_SPREAD
    log_odds = np.zeros((len(grid), len(_FLAWS_PER_MM)))
    for tile in tiles:
        if tile.seen == "black" and at.cooling_curve.path is None:
            raise refusal("black-cracks-without-pull")
        coated = at.with_coat(tile.coat)
        glaze = draw_recipe(tile.recipe, coated, Drawing(_DRAWS))
        for k, alpha in enumerate(grid):
            body_draws = base.with_alpha(float(alpha))
            fits = fit_draws(glaze, body_draws, coated)
            log_odds[k] += np.log(np.maximum(_odds(tile, fits), 1e-6))
    agrees = float(np.exp(log_odds.max()))
    if agrees < 1e-3 ** len(tiles):
        raise refusal("tiles-contradict")
    joint = np.exp(log_odds - log_odds.max() - 0.5 * far**2)
    weight = joint.sum(axis=1) / joint.sum(axis=1).max()
    before = Interval.of_draws(base.alpha_1e6_per_k, "1e-6/K")
    sd = max((before.high - before.low) / (2.0 * Z90), 0.05)
    file_says = np.exp(-0.5 * ((grid - before.value) / sd) ** 2)
    estimate = _interval(grid, weight)
    assert estimate is not None  # the likeliest point has a weight of 1
    flaws = None
    if any(tile.spacing_mm is not None for tile in tiles):
        # here the clay is what tiles and file say together
        weights = (joint * file_says[:, None]).sum(axis=0)
        if logs := _interval(np.log(_FLAWS_PER_MM), weights):
            value, low, high = (float(np.exp(v)) for v in (logs.value, logs.low, logs.high))
            flaws = Interval(value, low, high, 0.9, "1/mm")
    return TileAnswer(
        body,
        estimate,
        bool(weight[0] > 0.3),
        bool(weight[-1] > 0.3),
        before,
        _interval(grid, weight * file_says),
        estimate.low <= before.high and before.low <= estimate.high,
        agrees,
        at.shape,
        at.wall_mm,
        at.cooling_curve.words,
        flaws,
    )


def _interval(grid: Array, weight: Array) -> Interval | None:
    """The middle and 90 % of a weighted grid; None where every weight is nothing."""
    if not weight.sum() > 0.0:
        return None
    # each point of the grid stands for what lies half a step to either side
    cumulative = (np.cumsum(weight) - 0.5 * weight) / weight.sum()
    low, middle, high = (float(np.interp(q, cumulative, grid)) for q in (0.05, 0.5, 0.95))
    return Interval(middle, low, high, 0.9, "1e-6/K")


def _odds(tile: Tile, fits: FitDraws) -> Array:
    """Odds (F,) that a tile comes out as it did, for each number of flaws."""
    same = np.ones(len(_FLAWS_PER_MM))
    if tile.seen == "shivered":
        return float(fits.could_shiver.mean()) * same
    if tile.seen == "whole":
        return float((~fits.crazes_now & ~fits.shivers).mean()) * same
    pull = fits.max_tension_mpa
    if tile.seen == "black" and fits.pulled is not None:
        pull = fits.pulled.smoke_mpa
    cracked = pull >= fits.critical_mpa
    if tile.spacing_mm is None or not cracked.any():
        return float(cracked.mean()) * same
    of = (v[cracked] for v in (pull, fits.critical_mpa, fits.coat_mm, fits.z))
    pull, critical, coat_mm, z = of
    odds = []
    for flaws in _FLAWS_PER_MM:
        spacing = spacing_mm(pull, critical, coat_mm, z, float(flaws))
        off = (np.log(spacing) - np.log(tile.spacing_mm)) / _SPACING_SPREAD
        odds.append(float(cracked.mean() * np.exp(-0.5 * off**2).mean()))
    return np.array(odds)
