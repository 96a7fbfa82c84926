"""Which changes of a firing there are, in which order they are tried, and what is said of them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from cofire.answers import firing_change
from cofire.answers.firing_change import (
    _both,
    _by_promise,
    _cooling,
    _follow_walls,
    _listed,
    _Move,
    _moves,
    _odds,
    _quick_judge,
    _segment,
    _soak,
    _sooner,
    smallest_change,
)
from cofire.errors import CompositionError
from cofire.files.library import Library
from cofire.model.conditions import Conditions
from cofire.model.standard_draws import N
from cofire.records import Firing, Pull, Segment, Smoke

#: Up to 1000 °C with a soak of 20 min, pulled from a hold at 950 °C.
FIRING = replace(
    Library().firing("raku-workshop"),
    segments=(
        Segment(100.0, 600.0, 0.0),
        Segment(200.0, 1000.0, 20.0),
        Segment(300.0, 950.0, 90.0),
    ),
    pulls=(Pull("first", 3, 5.0, 2, 10.0), Pull("last", 3, 40.0, 5, 12.0)),
    smoke=Smoke(30.0, 20.0),
    ambient_c=20.0,
)
NOTHING: Any = None


def moves(firing: Firing = FIRING, *, coarse: bool = False) -> dict[str, list[float]]:
    found: dict[str, list[float]] = {}
    for move in _moves(firing, coarse=coarse):
        found.setdefault(move.kind, []).append(move.amount)
    return found


def test_all_single_changes() -> None:
    """Peaks and holds up to 80 °C hotter or colder, soaks up to an hour and a half longer and none
    below nothing, pulls up to three hours sooner; the nearest first."""
    steps = (10.0, 20.0, 30.0, 40.0, 50.0, 60.0, 80.0)
    found = moves()
    assert found["peak"] == [1000.0 + sign * by for by in steps for sign in (1, -1)]
    assert found["soak"] == [30.0, 10.0, 40.0, 0.0, 50.0, 65.0, 80.0, 110.0]
    # below the peak of 1000 °C only
    assert found["hold"] == [960.0, 940.0, 970.0, 930.0, 980.0, 920.0, 990.0, 910.0, 900.0, 890.0,
                             870.0]  # fmt: skip
    # the last of five pots a quarter of an hour apart, so up to 48 min
    assert found["sooner"] == [30.0]
    assert set(found) == {"peak", "soak", "hold", "sooner"}


def test_a_last_pot_that_waits_three_hours_may_come_sooner() -> None:
    late = replace(FIRING, pulls=(Pull("one", 3, 181.0),))
    assert moves(late)["sooner"] == [30.0, 60.0, 90.0, 120.0, 150.0, 180.0]
    costs = [m.cost for m in _moves(late, coarse=False) if m.kind == "sooner"]
    assert costs == [1.0, 2.0, 3.0, 4.0, 5.0, 6.0]
    words = [m.words for m in _moves(late, coarse=False) if m.kind == "sooner"]
    assert words[2] == "pull the last pot 1:30 (h:mm) sooner"


def test_coarse_steps_and_other_ways_to_cool() -> None:
    """20, 40 and 90 of °C and min, and of half hours of pulling two and four."""
    late = replace(FIRING, pulls=(Pull("one", 3, 181.0),))
    assert moves(late, coarse=True) == {
        "peak": [1020.0, 980.0, 1040.0, 960.0], "soak": [40.0, 0.0, 110.0],
        "hold": [970.0, 930.0, 990.0, 910.0], "sooner": [60.0, 120.0],
        "air": [0.0, 10.0, 60.0, 120.0, 240.0], "quench": [0.0],
    }  # fmt: skip


def test_pots_that_leave_at_the_peak_are_not_pulled_before_it() -> None:
    """Their soak may be longer and not shorter, and there is no hold to change."""
    there = replace(FIRING, pulls=(Pull("one", 2, 5.0),))
    assert moves(there)["soak"] == [30.0, 40.0, 50.0, 65.0, 80.0, 110.0]
    assert "hold" not in moves(there)


@pytest.mark.parametrize(
    ("now", "then", "words"),
    [("air", "water", "a quench in water at the end"), ("water", "air", "no quench in water")],
)
def test_a_quench_is_added_or_left_out(now: Any, then: str, words: str) -> None:
    firing = replace(FIRING, smoke=replace(FIRING.smoke, then=now))
    quench = _cooling(firing)[-1]
    assert (quench.kind, quench.words, quench.cost) == ("quench", words, 1.0)
    changed = quench.apply(firing)
    assert changed is not None and changed.smoke == Smoke(30.0, 20.0, then, assumed=False)  # type: ignore[arg-type]
    air = _cooling(firing)[1]
    assert (air.words, air.cost) == ("10 s in air instead of 30 before the bin", 1.0)


@pytest.mark.parametrize(("target_c", "can"), [(20.0, False), (20.5, True)])
def test_no_peak_is_as_cold_as_the_room(target_c: float, can: bool) -> None:
    changed = _segment(1, target_c=target_c)(FIRING)
    assert (changed is not None) == can
    if changed is not None:
        assert [s.target_c for s in changed.segments] == [600.0, 20.5, 950.0]


def test_pulls_wait_for_a_longer_soak_of_their_segment() -> None:
    mixed = replace(FIRING, pulls=(Pull("a", 2, 5.0), Pull("b", 3, 7.0)))
    changed = _soak(1, 50.0)(mixed)
    assert changed is not None
    assert [s.hold_min for s in changed.segments] == [0.0, 50.0, 90.0]
    assert [p.after_min for p in changed.pulls] == [35.0, 7.0]


@pytest.mark.parametrize(
    ("minutes", "count"), [(12.0, 4), (12.5, 3), (24.0, 3), (48.0, 1), (48.5, None)]
)
def test_whole_pots_are_left_out_of_the_last_ones(minutes: float, count: int | None) -> None:
    """Five, twelve minutes apart."""
    changed = _sooner(FIRING, minutes)
    if count is None:
        assert changed is None
    else:
        assert changed is not None and [p.count for p in changed.pulls] == [2, count]


@pytest.mark.parametrize(("minutes", "can"), [(39.0, True), (40.0, False)])
def test_a_single_pot_leaves_after_the_ramp(minutes: float, can: bool) -> None:
    """The last is the one that leaves last, wherever it stands in the list: 40 min against 5 and
    20, though of a later segment even if sooner."""
    pulls = (Pull("last", 3, 40.0), Pull("first", 3, 5.0, 2, 15.0), Pull("peak", 2, 99.0))
    changed = _sooner(replace(FIRING, pulls=pulls), minutes)
    assert (changed is not None) == can
    if changed is not None:
        assert [p.after_min for p in changed.pulls] == [40.0 - minutes, 5.0, 99.0]


# --- what is tried --------------------------------------------------------------------------------


def move(kind: str, name: str, cost: float, apply: Callable[[Any], Any] | None = None) -> _Move:
    """A firing is the text of what was done to it."""
    return _Move(kind, 7.0, cost, name, apply or (lambda firing: f"{firing}{name}"))


def test_two_changes_at_once() -> None:
    both = _both(move("peak", "a", 2.0), move("soak", "b", 3.0))
    assert (both.kind, both.words, both.cost) == ("peak soak", "a, and b", 5.0)
    assert both.apply(NOTHING) == "Noneab"
    cannot = move("peak", "a", 1.0, lambda _: None)
    assert _both(cannot, move("soak", "b", 1.0)).apply(NOTHING) is None
    assert _odds(cannot, NOTHING, lambda _: 0.5) is None


def test_what_is_beyond_the_kiln_has_no_odds() -> None:
    def quick(firing: Any) -> float:
        if firing == "Nonehot":
            raise CompositionError("too hot", hint="less")
        return 0.5

    assert _odds(move("peak", "hot", 1.0), NOTHING, quick) is None
    assert _odds(move("peak", "warm", 1.0), NOTHING, quick) == 0.5


def promised(quick: dict[str, float], asked: float, *tried: _Move) -> list[str]:
    """What is looked at again, by words, from odds of firings (“”: as it is)."""
    firing: Any = ""
    known = [(one, quick.get(str(one.apply(firing)))) for one in tried]
    return [one.words for one in _by_promise(known, firing, lambda f: quick[str(f)], asked)]


A, B, C = move("peak", "a", 1.0), move("soak", "b", 2.0), move("hold", "c", 4.0)


def test_first_what_does_it_alone_then_two_that_help() -> None:
    odds = {"": 0.5, "a": 0.8, "b": 0.6, "c": 0.7, "ab": 0.9, "ac": 0.79, "bc": 0.8}
    assert promised(odds, 0.8, A, B, C) == ["a", "a, and b", "b, and c"]
    # of one kind, or where one does not help, nothing is put together
    assert promised(odds, 0.95, A, replace(B, kind="peak")) == []
    assert promised(odds | {"b": 0.5, "ab": 1.0}, 0.9, A, B) == []
    # what this kiln cannot do is left out
    assert promised({"": 0.5, "a": 0.8}, 0.8, A, B) == ["a"]


@pytest.mark.parametrize(("asked", "tried"), [(0.84, True), (0.86, False)])
def test_two_may_gain_a_little_more_together(asked: float, tried: bool) -> None:
    """0.5, and a tenth more by each: 0.7, and 0.15 more at most."""
    odds = {"": 0.5, "a": 0.6, "b": 0.6, "ab": 1.0}
    assert promised(odds, asked, A, B) == ["a, and b"] * tried


def test_forty_pairs_are_tried_the_smallest_first() -> None:
    peaks = [move("peak", f"p{k}", float(k)) for k in range(5)]
    soaks = [move("soak", f"s{k}", 10.0 * k) for k in range(10)]
    odds = {"": 0.5} | {one.words: 0.6 for one in (*peaks, *soaks)}
    odds |= {f"{p.words}{s.words}": 0.9 for p in peaks for s in soaks}
    found = promised(odds, 0.8, *peaks, *soaks)
    assert len(found) == 40
    assert found[:6] == ["p0, and s0", "p1, and s0", "p2, and s0", "p3, and s0", "p4, and s0",
                         "p0, and s1"]  # fmt: skip
    assert found[-1] == "p4, and s7"


def test_what_was_tried_in_words() -> None:
    def one(kind: str, amount: float, odds: float | None = 0.5) -> tuple[_Move, float | None]:
        return replace(move(kind, "", 1.0), amount=amount), odds

    tried = [
        one("peak", 1010.0), one("peak", 990.0), one("peak", 1080.0, None), one("soak", 30.0),
        one("air", 0.0), one("air", 60.0), one("quench", 0.0), one("hold", 5.0, None),
    ]  # fmt: skip
    assert _listed(tried) == (
        "a peak of 990 to 1010 °C, a soak of 30 min, time in air of 0 to 60 s, with and without a "
        "quench; each alone, and those that help two at a time")  # fmt: skip


# --- the whole search, with odds that are made up -------------------------------------------------


class Made:
    """An outcome that can be looked up."""

    def __init__(self, fitting: float = 1.0) -> None:
        self.draws = SimpleNamespace(n=N)
        self.fit = SimpleNamespace(as_wanted=np.arange(N) < fitting * N)


def searched(
    monkeypatch: pytest.MonkeyPatch,
    quick: Callable[[Firing], float],
    full: Callable[[Firing], float],
    *,
    fitting: float = 1.0,
    now: float = 0.5,
    stays: float = 1.0,
    again: float = 1.0,
) -> tuple[Any, str, list[str]]:
    """What is found for odds of 0.8, the words, and the peaks or ways to cool that were judged with
    all draws, in order; ``again`` are the odds of a glaze that is asked anew."""
    judged: list[str] = []
    joint = Made(fitting)

    class At(Conditions):
        def in_firing(self, firing: Firing) -> Any:
            return SimpleNamespace(firing=firing)

    def judge(_: Any, there: Any, known: Any, fit: Any = None) -> Any:
        assert known == (1000.0, 85.0)  # no move goes further
        # fits are those of before where they are right and the pot leaves and cools as before
        same = there.firing.smoke == FIRING.smoke and there.firing.segments[2].target_c == 950.0
        assert (fit is not None) == (same and fitting >= 0.9)
        judged.append(f"{there.firing.peak_c:.0f} {there.firing.smoke.then}")
        return there.firing

    monkeypatch.setattr(firing_change, "fluidity_up_to", lambda top, _, span: (top, span))
    monkeypatch.setattr(firing_change, "judge_draws", judge)
    monkeypatch.setattr(
        firing_change,
        "odds_together",
        lambda some, _: (
            again if some == "anew" else now if isinstance(some[0], Made) else full(some[0])
        ),
    )
    monkeypatch.setattr(firing_change, "judge_each", lambda *_: "each")
    monkeypatch.setattr(firing_change, "judge_together", lambda *_: "anew")
    monkeypatch.setattr(firing_change, "_follow_walls", lambda *_: None)
    monkeypatch.setattr(firing_change, "overlaps", lambda *_: ())
    monkeypatch.setattr(firing_change, "stays_apart", lambda _: stays)
    monkeypatch.setattr(firing_change, "_quick_judge", lambda *_: quick)
    plain = replace(FIRING, kiln=replace(FIRING.kiln, reads_off_c=0.0))
    change, words = smallest_change([joint], [], [], At(firing=plain, odds=0.8))  # type: ignore[list-item]
    return change, words, judged


def test_the_smallest_change_that_all_draws_agree_to(monkeypatch: pytest.MonkeyPatch) -> None:
    """A few draws let 1010, 1020 and 990 °C pass; all draws 1020 °C alone."""
    good = {1010.0, 1020.0, 990.0}
    change, words, judged = searched(
        monkeypatch,
        lambda f: 0.9 if f.peak_c in good else 0.5,
        lambda f: 0.9 if f.peak_c == 1020.0 else 0.6,
    )
    assert judged == ["1010 air", "990 air", "1020 air"]
    assert change.firing.peak_c == 1020.0 and change.odds == 1.0 and words == ""
    assert change.words.startswith("peak at 1020 °C")


def test_what_runs_where_glazes_overlap_is_no_cure(monkeypatch: pytest.MonkeyPatch) -> None:
    up: Callable[[Firing], float] = lambda f: 0.9 if f.peak_c == 1010.0 else 0.5  # noqa: E731
    assert searched(monkeypatch, up, up, stays=0.7)[0] is None
    assert searched(monkeypatch, up, up, stays=0.85)[0].odds == 0.85


def test_its_odds_are_those_of_asking_anew(monkeypatch: pytest.MonkeyPatch) -> None:
    up: Callable[[Firing], float] = lambda f: 0.9 if f.peak_c == 1010.0 else 0.5  # noqa: E731
    assert searched(monkeypatch, up, up, again=0.7)[0] is None
    assert searched(monkeypatch, up, up, again=0.95)[0].odds == 0.95


@pytest.mark.parametrize(("quick", "looked_at"), [(0.691, True), (0.689, False)])
def test_few_draws_are_off_alike_before_and_after(
    monkeypatch: pytest.MonkeyPatch, quick: float, looked_at: bool
) -> None:
    """As it is few draws give 0.4 and all 0.5: 0.8 by all is 0.7 by few, and a hundredth less is
    let pass."""
    _, _, judged = searched(
        monkeypatch, lambda f: quick if f.peak_c == 1010.0 else 0.4, lambda f: 0.5
    )
    assert judged == ["1010 air"] * looked_at


@pytest.mark.parametrize(("fitting", "count"), [(1.0, 6), (0.5, 5)])
def test_so_many_are_looked_at_again(
    monkeypatch: pytest.MonkeyPatch, fitting: float, count: int
) -> None:
    change, words, judged = searched(
        monkeypatch, lambda _: 0.95, lambda _: 0.5, fitting=fitting, now=0.95
    )
    assert change is None and len(judged) == count
    assert words.startswith("Nothing tried makes it a yes: a peak of ")
    body = " As it is, they fit the body with 50 % odds." if fitting < 1.0 else ""
    assert words.endswith(f"two at a time.{body}")
    # where they do not fit, ways to cool are the smallest changes
    assert all(one.startswith("1000 ") for one in judged) == (fitting < 1.0)


def test_without_a_firing_there_is_nothing_to_change() -> None:
    with pytest.raises(ValueError, match="no firing"):
        smallest_change([], [], [], Conditions())


def test_few_draws_judge_ripeness_and_keep_the_fit(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of 512 draws a quarter is not ripe and half do not fit: what fits now counts as long as the
    pot cools as it does; then all is judged anew, nine tenths of them right."""
    k = np.arange(512)
    glaze: Any = SimpleNamespace(glazes=SimpleNamespace(surface="gloss"))
    draws: Any = SimpleNamespace(some=lambda n: glaze if n == 512 else None)
    known: Any = SimpleNamespace(some=lambda n: "fluidity" if n == 512 else None)
    joint: Any = [SimpleNamespace(draws=draws)]
    monkeypatch.setattr(firing_change, "stages_at", lambda *_: "stages")
    monkeypatch.setattr(firing_change, "ripe_at_all", lambda *_: k % 4 > 0)
    monkeypatch.setattr(
        firing_change, "judge_draws", lambda *_: SimpleNamespace(right=k >= 512 // 8)
    )
    at: Any = SimpleNamespace(
        firing=FIRING, criteria=None, in_firing=lambda _: SimpleNamespace(when=None)
    )
    fits = k < 256
    cooled = replace(FIRING, smoke=Smoke(0.0))
    judge = _quick_judge(joint, fits, lambda _: known, at)
    assert judge(FIRING) == pytest.approx(0.5 * 0.75)
    assert judge(cooled) == pytest.approx(7.0 / 8.0)
    assert _quick_judge(joint, None, lambda _: known, at)(FIRING) == pytest.approx(7.0 / 8.0)
    at.firing = None
    assert judge(cooled) == pytest.approx(0.5 * 0.75)


def test_walls_of_all_that_is_pulled_are_followed_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """What this kiln cannot do and what cools in it have no wall to follow; nor has anything
    without a clay, or where the way to cool was asked for."""
    followed: list[Any] = []
    monkeypatch.setattr(firing_change, "pulled_paths", lambda *asked: followed.append(asked))
    monkeypatch.setattr(firing_change, "walls", lambda *asked: followed.append(asked))
    at: Any = SimpleNamespace(
        body_draws="a few draws", cooling_asked=None, wall_mm=6.0, shape="pot"
    )
    firings = [FIRING, None, replace(FIRING, pulls=())]
    _follow_walls(firings, at)
    (ways, wall_mm, shape), (again, *more) = followed
    assert (wall_mm, shape, more) == (6.0, "pot", [6.0, "pot", "a few draws"])
    assert ways == again and [way.smoke for way in ways] == [FIRING.smoke]
    followed.clear()
    _follow_walls([None, replace(FIRING, pulls=())], at)
    for without in ({"body_draws": None}, {"cooling_asked": "air"}):
        _follow_walls(firings, SimpleNamespace(**vars(at) | without))  # type: ignore[arg-type]
    assert followed == []
