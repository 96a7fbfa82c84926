"""Heating rates: a degree Fahrenheit is 5/9 of a degree Celsius, an hour 60 minutes."""

from __future__ import annotations

import pytest

from cofire.read.units import difference_c, rate_c_per_h


@pytest.mark.parametrize(
    ("text", "c_per_h"),
    [
        ("150 C/h", 150.0),
        ("5 C/min", 300.0),
        ("5 °C per minute", 300.0),
        ("9 F/min", 300.0),
        ("300 F/hour", 300.0 * 5.0 / 9.0),
        ("0,5 K/s", 1800.0),
    ],
)
def test_rates_per_hour(text: str, c_per_h: float) -> None:
    assert rate_c_per_h(text) == pytest.approx(c_per_h, rel=1e-14)


def test_differences() -> None:
    assert difference_c("18 F") == pytest.approx(10.0)
    assert difference_c("-30 C") == -30.0
