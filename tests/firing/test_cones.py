"""The cone chart, and the laws fitted to it."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest

from cofire.firing.cones import cones, heat_work

CHART = Path(__file__).parents[1] / "published" / "orton_cones.csv"
RATES = (15.0, 60.0, 150.0)


def chart() -> list[dict[str, str]]:
    lines = CHART.read_text("utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


def end_c(cone: str, rate: float) -> float:
    """Where a cone bends at a rate that the chart has a column for."""
    return float(cones().end_c[cones().names.index(cone), RATES.index(rate)])


@pytest.mark.published
def test_the_shipped_chart_is_the_printed_one() -> None:
    """Orton Ceramic Foundation, Temperature Equivalents Chart, self-supporting cones."""
    for row in chart():
        for rate in RATES:
            printed = row[f"self_supporting_{rate:.0f}_c_per_h"]
            if printed:
                assert end_c(row["cone"], rate) == pytest.approx(float(printed))


def climb(rate: float, peak_c: float, soak_h: float = 0.0) -> tuple[np.ndarray, np.ndarray]:
    t_c = np.linspace(peak_c - 400.0, peak_c, 2000)
    time_s = (t_c - t_c[0]) / rate * 3600.0
    if soak_h:
        more = np.linspace(0.0, 3600.0 * soak_h, 500)[1:]
        return np.append(time_s, time_s[-1] + more), np.append(t_c, np.full(499, peak_c))
    return time_s, t_c


@pytest.mark.published
@pytest.mark.parametrize("rate", RATES)
def test_a_cone_fired_at_a_rate_of_the_chart_scores_that_cone(rate: float) -> None:
    """Within a third of a cone: three points of one cone do not lie exactly on any one law."""
    for k, row in enumerate(chart()[: len(cones().names)]):
        printed = row[f"self_supporting_{rate:.0f}_c_per_h"]
        if printed and row["cone"] != cones().names[-1]:
            assert heat_work(*climb(rate, float(printed))).position == pytest.approx(k, abs=0.35)


def test_a_soak_is_worth_about_a_cone_in_one_to_three_hours() -> None:
    """Orton's rule of thumb: one to two hours of soak for one cone more; with the chart's own
    activation energies up to three (from memory)."""
    for cone in ("08", "06", "05"):
        peak = end_c(cone, 60.0)
        start = heat_work(*climb(60.0, peak)).position
        assert heat_work(*climb(60.0, peak, 1.0)).position > start + 0.25
        assert heat_work(*climb(60.0, peak, 4.0)).position > start + 0.9
        assert heat_work(*climb(60.0, peak, 0.25)).position < start + 0.5


def test_raku_lies_beyond_the_chart() -> None:
    assert heat_work(*climb(600.0, 980.0)).beyond_chart
    assert not heat_work(*climb(100.0, 980.0)).beyond_chart


def test_lustre_cones_are_said_to_be_extrapolated() -> None:
    """Cones 022 to 020 have no 15 °C/h column."""
    found = heat_work(*climb(60.0, end_c("021", 60.0) + 1.0))
    assert found.extrapolated
    assert "021" in found.cone
