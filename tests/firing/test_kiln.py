"""The kiln model against closed solutions of its own equation."""

from __future__ import annotations

import numpy as np
import pytest

from cofire.firing.history import Step, history, with_lid
from cofire.firing.kiln import KilnSpeed, Lid, fit_cooling, fit_heating, lid_drop_c

KILN = KilnSpeed(900.0, 200.0, 1100.0, 1.5, power_kw=3.6)
LID = Lid(90.0, 10.0, 60.0)


def test_flat_out_is_the_exponential_of_linear_losses() -> None:
    """C dT/dt = P - k C (T - room): T = room + (r/k)(1 - exp(-k t))."""
    k = 700.0 / 1080.0
    past = history([Step(None, 943.0, 0.0)], KILN)
    exact_h = -np.log(1.0 - k * (943.0 - 20.0) / 900.0) / k
    assert past.time_s[-1] / 3600.0 == pytest.approx(exact_h, rel=2e-3)


def test_cooling_halves() -> None:
    past = history([Step(None, 1000.0, 0.0), Step(None, 510.0, 0.0)], KILN)
    fall_h = (past.ramp_end_s[1] - past.ramp_end_s[0]) / 3600.0
    assert fall_h == pytest.approx(1.5, rel=2e-3)  # from 980 above the room to half of it


def test_a_load_as_heavy_as_the_lining_doubles_the_time() -> None:
    """3.6 kW at 900 °C/h is 14.4 kJ/K; 13.7 kg of ware at 1.05 kJ/(kg K) is as much again."""
    loaded = KilnSpeed(900.0, 200.0, 1100.0, 1.5, 3.6, load_kg=14.4 / 1.05)
    empty, full = (history([Step(None, 900.0, 0.0)], k).time_s[-1] for k in (KILN, loaded))
    assert full == pytest.approx(2.0 * empty, rel=1e-3)


def test_energy_is_what_the_law_says() -> None:
    """Full power all the way up; a hold draws its losses; nothing beyond the rating."""
    t_c = np.array([20.0, 500.0, 943.0])
    climb = KILN.power_drawn_kw(t_c, KILN.heating(t_c, 20.0), 20.0)
    assert climb == pytest.approx(np.full(3, 3.6))
    hold = KILN.power_drawn_kw(np.array([943.0]), np.array([0.0]), 20.0)[0]
    assert hold == pytest.approx(3.6 * 700.0 / 1080.0 * 923.0 / 900.0)
    assert KILN.power_drawn_kw(np.array([943.0]), np.array([-500.0]), 20.0)[0] >= 0.0


def test_worn_elements_reach_less() -> None:
    worn = KilnSpeed(900.0, 200.0, 1100.0, 1.5, 3.6, wear=0.15)
    assert worn.heating(np.array([900.0]), 20.0) < KILN.heating(np.array([900.0]), 20.0)


def test_an_open_lid_drops_as_stated_and_recovers() -> None:
    time_s = np.linspace(0.0, 1000.0, 10_001)
    flat = np.full_like(time_s, 916.0)
    drop = lid_drop_c(time_s, flat, np.array([[100.0, 10.0]]), LID, 20.0)
    found = np.interp([100.0, 110.0, 170.0, 230.0], time_s, drop)
    assert found == pytest.approx([0.0, 90.0, 45.0, 22.5], rel=1e-3, abs=1e-9)
    assert drop[:999].max() == 0.0


def test_openings_that_follow_quickly_add_up() -> None:
    past = history([Step(None, 916.0, 30.0)], KILN)
    start = past.ramp_end_s[0]
    once = with_lid(past, np.array([[start + 60.0, 15.0]]), LID, 20.0)
    often = with_lid(past, np.array([[start + 60.0 * k, 15.0] for k in range(1, 10)]), LID, 20.0)
    hot = often.time_s > start
    assert often.air_c[hot].min() < np.interp(start + 75.0, once.time_s, once.air_c)
    assert np.interp(start + 600.0, often.time_s, often.air_c) < 900.0
    assert np.interp(start + 1700.0, often.time_s, often.air_c) > 915.0


def test_a_log_gives_the_kiln_back() -> None:
    """A log read to the degree every five minutes, made by the closed solution."""
    t = np.arange(0.0, 1.8, 1.0 / 12.0)
    k = 700.0 / 1080.0
    logged = np.round(20.0 + 900.0 / k * (1.0 - np.exp(-k * t)))
    rate, loss = fit_heating(t, logged, 20.0)
    assert rate == pytest.approx(900.0, rel=0.01)
    assert loss == pytest.approx(k, rel=0.03)
    cooling = np.round(20.0 + 900.0 * 0.5 ** (t / 1.5))
    assert fit_cooling(t, cooling, 20.0) == pytest.approx(1.5, rel=0.01)
    # begun while the kiln was still warm
    rate, loss = fit_heating(t[6:], logged[6:], 20.0)
    assert rate == pytest.approx(900.0, rel=0.03)


def test_too_short_a_log_is_refused() -> None:
    with pytest.raises(ValueError, match="100 °C"):
        fit_heating(np.array([0.0, 0.1, 0.2]), np.array([20.0, 40.0, 60.0]), 20.0)


def test_a_fall_with_a_reading_below_the_room_is_refused() -> None:
    """Its logarithm is no number: one slip of the pen made the half-time none either."""
    fall = np.array([900.0, 700.0, 7.0, 400.0, 300.0])
    with pytest.raises(ValueError, match="above the room"):
        fit_cooling(np.arange(5.0), fall, 20.0)


def test_worn_elements_draw_less() -> None:
    """Elements that lost 15 % of their power draw 85 % of the plate, however fast it should go."""
    worn = KilnSpeed(900.0, 200.0, 1100.0, 1.5, 3.6, wear=0.15)
    assert worn.power_drawn_kw(np.array([500.0]), np.array([5000.0]), 20.0) == pytest.approx(3.06)
    climb = worn.power_drawn_kw(np.array([500.0]), worn.heating(np.array([500.0]), 20.0), 20.0)
    assert climb == pytest.approx(3.06)
