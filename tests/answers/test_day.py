"""Plans of a day."""

from __future__ import annotations

from dataclasses import replace

import pytest

from cofire.answers.day import plan_day, pots_per_load
from cofire.errors import CompositionError
from cofire.files.library import Library
from cofire.records import Smoke

LIB = Library()


def test_pots_that_fit() -> None:
    """By hand: (400 / 135)² is 8.8, 0.7 of it 6; two layers of 150 + 25 in 450 mm."""
    assert pots_per_load((120.0, 150.0), (400.0, 450.0)) == 12
    assert pots_per_load((390.0, 150.0), (400.0, 450.0)) == 0
    assert pots_per_load((380.0, 150.0), (400.0, 450.0)) == 2


def test_a_day_for_twenty_eight() -> None:
    day = LIB.firing("raku-workshop")
    plan = plan_day(day, 28, (120.0, 150.0), (400.0, 450.0), bins=3)
    assert [r.pots for r in plan.firings] == [12, 12, 4]
    for one, following in zip(plan.firings, plan.firings[1:], strict=False):
        assert following.starts_min > one.last_pull_min
    # eleven minutes between pulls with three bins of 33 min
    first = plan.firings[0]
    assert first.last_pull_min - first.first_pull_min == pytest.approx(11 * 11.0)
    more_bins = plan_day(day, 28, (120.0, 150.0), (400.0, 450.0), bins=6)
    assert more_bins.total_min < plan.total_min


def test_too_few_bins_for_the_hold() -> None:
    """One bin frees every 33 min: eight pots in four hours, not twelve."""
    plan = plan_day(LIB.firing("raku-workshop"), 12, (120.0, 150.0), (400.0, 450.0), bins=1)
    assert plan.hold_limits_pots
    assert [r.pots for r in plan.firings] == [8, 4]


def test_a_closed_kiln_has_no_pulls_to_plan() -> None:
    with pytest.raises(CompositionError, match="pulls nothing hot"):
        plan_day(LIB.firing("earthenware-cone-04"), 5, (120.0, 150.0), (400.0, 450.0), bins=1)


def test_a_pot_too_large() -> None:
    with pytest.raises(CompositionError, match="does not fit"):
        plan_day(LIB.firing("raku-workshop"), 1, (500.0, 150.0), (400.0, 450.0), bins=1)


def test_bins_that_are_still_full_hold_the_next_firing_up() -> None:
    """One bin and a day of smoke in it: the second pot waits for the first to be lifted out."""
    day = LIB.firing("raku-one-load")
    slow = replace(day, smoke=Smoke(air_s=600.0, bin_min=1440.0))
    plan = plan_day(slow, 2, (120.0, 150.0), (400.0, 450.0), bins=1)
    first, second = plan.firings
    assert first.bins_free_min == pytest.approx(first.first_pull_min + 10.0 + 1440.0)
    assert second.first_pull_min + 10.0 >= first.bins_free_min
