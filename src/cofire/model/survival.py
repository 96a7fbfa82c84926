"""Will the pot itself survive the pull, and the quench?"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise
from typing import ClassVar, NamedTuple

import numpy as np

from cofire.arrays import Array, Mask
from cofire.firing.wall import INSIDE_OF_POT, ROOM_C, Stay, WallPath, wall_path
from cofire.fit.shock import edge_crack_mpa_m05, held_mpa
from cofire.fit.stress import CRISTOBALITE_C, QUARTZ_C, biaxial_gpa, body_strain
from cofire.model.body_draws import BodyDraws, from_pair, middle_strain
from cofire.model.cooling import Cooling, Way, other_walls, pulled_paths
from cofire.model.smoke import gradient_factor
from cofire.records import Shape, Smoke

#: Depth of the flaws a grogged, porous wall is full of: a grain or a pore, mm, 5 % and 95 % ends;
#: from memory of grog of 30 to 80 mesh (0.6 to 0.18 mm) and coarser.
_FLAW_MM = (0.3, 1.5)
#: Depths at which a crack is looked at, as shares of the wall; beyond the middle it is through.
_DEPTHS = np.array([0.03, 0.06, 0.10, 0.15, 0.20, 0.27, 0.35, 0.45])
#: Weights of a mean over them, straight from one to the next.
_MEAN_OVER_DEPTHS = np.trapezoid(np.eye(len(_DEPTHS)), _DEPTHS) / (_DEPTHS[-1] - _DEPTHS[0])
#: A rim cools before the foot and tongs chill one spot: more stress than an even wall has, as a
#: factor, 5 % and 95 % ends; from memory.
_UNEVEN = (1.0, 1.5)
#: Other walls (mm) and times in the bin before a quench (min) to compare with.
_WALLS_MM = (4.0, 6.0, 8.0, 12.0)
_BINS_MIN = (10.0, 20.0, 30.0, 45.0)
#: Draws of the answer and of the comparisons: odds to 1 and to 2 per cent.
_DRAWS, _FEWER = 2000, 600
#: Toughness over what it is taken to be: known to a factor of two in all (from memory), beside how
#: clays differ.
_TOUGHER = (1.0, 0.5**0.5, 2.0**0.5)
#: Kilns that a cold pot may be put into, °C; how thick a foot is over its wall (common practice, no
#: source); and until both are warm, s.
_KILNS_C = (200.0, 400.0, 600.0, 800.0)
_FOOT, _WARMS_S = 1.7, 1800.0
#: Moments looked at for each cause of stress.
_MOMENTS = 14


class WithWall(NamedTuple):
    """Odds in all with another wall."""

    wall_mm: float
    odds: float


class WithBin(NamedTuple):
    """Odds in all with another time in the bin, and how hot it then goes into water."""

    bin_min: float
    into_water_c: float
    odds: float


class IntoKiln(NamedTuple):
    """Odds of a cold pot that is put into a hot kiln."""

    kiln_c: float
    odds: float


@dataclass(frozen=True, eq=False)
class Survival:
    """Odds that the wall does not break, at the pull with its smoke, at the quench, and in all;
    ``low`` and ``high`` are those in all of clays that are as much less or more tough than theirs
    are known to be. ``hairline_starts`` are odds that a crack at least starts somewhere in its
    skin."""

    pull: float
    quench: float | None
    together: float
    low: float
    high: float
    hairline_starts: float
    into_water_c: float | None
    with_walls: tuple[WithWall, ...] = ()
    with_bins: tuple[WithBin, ...] = ()
    into_kiln: tuple[IntoKiln, ...] = ()
    json_also: ClassVar = ("breaks",)

    @property
    def breaks(self) -> str:
        """How many of such pots break, “hardly any to some”."""
        best, worst = (breaks(odds) for odds in (self.high, self.low))
        return best if best == worst else f"{best} to {worst}"


#: Odds of coming whole down to which so many pots break; our choice of words and limits.
_BREAKS = ((0.97, "hardly any"), (0.9, "a few"), (0.7, "some"), (0.4, "many"), (0.0, "most"))


def breaks(odds: float) -> str:
    """How many pots break that come whole with these odds, in words."""
    return next(word for least, word in _BREAKS if odds >= least)


def _intensities(
    path: WallPath, wall_mm: float, body: BodyDraws, trail: Array, start: int, stop: int
) -> Array:
    """Stress intensity (N, D, T), MPa m^0.5, of cracks of all depths between two moments."""
    layers = _finely(path.layers_c[start : stop + 1])
    if body.body.curve is not None:
        strains, sizes = [middle_strain(body.body, layers)], [trail * body.gain]
    else:
        # straight but for the steps of silica: three fields, each drawn with its own size
        to_c, zero, one = body.body.range_c[1], np.zeros(1), np.ones(1)
        strains = [
            1e-6 * layers,
            _quartz_in_wall(layers, to_c),
            body_strain(layers, zero, to_c, one, zero),
        ]
        sizes = [trail * body.alpha_1e6_per_k, body.wall_quartz, body.cristobalite_step]
    fields = [held_mpa(strain, 1.0) for strain in strains]
    size = np.stack(sizes, axis=1) * biaxial_gpa(body.youngs_gpa, body.poisson)[:, None]
    of_fields = np.array(
        [[edge_crack_mpa_m05(f, wall_mm, share * wall_mm) for share in _DEPTHS] for f in fields]
    )
    # the moments at which each field pulls most are enough
    worst = np.argsort(-of_fields.max(axis=1), axis=1)[:, :_MOMENTS]
    of_fields = of_fields[:, :, np.unique(worst)]
    return np.asarray(np.einsum("nf,fdt->ndt", size, of_fields, optimize=True))


def _quartz_in_wall(t_c: Array, to_c: float) -> Array:
    """Strain of free quartz over that of a straight body; a wall is not spared for the flat part
    above the inversion, of which a mean to ``to_c`` says nothing."""
    at = np.arange(20.0, 1201.0, 2.0)
    zero = np.zeros(1)
    extra = body_strain(at, zero, to_c, zero, np.ones(1))
    beyond = at > to_c
    extra[beyond] = np.maximum.accumulate(extra[beyond])
    return np.interp(t_c, at, extra)


#: Steps of silica are some 10 °C wide: a wall is looked at as closely as that while they pass.
_STEP_C = 5.0
_PASSING_C = ((CRISTOBALITE_C - 45.0, CRISTOBALITE_C + 45.0), (QUARTZ_C - 45.0, QUARTZ_C + 45.0))


def _finely(layers_c: Array) -> Array:
    """The same temperatures (T, X) with moments and layers between them, straight from one to the
    next, close enough to follow a step of silica through the wall."""
    depth = np.arange(layers_c.shape[1], dtype=float)
    fine = np.linspace(0.0, depth[-1], 4 * layers_c.shape[1])
    across = np.array([np.interp(fine, depth, row) for row in layers_c])
    out = [across[:1]]
    for before, after in pairwise(across):
        low, high = min(before.min(), after.min()), max(before.max(), after.max())
        passing = any(low < top and high > bottom for bottom, top in _PASSING_C)
        count = int(np.abs(after - before).max() / _STEP_C) + 1 if passing else 1
        share = np.linspace(0.0, 1.0, count + 1)[1:, None]
        out.append((1.0 - share) * before + share * after)
    return np.concatenate(out)


@dataclass(frozen=True, eq=False)
class _Wall:
    """What else is drawn of a wall, (N,)."""

    body: BodyDraws
    trail: Array
    toughness: Array
    through: Array  # toughness against running on
    flaw_mm: Array
    uneven: Array


def _drawn(body: BodyDraws, shape: Shape, n: int) -> _Wall:
    body = body.some(n)
    toughness = body.toughness_mpa_m05
    ratio = np.maximum(from_pair(body.body.work_ratio, "body work ratio", n), 1.0)
    flaw_mm = np.clip(from_pair(_FLAW_MM, "body flaws", n), 0.1, 3.0)
    uneven = np.maximum(from_pair(_UNEVEN, "uneven heat", n), 1.0)
    through = toughness * np.sqrt(ratio)
    return _Wall(body, gradient_factor(shape, body), toughness, through, flaw_mm, uneven)


def _cracks(
    path: WallPath, wall_mm: float, wall: _Wall, trail: Array, start: int, stop: int
) -> tuple[Mask, Mask]:
    """In which draws (N,) a crack starts, and in which it goes through, for each of ``_TOUGHER``
    (B, N).

    It starts where the intensity at a flaw reaches the toughness, and then runs on until what it
    sets free no longer pays for what it breaks (Hasselman, J. Am. Ceram. Soc. 52 (1969) 600): it is
    through when that still pays at the middle of the wall.
    """
    k = np.maximum(_intensities(path, wall_mm, wall.body, trail, start, stop), 0.0)
    k *= wall.uneven[:, None, None]
    at = np.clip(wall.flaw_mm / wall_mm, _DEPTHS[0], _DEPTHS[-1])
    above = np.clip(np.searchsorted(_DEPTHS, at), 1, len(_DEPTHS) - 1)
    rows = np.arange(len(at))
    share = (at - _DEPTHS[above - 1]) / (_DEPTHS[above] - _DEPTHS[above - 1])
    at_flaw = (1.0 - share)[:, None] * k[rows, above - 1] + share[:, None] * k[rows, above]
    k *= k
    pays = np.einsum("ndt,d->nt", k, _MEAN_OVER_DEPTHS)
    through = [
        (at_flaw >= by * wall.toughness[:, None]) & (pays >= (by * wall.through[:, None]) ** 2)
        for by in _TOUGHER
    ]
    starts = at_flaw.max(axis=1) >= wall.toughness
    return starts, np.array([each.any(axis=1) for each in through])


def _breaks(path: WallPath, wall_mm: float, wall: _Wall, smoke: Smoke) -> tuple[Mask, Mask, Mask]:
    """Draws (N,) that crack somewhere, and that break at the pull or in the smoke and at the end,
    for each of ``_TOUGHER`` (B, N)."""
    after, last = path.ends[1], len(path.time_s) - 1
    # water takes heat faster than clay conducts it, so the clay matters little there
    trail = np.ones_like(wall.trail) if smoke.then == "water" else wall.trail
    first, at_pull = _cracks(path, wall_mm, wall, wall.trail, 0, after)
    second, at_end = _cracks(path, wall_mm, wall, trail, after, last)
    return first | second, at_pull, at_end


def survival(
    body: BodyDraws, cooling: Cooling, wall_mm: float, shape: Shape, *, compare: bool = True
) -> Survival:
    """Odds of a pulled pot, ``cooling`` having a path; with ``compare`` also for other walls and
    times in the bin."""
    path, smoke = cooling.path, cooling.smoke
    assert path is not None and smoke is not None
    cracked, at_pull, at_end = _breaks(path, wall_mm, _drawn(body, shape, _DRAWS), smoke)
    wet = smoke.then == "water"
    together, low, high = 1.0 - (at_pull | at_end).mean(axis=1)
    result = Survival(
        pull=1.0 - float(at_pull[0].mean()) if wet else float(together),
        quench=1.0 - float(at_end[0].mean()) if wet else None,
        together=float(together),
        low=float(low),
        high=float(high),
        hairline_starts=float(cracked.mean()),
        into_water_c=float(path.mean_c[path.ends[1]]) if wet else None,
    )
    if not compare:
        return result
    fewer = _drawn(body, shape, _FEWER)
    from_c = float(path.skin_c[0])

    def odds(mm: float, how: Smoke, other: WallPath) -> tuple[float, float]:
        if mm == wall_mm and how == smoke:
            return float(path.mean_c[path.ends[1]]), result.together
        _, at_pull, at_end = _breaks(other, mm, fewer, how)
        return float(other.mean_c[other.ends[1]]), 1.0 - float((at_pull | at_end)[0].mean())

    others = other_walls(_WALLS_MM, Way(from_c, smoke), shape)
    walls = tuple(
        WithWall(mm, odds(mm, smoke, other)[1]) for mm, other in zip(_WALLS_MM, others, strict=True)
    )
    bins = []
    if wet:
        hows = tuple(replace(smoke, bin_min=minutes) for minutes in _BINS_MIN)
        paths = pulled_paths([Way(from_c, how) for how in hows], wall_mm, shape)
        bins = [
            WithBin(how.bin_min, *odds(wall_mm, how, one[0]))
            for how, one in zip(hows, paths, strict=True)
        ]
    hot = tuple(IntoKiln(c, into_hot_kiln(fewer, wall_mm, c, shape)) for c in _KILNS_C)
    return replace(result, with_walls=walls, with_bins=tuple(bins), into_kiln=hot)


def into_hot_kiln(wall: _Wall, wall_mm: float, kiln_c: float, shape: Shape) -> float:
    """Odds that a cold pot does not break when it is put into a kiln at ``kiln_c``.

    What is thick trails what is thin: a foot, ``_FOOT`` times as thick, is pulled apart by the wall
    that has grown already, by half of what they differ (from memory). A crack starts in it at a
    grain, and runs where that still pays at half the depth. Steam, which bursts damp pots, is left
    out.
    """
    stay = (Stay("air", _WARMS_S),)
    inside = 1.0 if shape == "tile" else INSIDE_OF_POT
    both = wall_path(np.array([wall_mm, _FOOT * wall_mm]), ROOM_C, stay, inside, kiln_c)
    body = wall.body
    t_c = both.mean_c[:, both.mean_c[1] < kiln_c - 1.0]
    if body.body.curve is not None:
        thin, thick = (body.gain[:, None] * middle_strain(body.body, one) for one in t_c)
    else:
        drawn = (body.alpha_1e6_per_k, body.cristobalite_step, body.wall_quartz)
        alpha, step, quartz = (values[:, None] for values in drawn)
        thin, thick = (body_strain(one, alpha, body.body.range_c[1], step, quartz) for one in t_c)
    pulls = 0.5 * 1e3 * (body.youngs_gpa * wall.uneven)[:, None] * (thin - thick)
    most = np.maximum(pulls.max(axis=1), 0.0)
    # an edge crack in even stress: 1.12 sigma sqrt(pi a)
    starts, runs = (
        1.12 * most * np.sqrt(np.pi * 1e-3 * depth_mm)
        for depth_mm in (wall.flaw_mm, 0.5 * _FOOT * wall_mm)
    )
    return 1.0 - float(((starts >= wall.toughness) & (runs >= wall.through)).mean())
