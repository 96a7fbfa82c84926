"""Plans of a day."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise
from typing import Any

import pytest

from cofire import Studio
from cofire.answers.day.asked import Day, layers_possible, pots_per_layer
from cofire.answers.day.plan import DayPlan, _plan, plan_day
from cofire.answers.firing import firing_answer
from cofire.errors import CofireError, CompositionError
from cofire.files.library import Library
from cofire.model.conditions import Conditions
from cofire.records import Firing, Smoke
from cofire.show.sheets.words import firing_of, loads_of

LIB = Library()
POT, CHAMBER = (120.0, 150.0), (400.0, 450.0)
WORKSHOP, AT_ONCE = LIB.firing("raku-workshop"), LIB.firing("raku-one-load")
GAS = replace(AT_ONCE, kiln=LIB.kiln("gas-raku"))


def day(firing: Firing, pots: int, bins: int, **how: Any) -> Day:
    return Day(firing, pots, POT, CHAMBER, bins, **how)


def test_pots_that_fit() -> None:
    """By hand: (400 / 135)² is 8.8, 0.7 of it 6; two layers of 150 + 25 in 450 mm."""
    assert pots_per_layer(POT, CHAMBER) == 6 and layers_possible(POT, CHAMBER) == 2
    assert pots_per_layer((390.0, 150.0), CHAMBER) == 0
    assert pots_per_layer((380.0, 150.0), CHAMBER) == 1


def test_the_load_is_that_of_the_pots() -> None:
    """By hand: a cylinder of 12 by 15 cm with a floor is 0.0679 m², at 6 mm and 1.9 g/cm³ 0.774 kg;
    a shelf of 40 cm and 15 mm at 2.0 g/cm³ weighs 3.77 kg."""
    asked = day(WORKSHOP, 12, 3, layers=2)
    assert asked.each_kg == pytest.approx(0.774, abs=0.001)
    assert asked.load_kg(6) == 4.6
    assert asked.load_kg(12) == 13.1
    assert replace(asked, pot_kg=0.5).load_kg(6) == 3.0


# --- the plan, event by event -------------------------------------------------------------------

DAYS = [
    day(WORKSHOP, 6, 3), day(WORKSHOP, 28, 3), day(WORKSHOP, 12, 1), day(WORKSHOP, 9, 2, hands=1),
    day(AT_ONCE, 28, 12), day(GAS, 28, 6, start=540.0), day(GAS, 20, 5, kilns=2, hands=1),
    day(GAS, 40, 4, days=3, layers=2), day(WORKSHOP, 24, 4, per_bin=2, layers=2),
    day(replace(GAS, smoke=Smoke(air_s=600.0, bin_min=90.0)), 14, 3),
    day(GAS, 16, 6, layers=2, start=540.0, breaks=((720.0, 765.0),)),
    day(GAS, 30, 5, kilns=2, hands=1, start=480.0, breaks=((600.0, 615.0), (720.0, 780.0))),
    day(WORKSHOP, 24, 4, per_bin=4, layers=2, days=2, start=540.0, breaks=((750.0, 800.0),)),
    # two kilns ripe within minutes of each other
    day(AT_ONCE, 12, 7, kilns=2, per_bin=5), day(AT_ONCE, 6, 5, kilns=2, hands=4, reload_c=560.0),
    day(WORKSHOP, 18, 4, kilns=2, per_bin=5, days=2, start=545.0, breaks=((1148.0, 1388.0),)),
]  # fmt: skip


def in_bins(plan: DayPlan) -> list[tuple[float, float, str]]:
    """When each bin holds a pot, until it is empty."""
    return [(p.in_bin_min, p.free_min, f"bin {p.bin}") for r in plan.firings for p in r.pulls]


def handwork(plan: DayPlan) -> list[tuple[float, float, str]]:
    """All that takes a pair of hands: from when, until when, what."""
    air_min = plan.asked.firing.smoke.air_s / 60.0
    work, filled = [], set()
    for r in plan.firings:
        if (r.kiln, r.day) in filled:  # the first of a day is filled before it begins
            work.append((r.starts_min - 20.0, r.starts_min, "fill"))
        filled.add((r.kiln, r.day))
        for p in r.pulls:
            begins = p.at_min if p.shelf_min is None else p.shelf_min
            assert p.shelf_min is None or p.at_min - p.shelf_min == pytest.approx(3.0)
            work.append((begins, p.at_min + max(2.0, air_min), "pull"))
            work.append((p.free_min - 3.0, p.free_min, "empty"))
    return work


@pytest.mark.parametrize("asked", DAYS, ids=range(len(DAYS)))
def test_a_day_event_by_event(asked: Day) -> None:
    plan = _plan(asked)
    assert sum(r.pots for r in plan.firings) == asked.pots
    assert max(r.pots for r in plan.firings) - min(r.pots for r in plan.firings) <= 1
    busy: dict[str, float] = {}
    for begins, ends, where in sorted(in_bins(plan)):
        assert begins >= busy.get(where, 0.0) - 1e-6, "two pots in one bin"
        assert ends >= begins + asked.firing.smoke.bin_min + 3.0 - 1e-6
        busy[where] = ends
    # nobody's hands are in two places, nor at work in a break
    work = handwork(plan)
    for moment, _, _ in work:
        at_once = [what for a, b, what in work if a <= moment + 1e-6 and moment + 1e-6 < b]
        assert len(at_once) <= asked.hands, (moment, at_once)
    for begin, end in asked.breaks:
        for a, b, what in work:
            midnight = a // 1440.0 * 1440.0 - (asked.start or 0.0)
            assert b <= midnight + begin + 1e-6 or a >= midnight + end - 1e-6, what
    # one lid is up at a time
    lids = sorted((p.at_min, p.at_min + 2.0) for r in plan.firings for p in r.pulls)
    for (_, closed), (opened, _) in pairwise(lids):
        assert opened >= closed - 1e-6
    # the top layer leaves first, and then its shelf
    layer = pots_per_layer(POT, CHAMBER)
    for one in plan.firings:
        gone = 0
        for p in one.pulls:
            assert (p.shelf_min is not None) == (gone > 0 and gone % layer == 0)
            gone += p.pots
    for one in plan.firings:
        assert sum(p.pots for p in one.pulls) == one.pots
        assert one.load_kg == asked.load_kg(one.pots)
        # no pull before its load is ripe, as the firing says for this load and a warmer kiln
        cold = firing_answer(LIB, [], Conditions(firing=replace(asked.firing, load_kg=one.load_kg)))
        shorter = 0.0
        if one.from_c > 20.0:
            shorter = float(cold.time_s[(cold.air_c >= one.from_c).argmax()]) / 60.0
        ready = one.starts_min + cold.loads[0].at_min - shorter
        assert one.first_pull_min >= ready - 0.5
        assert one.last_pull_min <= one.starts_min + cold.total_min - shorter + 20.0 + 1e-6
    for kiln in range(1, asked.kilns + 1):
        mine = [r for r in plan.firings if r.kiln == kiln]
        for one, following in pairwise(mine):
            assert following.starts_min >= one.last_pull_min + 20.0 or following.day > one.day


def test_a_day_and_the_firing_tell_the_same_times_for_the_same_load() -> None:
    plan = _plan(day(WORKSHOP, 6, 3))
    (one,) = plan.firings
    same = replace(WORKSHOP, load_kg=one.load_kg)
    answer = firing_answer(LIB, [], Conditions(firing=same))
    told = [load.at_min for load in answer.loads]
    assert [p.at_min for p in one.pulls] == pytest.approx(told[: len(one.pulls)])


def test_between_firings_the_kiln_cools_as_it_does() -> None:
    """By hand: 90 min half time, shelves none; from 916 °C to 200 °C are log2(896 / 180) = 2.32
    half times, 3 h 28 min, and 20 min to fill it."""
    first, second = _plan(day(WORKSHOP, 12, 3)).firings
    assert second.starts_min - first.last_pull_min == pytest.approx(228.5, abs=1.0)
    assert 20.0 < second.from_c < 200.0  # the cold pots take their share
    warm, then = _plan(day(WORKSHOP, 12, 3, reload_c=560.0)).firings
    assert then.starts_min - warm.last_pull_min < 100.0


def test_bins_that_are_free_at_the_start_are_used() -> None:
    plan = _plan(day(AT_ONCE, 28, 12))
    assert [r.pots for r in plan.firings] == [6, 6, 6, 5, 5]
    assert plan.limited_by == "chamber"


def test_pots_are_shared_evenly_by_the_firings() -> None:
    assert [r.pots for r in _plan(replace(DAYS[4], pots=7)).firings] == [4, 3]


def test_no_to_what_nobody_can_keep_with_what_would_help() -> None:
    plan = plan_day(day(WORKSHOP, 28, 3))
    assert not plan.kept and plan.too_long and plan.total_min > 24 * 60
    for cure in plan.cures:
        changed = _plan(replace(plan.asked, **dict(cure.changes)))  # type: ignore[arg-type]
        assert changed.kept and changed.total_min == cure.total_min
    most = dict(plan.cures[-1].changes)["pots"]
    assert not _plan(replace(plan.asked, pots=most + 1)).kept
    alone = plan_day(day(AT_ONCE, 4, 1))
    assert alone.one_by_one and alone.limited_by == "bins" and not alone.kept


def test_the_clock() -> None:
    kept = plan_day(day(GAS, 12, 6, start=540.0, end=930.0))
    assert kept.kept and kept.total_min <= 390.0
    assert plan_day(day(GAS, 12, 6, start=540.0, end=660.0)).too_long
    late = plan_day(day(GAS, 12, 6, end=930.0))
    assert late.starts_at_min == pytest.approx(930.0 - late.total_min)


def test_several_days_each_begin_cold_and_on_time() -> None:
    plan = _plan(day(GAS, 40, 6, days=3, start=540.0, end=930.0))
    assert [r.day for r in plan.firings] == sorted(r.day for r in plan.firings)
    for k in {r.day for r in plan.firings}:
        first = next(r for r in plan.firings if r.day == k)
        assert first.starts_min == (k - 1) * 1440.0 and first.from_c == 20.0
        assert all(math.isfinite(p.free_min) for p in first.pulls)


def test_a_second_kiln_is_pulled_from_after_the_first() -> None:
    one, two, *_ = _plan(day(GAS, 24, 6, kilns=2)).firings
    assert {one.kiln, two.kiln} == {1, 2}
    assert two.first_pull_min > one.last_pull_min


def test_who_stands_under_a_shelf() -> None:
    (one,) = _plan(day(WORKSHOP, 12, 4, layers=2)).firings
    assert one.under_a_shelf == 6
    with pytest.raises(CompositionError, match="layers"):
        plan_day(day(WORKSHOP, 12, 4, layers=3))


def test_a_closed_kiln_has_no_pulls_to_plan() -> None:
    with pytest.raises(CompositionError, match="pulls nothing hot"):
        plan_day(day(LIB.firing("earthenware-cone-04"), 5, 1))


def test_a_pot_too_large() -> None:
    with pytest.raises(CompositionError, match="does not fit"):
        plan_day(Day(WORKSHOP, 1, (500.0, 150.0), CHAMBER, 1))


def test_the_pack_of_a_class_tells_the_times_of_its_pots() -> None:
    """28 pots with 17 pulls a firing are two firings of 14; 14 × 0.774 kg are 10.8 kg."""
    studio = Studio()
    pack = studio.batch(
        "clear-crackle", pieces="14 students x 5 tiles and 2 pots", firing="raku-workshop"
    )
    ware = pack.ware
    assert ware is not None
    assert (ware.pots, ware.firings, ware.each, ware.load_kg) == (28, 2, 14, 10.8)
    page = firing_of(pack)
    same = studio.firing("raku-workshop", load="10.8 kg")
    planned = [load.at_min for load in same.loads[:14]]
    assert page is not None and [load.at_min for load in page.loads] == pytest.approx(planned)
    (one,) = studio.day(
        "raku-workshop", pots=14, pot="12 x 15 cm", chamber="65 x 45 cm", bins=4
    ).firings
    assert one.first_pull_min == pytest.approx(planned[0]) and one.load_kg == 10.8
    assert "28 pots: 2 firings of up to 14" in loads_of(pack)


def test_when_a_shut_kiln_may_be_opened() -> None:
    """By hand: from 1040 °C to 100 °C are log2(1020 / 80) = 3.67 half times."""
    answer = Studio().firing("earthenware-cone-04")
    can = answer.firing.kiln.cooling_half_time_h
    peak = float(answer.air_c[(answer.time_s / 60.0 >= answer.total_min - 0.01).argmax()])
    halves = math.log2((peak - 20.0) / 80.0)
    assert answer.cold_min - answer.total_min == pytest.approx(60.0 * can * halves, rel=0.01)


def test_the_bins_of_a_class_are_those_of_the_day() -> None:
    """By hand: a pot every 15 minutes and 30 minutes in each bin take three bins."""
    studio = Studio()
    made: dict[str, Any] = {"pieces": "14 students x 1 pot", "firing": "raku-workshop"}
    for bins in (None, 2, 3):
        ware = studio.batch("clear-crackle", bins=bins, **made).ware
        assert ware is not None
        (one, *_) = studio.day(
            "raku-workshop", pots=ware.each, pot="12 x 15 cm", chamber="80 x 45 cm",
            bins=bins or ware.bins,
        ).firings  # fmt: skip
        assert ware.in_bin == tuple(p.bin for p in one.pulls)
        page = firing_of(studio.batch("clear-crackle", bins=bins, **made))
        assert page is not None
        assert [x.at_min for x in page.loads] == pytest.approx([p.at_min for p in one.pulls])
    assert studio.batch("clear-crackle", **made).ware.bins == 3  # type: ignore[union-attr]


def test_a_break_needs_a_start_and_two_times() -> None:
    asked: dict[str, Any] = {"pots": 6, "pot": "12 x 15 cm", "chamber": "40 x 45 cm", "bins": 3}
    for breaks, start, said in (
        (["12:00-12:45"], None, "no start"), (["12:00"], "9:00", "no break"),
        (["13:00-12:00"], "9:00", "no break"), (["9:00-14:00"], "9:00", "no break"),
    ):  # fmt: skip
        with pytest.raises(CofireError, match=said):
            Studio().day("raku-workshop", breaks=breaks, start=start, **asked)


def test_glazes_that_share_the_pots_fire_all_of_them() -> None:
    made: dict[str, Any] = {"pieces": "14 students x 1 pot", "firing": "raku-workshop"}
    for shared in (False, True):
        pack = Studio().batch(["clear-crackle", "frit-gloss"], shared=shared, **made)
        assert pack.ware is not None and pack.ware.pots == 14


def test_a_kiln_waits_for_a_break_to_pass_before_it_fires_fewer_pots() -> None:
    """A load that leaves at once, with a break when the first would be ready."""
    plan = _plan(day(GAS, 18, 6, start=645.0, breaks=((710.0, 755.0),)))
    assert [r.pots for r in plan.firings] == [6, 6, 6]
    first = plan.firings[0]
    assert first.starts_min > 0.0 and 645.0 + first.first_pull_min >= 755.0


def test_no_pot_is_lost_where_breaks_leave_no_moment() -> None:
    """Ten minutes in each hour: a load leaves in parts of what those minutes let out."""
    hours = tuple((60.0 * h + 10.0, 60.0 * h + 60.0) for h in range(24))
    asked = day(WORKSHOP, 12, 3, start=480.0, breaks=hours, hands=1)
    assert sum(p.pots for r in plan_day(asked).firings for p in r.pulls) == 12


def test_a_start_before_midnight_is_no_plan_and_named() -> None:
    plan = plan_day(day(WORKSHOP, 6, 3, end=60.0))
    assert plan.too_early and plan.too_long and not plan.kept
    assert plan.total_min < 12 * 60.0
