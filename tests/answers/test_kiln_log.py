"""What logs tell of a kiln: a load in it, lines without a reading, other ways to write them."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from cofire.answers.kiln_log import learn_kiln
from cofire.errors import CompositionError
from cofire.files.kiln_logs import read_kiln_log
from cofire.files.library import Library
from cofire.firing.history import Step, history
from cofire.firing.kiln import KilnSpeed

FIBRE = Library().kiln("small-fibre")


def log_of(
    load_kg: float,
    skip: tuple[float, float] = (0.0, 0.0),
    half_time_h: float = 1.5,
    down_to_c: float = 500.0,
) -> str:
    """A log every ten minutes of the shipped fibre kiln with a load: up at full power, then off."""
    speed = KilnSpeed(900.0, 200.0, 1100.0, half_time_h, 3.6, load_kg)
    past = history([Step(None, 930.0, 0.0), Step(None, down_to_c, 0.0)], speed)
    lines = ["time (min);temperature (°C)"]
    peak_min = past.ramp_end_s[0] / 60.0
    for minute in sorted([*np.arange(0.0, past.time_s[-1] / 60.0, 10.0), peak_min]):
        shown = f"{np.interp(60.0 * minute, past.time_s, past.air_c):.1f}".replace(".", ",")
        shown = "" if skip[0] < minute < skip[1] else shown
        lines.append(f"{minute:.2f}".replace(".", ",") + f";{shown}")
    return "\n".join(lines) + "\n"


def learnt(tmp_path: Path, text: str, load_kg: float = 0.0):  # type: ignore[no-untyped-def]
    path = tmp_path / "log.csv"
    path.write_text(text, encoding="utf-8")
    return learn_kiln([read_kiln_log(path)], FIBRE, 20.0, load_kg)


@pytest.mark.parametrize("load_kg", [0.0, 4.0, 12.0])
def test_the_load_that_was_in_it_is_not_counted_twice(tmp_path: Path, load_kg: float) -> None:
    fit = learnt(tmp_path, log_of(load_kg), load_kg)
    assert fit.heating_c_per_h == pytest.approx(900.0, rel=0.03)
    assert fit.heating_at_top_c_per_h == pytest.approx(200.0 + 700.0 * 170.0 / 1080.0, rel=0.05)
    assert fit.cooling_half_time_h == pytest.approx(1.5, rel=0.03)


@pytest.mark.parametrize("order", [1, -1])
def test_of_two_logs_the_one_that_fell_furthest_tells_how_it_cools(
    tmp_path: Path, order: int
) -> None:
    """By 430 °C with a half time of 1.5 h; by 230 °C with one of 4 h."""
    logs = []
    for name, text in (("a.csv", log_of(0.0)), ("b.csv", log_of(0.0, (0.0, 0.0), 4.0, 700.0))):
        (tmp_path / name).write_text(text, encoding="utf-8")
        logs.append(read_kiln_log(tmp_path / name))
    fit = learn_kiln(logs[::order], FIBRE, 20.0, 0.0)
    assert fit.cooling_half_time_h == pytest.approx(1.5, rel=0.03)


@pytest.mark.parametrize("skip", [(55.0, 115.0), (19.0, 31.0)])
def test_lines_without_a_reading_are_left_out(tmp_path: Path, skip: tuple[float, float]) -> None:
    fit = learnt(tmp_path, log_of(0.0, skip))
    assert fit.heating_c_per_h == pytest.approx(900.0, rel=0.03)


def test_a_gap_at_the_top_may_hide_a_hold(tmp_path: Path) -> None:
    """The reading after an hour without any at the top tells nothing of the climb or the fall."""
    text = log_of(0.0)
    lines = text.splitlines()
    peak = max(range(1, len(lines)), key=lambda k: float(lines[k].split(";")[1].replace(",", ".")))
    held = [*lines[: peak + 1]]
    for line in lines[peak + 1 :]:
        minute, shown = line.split(";")
        held.append(f"{float(minute.replace(',', '.')) + 60.0:.2f}".replace(".", ",") + f";{shown}")
    fit = learnt(tmp_path, "\n".join(held))
    assert fit.cooling_half_time_h == pytest.approx(1.5, rel=0.03)


def test_a_load_needs_the_power_of_the_kiln(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    path.write_text(log_of(4.0), encoding="utf-8")
    with pytest.raises(CompositionError, match="power"):
        learn_kiln([read_kiln_log(path)], None, 20.0, 4.0)
