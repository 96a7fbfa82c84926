"""The sums behind cracks in a pot, with walls and intensities that are made up."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from cofire.files.library import Library
from cofire.firing.wall import INSIDE_OF_POT, ROOM_C, WallPath
from cofire.model import survival as survival_module
from cofire.model.body_draws import draw_body
from cofire.model.cooling import cooling_of
from cofire.model.survival import (
    _DEPTHS,
    _MEAN_OVER_DEPTHS,
    Survival,
    _breaks,
    _cracks,
    _drawn,
    _finely,
    _intensities,
    _quartz_in_wall,
    _Wall,
    breaks,
    into_hot_kiln,
    survival,
)
from cofire.read.cooling import read_cooling
from cofire.records import Smoke

RAKU, DAY = Library().body("raku"), Library().firing("raku-workshop")
CLAY = draw_body(RAKU)


@pytest.mark.parametrize(
    ("odds", "word"),
    [
        (1.0, "hardly any"), (0.97, "hardly any"), (0.969, "a few"), (0.9, "a few"),
        (0.899, "some"), (0.7, "some"), (0.699, "many"), (0.4, "many"), (0.399, "most"),
        (0.0, "most"),
    ],
)  # fmt: skip
def test_how_many_break_in_words(odds: float, word: str) -> None:
    assert breaks(odds) == word


def test_words_of_a_range_are_said_once_where_they_agree() -> None:
    def said(low: float, high: float) -> str:
        return Survival(0.9, None, 0.9, low, high, 0.5, None).breaks

    assert said(0.91, 0.96) == "a few"
    assert said(0.5, 0.99) == "hardly any to many"


def test_a_mean_over_depths_is_that_of_a_straight_line() -> None:
    """Straight from 3 to 45 % of the wall: 24 % in the mean. A square has, by trapezia, a little
    more than its integral, (0.45³ - 0.03³) / (3 × 0.42)."""
    assert _MEAN_OVER_DEPTHS.sum() == pytest.approx(1.0)
    line, square = (float(_MEAN_OVER_DEPTHS @ _DEPTHS**power) for power in (1, 2))
    assert line == pytest.approx(0.24)
    assert square == pytest.approx((0.45**3 - 0.03**3) / 1.26, rel=0.02)
    assert [_DEPTHS[0], _DEPTHS[-1]] == [0.03, 0.45] and (np.diff(_DEPTHS) > 0.0).all()


@pytest.mark.parametrize(
    ("t_c", "to_c", "percent"),
    [
        # 0.43 % by 300 °C less 280/580 of the 1.4983 % by 600 °C
        (300.0, 600.0, 0.43 - 1.4983 * 280.0 / 580.0),
        # beyond the range the flat part spares nothing: as at its start
        (900.0, 600.0, 1.4981 - 1.4983 * 582.0 / 580.0),
        # 0.90 % by 500 °C; at its highest at 580 °C, 1.4999 %, and stays there
        (580.0, 500.0, 1.4999 - 0.9 * 560.0 / 480.0),
        (900.0, 500.0, 1.4999 - 0.9 * 560.0 / 480.0),
        (20.0, 500.0, 0.0),
        (500.0, 500.0, 0.0),
    ],
)
def test_quartz_over_a_straight_body(t_c: float, to_c: float, percent: float) -> None:
    """By the table of quartz: 0.43 % at 300 °C, 0.90 at 500, 1.50 at 579, 1.49 at 700."""
    found = 100.0 * _quartz_in_wall(np.array([t_c]), to_c)[0]
    assert found == pytest.approx(percent, abs=0.002)


@pytest.mark.parametrize(
    ("from_c", "to_c", "rows"),
    [
        (600.0, 590.0, 3),  # 10 °C near 573 °C: steps of less than five
        (600.0, 596.0, 1),
        (640.0, 617.5, 5),  # 45 °C above 573 °C it begins
        (700.0, 618.0, 1),
        (528.0, 300.0, 1),  # between the two
        (530.0, 527.0, 1),
        (550.0, 520.0, 7),
        (300.0, 270.5, 6),  # 45 °C above 226 °C
        (300.0, 271.0, 1),
        (181.0, 100.0, 1),
        (181.5, 100.0, 17),
    ],
)
def test_a_wall_is_looked_at_closely_while_silica_steps(
    from_c: float, to_c: float, rows: int
) -> None:
    layers = np.array([[from_c, from_c], [to_c, to_c]])
    fine = _finely(layers)
    assert fine.shape == (1 + rows, 8)  # four times as many layers
    assert fine[:, 0] == pytest.approx(np.linspace(from_c, to_c, 1 + rows))


def test_between_layers_and_moments_it_is_straight() -> None:
    fine = _finely(np.array([[700.0, 735.0], [690.0, 760.0]]))
    assert fine == pytest.approx(
        np.array([np.linspace(700.0, 735.0, 8), np.linspace(690.0, 760.0, 8)])
    )
    # the layer that is nearest to the step counts, and the one that moves most
    assert len(_finely(np.array([[700.0, 630.0], [700.0, 610.0]]))) == 1 + 5
    assert len(_finely(np.array([[700.0, 610.0], [740.0, 610.0]]))) == 1 + 9


def test_what_is_drawn_of_a_wall() -> None:
    """Flaws from 0.3 to 1.5 mm and heat uneven by up to a half, 5 % and 95 %; no flaw is finer than
    0.1 mm, no crack runs more easily than it starts, and no heat is evener than even."""
    clay = draw_body(replace(RAKU, work_ratio=(0.5, 3.0)))
    wall = _drawn(clay, "pot", 2000)
    assert len(wall.flaw_mm) == len(wall.trail) == 2000
    assert np.percentile(wall.flaw_mm, [5.0, 95.0]) == pytest.approx([0.3, 1.5], abs=0.06)
    assert wall.flaw_mm.min() == 0.1
    assert np.percentile(wall.uneven, [50.0, 95.0]) == pytest.approx([1.25, 1.5], abs=0.02)
    assert wall.uneven.min() == 1.0
    ratio = (wall.through / wall.toughness) ** 2
    assert ratio.min() == pytest.approx(1.0)
    assert np.percentile(ratio, [50.0, 95.0]) == pytest.approx([1.75, 3.0], abs=0.06)


def test_no_flaw_is_larger_than_three_millimetres(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(survival_module, "_FLAW_MM", (0.3, 9.0))
    assert _drawn(CLAY, "pot", 600).flaw_mm.max() == 3.0


def wall_of(
    flaw_mm: float = 0.3, uneven: float = 1.0, toughness: float = 1.0, through: float = 1.0
) -> _Wall:
    one = np.ones(1)
    return _Wall(CLAY.some(1), one, toughness * one, through * one, flaw_mm * one, uneven * one)


def cracked(
    monkeypatch: pytest.MonkeyPatch, wall: _Wall, intensities: Any, wall_mm: float = 10.0
) -> tuple[bool, list[bool]]:
    """Whether a crack starts, and whether it goes through with toughness as it is, times 0.71 and
    times 1.41, of intensities (D, T), or alike at all depths."""
    k = np.broadcast_to(np.array(intensities, float), (len(_DEPTHS), len(np.array(intensities).T)))
    monkeypatch.setattr(survival_module, "_intensities", lambda *_: k[None].copy())
    path: Any = None
    starts, through = _cracks(path, wall_mm, wall, wall.trail, 0, 1)
    return bool(starts[0]), through[:, 0].tolist()


@pytest.mark.parametrize(
    ("k", "wall", "starts", "through"),
    [
        ([1.001], {}, True, [True, True, False]),  # a little more than as tough
        ([0.99], {}, False, [False, True, False]),
        ([0.70], {}, False, [False, False, False]),
        ([1.42], {}, True, [True, True, True]),
        ([0.801], {"uneven": 1.25}, True, [True, True, False]),
        # it starts and stops where running on takes more
        ([1.2], {"through": 1.3}, True, [False, True, False]),
        ([2.0], {"through": 1.3}, True, [True, True, True]),
        # what would run on has to start
        ([1.2], {"toughness": 1.3}, False, [False, True, False]),
        # pressed shut at all times
        ([-5.0], {}, False, [False, False, False]),
    ],
)
def test_a_crack_starts_and_runs_through(
    monkeypatch: pytest.MonkeyPatch,
    k: list[float],
    wall: dict[str, float],
    starts: bool,
    through: list[bool],
) -> None:
    assert cracked(monkeypatch, wall_of(**wall), k) == (starts, through)


def test_a_crack_starts_at_its_grain(monkeypatch: pytest.MonkeyPatch) -> None:
    """Intensities of 0.5 at 6 % of the wall and 1.5 at 10 %: 1 halfway, for a grain of 0.8 mm in
    10 mm or 0.4 mm in 5 mm. Finer than 3 % it is as at 3 %, coarser than 45 % as there."""
    k = np.zeros((len(_DEPTHS), 1))
    k[1], k[2] = 0.5, 1.5
    assert cracked(monkeypatch, wall_of(0.8), k)[0]
    assert not cracked(monkeypatch, wall_of(0.79), k)[0]
    assert cracked(monkeypatch, wall_of(0.4), k, 5.0)[0]
    at_face, at_middle = np.zeros_like(k), np.zeros_like(k)
    at_face[0], at_middle[-1] = 1.0, 1.0
    assert cracked(monkeypatch, wall_of(0.1), at_face)[0]
    assert cracked(monkeypatch, wall_of(3.0), at_middle, 4.0)[0]


def test_it_starts_and_pays_at_the_same_moment(monkeypatch: pytest.MonkeyPatch) -> None:
    """Early the face is pulled, late the depth."""
    k = np.zeros((len(_DEPTHS), 2))
    k[0, 0], k[1:, 1] = 1.0, 9.0
    assert cracked(monkeypatch, wall_of(), k) == (True, [False] * 3)
    k[0, 1] = 1.0
    assert cracked(monkeypatch, wall_of(0.3, toughness=0.99), k) == (True, [True, True, False])


@pytest.mark.parametrize(("then", "trail"), [("air", 3.0), ("water", 1.0)])
def test_water_does_not_ask_the_clay(
    monkeypatch: pytest.MonkeyPatch, then: Any, trail: float
) -> None:
    """Up to the end of the bin, moment 4, a wall trails as its clay conducts; then, up to the last
    moment 6, in water as the middle clay."""
    asked: list[tuple[float, int, int]] = []

    def cracks(path: Any, mm: float, wall: Any, trail: Any, start: int, stop: int) -> Any:
        asked.append((float(trail[0]), start, stop))
        return np.array([start == 0, False]), np.array([[start == 4, False]] * 3)

    monkeypatch.setattr(survival_module, "_cracks", cracks)
    path = WallPath(np.arange(7.0), np.zeros((7, 2)), np.zeros(7), np.zeros(7), (1, 4, 6))
    wall = replace(wall_of(), trail=np.array([3.0, 3.0]))
    first, at_pull, at_end = _breaks(path, 6.0, wall, Smoke(then=then))
    assert asked == [(3.0, 0, 4), (trail, 4, 6)]
    assert first.tolist() == [True, False]
    assert not at_pull.any() and at_end[:, 0].all() and not at_end[:, 1].any()


def test_a_stiff_wall_with_a_straight_gradient() -> None:
    """A wall of 10 mm with 100 °C between its faces, 12.5 GPa both ways and 8e-6/K, is pulled by
    12.5e3 × 8e-6 × 50 = 5 MPa at the colder face and by nothing in the middle. A crack of depth a
    has K = sqrt(pi a) s (1.1215 - 0.6825 × 2a/wall) (Tada, Paris & Irwin, from memory)."""
    clay = replace(
        CLAY.some(2), youngs_gpa=np.array([10.0, 20.0]), poisson=np.full(2, 0.2),
        alpha_1e6_per_k=np.full(2, 8.0), wall_quartz=np.zeros(2), cristobalite_step=np.zeros(2),
    )  # fmt: skip
    layers = 700.0 + (np.arange(50) + 0.5) / 50.0 * 100.0
    path: Any = SimpleNamespace(layers_c=np.array([np.full(50, 750.0), layers]))
    k = _intensities(path, 10.0, clay, np.array([1.0, 3.0]), 0, 1).max(axis=2)
    shares = _DEPTHS[:6]
    wanted = np.sqrt(np.pi * 0.01 * shares) * 5.0 * (1.1215 - 0.6825 * 2.0 * shares)
    assert k[0, :6] == pytest.approx(wanted, rel=0.03)
    assert k[1] == pytest.approx(6.0 * k[0])  # twice as stiff, trails three times as far


def test_a_measured_curve_strains_by_its_gain() -> None:
    curve = (np.array([20.0, 1000.0]), 8e-6 * np.array([0.0, 980.0]))
    straight = replace(
        CLAY.some(2), youngs_gpa=np.full(2, 10.0), poisson=np.full(2, 0.2),
        alpha_1e6_per_k=np.array([8.0, 16.0]), gain=np.array([1.0, 2.0]),
        wall_quartz=np.zeros(2), cristobalite_step=np.zeros(2),
    )  # fmt: skip
    measured = replace(straight, body=replace(RAKU, curve=curve))
    path: Any = SimpleNamespace(layers_c=np.array([[750.0] * 9, np.linspace(700.0, 800.0, 9)]))
    found = [
        _intensities(path, 10.0, clay, np.ones(2), 0, 1).max(axis=2)
        for clay in (straight, measured)
    ]
    assert found[0] == pytest.approx(found[1])
    assert found[0][1] == pytest.approx(2.0 * found[0][0])


def test_the_moments_that_pull_most_are_enough() -> None:
    """Gradients that come and go over 60 moments, with steps of silica: no more than 14 moments for
    each of three causes, the worst of all among them."""
    clay = replace(CLAY.some(1), wall_quartz=np.ones(1), cristobalite_step=np.full(1, 1e-3))
    size = np.sin(np.linspace(0.0, np.pi, 60))[:, None]
    path: Any = SimpleNamespace(layers_c=680.0 + size * np.linspace(0.0, 90.0, 9))
    few = _intensities(path, 8.0, clay, np.ones(1), 0, 59)
    assert 14 <= few.shape[2] <= 42
    # of one cause alone the worst moment is that of the largest gradient, alone as among others
    curve = (np.array([20.0, 1000.0]), 8e-6 * np.array([0.0, 980.0]))
    measured = replace(clay, body=replace(RAKU, curve=curve))
    at_top: Any = SimpleNamespace(layers_c=path.layers_c[29:31])
    among = _intensities(path, 8.0, measured, np.ones(1), 0, 59)
    assert among.shape[2] == 14
    alone = _intensities(at_top, 8.0, measured, np.ones(1), 0, 1)
    assert among.max() == pytest.approx(alone.max())


def test_cristobalite_strains_by_its_step() -> None:
    """A wall of which the inner half has not passed 226 °C, with a body straight but for a step of
    1e-3, as numbers and as a curve of the same; its mean to 600 °C is 8e-6/K."""
    at = np.arange(20.0, 801.0, 1.0)
    logistic = lambda t: 1.0 / (1.0 + np.exp(-(t - 226.0) / 3.75))  # noqa: E731
    strain = 8e-6 * (at - 20.0) + 1e-3 * (logistic(at) - logistic(600.0) * (at - 20.0) / 580.0)
    numbers = replace(
        CLAY.some(1), youngs_gpa=np.full(1, 10.0), poisson=np.full(1, 0.2), gain=np.ones(1),
        alpha_1e6_per_k=np.full(1, 8.0), wall_quartz=np.zeros(1),
        cristobalite_step=np.full(1, 1e-3),
        body=replace(RAKU, range_c=(20.0, 600.0)),
    )  # fmt: skip
    curve = replace(numbers, body=replace(RAKU, curve=(at, strain)))
    layers = np.array([np.full(9, 300.0), np.linspace(150.0, 300.0, 9)])
    path: Any = SimpleNamespace(layers_c=layers)
    found, wanted = (_intensities(path, 8.0, clay, np.ones(1), 0, 1) for clay in (numbers, curve))
    assert found.max(axis=2)[0] == pytest.approx(wanted.max(axis=2)[0], rel=2e-3)


@pytest.mark.parametrize(
    ("how", "pull", "quench"),
    [("20 s air, 10 min bin, water", 0.75, 0.5), ("20 s air, 10 min bin", 0.25, None)],
)
def test_odds_are_shares_of_draws(
    monkeypatch: pytest.MonkeyPatch, how: str, pull: float, quench: float | None
) -> None:
    """Of four pots one breaks at the pull, and two others at the end. All crack somewhere but one;
    of less tough ones all break, three at the end, of tougher ones none."""
    first = np.array([True, True, True, False])
    at_pull = np.array([[1, 0, 0, 0], [1, 1, 0, 0], [0, 0, 0, 0]], dtype=bool)
    at_end = np.array([[0, 1, 1, 0], [0, 1, 1, 1], [0, 0, 0, 0]], dtype=bool)
    monkeypatch.setattr(survival_module, "_breaks", lambda *_: (first, at_pull, at_end))
    cool = cooling_of(DAY, 6.0, read_cooling(how))
    found = survival(CLAY, cool, 6.0, "pot", compare=False)
    assert (found.pull, found.quench, found.together) == (pull, quench, 0.25)
    assert (found.low, found.high, found.hairline_starts) == (0.0, 1.0, 0.75)
    assert (found.with_walls, found.with_bins, found.into_kiln) == ((), (), ())
    assert cool.path is not None
    dipped = None if quench is None else cool.path.mean_c[cool.path.ends[1]]
    assert found.into_water_c == dipped


def test_what_is_compared(monkeypatch: pytest.MonkeyPatch) -> None:
    """Walls of 4, 6, 8 and 12 mm; 10, 20, 30 and 45 min in the bin before water; kilns of 200, 400,
    600 and 800 °C. What was asked is not worked out twice: its own odds, of all draws."""
    asked: list[tuple[float, float, int]] = []

    def breaking(path: Any, mm: float, wall: Any, smoke: Any) -> Any:
        n = len(wall.flaw_mm)
        asked.append((mm, smoke.bin_min, n))
        broken = np.arange(n) % 4 < (2 if n == 2000 else 1)
        less, tougher = np.ones(n, bool), np.zeros(n, bool)
        return broken, np.array([broken, less, tougher]), np.zeros((3, n), bool)

    monkeypatch.setattr(survival_module, "_breaks", breaking)
    monkeypatch.setattr(survival_module, "into_hot_kiln", lambda w, mm, c, s: c / 1000.0)
    cool = cooling_of(DAY, 6.0, read_cooling("20 s air, 20 min bin, water"))
    found = survival(CLAY, cool, 6.0, "pot")
    assert asked[0] == (6.0, 20.0, 2000)
    assert asked[1:] == [(4.0, 20.0, 600), (8.0, 20.0, 600), (12.0, 20.0, 600),
                         (6.0, 10.0, 600), (6.0, 30.0, 600), (6.0, 45.0, 600)]  # fmt: skip
    assert found.with_walls == ((4.0, 0.75), (6.0, 0.5), (8.0, 0.75), (12.0, 0.75))
    assert [(b.bin_min, b.odds) for b in found.with_bins] == [
        (10.0, 0.75), (20.0, 0.5), (30.0, 0.75), (45.0, 0.75)]  # fmt: skip
    dipped = [b.into_water_c for b in found.with_bins]
    assert dipped == sorted(dipped, reverse=True) and dipped[1] == found.into_water_c
    longer = cooling_of(DAY, 6.0, read_cooling("20 s air, 30 min bin, water")).path
    assert longer is not None and dipped[2] == pytest.approx(longer.mean_c[longer.ends[1]])
    assert found.into_kiln == ((200.0, 0.2), (400.0, 0.4), (600.0, 0.6), (800.0, 0.8))
    dry = survival(CLAY, cooling_of(DAY, 6.0, read_cooling("20 s air, 20 min bin")), 6.0, "pot")
    assert dry.with_bins == () and len(dry.with_walls) == 4


@pytest.mark.parametrize(("shape", "inside"), [("tile", 1.0), ("pot", INSIDE_OF_POT)])
@pytest.mark.parametrize("curved", [False, True])
def test_a_cold_foot_in_a_hot_kiln(
    monkeypatch: pytest.MonkeyPatch, shape: Any, inside: float, curved: bool
) -> None:
    """5e-6/K, 10 GPa: a wall 200 °C hotter than its foot pulls it by half of 10e3 × 1e-3, 5 MPa,
    and by a fifth more where heat is uneven: 6 MPa. At a grain of 0.5 mm that is
    1.12 × 6 × sqrt(pi × 0.5e-3) = 0.26634 MPa m^0.5, at half of a foot of 1.7 × 6 mm
    1.12 × 6 × sqrt(pi × 5.1e-3) = 0.85061. The last moment does not count: the foot is as hot as
    the kiln to a degree. Two of five are less tough than both."""
    asked: dict[str, Any] = {}

    def path(walls_mm: Any, from_c: float, stays: Any, inside: float, room_c: float) -> Any:
        asked.update(mm=walls_mm.tolist(), from_c=from_c, inside=inside, room_c=room_c,
                     stays=[(one.medium, one.lasts_s) for one in stays])  # fmt: skip
        return SimpleNamespace(
            mean_c=np.array([[20.0, 500.0, 798.5, 899.0], [20.0, 480.0, 598.5, 599.5]])
        )

    monkeypatch.setattr(survival_module, "wall_path", path)
    body = replace(RAKU, curve=(np.array([20.0, 1000.0]), 2.5e-6 * np.array([0.0, 980.0])))
    clay = replace(
        CLAY.some(5), youngs_gpa=np.full(5, 10.0), alpha_1e6_per_k=np.full(5, 5.0),
        cristobalite_step=np.zeros(5), wall_quartz=np.zeros(5), gain=np.full(5, 2.0),
        body=body if curved else RAKU,
    )  # fmt: skip
    wall = _Wall(
        clay, np.ones(5), toughness=np.array([0.2662, 0.2662, 0.2665, 0.2662, 0.2665]),
        through=np.array([0.8504, 0.8504, 0.8504, 0.8508, 0.8508]), flaw_mm=np.full(5, 0.5),
        uneven=np.full(5, 1.2),
    )  # fmt: skip
    assert into_hot_kiln(wall, 6.0, 600.0, shape) == 0.6
    assert asked == {"mm": [6.0, 10.2], "from_c": ROOM_C, "inside": inside, "room_c": 600.0,
                     "stays": [("air", 1800.0)]}  # fmt: skip


def test_a_foot_that_grows_first_is_not_pulled(monkeypatch: pytest.MonkeyPatch) -> None:
    """However little it bears."""
    still = SimpleNamespace(mean_c=np.array([[20.0, 300.0], [20.0, 310.0]]))
    monkeypatch.setattr(survival_module, "wall_path", lambda *_: still)
    weak = replace(wall_of(0.5, 1.2, 1e-3, 1e-3), body=replace(CLAY.some(1)))
    assert into_hot_kiln(weak, 6.0, 600.0, "pot") == 1.0
