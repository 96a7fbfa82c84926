"""Odds of a liquidus against the normal distribution of the standard library."""

from __future__ import annotations

from statistics import NormalDist

import pytest

from cofire.answers.findings.long_hold import odds_below


@pytest.mark.parametrize("depth_c", [-60.0, 0.0, 25.0, 30.0, 100.0])
def test_odds_below_a_liquidus_are_normal(depth_c: float) -> None:
    assert odds_below(depth_c, 30.0) == pytest.approx(NormalDist(0.0, 30.0).cdf(depth_c))
