"""Heat through a pulled wall against closed forms and what every raku potter sees."""

from __future__ import annotations

import numpy as np
import pytest

from cofire.firing.history import (
    AIR_CONVECTION_W_M2_K,
    DIFFUSIVITY_M2_S,
    EMISSIVITY,
    HEAT_CAPACITY_J_M3_K,
    KELVIN,
    STEFAN_BOLTZMANN,
)
from cofire.firing.wall import ROOM_C, WATER_W_M2_K, Stay, wall_path


def test_a_slab_in_stirred_water() -> None:
    """Carslaw & Jaeger, Conduction of Heat in Solids: a slab of half-width l with surface transfer
    h cools as the sum of A_n cos(b_n x/l) exp(-b_n² Fo), b tan b = h l / k."""
    from scipy.optimize import brentq

    half_m = 4e-3
    conductivity = DIFFUSIVITY_M2_S * HEAT_CAPACITY_J_M3_K
    biot = WATER_W_M2_K * half_m / conductivity
    roots = np.array(
        [
            brentq(lambda b: b * np.sin(b) - biot * np.cos(b), n * np.pi, (n + 0.5) * np.pi)
            for n in range(60)
        ]
    )
    size = 4.0 * np.sin(roots) / (2.0 * roots + np.sin(2.0 * roots))
    path = wall_path(2e3 * half_m, 300.0, (Stay("water", 60.0),))
    for at_s in (2.0, 8.0, 20.0):
        fourier = DIFFUSIVITY_M2_S * at_s / half_m**2
        left = size * np.exp(-(roots**2) * fourier)
        skin = ROOM_C + 280.0 * float((left * np.cos(roots)).sum())
        mean = ROOM_C + 280.0 * float((left * np.sin(roots) / roots).sum())
        assert np.interp(at_s, path.time_s, path.skin_c) == pytest.approx(skin, abs=2.0)
        assert np.interp(at_s, path.time_s, path.mean_c) == pytest.approx(mean, abs=2.0)


def test_skin_and_mean_of_a_steady_cooling() -> None:
    """Carslaw & Jaeger: a wall that cools evenly from both faces has a parabola in it, and its skin
    trails its mean by rate × wall² / (12 × diffusivity). The bin takes heat as slowly as that."""
    path = wall_path(8.0, 800.0, (Stay("bin", 600.0),))
    k = int(np.argmin(np.abs(path.time_s - 300.0)))
    rate = -np.gradient(path.mean_c, path.time_s)[k]
    assert path.mean_c[k] - path.skin_c[k] == pytest.approx(
        rate * 64e-6 / (12.0 * DIFFUSIVITY_M2_S), rel=0.05
    )


def test_a_thin_wall_cools_as_one_lump() -> None:
    """With no gradient to speak of both faces lose what radiation and convection take of one
    temperature."""
    path = wall_path(0.2, 900.0, (Stay("air", 4.0),))
    at = np.linspace(900.0, float(path.mean_c[-1]), 400)
    t_k = 0.5 * (at[1:] + at[:-1]) + KELVIN
    lost = EMISSIVITY * STEFAN_BOLTZMANN * (t_k**4 - 293.15**4)
    lost += AIR_CONVECTION_W_M2_K * (t_k - 293.15)
    seconds = np.sum(-np.diff(at) * HEAT_CAPACITY_J_M3_K * 0.2e-3 / (2.0 * lost))
    assert path.time_s[-1] == pytest.approx(seconds, rel=0.01)


def test_several_walls_are_each_alone() -> None:
    """Walls that start, wait and lose differently, followed at once or one by one."""
    waits, heat = np.array([5.0, 30.0, 90.0]), np.array([0.7, 1.0, 1.4])
    from_c = np.array([916.0, 860.0, 916.0])
    all_ = wall_path(6.0, from_c, (Stay("air", waits, heat), Stay("bin", 600.0)), 0.5)
    for k in range(3):
        stays = (Stay("air", waits[k], heat[k]), Stay("bin", 600.0))
        one = wall_path(6.0, float(from_c[k]), stays, 0.5)
        assert all_[k].layers_c == pytest.approx(one.layers_c, abs=1e-6)
        assert all_[k].time_s == pytest.approx(one.time_s)


def test_one_free_face_doubles_the_gradient() -> None:
    """A wall that loses heat from one face only has a gradient like one of twice its thickness:
    for the same heat lost per face, flux × wall / 3 k against flux × wall / 6 k."""
    free = wall_path(6.0, 900.0, (Stay("air", 60.0),), inside=1.0)
    closed = wall_path(6.0, 900.0, (Stay("air", 60.0),), inside=0.0)
    gap = [float(np.interp(-700.0, -p.skin_c, p.mean_c - p.skin_c)) for p in (free, closed)]
    assert gap[1] == pytest.approx(2.0 * gap[0], rel=0.25)


def test_skin_is_chilled_and_warms_up_again_in_the_bin() -> None:
    path = wall_path(6.0, 900.0, (Stay("air", 10.0), Stay("bin", 600.0)))
    binned = path.ends[0]
    later = np.interp(path.time_s[binned] + 3.0, path.time_s, path.skin_c)
    assert path.skin_c[binned] < later < path.mean_c[binned]


def test_refining_time_changes_little(monkeypatch: pytest.MonkeyPatch) -> None:
    stays = (Stay("air", 30.0), Stay("bin", 1200.0), Stay("water", 600.0))
    usual = wall_path(6.0, 916.0, stays)
    monkeypatch.setattr("cofire.firing.wall._MOMENTS", 400)
    fine = wall_path(6.0, 916.0, stays)
    gaps = [(p.mean_c - p.skin_c).max() for p in (usual, fine)]
    assert gaps[0] == pytest.approx(gaps[1], rel=0.03)
    for end in (0, 1):
        ours, theirs = (p.mean_c[p.ends[end]] for p in (usual, fine))
        assert ours == pytest.approx(theirs, abs=1.0)
