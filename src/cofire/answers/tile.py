"""The expansion of a body from the cracks on fired tiles."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import ClassVar

import numpy as np

from cofire.arrays import Array
from cofire.errors import refusal
from cofire.files.library import Library
from cofire.fit.crackle import FLAWS_PER_MM
from cofire.glass.estimate import Z90
from cofire.model.body_draws import FLAWS_SPREAD, BodyDraws
from cofire.model.conditions import Conditions
from cofire.model.fit import fit_draws
from cofire.model.glaze_draws import Drawing
from cofire.model.interval import Interval
from cofire.model.outcome import draw_recipe
from cofire.model.tile_odds import odds_seen, odds_spaced
from cofire.read.came_out import LOOKED_AT_YEARS, read_came_out
from cofire.read.coat import Coat, read_coat
from cofire.read.number import items, short
from cofire.record import Record
from cofire.records import Body, Recipe, Seen, Shape

#: Flaws per mm that are tried.
_FLAWS_PER_MM = np.geomspace(0.01, 1.5, 13)
#: Scatter between pots that is tried, MPa, and how far (1 sd of the logarithm) a studio's may be
#: from what is taken for all; our choice.
_SCATTER_MPA, _SCATTER_SPREAD = np.array([2.0, 3.5, 5.5, 8.0, 11.0, 15.0]), 0.5
#: Body expansions tried, 1e-6/K: wide enough for any clay, so that the result is the tile's word
#: and not the file's.
_TRIED_1E6_PER_K = (3.0, 12.0)
_GRID = np.linspace(*_TRIED_1E6_PER_K, 46)
#: What tiles say of a clay between those is straight: a file may know its clay better than a step.
_FINE = np.linspace(*_TRIED_1E6_PER_K, 1801)
_LEAST_SD = 0.01
_DRAWS = 1024


@dataclass(frozen=True, eq=False)
class Tile:
    """One tile: a known glaze on the clay in question, and what was seen on it."""

    recipe: Recipe
    coat: Coat
    seen: Seen  # “crazed”, “black” (cracks that turned black), “whole” or “shivered”
    spacing_mm: float | None = None
    years: float = LOOKED_AT_YEARS
    at: Conditions | None = None  # where it was fired otherwise than the others


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
    onset_factor: Interval | None = None  # on the stress that starts cracks; as tiles and file say
    moisture_expansion_percent: Interval | None = None  # in ten years; likewise
    scatter_mpa: Interval | None = None  # between tiles made alike
    records: int = 0  # how many of the tiles were written down in the studio
    left_out: tuple[str, ...] = ()  # records whose recipe is not what it was then
    schema: ClassVar = "tile"


def read_tile(library: Library, text: str) -> Tile:
    """“clear-crackle, 0.25 mm fired, crazed 4 mm” -> a tile. Raises CofireError."""
    *name, thick, what = ["", "", *items(short(text))]
    if len(name) < 3:
        raise refusal("no-such-tile", text=text)
    seen = read_came_out(what)
    recipe = library.recipe(", ".join(name[2:]))
    return Tile(recipe, read_coat(thick), seen.seen, seen.spacing_mm, seen.years)


def read_tiles(tiles: Sequence[Tile], at: Conditions) -> TileAnswer:
    """Weight possible expansions of a body by how well they explain the tiles.

    Bayes with a flat prior. What tiles share (errors of the glaze, the clay and the law) is common
    to all of them, draw for draw, and integrated last: the same tile ten times is not ten tiles.
    Coats and scatter are each tile's own. Raises CompositionError when nothing tried explains them.
    """
    if not tiles:
        raise refusal("no-tile")
    if at.body_draws is None:
        raise refusal("no-body")
    body, base = at.body_draws.body, at.body_draws.some(_DRAWS)
    likely = _Likelihood.of(tiles, at, base)
    odds = likely.odds()  # (A, S, F)
    agrees = float(odds.max())
    if agrees < 1e-3 ** len(tiles):
        raise refusal("tiles-contradict")
    weight = (odds * likely.prior).sum(axis=(1, 2))
    weight /= weight.max()
    before = Interval.of_draws(base.alpha_1e6_per_k, "1e-6/K")
    sd = max((before.high - before.low) / (2.0 * Z90), _LEAST_SD)
    fine = np.interp(_FINE, _GRID, weight)
    estimate = _interval(_FINE, fine)
    assert estimate is not None  # the likeliest point has a weight of 1
    # a file of a clay beyond all that is tried says nothing of those
    heard = float(_TRIED_1E6_PER_K[0] <= before.value <= _TRIED_1E6_PER_K[1])
    coarse = max(sd, 0.5 * (_GRID[1] - _GRID[0]))
    file_says = heard * np.exp(-0.5 * ((_GRID - before.value) / coarse) ** 2)
    # of the rest: here the clay is what tiles and file say together
    together = odds * likely.prior * file_says[:, None, None]
    flaws = scatter = onset = moisture = None
    if together.sum() > 0.0:
        if any(tile.spacing_mm is not None for tile in tiles):
            flaws = _of_logs(_FLAWS_PER_MM, together.sum(axis=(0, 1)), "1/mm")
        scatter = _of_logs(_SCATTER_MPA, together.sum(axis=(0, 2)), "MPa")
        draws = likely.draws(file_says)
        onset = _weighted(base.onset_factor, draws, "")
        if base.moisture.any():
            moisture = _weighted(100.0 * base.moisture, draws, "%")
    return TileAnswer(
        body,
        estimate,
        bool(weight[0] > 0.3),
        bool(weight[-1] > 0.3),
        before,
        _interval(_FINE, heard * fine * np.exp(-0.5 * ((_FINE - before.value) / sd) ** 2)),
        estimate.low <= before.high and before.low <= estimate.high,
        agrees,
        at.shape,
        at.wall_mm,
        at.cooling_curve.words,
        flaws,
        onset,
        moisture,
        scatter,
    )


@dataclass(frozen=True, eq=False)
class _Likelihood:
    """Of all tiles, by expansion (A), scatter (S), flaws (F) and draw (n)."""

    seen: Array  # (A, S, n)
    spaced: Array  # (A, F, n)
    prior: Array  # (S, F)

    @classmethod
    def of(cls, tiles: Sequence[Tile], at: Conditions, base: BodyDraws) -> _Likelihood:
        still = replace(base, scatter_mpa=np.zeros(_DRAWS))
        middle = at.body_draws.body.scatter_mpa if at.body_draws else 8.0
        seen = np.zeros((len(_GRID), len(_SCATTER_MPA), _DRAWS))
        spaced = np.zeros((len(_GRID), len(_FLAWS_PER_MM), _DRAWS))
        for k, tile in enumerate(tiles):
            coated = (tile.at or at).with_coat(tile.coat)
            if tile.seen == "black" and coated.cooling_curve.path is None:
                raise refusal("black-cracks-without-pull")
            glaze = draw_recipe(tile.recipe, coated, Drawing(_DRAWS)).restreamed(coated, 0, k)
            for row, alpha in enumerate(_GRID):
                body = still.with_alpha(float(alpha))
                fits = fit_draws(glaze, body, coated)
                seen[row] += np.log(odds_seen(tile.seen, fits, body, tile.years, _SCATTER_MPA))
                if tile.spacing_mm is not None:
                    likely = odds_spaced(tile.spacing_mm, tile.seen, fits, middle, _FLAWS_PER_MM)
                    spaced[row] += np.log(likely)
        far = np.log(_FLAWS_PER_MM / (base.body.flaws_per_mm or FLAWS_PER_MM)) / FLAWS_SPREAD
        off = np.log(_SCATTER_MPA / max(middle, 1.0)) / _SCATTER_SPREAD
        prior = np.exp(-0.5 * (off[:, None] ** 2 + far**2))
        return cls(np.exp(seen), np.exp(spaced), prior)

    def odds(self) -> Array:
        """Odds (A, S, F) of the tiles."""
        return np.asarray(self.seen @ self.spaced.transpose(0, 2, 1) / self.seen.shape[-1])

    def draws(self, of_grid: Array) -> Array:
        """Weight (n,) of each draw, for weights (A,) of the expansions."""
        spaced = np.einsum("sf,afn->asn", self.prior, self.spaced)
        return np.asarray(np.einsum("a,asn,asn->n", of_grid, self.seen, spaced))


def _of_logs(grid: Array, weight: Array, unit: str) -> Interval | None:
    logs = _interval(np.log(grid), weight)
    if logs is None:
        return None
    value, low, high = (float(np.exp(v)) for v in (logs.value, logs.low, logs.high))
    return Interval(value, low, high, 0.9, unit)


def _weighted(values: Array, weight: Array, unit: str) -> Interval | None:
    """The middle and 90 % of weighted draws (n,)."""
    order = np.argsort(values)
    found = _interval(values[order], weight[order])
    return None if found is None else replace(found, unit=unit)


def _interval(grid: Array, weight: Array) -> Interval | None:
    """The middle and 90 % of a weighted grid; None where every weight is nothing."""
    if not weight.sum() > 0.0:
        return None
    # each point of the grid stands for what lies half a step to either side
    cumulative = (np.cumsum(weight) - 0.5 * weight) / weight.sum()
    low, middle, high = (float(np.interp(q, cumulative, grid)) for q in (0.05, 0.5, 0.95))
    return Interval(middle, low, high, 0.9, "1e-6/K")
