"""How a history is followed, against sums by hand."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from cofire.model.ripening import (
    Fluidity,
    Path,
    fired,
    fluidity_up_to,
    hottest_c,
    needed_to_ripen,
    needed_to_seal,
    path_of,
    ripe_at_all,
    seconds_near,
    stages_at,
)
from cofire.model.schedule import Moment
from cofire.ripeness.judge import DEFAULT

#: An hour up from 500 to 900 °C, half an hour there, half an hour down to 700 °C.
TIME_S = np.array([0.0, 3600.0, 5400.0, 7200.0])
WARE_C = np.array([500.0, 900.0, 900.0, 700.0])


def test_a_path_lasts_as_long_as_its_history() -> None:
    path = path_of(TIME_S, WARE_C)
    assert (len(path.t_c), len(path.sample_c), len(path.seconds)) == (24, 192, 192)
    assert path.seconds.sum() == pytest.approx(7200.0, abs=10.0)
    assert (path.seconds >= 0.0).all()
    at = np.cumsum(path.seconds) - 0.5 * path.seconds
    assert path.sample_c == pytest.approx(np.interp(at, TIME_S, WARE_C), abs=2.0)
    assert path.t_c == pytest.approx(path.sample_c.reshape(24, 8).mean(axis=1))
    so_far = [path.sample_c[: k + 1].max() for k in range(192)]
    assert path.hottest_c == pytest.approx(np.reshape(so_far, (24, 8)).mean(axis=1))
    assert (path.hottest_c[-3:] > path.t_c[-3:]).all()


def test_steps_do_about_the_same_work() -> None:
    """Work grows e-fold in 40 °C: near the top a step is short, at the start long."""
    path = path_of(TIME_S, WARE_C, 10)
    work = (path.seconds * np.exp((path.sample_c - 900.0) / 40.0)).reshape(10, 8).sum(axis=1)
    assert work == pytest.approx(work.mean(), rel=0.1)
    # as much as an hour at 900 °C less half an hour, and 1/10 of each 400 °C/h tail:
    # 1800 + 40 x 3600 / 400 + 40 x 1800 / 200 s
    assert work.sum() == pytest.approx(1800.0 + 360.0 + 360.0, rel=0.02)


def test_seconds_are_shared_by_the_two_nearest_temperatures() -> None:
    """Four seconds at 712 °C are 2.4 of 710 and 1.6 of 715; what is colder than the grid counts
    nowhere, what is hotter at its end."""
    grid = np.array([700.0, 705.0, 710.0, 715.0])
    sample = np.array([712.0] * 4 + [690.0] * 4 + [700.0] * 8)
    path = Path(np.ones(16), sample, np.zeros(2), np.zeros(2))
    near = seconds_near(path, grid)
    assert near[0] == pytest.approx([0.0, 0.0, 2.4, 1.6], abs=1e-4)
    assert near[1] == pytest.approx([8.0, 0.0, 0.0, 0.0])
    hot = seconds_near(Path(np.ones(8), np.full(8, 999.0), np.zeros(1), np.zeros(1)), grid)
    assert hot[0] == pytest.approx([0.0, 0.0, 0.0, 8.0], abs=0.01)


class Draws:
    """Two draws that flow at one rate whatever the temperature, one twice the other; their grains
    are what is left of a coat."""

    def __init__(self) -> None:
        self.asked: list[Any] = []
        self.pull = np.array([0.0, 0.25])

    def fluidity(self, grid: Any) -> Any:
        self.grid = grid
        return np.outer([0.001, 0.002], np.ones(len(grid))).astype(np.float32)

    def flowed(self, steps: Any) -> tuple[Any, Any]:
        self.asked.append(steps)
        return np.cumsum(steps[2] if isinstance(steps, tuple) else steps.flow, axis=0), np.array(
            [[float(len(self.asked))] * 2]
        )

    def some(self, n: int) -> Draws:
        return self

    def with_grains(self, left: Any) -> Any:
        return left


def moment(end_s: float = 7200.0) -> Moment:
    return Moment("end", end_s / 60.0, np.minimum(TIME_S, end_s), WARE_C)


@pytest.mark.parametrize(
    ("top_c", "spare_c", "low_c"),
    [(900.0, 0.0, 550.0), (900.0, 30.0, 520.0), (760.0, 0.0, 450.0), (400.0, 0.0, 450.0)],
)
def test_the_range_that_matters(top_c: float, spare_c: float, low_c: float) -> None:
    """350 °C below the top, never below 450; in steps of 5, and at least one step above the top."""
    draws: Any = Draws()
    grid = fluidity_up_to(top_c, draws, spare_c).grid_c
    assert grid[0] == low_c
    assert np.diff(grid) == pytest.approx(5.0)
    assert grid[-1] == pytest.approx(max(top_c + spare_c, 450.0) + 10.0)


def test_flow_is_time_over_viscosity() -> None:
    """0.001 and 0.002 per second in 7200 s; the long first sample is at its middle, some 630 °C."""
    draws: Any = Draws()
    known = fluidity_up_to(900.0, draws)
    one = moment()
    assert known.through(one) == pytest.approx([7.2, 14.4], rel=1e-3)
    assert known.left(one).tolist() == [[1.0, 1.0]]
    assert len(draws.asked) == 1  # it is followed once
    assert known.some(1).per_pa_s.shape == (1, len(known.grid_c))
    assert known.some(1).grid_c is known.grid_c


def test_followed_on_the_way() -> None:
    draws: Any = Draws()
    known = fluidity_up_to(900.0, draws)
    at_s = np.array([900.0, 2700.0, 4500.0, 6300.0])
    way = known.followed(moment(), at_s)
    assert way.shape == (4, 2)
    assert way[:, 0] == pytest.approx([0.0, 1.8, 3.6, 5.4], rel=1e-3)
    assert way[:, 1] == pytest.approx(2.0 * way[:, 0], rel=1e-3)


def test_grains_between_the_first_and_the_last_moment() -> None:
    """The first moment leaves 1, the last 2; a quarter of the way is 1.25."""
    draws: Any = Draws()
    early, late = moment(4000.0), moment()
    assert fired(draws, [early, late]).tolist() == [[1.0, 1.25]]
    assert fired(draws, []) is draws
    assert hottest_c([Moment("x", 1.0, TIME_S, WARE_C - 100.0), early]) == 900.0
    assert isinstance(fluidity_up_to(900.0, draws), Fluidity)


def glaze(surface: str) -> Any:
    return SimpleNamespace(
        surface_tension_n_m=np.array([0.3]),
        coat_mm=np.array([0.04]),
        glazes=SimpleNamespace(surface=surface),
    )


def test_what_it_takes_to_ripen() -> None:
    """To seal to 5 % of its pores a glaze of 0.3 N/m with grains of 25 µm needs ln 20 / (1.5 x
    0.3 / 25e-6) = 1.664e-4 1/Pa; to hold together at 60 % ln(1/0.6) of it. A ripple of 2.5 mm
    takes longer in a coat so thin than one of 1.5 mm, as the fourth power of its length."""
    seal = np.log(20.0) / (1.5 * 0.3 / 25e-6)
    assert needed_to_seal(glaze("gloss"), DEFAULT) == pytest.approx(seal)
    assert needed_to_ripen(glaze("matte"), DEFAULT) == pytest.approx(seal)
    dry = needed_to_ripen(glaze("dry matte"), DEFAULT)
    assert dry == pytest.approx(seal * np.log(1.0 / 0.6) / np.log(20.0))
    gloss, satin = (float(needed_to_ripen(glaze(s), DEFAULT)[0]) for s in ("gloss", "satin"))
    assert gloss == pytest.approx(satin * (2.5 / 1.5) ** 4, rel=0.05)
    assert satin > seal
    coarse = replace(DEFAULT, grain_radius_um=1e6)
    assert needed_to_ripen(glaze("satin"), coarse) == pytest.approx(max(seal * 1e6 / 25.0, satin))


def test_ripe_at_both_pulls() -> None:
    """A draw is ripe in all only if it is at each pull, and runs at none."""

    def at(pores: list[float], run: list[float]) -> Any:
        return SimpleNamespace(
            pores_left=np.array(pores),
            ripple_left=np.zeros(4),
            run_mm=np.array(run),
            solid=np.zeros(4),
        )

    pulls = [at([0.01, 0.2, 0.01, 0.01], [1.0] * 4), at([0.01] * 4, [1.0, 1.0, 9.0, 6.0])]
    assert ripe_at_all(pulls, "gloss", DEFAULT).tolist() == [True, False, False, True]


@pytest.mark.parametrize("surface", ["matte", "dry matte", "gloss"])
def test_stages_count_all_solids_and_crystals_of_mattes(
    surface: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What is solid is the grains that are left and what makes it opaque: 1 + 0.125."""
    said: list[Any] = []
    monkeypatch.setattr("cofire.model.ripening.stages_of", lambda *words: said.append(words))
    draws: Any = Draws()
    draws.glazes = SimpleNamespace(surface=surface)
    draws.opacified, draws.melt, draws.coat_mm = np.array([0.0, 0.125]), "melt", "coat"
    draws.crystal_minutes = lambda time_s, ware_c: 7.0
    stages_at([moment()], draws, DEFAULT)
    ((flow, coat, melt, by, kept, solid),) = said
    assert flow == pytest.approx([7.2, 14.4], rel=1e-3)
    assert (coat, melt, by) == ("coat", "melt", DEFAULT)
    assert kept == (None if surface == "gloss" else 7.0)
    assert solid == pytest.approx([1.0, 1.125])
