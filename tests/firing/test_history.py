"""Kiln and ware histories against independent integration."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from cofire.firing.history import (
    History,
    OutOfReachError,
    Step,
    dwell_s,
    history,
    lag_s,
    until,
    ware,
)
from cofire.firing.kiln import KilnSpeed

KILN = KilnSpeed(900.0, 200.0, 1100.0, 1.5)
RAKU = [Step(None, 943.0, 10.0), Step(None, 916.0, 240.0)]


def test_targets_and_holds_are_met() -> None:
    past = history(RAKU, KILN)
    first, second = past.ramp_end_s
    assert past.air_c.max() == pytest.approx(943.0)
    assert np.interp(first + 300.0, past.time_s, past.air_c) == pytest.approx(943.0)
    assert np.interp(second + 7200.0, past.time_s, past.air_c) == pytest.approx(916.0)
    assert past.hold_end_s[1] - second == pytest.approx(4 * 3600.0)
    assert past.too_fast == ()


def test_flat_out_is_what_the_kiln_equation_gives() -> None:
    """dT/dt falls in a straight line with T; integrated by scipy."""
    past = history([Step(None, 943.0, 0.0)], KILN)

    def climb(_: float, t: np.ndarray) -> np.ndarray:
        return (900.0 - 700.0 * (t - 20.0) / 1080.0) / 3600.0

    solved = solve_ivp(climb, (0.0, past.time_s[-1]), [20.0], rtol=1e-9)
    assert solved.y[0, -1] == pytest.approx(943.0, abs=1.0)


def test_a_wanted_rate_that_the_kiln_cannot_do_is_said_and_the_kiln_rules() -> None:
    past = history([Step(800.0, 1000.0, 0.0)], KILN)
    assert past.too_fast == (1,)
    with pytest.raises(OutOfReachError) as limit:
        history([Step(None, 1250.0, 0.0)], KilnSpeed(900.0, 10.0, 1100.0, 1.5))
    assert 1050.0 < limit.value.limit_c < 1250.0


def test_ware_follows_the_lag_equation() -> None:
    """tau dw/dt = air - w, integrated by scipy along the same air."""
    past = history(RAKU, KILN)
    for wall_mm in (4.0, 8.0, 16.0):
        tau = lag_s(wall_mm)

        def lag(t: float, w: np.ndarray, tau: float = tau) -> np.ndarray:
            return (np.interp(t, past.time_s, past.air_c) - w) / tau

        solved = solve_ivp(
            lag, (0.0, past.time_s[-1]), [20.0], t_eval=past.time_s, rtol=1e-8, max_step=20.0
        )
        assert np.abs(solved.y[0] - ware(past, wall_mm)).max() < 0.5


def test_ware_trails_a_steady_ramp_by_lag_times_rate() -> None:
    time_s = np.linspace(0.0, 10_000.0, 2001)
    ramp = History(time_s, 20.0 + 0.05 * time_s, (), (), ())
    assert (ramp.air_c - ware(ramp, 6.0))[-1] == pytest.approx(0.05 * lag_s(6.0), rel=1e-6)


def test_lag_of_thick_walls_grows_with_the_square() -> None:
    """Carslaw & Jaeger: the middle of a slab heated from both sides trails by (wall/2)²/(2a)."""
    a = 4.2e-7
    thick = lag_s(40.0) - lag_s(20.0)
    conduction = (0.020**2 - 0.010**2) / (2.0 * a)
    assert thick == pytest.approx(conduction, rel=0.25)


def test_dwell_conserves_time_and_heat_work() -> None:
    past = history(RAKU, KILN)
    grid = np.arange(0.0, 1000.0, 5.0)
    seconds = dwell_s(past.time_s, past.air_c, grid)
    assert seconds.sum() == pytest.approx(past.time_s[-1], rel=1e-6)
    exact = np.trapezoid(np.exp(past.air_c / 40.0), past.time_s)
    assert np.exp(grid / 40.0) @ seconds == pytest.approx(exact, rel=5e-3)


def test_until_stops_where_told() -> None:
    past = history(RAKU, KILN)
    time_s, temp_c = until(past.time_s, past.air_c, 5000.0)
    assert time_s[-1] == 5000.0
    assert temp_c[-1] == pytest.approx(np.interp(5000.0, past.time_s, past.air_c))
