"""Hands and bins, minute by minute, for firings made up so that all sums are round."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest

from cofire.answers.day.asked import Day
from cofire.answers.day.crew import Crew, Openings, openings_of
from cofire.files.library import Library
from cofire.records import Pull, Segment, Smoke

#: A minute in air, ten in the bin.
FIRING = replace(Library().firing("raku-workshop"), smoke=Smoke(60.0, 10.0))


def day(**asked: Any) -> Day:
    facts = {"firing": FIRING, "pots": 4, "pot_mm": (120.0, 150.0), "chamber_mm": None, "bins": 2}
    return Day(**(facts | asked))


def opened(*at: float, until: float = 500.0, once: bool = False) -> Openings:
    return Openings(at, until, once, 900.0)


def test_pots_leave_as_planned_while_there_are_bins() -> None:
    """Each takes two minutes of a hand, a minute of air and ten of smoke. The third pot needs the
    first bin: its smoke is over at 111, and it is empty at 114, so it leaves at 113."""
    crew = Crew.of(day())
    found = crew.pull(3, day(), opened(100.0, 103.0, 106.0, 120.0), 0.0)
    assert [(p.number, p.pots, p.bin, p.at_min, p.in_bin_min) for p in found] == [
        (0, 1, 1, 100.0, 101.0), (1, 1, 2, 103.0, 104.0), (2, 1, 1, 113.0, 114.0)]  # fmt: skip
    assert all(math.isnan(p.free_min) and p.shelf_min is None for p in found)
    assert crew.freed == {0: 114.0}
    assert crew.due == {1: (114.0, 1), 0: (124.0, 2)}
    assert (crew.pulled, crew.last) == (3, 113.0)
    assert crew.all_free(day()) == {0: 114.0, 1: 117.0, 2: 127.0}
    assert crew.freed == {0: 114.0}  # only looked at


def test_one_lid_is_up_at_a_time() -> None:
    """Openings a minute apart: pots leave two minutes apart, by whoever is free."""
    three = day(bins=5, hands=3)
    found = Crew.of(three).pull(3, three, opened(100.0, 101.0, 102.0), 0.0)
    assert [p.at_min for p in found] == [100.0, 102.0, 104.0]
    slow = replace(three, firing=replace(FIRING, smoke=Smoke(300.0, 10.0)), hands=1)
    found = Crew.of(slow).pull(3, slow, opened(100.0, 101.0, 102.0), 0.0)
    assert [p.at_min for p in found] == [100.0, 105.0, 110.0]  # five minutes in air each


def test_what_is_not_out_in_time_stays() -> None:
    found = Crew.of(day(bins=9)).pull(9, day(bins=9), opened(100.0, 110.0), 0.0)
    assert len(found) == 2  # no more openings
    late = day(bins=9)
    ended = Crew.of(late).pull(3, late, opened(100.0, 110.0, 120.0, until=110.0), 0.0)
    assert [p.at_min for p in ended] == [100.0, 110.0]
    at_once = Crew.of(late).pull(3, late, opened(100.0, until=102.0, once=True), 40.0)
    assert [p.at_min for p in at_once] == [140.0, 142.0]


def test_layers_and_shelves() -> None:
    """Some pots to a layer: after each a red-hot shelf comes out first, for three minutes; a bin
    for four takes no pot of the next layer."""
    two = day(bins=9, per_bin=4, chamber_mm=(400.0, 400.0))
    layer = two.per_layer
    assert layer == 6
    found = Crew.of(two).pull(2 * layer, two, opened(*(10.0 * k for k in range(9))), 0.0)
    assert sum(p.pots for p in found) == 2 * layer
    assert [p.at_min - 10.0 * k for k, p in enumerate(found)] == [0.0] * len(found)
    gone = 0
    for p in found:
        assert p.pots == min(4, layer - gone % layer)
        shelf = bool(gone) and gone % layer == 0
        assert (p.shelf_min is not None) is shelf
        if shelf:
            assert p.shelf_min == p.at_min - 3.0
        gone += p.pots


def test_breaks_are_kept() -> None:
    """Nobody pulls from 12:00 to 12:30, which is 180 to 210 min after a start at 9:00."""
    off = day(start=540.0, breaks=((720.0, 750.0),))
    found = Crew.of(off).pull(2, off, opened(177.0, 179.0), 0.0)
    assert [p.at_min for p in found] == [177.0, 210.0]
    crew = Crew.of(off)
    assert crew.fill(off, 170.0) == 230.0  # twenty minutes would run into the break
    assert crew.fill(off, 100.0) == 120.0  # by the other hand
    assert sorted(crew.hands) == [120.0, 230.0]
    crew.due = {0: (176.0, 4), 1: (178.0, 5)}
    crew.empty_one(off)
    assert crew.freed == {4: 179.0} and crew.clean[0] == 179.0
    crew.empty_one(off)
    assert crew.freed[5] == 213.0


def test_a_copy_is_one_s_own() -> None:
    crew = Crew.of(day(hands=3, bins=4), 7.0, 2)
    assert (crew.hands, crew.clean, crew.pulled) == ([7.0] * 3, [7.0] * 4, 2)
    other = crew.copy()
    other.hands[0], other.due[1], other.freed[2] = 99.0, (1.0, 1), 5.0
    assert (crew.hands, crew.due, crew.freed) == ([7.0] * 3, {}, {})
    assert other.last == crew.last == -math.inf


def test_openings_from_cold_and_from_warm() -> None:
    """98 °C an hour from 20 to 510 °C are 5 h; from 255 °C on it is half of that."""
    ramp = replace(
        FIRING,
        segments=(Segment(98.0, 510.0, 60.0),),
        pulls=(Pull("tongs", 1, 10.0, 2, 20.0),),
        ambient_c=20.0,
    )
    cold = openings_of(ramp)
    assert cold.at_min == pytest.approx((310.0, 330.0), abs=0.1)
    assert cold.until_min == pytest.approx(360.0, abs=0.1)
    assert (cold.at_once, cold.saved_min) == (False, 0.0)
    assert cold.hot_c == pytest.approx(510.0, abs=0.5)
    warm = openings_of(ramp, 265.0)
    assert warm.saved_min == pytest.approx(150.0, abs=1.5)
    assert warm.at_min == pytest.approx((310.0 - warm.saved_min, 330.0 - warm.saved_min), abs=0.1)
    assert warm.until_min == pytest.approx(360.0 - warm.saved_min, abs=0.1)
    # a kiln hotter than the first peak saves all of the climb to it and no more
    assert openings_of(ramp, 900.0).saved_min == pytest.approx(300.0, abs=1.5)
    # a load that is pulled in one go leaves within twenty minutes, though the program has ended
    once = replace(ramp, pulls=(Pull("all", 1, 59.0),))
    assert openings_of(once).at_once
    assert openings_of(once).until_min == pytest.approx(359.0 + 20.0, abs=0.1)
    early = openings_of(replace(ramp, pulls=(Pull("all", 1, 5.0),)))
    assert early.until_min == pytest.approx(360.0, abs=0.1)
    assert openings_of(replace(ramp, pulls=())) == Openings((), 0.0, False, 0.0)
