"""Middles and bounds of draws, against shares counted by hand."""

from __future__ import annotations

import numpy as np
import pytest

from cofire.model.interval import Interval, at_shares, middle_of, quantiles

RUN = np.arange(21.0)[::-1]  # 0 to 20: a share of 0.05 of the 20 steps is one step


def test_of_evenly_spaced_draws() -> None:
    assert quantiles(RUN) == pytest.approx((10.0, 1.0, 19.0))
    assert quantiles(RUN, 0.5) == pytest.approx((10.0, 5.0, 15.0))
    assert middle_of(np.array([3.0, 1.0])) == 2.0
    assert at_shares(np.array([7.0, 3.0]), (0.0, 0.25, 1.0)) == [3.0, 4.0, 7.0]
    assert at_shares(np.array([5.0]), (0.0, 0.7, 1.0)) == [5.0] * 3
    assert at_shares(np.array([np.inf, np.inf, 0.0]), (0.75,)) == [np.inf]


def test_draws_that_are_not_known_do_not_count() -> None:
    assert quantiles(np.append(RUN, [np.nan, np.inf, -np.inf])) == quantiles(RUN)
    assert all(np.isnan(quantiles(np.array([np.nan]))))
    assert np.isnan(middle_of(np.empty(0)))
    found = Interval.of_draws(RUN, "MPa")
    assert (found.value, found.low, found.high) == pytest.approx((10.0, 1.0, 19.0))
    assert (found.level, found.unit) == (0.9, "MPa")
