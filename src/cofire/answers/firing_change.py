"""If the answer is no: the smallest change of the firing that makes it yes."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cache, partial

import numpy as np

from cofire.answers.results.pair import FiringChange
from cofire.arrays import Mask
from cofire.errors import CompositionError
from cofire.model.conditions import Conditions
from cofire.model.cooling import pull_c
from cofire.model.outcome import Outcome, judge_draws, odds_together, verdict_of
from cofire.model.ripening import Fluidity, fluidity_up_to, ripe_at_all, stages_at
from cofire.model.standard_draws import N
from cofire.read.units import show_temperature
from cofire.records import Firing
from cofire.words import percent

#: Draws for the search; what it finds is judged again with all of them.
_QUICK_DRAWS = 512
#: Odds that so few draws may be short of what all of them give, and changes that are looked at
#: again with all of them.
_QUICK_MISS, _LOOKED_AT_AGAIN = 0.01, 6
#: One unit of change: 10 °C, 10 min of soak, half an hour of pulling; our choice.
_PEAK_C = (10, 20, 30, 40, 50, 60, 80)
#: No move changes the peak by more than this.
_SPAN_C = 85.0
_SOAK_MIN = (10, 20, 30, 45, 60, 90)
_HOLD_C = (10, 20, 30, 40, 50, 60, 80)
#: Two moves together that are tried at most.
_MOST_PAIRS = 40
_SOONER_MIN = (30, 60, 90, 120, 150, 180)


@dataclass(frozen=True)
class _Move:
    cost: float
    words: str
    apply: Callable[[Firing], Firing | None]


Judge = Callable[[Firing], float]


def smallest_change(
    joint: Sequence[Outcome], alone: Sequence[Outcome], at: Conditions
) -> tuple[FiringChange | None, str]:
    """The smallest change that makes several glazes right, judged together and each ``alone``, or
    None; and what was tried, in words.

    Tries one change at a time, then two; few draws select, all draws decide.
    """
    if at.firing is None:
        raise ValueError("there is no firing to change")
    fitting = np.ones(N, bool)
    for outcome in joint:
        if outcome.fit is not None:
            fitting &= outcome.fit.as_wanted
    if verdict_of(float(fitting.mean()), at.odds) != "yes":
        return None, (
            "No change of the firing helps: the odds that they fit the body are only "
            f"{percent(float(fitting.mean()), at.odds)} odds."
        )
    top = at.firing.peak_c + max(at.firing.kiln.reads_off_c, 0.0)

    @cache  # the first of those together is one of those alone
    def known(outcome: Outcome) -> Fluidity:
        return fluidity_up_to(top, outcome.draws, _SPAN_C)

    quick = _quick_judge(joint, fitting[:_QUICK_DRAWS], known, at)
    # few draws are off alike before and after a change
    asked = at.odds + quick(at.firing) - odds_together(joint, alone)
    for move in itertools.islice(_by_promise(at.firing, quick, asked), _LOOKED_AT_AGAIN):
        changed = move.apply(at.firing)
        if changed is not None:
            there = at.in_firing(changed)
            same = pull_c(changed) == pull_c(at.firing)  # then they set and fit as before
            judged = {
                one: judge_draws(one.draws, there, known(one), one.fit if same else None)
                for one in (*joint, *alone)
            }
            odds = odds_together([judged[one] for one in joint], [judged[one] for one in alone])
            if verdict_of(odds, at.odds) == "yes":
                return FiringChange(changed, move.words, odds), ""
    return None, (
        f"Nothing tried makes it a yes: a peak up to {_PEAK_C[-1]} °C away, a soak up to "
        f"{_SOAK_MIN[-1]} min longer or shorter, a hold up to {_HOLD_C[-1]} °C away, the last pull "
        f"up to {_SOONER_MIN[-1] // 60} h sooner, each alone, and those that help two at a "
        "time, within what this kiln can do."
    )


def _quick_judge(
    joint: Sequence[Outcome], fitting: Mask, known: Callable[[Outcome], Fluidity], at: Conditions
) -> Judge:
    """Odds in another firing by the first few draws, which are taken to fit as they do now."""
    some = [
        (outcome.draws.some(_QUICK_DRAWS), known(outcome).some(_QUICK_DRAWS)) for outcome in joint
    ]

    def judge(firing: Firing) -> float:
        when = at.in_firing(firing).when
        right = fitting
        for draws, fluidity in some:
            outcome = stages_at(when, draws, at.criteria, fluidity)
            right = right & ripe_at_all(outcome, draws.glazes.surface, at.criteria)
        return float(right.mean())

    return judge


def _by_promise(firing: Firing, quick: Judge, asked: float) -> Iterable[_Move]:
    """Changes that pass the quick judge, the smallest first: one, then two of those that help."""
    now, asked = quick(firing), asked - _QUICK_MISS
    moves = sorted(_moves(firing), key=lambda m: m.cost)
    odds = [_odds(move, firing, quick) for move in moves]
    yield from (move for move, share in zip(moves, odds, strict=True) if share >= asked)
    helpful = [move for move, share in zip(moves, odds, strict=True) if share > now]
    pairs = [
        _both(a, b) for a, b in itertools.combinations(helpful, 2) if a.words[:4] != b.words[:4]
    ]
    for pair in sorted(pairs, key=lambda m: m.cost)[:_MOST_PAIRS]:
        if _odds(pair, firing, quick) >= asked:
            yield pair


def _odds(move: _Move, firing: Firing, quick: Judge) -> float:
    changed = move.apply(firing)
    if changed is None:
        return 0.0
    try:
        return quick(changed)
    except CompositionError:  # beyond this kiln
        return 0.0


def _both(a: _Move, b: _Move) -> _Move:
    def apply(firing: Firing) -> Firing | None:
        once = a.apply(firing)
        return None if once is None else b.apply(once)

    return _Move(a.cost + b.cost, f"{a.words}, and {b.words}", apply)


def _moves(firing: Firing) -> list[_Move]:
    peak = max(range(len(firing.segments)), key=lambda k: firing.segments[k].target_c)
    at_peak = firing.segments[peak]
    moves = []
    for step in _PEAK_C:
        for sign in (1.0, -1.0):
            to = at_peak.target_c + sign * step
            words = f"peak at {show_temperature(to)} instead of {at_peak.target_c:.0f} °C"
            moves.append(_Move(step / 10.0, words, _segment(peak, target_c=to)))
    pulled_there = any(p.segment == peak + 1 for p in firing.pulls)
    for step in _SOAK_MIN:
        for sign in (1.0, -1.0):
            to = at_peak.hold_min + sign * step
            if to >= 0.0 and not (sign < 0 and pulled_there):
                words = f"soak {to:.0f} min instead of {at_peak.hold_min:.0f} at the peak"
                moves.append(_Move(step / 10.0, words, _soak(peak, to)))
    holds = sorted({p.segment - 1 for p in firing.pulls} - {peak})
    for k in holds:
        for step in _HOLD_C:
            for sign in (1.0, -1.0):
                to = firing.segments[k].target_c + sign * step
                if to < at_peak.target_c:
                    words = (
                        f"hold at {show_temperature(to)} instead of "
                        f"{firing.segments[k].target_c:.0f} °C while pulling"
                    )
                    moves.append(_Move(step / 10.0, words, _segment(k, target_c=to)))
    for step in _SOONER_MIN:
        sooner = _sooner(firing, step)
        if sooner is not None:
            hours = f"{step // 60}:{step % 60:02d}"
            words = f"pull the last pot {hours} (h:mm) sooner"
            moves.append(_Move(step / 30.0, words, partial(_sooner, minutes=float(step))))
    return moves


def _segment(k: int, **changes: float) -> Callable[[Firing], Firing | None]:
    def apply(firing: Firing) -> Firing | None:
        segments = list(firing.segments)
        segments[k] = replace(segments[k], **changes)
        if segments[k].target_c <= firing.ambient_c:
            return None
        return replace(firing, segments=tuple(segments))

    return apply


def _soak(k: int, hold_min: float) -> Callable[[Firing], Firing | None]:
    """A longer hold before the pulls begin: pulls in the same segment wait as much longer."""

    def apply(firing: Firing) -> Firing | None:
        segments = list(firing.segments)
        longer = hold_min - segments[k].hold_min
        segments[k] = replace(segments[k], hold_min=hold_min)
        pulls = tuple(
            replace(p, after_min=p.after_min + longer) if p.segment == k + 1 else p
            for p in firing.pulls
        )
        return replace(firing, segments=tuple(segments), pulls=pulls)

    return apply


def _sooner(firing: Firing, minutes: float) -> Firing | None:
    """Fewer pulls, or an earlier last one; None if neither is possible."""
    if not firing.pulls:
        return None
    last = max(firing.pulls, key=lambda p: (p.segment, p.after_min + (p.count - 1) * p.every_min))
    if last.count > 1:
        fewer = int(np.ceil(minutes / last.every_min))
        if fewer >= last.count:
            return None
        changed = replace(last, count=last.count - fewer)
    elif last.after_min > minutes:
        changed = replace(last, after_min=last.after_min - minutes)
    else:
        return None
    return replace(firing, pulls=tuple(changed if p is last else p for p in firing.pulls))
