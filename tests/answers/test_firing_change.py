"""What a change of a firing is, before anything is judged."""

from __future__ import annotations

from dataclasses import replace

import pytest

from cofire.answers.firing_change import _moves, _sooner
from cofire.files.library import Library

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
    for move in _moves(DAY):
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
