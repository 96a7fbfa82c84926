"""What a change of a firing is, before anything is judged."""

from __future__ import annotations

from dataclasses import replace

import pytest

from cofire.answers.firing_change import _moves, _sooner
from cofire.answers.pair import pair
from cofire.files.library import Library
from cofire.model.conditions import Conditions
from cofire.read.cooling import read_cooling

LIB = Library.open(None)
DAY = Library().firing("raku-workshop")  # 17 pots, one every 15 min, in a hold of 4 h


def last_pull_min(firing) -> float:  # type: ignore[no-untyped-def]
    return max(p.after_min + (p.count - 1) * p.every_min for p in firing.pulls)


@pytest.mark.parametrize("minutes", [15.0, 30.0, 40.0, 100.0])
def test_the_last_pot_comes_as_much_sooner_as_it_says(minutes: float) -> None:
    """By hand: whole pots are left out, so at least as much and less than one interval more."""
    sooner = _sooner(DAY, minutes)
    assert sooner is not None
    gained = last_pull_min(DAY) - last_pull_min(sooner)
    assert minutes <= gained < minutes + 15.0


def test_nothing_is_left_to_take_away() -> None:
    assert _sooner(DAY, 241.0) is None
    assert _sooner(replace(DAY, pulls=()), 30.0) is None
    (one,) = (replace(p, count=1, after_min=50.0) for p in DAY.pulls)
    sooner = _sooner(replace(DAY, pulls=(one,)), 30.0)
    assert sooner is not None and sooner.pulls[0].after_min == 20.0


def test_every_move_does_what_its_words_say() -> None:
    """Peaks, soaks and holds as read back from the words; one step of trouble is 10 °C, 10 min of
    soak or half an hour of pulling."""
    peak, hold = DAY.segments
    for move in _moves(DAY, coarse=False):
        changed = move.apply(DAY)
        assert changed is not None
        said = move.words.split()
        if said[0] == "peak":
            to = changed.segments[0].target_c
            assert said[2] == f"{to:.0f}"
            assert move.cost == pytest.approx(abs(to - peak.target_c) / 10.0)
        elif said[0] == "soak":
            to = changed.segments[0].hold_min
            assert said[1] == f"{to:.0f}"
            assert move.cost == pytest.approx(abs(to - peak.hold_min) / 10.0)
        elif said[0] == "hold":
            to = changed.segments[1].target_c
            assert said[2] == f"{to:.0f}"
            assert move.cost == pytest.approx(abs(to - hold.target_c) / 10.0)
        else:
            hours, _, minutes = said[4].partition(":")
            gained = last_pull_min(DAY) - last_pull_min(changed)
            assert gained >= 60 * int(hours) + int(minutes)
            assert move.cost == pytest.approx((60 * int(hours) + int(minutes)) / 30.0)


def test_air_and_quench_are_changed_where_the_fit_is_wrong() -> None:
    moves = [move for move in _moves(DAY, coarse=True) if move.kind in ("air", "quench")]
    assert {move.amount for move in moves if move.kind == "air"} >= {0.0, 60.0, 240.0}
    for move in moves:
        changed = move.apply(DAY)
        assert changed is not None and not changed.smoke.assumed
        assert replace(changed, smoke=DAY.smoke).segments == DAY.segments
        if move.kind == "air":
            assert changed.smoke.air_s == move.amount
        else:
            assert changed.smoke.then != DAY.smoke.then
    assert not [m for m in _moves(replace(DAY, pulls=()), coarse=True) if m.kind == "air"]


def test_what_was_tried_is_what_the_kiln_can_do() -> None:
    """The hottest peak named is no hotter than this kiln goes."""
    library = Library.open(None)
    at = Conditions(firing=library.firing("raku-workshop"))
    words = pair(library, [library.recipe("does-not-work")], at).change_words
    least, most = (int(n) for n in words.split("a peak of ")[1].split(" °C")[0].split(" to "))
    assert least < round(DAY.peak_c) < most <= DAY.kiln.top_c
    for kind in ("soak", "hold", "last pull"):
        assert kind in words


def test_a_change_of_the_cooling_can_make_it_fit() -> None:
    """What is proposed is a yes when it is asked for."""
    library = Library.open(None)
    at = Conditions(library.body("white-earthenware"), library.firing("raku-workshop"))
    answer = pair(library, [library.recipe("clear-crackle")], at)
    assert not answer.yes and answer.change is not None
    again = pair(library, [library.recipe("clear-crackle")], at.in_firing(answer.change.firing))
    assert again.yes and again.odds_together == pytest.approx(answer.change.odds)


@pytest.mark.parametrize("name", ["copper-lustre", "silver-lustre"])
def test_a_pot_taken_out_of_a_firing_without_pulls_cools_as_asked(name: str) -> None:
    """Too cool by far: what a hotter peak gives is judged for the same cooling, and said to be what
    it is when it is asked again."""
    usual = LIB.firing("earthenware-cone-06")
    low = tuple(replace(s, target_c=s.target_c - 160.0) for s in usual.segments)
    at = Conditions(
        body=LIB.body("unknown"),
        firing=replace(usual, segments=low),
        cooling_asked=read_cooling("3 min air"),
    )
    glaze = [LIB.recipe(name)]
    found = pair(LIB, glaze, at).change
    assert found is not None
    hotter = pair(LIB, glaze, at.in_firing(found.firing), change=False)
    assert found.odds == pytest.approx(hotter.odds_together, abs=1e-6)
