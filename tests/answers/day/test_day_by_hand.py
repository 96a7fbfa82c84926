"""Sizes, loads, breaks and ends of a day, with firings that are made up."""

from __future__ import annotations

import math
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest

from cofire.answers.day import plan as plan_module
from cofire.answers.day.asked import (
    Day,
    layers_possible,
    pot_kg,
    pots_per_layer,
    read_breaks,
    read_size,
)
from cofire.answers.day.crew import Crew, Openings, first_pulls, openings_of
from cofire.answers.day.plan import Cure, DayPlan, Round, _one, _plan, plan_day
from cofire.errors import CompositionError, QuantityError
from cofire.files.library import Library
from cofire.records import Pull, Segment, Smoke

LIB = Library()
WORKSHOP = LIB.firing("raku-workshop")


def day(**asked: Any) -> Day:
    facts = {"firing": WORKSHOP, "pots": 4, "pot_mm": (120.0, 150.0), "chamber_mm": None, "bins": 2}
    return Day(**(facts | asked))


# --- sizes and weights ----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("pot_mm", "count"),
    [
        # 15 mm between pots and 25 mm over them: the largest that fit 400 by 450 mm
        ((385.0, 425.0), 1), ((385.5, 425.0), 0), ((385.0, 425.5), 0),
        # 0.7 × (400 / 125)² is 7.17, (400 / 126)² × 0.7 is 7.05, (400 / 127)² × 0.7 6.94
        ((110.0, 100.0), 7), ((111.0, 100.0), 7), ((112.0, 100.0), 6),
    ],
)  # fmt: skip
def test_pots_on_a_shelf(pot_mm: tuple[float, float], count: int) -> None:
    assert pots_per_layer(pot_mm, (400.0, 450.0)) == count


@pytest.mark.parametrize(("high_mm", "layers"), [(200.0, 2), (200.5, 1), (125.0, 3), (425.0, 1)])
def test_layers_with_room_for_tongs(high_mm: float, layers: int) -> None:
    """Of 25 mm over each pot, in 450 mm."""
    assert layers_possible((100.0, high_mm), (400.0, 450.0)) == layers


def test_the_weight_of_a_pot() -> None:
    """A metre wide and a metre high: pi + pi/4 of wall and floor, 6 mm, 1900 kg/m³."""
    assert pot_kg((1000.0, 1000.0)) == pytest.approx(1900.0 * 0.006 * math.pi * 1.25)
    assert day(pot_kg=2.5).each_kg == 2.5
    assert day(pot_mm=(1000.0, 1000.0)).each_kg == pytest.approx(pot_kg((1000.0, 1000.0)))


def test_shelves_weigh_between_layers() -> None:
    """A metre across, 15 mm of 2000 kg/m³: 30 × pi/4 kg. One pot to a layer: three have two."""
    big = day(pot_mm=(900.0, 100.0), chamber_mm=(1000.0, 1000.0), pot_kg=1.0)
    assert big.per_layer == 1
    loads = [big.load_kg(n) for n in (1, 2, 3)]
    assert loads == [round(n + (n - 1) * 30.0 * math.pi / 4.0, 1) for n in (1, 2, 3)]
    # without a chamber there are no shelves, and all pots are one layer
    assert day(pot_kg=1.0).load_kg(9) == 9.0 and day(pots=9).per_layer == 9
    assert day(pot_kg=0.123).load_kg(2) == 0.2


def test_no_pot_wider_than_its_kiln() -> None:
    with pytest.raises(CompositionError):
        _ = day(pot_mm=(400.0, 100.0), chamber_mm=(400.0, 450.0)).per_layer


@pytest.mark.parametrize(
    ("text", "size"),
    [
        ("1 x 300 cm", (10.0, 3000.0)), ("300 x 1 cm", (3000.0, 10.0)),
        ("0.99 x 9 cm", None), ("9 x 0.99 cm", None), ("301 x 9 cm", None), ("9 x 301 cm", None),
    ],
)  # fmt: skip
def test_sizes_of_pots_and_kilns(text: str, size: tuple[float, float] | None) -> None:
    """From a centimetre to three metres."""
    if size is None:
        with pytest.raises(QuantityError):
            read_size(text, "pot")
    else:
        assert read_size(text, "pot") == pytest.approx(size)


# --- the clock ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "minutes"),
    [
        ("12:00-12:45", (720.0, 765.0)), ("12:00–12:45", (720.0, 765.0)),
        ("9:00-13:00", (540.0, 780.0)), ("9:00-13:01", None), ("9:00-9:00", None),
        ("9:01-9:00", None), ("9:00", None), ("0:00-0:01", (0.0, 1.0)),
    ],
)  # fmt: skip
def test_a_break_lasts_up_to_four_hours(text: str, minutes: tuple[float, float] | None) -> None:
    if minutes is None:
        with pytest.raises(QuantityError):
            read_breaks([text], "9:00")
    else:
        assert read_breaks([text], "9:00") == (minutes,)


def test_breaks_need_a_start_and_no_breaks_none() -> None:
    with pytest.raises(QuantityError):
        read_breaks(["12:00-13:00"], None)
    assert read_breaks([], None) == ()


@pytest.mark.parametrize(
    ("minute", "takes", "begins"),
    [
        # started at 9:00, so the break from 12:00 to 12:30 is from 180 to 210, and from 13:00 to
        # 13:10 from 240 to 250
        (170.0, 10.0, 170.0), (170.5, 10.0, 210.0), (209.9, 1.0, 210.0), (210.0, 1.0, 210.0),
        # what does not fit between the two begins after both
        (200.0, 30.0, 210.0), (200.0, 31.0, 250.0),
        # and the same a day later
        (1440.0 + 170.5, 10.0, 1440.0 + 210.0), (1440.0 + 170.0, 10.0, 1440.0 + 170.0),
    ],
)  # fmt: skip
def test_work_waits_for_a_break_to_end(minute: float, takes: float, begins: float) -> None:
    """Breaks count in order, however they were written."""
    off = day(start=540.0, breaks=((780.0, 790.0), (720.0, 750.0)))
    assert off.after_breaks(minute, takes) == begins


def test_breaks_of_the_clock_where_nothing_says_when_it_starts() -> None:
    assert day(breaks=((100.0, 110.0),)).after_breaks(105.0, 1.0) == 110.0


def test_how_long_a_day_may_last() -> None:
    assert day(start=540.0, end=930.0).longest_min == 390.0
    assert day().longest_min == day(start=540.0).longest_min == day(end=930.0).longest_min == 720.0


# --- a plan ---------------------------------------------------------------------------------------


def one(number: int, day_: int, free_min: float) -> Round:
    return Round(number, day_, 1, 1, 0, 1.0, 0.0, 20.0, 0.0, 0.0, free_min, ())


def planned(*free_min: float, each: int = 2, **asked: Any) -> DayPlan:
    """A plan of a firing a day whose bins are empty so many minutes after that day's start."""
    rounds = tuple(one(k, k, 1440.0 * (k - 1) + free) for k, free in enumerate(free_min, 1))
    return DayPlan(day(**asked), each, "chamber", 1, rounds)


def test_the_longest_day_counts() -> None:
    assert planned(300.0, 200.0).total_min == 300.0
    assert planned(200.0, 300.0).total_min == 300.0


@pytest.mark.parametrize(
    ("asked", "starts", "early"),
    [
        ({}, None, False), ({"start": 540.0}, 540.0, False), ({"end": 900.0}, 600.0, False),
        ({"start": 540.0, "end": 900.0}, 540.0, False), ({"end": 300.0}, 0.0, False),
        ({"end": 299.0}, -1.0, True),
    ],
)  # fmt: skip
def test_when_it_starts(asked: dict[str, float], starts: float | None, early: bool) -> None:
    """As said, or 300 minutes before it has to end."""
    made = planned(300.0, **asked)
    assert made.starts_at_min == starts
    assert made.clocked == (starts is not None)
    assert made.too_early == made.too_long == early


@pytest.mark.parametrize(("minutes", "long"), [(720.0, False), (720.5, True)])
def test_twelve_hours_are_enough(minutes: float, long: bool) -> None:
    assert planned(minutes).too_long == long
    assert planned(minutes).kept != long


def test_one_pot_at_a_time_is_no_plan_for_two() -> None:
    assert planned(300.0, each=1, pots=2).one_by_one
    assert not planned(300.0, each=1, pots=2).kept
    assert planned(300.0, each=1, pots=1).kept and planned(300.0, each=2, pots=2).kept


def test_openings_of_a_load_that_leaves_early_or_late() -> None:
    """98 °C an hour from 20 to 510 °C, 5 h, and an hour of soak: the kiln is at 510 °C at the last
    opening and, halfway up, at 265 °C."""
    ramp = replace(WORKSHOP, segments=(Segment(98.0, 510.0, 60.0),), ambient_c=20.0,
                   pulls=(Pull("tongs", 1, 10.0),))  # fmt: skip
    found = openings_of(ramp)
    assert found.hot_c == pytest.approx(510.0, abs=0.5) and found.at_once
    # at room temperature nothing is saved
    assert openings_of(ramp, 20.0).saved_min == 0.0
    assert openings_of(ramp, 20.0).at_min == found.at_min


def test_the_first_firing_of_a_day_is_the_one_of_its_load() -> None:
    heavy = day(pots=3, bins=3, pot_kg=4.0)
    pulls = first_pulls(heavy, 3)
    openings = openings_of(replace(WORKSHOP, load_kg=12.0))
    assert [p.at_min for p in pulls] == pytest.approx(list(openings.at_min[:3]))
    assert [p.number for p in pulls] == [0, 1, 2] and [p.bin for p in pulls] == [1, 2, 3]


def limited(
    monkeypatch: pytest.MonkeyPatch, openings: Openings, fits: int, **asked: Any
) -> tuple[str, int]:
    """What limits a plan of 6 pots to a layer where so many come out, and how many it takes."""
    monkeypatch.setattr(plan_module, "openings_of", lambda *_: openings)
    monkeypatch.setattr(plan_module, "_fits", lambda *_: fits)
    monkeypatch.setattr(plan_module, "_rounds", lambda *_: [one(1, 1, 300.0)])
    made = _plan(day(pots=12, chamber_mm=(400.0, 450.0), **asked))
    return made.limited_by, made.pots_per_load


@pytest.mark.parametrize(
    ("count", "once", "fits", "per_bin", "limit"),
    [
        (9, False, 6, 1, ("chamber", 6)), (9, False, 4, 1, ("bins", 4)),
        (4, False, 4, 1, ("hold", 4)), (2, False, 4, 2, ("hold", 4)), (4, False, 3, 1, ("bins", 3)),
        (1, True, 4, 1, ("bins", 4)), (9, False, 0, 1, ("bins", 1)),
    ],
)  # fmt: skip
def test_what_limits_a_firing(
    monkeypatch: pytest.MonkeyPatch,
    count: int,
    once: bool,
    fits: int,
    per_bin: int,
    limit: tuple[str, int],
) -> None:
    """The chamber, openings of the hold that are all used, or else the bins."""
    openings = Openings(tuple(10.0 * k for k in range(count)), 500.0, once, 900.0)
    assert limited(monkeypatch, openings, fits, per_bin=per_bin) == limit


def test_layers_up_to_the_lid() -> None:
    """Two of 175 mm in 450 mm."""
    assert plan_day(day(chamber_mm=(400.0, 450.0), layers=2)).layers_possible == 2
    with pytest.raises(CompositionError, match="layers"):
        plan_day(day(chamber_mm=(400.0, 450.0), layers=3))
    assert plan_day(day()).layers_possible == 1


def cured(monkeypatch: pytest.MonkeyPatch, helps: Any, **asked: Any) -> tuple[Cure, ...]:
    """What is offered where ``helps`` says which days can be kept."""

    def tried(asked: Day, stop: bool = False) -> DayPlan:
        minutes = 100.0 * asked.pots if helps(asked) else 9999.0
        return DayPlan(asked, 2, "bins", 2, (one(1, 1, minutes),))

    monkeypatch.setattr(plan_module, "_plan", tried)
    return plan_day(day(chamber_mm=(400.0, 450.0), **asked)).cures


def test_each_change_that_helps_alone_is_offered(monkeypatch: pytest.MonkeyPatch) -> None:
    """Six bins for six pots, one kiln more, a reload at 560 °C, a day or a layer more; and the most
    pots that can be kept."""
    helps = lambda d: d.bins == 6 or d.kilns == 2 or d.reload_c == 560 or d.days == 2 or (  # noqa: E731
        d.layers == 2) or d.pots < 4  # fmt: skip
    found = cured(monkeypatch, helps, pots=5)
    assert [c.changes for c in found] == [
        (("bins", 6),), (("kilns", 2),), (("reload_c", 560),), (("days", 2),), (("layers", 2),),
        (("pots", 3),)]  # fmt: skip
    assert [c.total_min for c in found] == [500.0] * 5 + [300.0]


def test_two_together_where_none_helps_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    """The first two that do it, and no pots where not even one can be kept."""
    helps = lambda d: (d.days == 2 and d.kilns == 2) or (d.days == 2 and d.layers == 2)  # noqa: E731
    assert [c.changes for c in cured(monkeypatch, helps, pots=5)] == [(("kilns", 2), ("days", 2))]
    assert cured(monkeypatch, lambda _: False, pots=5) == ()


def test_what_is_so_already_is_no_change(monkeypatch: pytest.MonkeyPatch) -> None:
    """As many bins as pots, as hot a reload, all layers."""
    found = cured(monkeypatch, lambda d: d.pots == 1 or d.layers > 2, pots=9, bins=12, layers=2,
                  reload_c=560.0)  # fmt: skip
    assert [c.changes for c in found] == [(("pots", 1),)]
    helps = lambda d: d.bins == 6  # noqa: E731
    two = cured(monkeypatch, helps, pots=5, bins=2, per_bin=2, layers=2)
    assert [c.changes for c in two] == [(("bins", 6),)]  # twelve places, two to a bin


def test_a_kiln_is_filled_while_its_heat_halves() -> None:
    """A load pulled at the peak, six minutes of smoke: the next fill waits until 200 °C, log2 of
    what the kiln has over the room in its half times, and takes 20 min."""
    quick = replace(WORKSHOP, smoke=Smoke(20.0, 6.0))
    first, second = _plan(day(firing=quick, pots=12, bins=6, chamber_mm=(400.0, 450.0))).firings
    openings = openings_of(replace(quick, load_kg=first.load_kg), 20.0)
    half_min = 60.0 * quick.kiln.cooling_half_time_h
    halves = math.log2((openings.hot_c - 20.0) / 180.0)
    waits = second.starts_min - 20.0 - first.last_pull_min
    assert waits == pytest.approx(half_min * halves, abs=5.0)  # in whole steps of five minutes


def fired(
    monkeypatch: pytest.MonkeyPatch,
    crew: Crew,
    kilns: list[tuple[float, float | None]],
    until_min: float = 100.0,
    **asked: Any,
) -> tuple[Round, tuple[float, float | None], int]:
    """One pot of a load of its own in kilns that halve their heat over the room in an hour when
    empty; a load takes half of it. It leaves 50 min after the start, from 900 °C. With the kiln
    after it, and how many starts were tried."""
    tries: list[float] = []

    def openings(firing: Any, from_c: float | None = None) -> Openings:
        tries.append(0.0)
        return Openings((50.0,), until_min, True, 900.0)

    monkeypatch.setattr(plan_module, "openings_of", openings)
    monkeypatch.setattr(
        plan_module,
        "speed",
        lambda firing: SimpleNamespace(
            cooling_half_time_h=1.0, slowed=0.5 if firing.load_kg else 1.0
        ),
    )
    one_pot = day(pots=1, pot_kg=3.0, firing=replace(WORKSHOP, ambient_c=20.0), **asked)
    firing = replace(one_pot.firing, load_kg=3.0)
    done, _, _, after = _one(one_pot, firing, 1, 1, 1, crew, kilns)
    return done, after, len(tries)


def hands(*free: float, bins: int = 1) -> Crew:
    return Crew(list(free), [0.0] * bins)


def test_a_cold_kiln_starts_as_it_stands(monkeypatch: pytest.MonkeyPatch) -> None:
    """Its load leaves at 50 min, 900 °C; to 200 °C are log2(880 / 180) hours."""
    done, after, _ = fired(monkeypatch, hands(0.0), [(0.0, None)])
    assert (done.starts_min, done.from_c, done.first_pull_min) == (0.0, 20.0, 50.0)
    assert after == (pytest.approx(50.0 + 60.0 * math.log2(880.0 / 180.0)), 200.0)
    # the kiln that is free first is taken
    assert fired(monkeypatch, hands(0.0), [(9.0, None), (5.0, None)])[0].kiln == 2


def test_a_reload_hotter_than_the_kiln_ever_is(monkeypatch: pytest.MonkeyPatch) -> None:
    after = fired(monkeypatch, hands(0.0), [(0.0, None)], reload_c=950.0)[1]
    assert after == (50.0, 900.0)


@pytest.mark.parametrize(
    ("free", "starts", "from_c"),
    [
        # filled from 100 to 120 min, at 320 °C; the load takes half of the 300 °C over the room
        (0.0, 120.0, 170.0),
        # an hour later it has half of that, and two hours later a quarter
        (160.0, 180.0, 95.0), (220.0, 240.0, 57.5),
    ],
)  # fmt: skip
def test_a_kiln_cools_while_it_waits_for_a_hand(
    monkeypatch: pytest.MonkeyPatch, free: float, starts: float, from_c: float
) -> None:
    done, _, _ = fired(monkeypatch, hands(free), [(100.0, 320.0)], until_min=500.0)
    assert (done.starts_min, done.from_c) == (starts, pytest.approx(from_c))


@pytest.mark.parametrize(
    ("free", "last", "starts"), [(0.0, 0.0, 100.0), (403.0, 0.0, 280.0), (0.0, 412.0, 290.0)]
)
def test_no_kiln_starts_so_early_that_nobody_is_there(
    monkeypatch: pytest.MonkeyPatch, free: float, last: float, starts: float
) -> None:
    """Hands that are free at 403 min, or a lid that is up until 412, less 100 min in which the load
    has to leave and 20 to fill: 283 and 292, in whole steps of five from 100 on. The pot leaves
    when they are free."""
    crew = hands(free)
    crew.last = last
    done, _, tries = fired(monkeypatch, crew, [(100.0, None)])
    assert done.starts_min >= starts
    assert done.first_pull_min - done.starts_min <= 100.0
    assert tries == 1 + (done.starts_min - starts) / 5.0 + 1


def test_ten_days_are_tried(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every five minutes of them, from 100 min on, for a load that nothing lets out."""
    counted = []
    monkeypatch.setattr(Crew, "pull", lambda *_: counted.append(1) or [])
    with pytest.raises(CompositionError):
        fired(monkeypatch, hands(0.0), [(100.0, None)])
    assert len(counted) == 10 * 1440 / 5 + 2


def test_what_is_too_late_for_a_day_is_fired_on_the_next() -> None:
    """Two loads of six in a day of 6 h 30, each day on time and at the room's temperature."""
    gas = replace(LIB.firing("raku-one-load"), kiln=LIB.kiln("gas-raku"))
    asked = day(firing=gas, pots=24, bins=6, chamber_mm=(400.0, 450.0), days=3, start=540.0,
                end=930.0)  # fmt: skip
    firings = _plan(asked).firings
    per_day = [sum(r.day == k for r in firings) for k in (1, 2, 3)]
    assert sum(per_day) == 4 and per_day[0] >= 1 and per_day[1] >= 1
    for k in (1, 2):
        of_day = [r for r in firings if r.day == k]
        assert max(r.bins_free_min for r in of_day) - 1440.0 * (k - 1) <= 390.0
