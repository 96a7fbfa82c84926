"""A firing as temperature over time, against sums by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from cofire.errors import CofireError
from cofire.files.library import Library
from cofire.model.schedule import (
    Leaving,
    cooled_to,
    fired_before,
    kiln_history,
    leavings,
    moments,
    planned,
    speed,
    too_fast,
    ware_c,
)
from cofire.records import Firing, Pull, Segment, Supply

DAY = Library().firing("raku-workshop")
KILN = replace(
    DAY.kiln,
    heating_c_per_h=400.0,
    heating_at_top_c_per_h=300.0,
    top_c=1100.0,
    cooling_half_time_h=2.0,
    power_kw=8.0,
    wear=0.1,
    reads_off_c=7.0,
)
#: From 20 °C at 98 °C/h: 510 °C after 5 h, held for 30 min; on at 60 °C/h: 690 °C 3 h later.
SLOW = replace(
    DAY,
    segments=(Segment(98.0, 510.0, 30.0), Segment(60.0, 690.0, 15.0)),
    pulls=(),
    kiln=KILN,
    ambient_c=20.0,
    load_kg=0.0,
    supply=None,
)
#: Three at 10, 30 and 50 min after the second ramp ends at 8 h 30, and one 5 min after the first.
PULLS = (Pull("tongs", 2, 10.0, 3, 20.0, 30.0), Pull("test", 1, 5.0, 1, 0.0, 12.0))


def test_ramps_end_when_the_sum_says() -> None:
    past = planned(SLOW)
    assert past.ramp_end_s == pytest.approx([5.0 * 3600.0, 8.5 * 3600.0], abs=1.0)
    assert past.hold_end_s == pytest.approx([5.5 * 3600.0, 8.75 * 3600.0], abs=1.0)
    assert too_fast(SLOW) == ()
    assert too_fast(replace(SLOW, segments=(SLOW.segments[0], Segment(3000.0, 690.0, 0.0)))) == (2,)


def test_the_kiln_is_the_file_s() -> None:
    fast = speed(replace(SLOW, load_kg=12.5))
    assert fast.heating_c_per_h == 400.0
    assert fast.heating_at_top_c_per_h == 300.0
    assert (fast.top_c, fast.cooling_half_time_h) == (1100.0, 2.0)
    assert (fast.power_kw, fast.load_kg, fast.wear) == (8.0, 12.5, 0.1)


def test_every_opening_has_its_time() -> None:
    found = leavings(replace(SLOW, pulls=PULLS), planned(SLOW))
    assert [(one.name, one.open_s) for one in found] == [
        ("test", 12.0), ("tongs 1", 30.0), ("tongs 2", 30.0), ("tongs 3", 30.0),
    ]  # fmt: skip
    assert [one.at_min for one in found] == pytest.approx([305.0, 520.0, 540.0, 560.0], abs=0.1)
    assert isinstance(found[0], Leaving)


@pytest.mark.parametrize(
    ("pulls", "names", "minutes"),
    [
        ((), ["end of firing"], [525.0]),
        (PULLS[:1], ["first tongs", "last tongs"], [520.0, 560.0]),
        (PULLS[1:], ["test"], [305.0]),
        (PULLS, ["test", "tongs 3"], [305.0, 560.0]),
    ],
)
def test_the_first_and_the_last_load(
    pulls: tuple[Pull, ...], names: list[str], minutes: list[float]
) -> None:
    found = moments(replace(SLOW, pulls=pulls), 6.0)
    assert [one.name for one in found] == names
    assert [one.at_min for one in found] == pytest.approx(minutes, abs=0.1)
    if pulls:
        assert [one.time_s[-1] / 60.0 for one in found] == pytest.approx(minutes, abs=0.1)


def test_ware_trails_the_kiln_and_reads_off_it() -> None:
    """It differs from the pyrometer by what the file says, and trails a slow ramp hardly."""
    past, hot = kiln_history(SLOW), ware_c(SLOW, 6.0)
    k = int(np.searchsorted(past.time_s, past.hold_end_s[0])) - 1
    assert hot[k] == pytest.approx(510.0 + 7.0, abs=1.5)
    assert hot - ware_c(replace(SLOW, kiln=replace(KILN, reads_off_c=0.0)), 6.0) == pytest.approx(
        7.0
    )


def test_the_sky_cools_what_is_left_less_than_the_thermocouple() -> None:
    """A lid that drops the pyrometer by 80 °C takes 0.35 of it from the ware's surroundings."""
    open_ = replace(SLOW, pulls=(Pull("tongs", 2, 5.0, 1, 0.0, 300.0),))
    whole, part = kiln_history(open_), kiln_history(open_, 0.35)
    at = planned(open_)
    drops = [
        (np.interp(one.time_s, at.time_s, at.air_c) - one.air_c).max() for one in (whole, part)
    ]
    assert drops[0] > 60.0
    assert drops[1] == pytest.approx(0.35 * drops[0], rel=0.02)
    shut = replace(open_, pulls=(replace(open_.pulls[0], open_s=0.0),))
    assert kiln_history(shut).air_c.max() == pytest.approx(690.0, abs=0.5)


def test_a_closed_kiln_is_followed_until_nothing_moves() -> None:
    assert kiln_history(SLOW).air_c[-1] == pytest.approx(500.0, abs=2.0)
    for to_c, end_c in ((700.0, 500.0), (300.0, 280.0), (10.0, 25.0)):
        time_s, t_c = cooled_to(SLOW, 6.0, to_c)
        assert t_c[-1] == pytest.approx(end_c + 7.0, abs=3.0)
        # by half from 690 to 20 °C in 2 h each: 690 -> end
        halves = np.log2((690.0 - 20.0) / (end_c - 20.0))
        assert time_s[-1] / 3600.0 == pytest.approx(8.75 + 2.0 * halves, rel=0.02)


def test_earlier_firings_come_first() -> None:
    """One after the other, a second apart, each as long as it is by itself."""
    time_s, t_c = fired_before([], 6.0)
    assert len(time_s) == len(t_c) == 0
    pulled = replace(SLOW, pulls=PULLS)
    alone = [kiln_history(SLOW).time_s[-1], moments(pulled, 6.0)[-1].time_s[-1]]
    time_s, t_c = fired_before([SLOW, pulled], 6.0)
    assert time_s[-1] == pytest.approx(alone[0] + 1.0 + alone[1])
    assert (np.diff(time_s) > 0.0).all()
    (later,) = moments(replace(SLOW, name="again"), 6.0, [SLOW, pulled])
    (first,) = moments(SLOW, 6.0)
    assert later.time_s[-1] == pytest.approx(sum(alone) + 1.0 + 1.0 + first.time_s[-1])
    assert later.at_min == first.at_min and later.name == first.name
    assert later.ware_c[-len(first.ware_c) :] == pytest.approx(first.ware_c)
    assert len(later.ware_c) == len(t_c) + len(first.ware_c)


def reasons(firing: Firing) -> str:
    with pytest.raises(CofireError) as refused:
        planned(firing)
    return str(refused.value)


def test_what_cannot_be_fired_is_refused() -> None:
    old = replace(KILN, heating_at_top_c_per_h=20.0)
    hot = replace(SLOW, kiln=old, segments=(SLOW.segments[0], Segment(60.0, 1350.0, 0.0)))
    assert "segment 2: this kiln cannot reach 1350 °C" in reasons(hot)
    weak = replace(hot, supply=Supply(198.0, 30.0, 6.0, 8.0, 230.0, 0.1, 32.0, 40))
    assert "With 198 V at the kiln its elements have 6 of 8 kW" in reasons(weak)
    long = replace(SLOW, segments=(Segment(98.0, 510.0, 60.0 * 24.0 * 40.0),))
    assert "hours" in reasons(long)
