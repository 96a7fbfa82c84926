"""Draws of a glaze whose recipe is not known: what bought glazes are like, what the bucket says
and what tiles on known clays say."""

from __future__ import annotations

import zlib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from cofire import glass
from cofire.arrays import Array
from cofire.errors import refusal
from cofire.files.bought import STANDS_IN, Bought
from cofire.files.fired import FiredTile
from cofire.firing.cones import KELVIN, cones
from cofire.fit.crackle import FLAWS_PER_MM
from cofire.glass.estimate import Z90
from cofire.model.body_draws import FLAWS_SPREAD
from cofire.model.conditions import Conditions
from cofire.model.fit import fit_draws
from cofire.model.glaze_draws import MIDDLE, Drawing, GlazeDraws, draw_glazes
from cofire.model.glaze_set import glaze_set
from cofire.model.interval import Interval
from cofire.model.melt_range import peaks
from cofire.model.standard_draws import N_ANALYSES, normals, rank_of
from cofire.model.tile_odds import odds_seen, odds_spaced
from cofire.names import plain
from cofire.records import SURFACES, Surface
from cofire.ripeness.judge import DEFAULT as CRITERIA

#: Expansion of low-fire glazes, 20-300 °C, 1e-6/K, mean and 1 sd. The 2108 measured glasses (346
#: publications) that hold over 4 mol % B2O3 and over 1 % Al2O3 and reach 10^4 Pa·s at 780 to
#: 1000 °C have 6.6 and 1.7. What is sold as a crackle, or with metal for lustre, is softer with
#: more alkali: from memory of such recipes, which come to 7.5 to 9.
_USUAL, _CRACKLED = (6.6, 1.7), (8.3, 1.2)
_LIKE_CRACKLES: tuple[Surface, ...] = ("crackle", "lustre")
#: Expansions tried, 1e-6/K.
GRID = np.linspace(1.5, 13.5, 61)
#: Flaws per mm that are tried.
_FLAWS = np.geomspace(0.01, 1.5, 13)
_DRAWS = 1024
#: Odds, tile for tile, below which about half of the tiles would have to be mistakes; our choice.
_HALF_MISTAKEN = 0.12
#: Odds of a single tile below which nothing explains it; our choice.
_NEVER = 0.001
#: A glaze is just ripe so far below the coolest peak that its bucket names, °C, mean and 1 sd: six
#: textbook glazes of a stated cone (``tests/published/outcomes.csv``, from memory) are so, as our
#: own melting counts it, 50 to 160 °C below. Makers leave room for thick coats and cold corners.
_BELOW_C = 105.0, 50.0
#: How far glazes that ripen alike differ where they set, 1 sd, °C: the demo recipes reach 10^12
#: Pa·s 305 to 370 °C below 10^4; our choice.
_SETS_SD_C = 25.0
#: Stiffness of low-fire glazes, 1 sd, GPa: those of recipes come to 60 to 85; from memory.
_STIFFNESS_SD_GPA = 6.0
#: Peaks that can be meant, °C.
_PEAKS_C = (600.0, 1240.0)
#: The firing of a bucket's cone climbs its last 300 °C at the middle rate of the chart, °C/h.
_CLIMB_C_PER_H, _CLIMB_C = 60.0, 300.0


def ripe_c(bought: Bought) -> tuple[float, float]:
    """The two peaks, °C at 60 °C/h, between which the bucket says it is ripe. Raises
    DataFileError."""
    chart = cones()
    known = dict(zip(chart.names, chart.end_c[:, 1], strict=True))
    low, high = (float(known.get(end, np.nan)) if isinstance(end, str) else end
                 for end in bought.ripe)  # fmt: skip
    if not _PEAKS_C[0] <= low <= high <= _PEAKS_C[1]:
        raise refusal(
            "bucket-beyond",
            bought.place,
            glaze=bought.name,
            least_c=_PEAKS_C[0],
            most_c=_PEAKS_C[1],
        )
    return low, high


@dataclass(frozen=True, eq=False)
class Expansion:
    """How likely each expansion of ``GRID`` is, (A,), summing to one."""

    odds: Array

    @property
    def interval(self) -> Interval:
        low, middle, high = np.interp((0.05, 0.5, 0.95), self._below, GRID)
        return Interval(float(middle), float(low), float(high), 0.9, "1e-6/K")

    def at(self, rank: Array) -> Array:
        """Expansions at ranks (n,) from 0 to 1."""
        return np.interp(rank, self._below, GRID)

    @property
    def _below(self) -> Array:
        # each point of the grid stands for what lies half a step to either side
        return np.asarray(np.cumsum(self.odds) - 0.5 * self.odds)


def prior_of(surface: Surface) -> Expansion:
    """What is known of a bucket's expansion by what it is sold as."""
    mean, sd = _CRACKLED if surface in _LIKE_CRACKLES else _USUAL
    odds = np.exp(-0.5 * ((GRID - mean) / sd) ** 2)
    return Expansion(odds / odds.sum())


@lru_cache(maxsize=32)
def expansion_of(bought: Bought) -> Expansion:
    """Mean expansion 20-300 °C as bucket and tiles tell it. Raises QuantityError where no expansion
    explains the tiles."""
    before = prior_of(bought.surface)
    if not bought.tiles:
        return before
    return learned(bought, before, [likely(bought, k, tile) for k, tile in enumerate(bought.tiles)])


def learned(bought: Bought, before: Expansion, tiles: Sequence[tuple[Array, Array]]) -> Expansion:
    """Bayes, of the likelihoods of tiles. What tiles share (errors of clay and law) is common to
    all of them draw for draw, and integrated last. Raises QuantityError where nothing explains
    them."""
    seen = np.prod([one for one, _ in tiles], axis=0)  # (A, n)
    spaced = np.prod([many for _, many in tiles], axis=0)  # (A, F, n)
    prior = np.exp(-0.5 * (np.log(_FLAWS / FLAWS_PER_MM) / FLAWS_SPREAD) ** 2)
    odds = np.einsum("f,afn,an->a", prior / prior.sum(), spaced, seen) / seen.shape[1]
    # what is rare contradicts nothing as long as it is alone
    if odds.max() < (_HALF_MISTAKEN ** len(tiles) if len(tiles) > 1 else _NEVER):
        raise refusal("tiles-of-bought-contradict", bought.place, glaze=bought.name)
    odds = before.odds * odds
    return Expansion(odds / odds.sum())


def likely(bought: Bought, number: int, tile: FiredTile) -> tuple[Array, Array]:
    """Likelihoods of one tile by expansion: of what was seen (A, n), and of the distance of cracks
    by the number of flaws (A, F, n). The ``number`` of a tile gives it a coat of its own."""
    at = Conditions(
        body=tile.body,
        firing=tile.firing,
        wall_mm=tile.wall_mm,
        shape=tile.shape,
        cooling_asked=tile.cooling,
        coats=(tile.coat,),
    )
    assert at.body_draws is not None
    if tile.seen.seen == "black" and at.cooling_curve.path is None:
        raise refusal("black-cracks-without-pull")
    body = at.body_draws.some(_DRAWS)
    still = replace(body, scatter_mpa=np.zeros(_DRAWS))
    scatter = np.array([body.body.scatter_mpa])
    glaze = _before_tiles(bought, at, Drawing(_DRAWS)).restreamed(at, 0, number)
    seen = np.zeros((len(GRID), _DRAWS))
    spaced = np.ones((len(GRID), len(_FLAWS), _DRAWS))
    for row, alpha in enumerate(GRID):
        fits = fit_draws(_with_expansion(glaze, np.full(_DRAWS, alpha)), still, at)
        seen[row] = odds_seen(tile.seen.seen, fits, body, tile.seen.years, scatter)[0]
        if tile.seen.spacing_mm is not None:
            spaced[row] = odds_spaced(
                tile.seen.spacing_mm, tile.seen.seen, fits, float(scatter[0]), _FLAWS
            )
    return seen, spaced


def draw_bought(bought: Bought, at: Conditions, how: Drawing) -> GlazeDraws:
    """Draws of a bought glaze. Raises DataFileError for a bucket that no kiln here can ripen, and
    as ``expansion_of``."""
    rank = np.full(how.n, 0.5)
    if "expansion" in how.sources:
        rank = rank_of(normals("expansion", how.n, _stream(bought)))
    return _with_expansion(_before_tiles(bought, at, how), expansion_of(bought).at(rank))


def _stream(bought: Bought) -> int:
    """What is not known of two buckets is not the same: each has draws of its own."""
    return 1 + zlib.crc32(plain(bought.name).encode())


def _with_expansion(draws: GlazeDraws, alpha: Array) -> GlazeDraws:
    """The same with mean expansions (n,), 20-300 °C."""
    stand_in = float(glass.expansion(draws.middle).value[0])
    return replace(draws, alpha_error=alpha - stand_in)


def _before_tiles(bought: Bought, at: Conditions, how: Drawing) -> GlazeDraws:
    """As ``draw_bought``, with the expansion of the stand-in."""
    glazes, parts = glaze_set(bought)
    drawn = replace(how, sources=how.sources - {"viscosity", "expansion", "dissolving"})
    draws = draw_glazes(replace(glazes, analysed=False), parts[None, :], at, drawn)
    curve, count = draws.curve, len(draws.curve.t12_k)
    at_c, sd_c = _ripens_c(bought)
    z = normals("viscosity", 2 * N_ANALYSES, _stream(bought)).reshape(2, -1)
    z = z[:, :count] if "viscosity" in how.sources else np.zeros((2, count))
    # moved in proportion on the scale of kelvins, then turned about where it ripens
    ripens_k = at_c + sd_c * z[0] + KELVIN
    moved = ripens_k / (_stand_in_ripens_c(bought.surface) + KELVIN)
    turned = replace(curve, m=curve.m * (1.0 + _turn(curve, moved) * _SETS_SD_C * z[1]))
    moved = moved * (curve.isokom(4.0) + KELVIN) / (turned.isokom(4.0) + KELVIN)
    stiff = draws.youngs_gpa
    if "stiffness" in how.sources:
        stiff = stiff + _STIFFNESS_SD_GPA * normals("stiffness", how.n, _stream(bought))
    return replace(
        draws,
        curve=replace(turned, t12_k=turned.t12_k * moved),
        youngs_gpa=np.maximum(stiff, 40.0),
        # crystals of a matte nobody knows: they may grow all the time
        liquidus_c=np.full_like(draws.liquidus_c, 2000.0),
    )


def _turn(curve: glass.ViscosityCurve, moved: Array) -> Array:
    """Share of m that moves 10^12 Pa·s by 1 °C while 10^4 Pa·s stays."""
    step = 0.02
    other = replace(curve, m=curve.m * (1.0 + step))
    gap, after = ((c.t12_k / (c.isokom(4.0) + KELVIN)) for c in (curve, other))
    per_step = (after / gap - 1.0) * curve.t12_k * moved
    return np.asarray(step / per_step)


def just_ripe_c(bought: Bought) -> Interval:
    """The peak at which it is just ripe, °C at 60 °C/h."""
    at_c, sd_c = _ripens_c(bought)
    return Interval(at_c, at_c - Z90 * sd_c, at_c + Z90 * sd_c, 0.9, "°C")


def _ripens_c(bought: Bought) -> tuple[float, float]:
    """The same as mean and 1 sd."""
    below_c, sd_c = _BELOW_C
    return ripe_c(bought)[0] - below_c, sd_c


@lru_cache(maxsize=len(SURFACES))
def _stand_in_ripens_c(surface: Surface) -> float:
    """The peak at which the stand-in is just ripe, °C at 60 °C/h."""
    glazes, parts = glaze_set(replace(STANDS_IN, surface=surface))
    middle = draw_glazes(glazes, parts[None, :], Conditions(), MIDDLE)
    time_s = np.linspace(0.0, 3600.0 * _CLIMB_C / _CLIMB_C_PER_H, 301)
    climb_c = 950.0 - _CLIMB_C + _CLIMB_C_PER_H / 3600.0 * time_s
    return float(peaks(middle, time_s, climb_c, CRITERIA).matures_c[0])
