"""Kilns learnt from curves that follow their own law exactly, and the file that is written."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from cofire.answers.kiln_log import KilnFit, _at_full_power, _cooling, kiln_text, learn_kiln
from cofire.errors import CofireError
from cofire.files.kiln_logs import KilnLog
from cofire.files.library import Library
from cofire.firing.kiln import WARE_KJ_PER_KG_K

#: 900 K/h cold, less by 0.8 of what it is above the room: 900 - 0.8 x 980 = 116 K/h at 1000 °C.
RATE, LOSS, ROOM = 900.0, 0.8, 20.0
FIBRE = replace(Library().kiln("small-fibre"), power_kw=3.6)


def climb(top_c: float = 1000.0, count: int = 60) -> Any:
    """T - room = (rate / loss) (1 - exp(-loss t)), up to the top."""
    end = -np.log(1.0 - (top_c - ROOM) * LOSS / RATE) / LOSS
    at = np.linspace(0.0, end, count)
    return at, ROOM + RATE / LOSS * (1.0 - np.exp(-LOSS * at))


def fall(from_c: float = 1000.0, half_h: float = 2.0, hours: float = 3.0) -> Any:
    at = np.linspace(0.0, hours, 40)
    return at, ROOM + (from_c - ROOM) * 0.5 ** (at / half_h)


def log(gaps: tuple[int, ...] = ()) -> KilnLog:
    (up_h, up_c), (down_h, down_c) = climb(), fall()
    return KilnLog(np.concatenate([up_h, up_h[-1] + down_h[1:]]),
                   np.concatenate([up_c, down_c[1:]]), gaps)  # fmt: skip


def test_a_kiln_that_keeps_its_law_is_learnt_exactly() -> None:
    fit = learn_kiln([log()], None, ROOM)
    assert fit.heating_c_per_h == pytest.approx(900.0, rel=0.01)
    assert fit.heating_at_top_c_per_h == pytest.approx(116.0, abs=12.0)
    assert fit.top_c == pytest.approx(1000.0, abs=20.0)
    assert fit.cooling_half_time_h == pytest.approx(2.0, rel=0.01)
    assert fit.heating_misses_c == pytest.approx(0.0, abs=2.0)
    assert fit.cooling_misses_c == pytest.approx(0.0, abs=2.0)


def test_where_it_would_stand_still() -> None:
    """900 K/h cold and 450 at 1020 °C: none at 2020 °C; one that loses nothing never stops."""
    fit = KilnFit(900.0, 450.0, 1020.0, 2.0, None, None, None)
    assert fit.limit_c == pytest.approx(2020.0)
    assert replace(fit, heating_at_top_c_per_h=900.0).limit_c == float("inf")


def test_what_no_log_shows_is_the_base_s() -> None:
    up, down = (KilnLog(*climb()), KilnLog(*fall()))
    only_down = learn_kiln([down], FIBRE, ROOM)
    assert only_down.heating_c_per_h == FIBRE.heating_c_per_h
    assert only_down.heating_at_top_c_per_h == FIBRE.heating_at_top_c_per_h
    assert (only_down.top_c, only_down.heating_misses_c) == (FIBRE.top_c, None)
    assert only_down.cooling_half_time_h == pytest.approx(2.0, rel=0.01)
    only_up = learn_kiln([up], FIBRE, ROOM)
    assert only_up.cooling_half_time_h == FIBRE.cooling_half_time_h
    assert only_up.cooling_misses_c is None
    both = learn_kiln([up, down], None, ROOM)
    assert both.heating_c_per_h == pytest.approx(900.0, rel=0.01)


def refused(*logs: KilnLog, base: Any = None, load_kg: float = 0.0) -> str:
    with pytest.raises(CofireError) as error:
        learn_kiln(list(logs), base, ROOM, load_kg)
    return str(error.value)


def test_what_is_no_climb_and_no_fall() -> None:
    """A climb is one of 100 °C, a fall one of 50."""
    low = climb(20.0 + 90.0)
    assert refused(KilnLog(*low)) not in (refused(KilnLog(*climb())), refused(KilnLog(*fall())))
    assert learn_kiln([KilnLog(*climb(135.0)), KilnLog(*fall())], None, ROOM)
    short = fall(hours=0.1)
    assert short[1][0] - short[1][-1] < 50.0
    assert refused(KilnLog(*climb()), KilnLog(*short)) == refused(KilnLog(*climb()))
    assert refused(KilnLog(*climb())) != refused(KilnLog(*fall()))


def test_the_load_took_part_of_the_power() -> None:
    """A load that doubles the heat capacity halves the climb: the empty kiln is twice as quick, and
    cools in half the time."""
    loaded = log()
    plain = learn_kiln([loaded], None, ROOM)
    load_kg = 0.5 * 3600.0 * 3.6 / (WARE_KJ_PER_KG_K * plain.heating_c_per_h)
    empty = learn_kiln([loaded], FIBRE, ROOM, load_kg)
    assert empty.heating_c_per_h == pytest.approx(2.0 * plain.heating_c_per_h, rel=1e-6)
    assert empty.heating_at_top_c_per_h == pytest.approx(
        2.0 * plain.heating_at_top_c_per_h, rel=1e-6)  # fmt: skip
    assert empty.cooling_half_time_h == pytest.approx(0.5 * plain.cooling_half_time_h, rel=1e-6)
    assert refused(loaded, base=FIBRE, load_kg=1.91 * load_kg)
    assert learn_kiln([loaded], FIBRE, ROOM, 1.89 * load_kg)
    assert refused(loaded, load_kg=1.0)
    assert refused(loaded, base=replace(FIBRE, power_kw=None), load_kg=1.0)


def test_a_climb_at_full_power() -> None:
    hours = np.arange(6.0)
    _at_full_power(hours[:4], np.array([0.0, 100.0, 190.0, 270.0]))
    with pytest.raises(CofireError, match="3"):
        _at_full_power(hours[:3], np.array([0.0, 100.0, 190.0]))
    # a mean of 80 K/h: a step of 12 is just not a stall, one of 11 is; the last may be the peak
    _at_full_power(hours, np.array([0.0, 100.0, 112.1, 250.0, 330.0, 400.0]))
    with pytest.raises(CofireError, match="100"):
        _at_full_power(hours, np.array([0.0, 100.0, 111.0, 250.0, 330.0, 400.0]))
    _at_full_power(hours, np.array([0.0, 100.0, 200.0, 300.0, 390.0, 400.0]))


def test_how_far_a_fall_lies_from_its_curve() -> None:
    at, t_c = fall()
    half, missed = _cooling(at + 5.0, t_c, ROOM)
    assert (half, missed) == (pytest.approx(2.0, rel=1e-3), pytest.approx(0.0, abs=0.5))
    jolted = t_c + np.where(np.arange(40) % 2, 5.0, -5.0)
    assert 3.0 < _cooling(at, jolted, ROOM)[1] < 8.0


def test_the_file_of_a_kiln() -> None:
    fit = KilnFit(903.4, 0.2, 1100.4, 1.505, None, None, None)
    assert kiln_text(fit, "Mine", "a log") == (
        'name = "Mine"\nheating_cold = "903 C/h"\nheating_at_top = "1 C/h"\ntop = "1100 C"\n'
        'cooling_half_time = "90 min"\nsource = "a log"\n'
    )
    base = replace(FIBRE, power_kw=3.6, volts=230.0, reads_off_c=5.5, lid_drop_c=80.0,
                   lid_drop_s=10.0, lid_recovery_s=60.0, top_to_bottom_c=16.0)  # fmt: skip
    lines = kiln_text(replace(fit, base=base), "Mine", "a log").splitlines()
    assert lines[:3] == ['name = "Mine"', 'power = "3.6 kW"', 'volts = "230 V"']
    assert lines[-7:-1] == [
        f'fuel = "{base.fuel}"', 'ware_above_pyrometer = "5.5 C"', 'lid_drop = "80 C"',
        'lid_drop_after = "10 s"', 'lid_recovery = "60 s"', 'top_to_bottom = "16 C"']  # fmt: skip
    bare = kiln_text(replace(fit, base=replace(base, power_kw=None, volts=None)), "Mine", "a log")
    assert "power" not in bare and "volts" not in bare
