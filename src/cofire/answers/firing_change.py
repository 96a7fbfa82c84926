"""If the answer is no: the smallest change of the firing that makes it yes."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cache, partial
from typing import Any, Literal

import numpy as np

from cofire.answers.results.pair import FiringChange
from cofire.arrays import Mask
from cofire.errors import CompositionError
from cofire.model.conditions import Conditions
from cofire.model.cooling import Way, pull_c, pulled_paths
from cofire.model.outcome import (
    Outcome,
    judge_draws,
    judge_each,
    judge_together,
    odds_together,
    verdict_of,
)
from cofire.model.overlap import overlaps, stays_apart
from cofire.model.ripening import Fluidity, fluidity_up_to, ripe_at_all, stages_at
from cofire.model.smoke import walls
from cofire.model.standard_draws import N
from cofire.read.units import show_temperature
from cofire.records import Firing, Recipe, Smoke
from cofire.words import percent

#: Draws for the search; what it finds is judged again with all of them.
_QUICK_DRAWS = 512
#: Odds that so few draws may be short of what all of them give, and changes that are looked at
#: again with all of them.
_QUICK_MISS, _LOOKED_AT_AGAIN, _FITTED_AGAIN = 0.01, 6, 5
#: One unit of change: 10 °C, 10 min of soak, half an hour of pulling; our choice.
_PEAK_C = (10, 20, 30, 40, 50, 60, 80)
#: No move changes the peak by more than this.
_SPAN_C = 85.0
_SOAK_MIN = (10, 20, 30, 45, 60, 90)
_HOLD_C = (10, 20, 30, 40, 50, 60, 80)
#: Two moves together that are tried at most, and what they may gain more than each for itself.
_MOST_PAIRS, _TOGETHER_MORE = 40, 0.15
_SOONER_MIN = (30, 60, 90, 120, 150, 180)
#: Times in air between kiln and bin, s, and what one of them, or a quench, costs; our choice.
_AIR_S, _COOLING_COSTS = (0, 10, 30, 60, 120, 240), 1.0
#: Steps that are tried where the fit has to be worked out anew for each of them, °C or min.
_COARSE = (20, 40, 90)
#: How a kind of change is named when all that was tried is listed, and its unit.
_KINDS = {
    "peak": ("a peak of", "°C"),
    "soak": ("a soak of", "min"),
    "hold": ("a hold at", "°C"),
    "sooner": ("the last pull sooner by", "min"),
    "air": ("time in air of", "s"),
    "quench": ("with and without a quench", ""),
}


@dataclass(frozen=True)
class _Move:
    """One change of a firing; ``amount`` is what it is changed to, in the unit of ``_KINDS``."""

    kind: str
    amount: float
    cost: float
    words: str
    apply: Callable[[Firing], Firing | None]


Judge = Callable[[Firing], float]


def smallest_change(
    joint: Sequence[Outcome], alone: Sequence[Outcome], recipes: Sequence[Recipe], at: Conditions
) -> tuple[FiringChange | None, str]:
    """The smallest change that makes several glazes right, judged together and each ``alone``, or
    None; and what was tried, in words.

    Tries one change at a time, then two; few draws select, all draws decide. Where they do not fit
    as they are, the fit is worked out anew for every change.
    """
    if at.firing is None:
        raise ValueError("there is no firing to change")
    now = at.firing
    if isinstance(at.cooling_asked, Smoke) and now.pulls:  # it is the firing's for this search
        now, at = replace(now, smoke=at.cooling_asked), replace(at, cooling_asked=None)
    fitting = np.ones(N, bool)
    for outcome in joint:
        if outcome.fit is not None:
            fitting &= outcome.fit.as_wanted
    fits = verdict_of(float(fitting.mean()), at.odds) == "yes"
    top = now.peak_c + max(now.kiln.reads_off_c, 0.0)

    @cache  # the first of those together is one of those alone
    def known(outcome: Outcome) -> Fluidity:
        return fluidity_up_to(top, outcome.draws, _SPAN_C)

    def judged_in(firing: Firing) -> float:
        there = at.in_firing(firing)
        same = pull_c(firing) == pull_c(now) and firing.smoke == now.smoke
        judged = {
            one: judge_draws(one.draws, there, known(one), one.fit if same and fits else None)
            for one in (*joint, *alone)
        }
        odds = odds_together([judged[one] for one in joint], [judged[one] for one in alone])
        if verdict_of(odds, at.odds) != "yes":
            return odds
        # as it will be when it is asked: another peak moves the fit a little
        each = judge_each(recipes, there)
        odds = odds_together(judge_together(recipes, each, there), each)
        return min(odds, stays_apart(overlaps(recipes, there)))

    # glazes that share one record of the body's draws share what is worked out of it
    few = at.with_draws(at.body_draws.some(_QUICK_DRAWS) if at.body_draws else None)
    quick = _quick_judge(joint, fitting[:_QUICK_DRAWS] if fits else None, known, few)
    moves = _moves(now, coarse=not fits)
    if not fits:
        _follow_walls([now, *(move.apply(now) for move in moves)], few)
    # few draws are off alike before and after a change
    asked = at.odds + quick(now) - odds_together(joint, alone) - _QUICK_MISS
    tried = [(move, _odds(move, now, quick)) for move in moves]
    again = _LOOKED_AT_AGAIN if fits else _FITTED_AGAIN
    for move in itertools.islice(_by_promise(tried, now, quick, asked), again):
        changed = move.apply(now)
        if changed is not None:
            odds = judged_in(changed)
            if verdict_of(odds, at.odds) == "yes":
                return FiringChange(changed, move.words, odds), ""
    best = (
        "" if fits else f" As it is, they fit the body with {percent(float(fitting.mean()))} odds."
    )
    return None, f"Nothing tried makes it a yes: {_listed(tried)}.{best}"


def _listed(tried: Sequence[tuple[_Move, float | None]]) -> str:
    """All that this kiln could do of what was tried, in words."""
    said = []
    for kind, (what, unit) in _KINDS.items():
        amounts = [move.amount for move, odds in tried if move.kind == kind and odds is not None]
        if amounts:
            least, most = min(amounts), max(amounts)
            span = f"{least:.0f} to {most:.0f}" if most > least else f"{most:.0f}"
            said.append(f"{what} {span} {unit}" if unit else what)
    return ", ".join(said) + "; each alone, and those that help two at a time"


def _follow_walls(firings: Sequence[Firing | None], at: Conditions) -> None:
    """Follow the walls of pots in all these firings at once: one by one they would take most of the
    search."""
    ways = tuple(Way(pull_c(one), one.smoke) for one in firings if one and one.pulls)
    if ways and at.body_draws is not None and at.cooling_asked is None:
        pulled_paths(ways, at.wall_mm, at.shape)
        walls(ways, at.wall_mm, at.shape, at.body_draws)


def _quick_judge(
    joint: Sequence[Outcome],
    fitting: Mask | None,
    known: Callable[[Outcome], Fluidity],
    at: Conditions,
) -> Judge:
    """Odds in another firing by the first few draws, which fit as they do now if ``fitting``
    says so and the pot cools as it does now."""
    some = [
        (outcome.draws.some(_QUICK_DRAWS), known(outcome).some(_QUICK_DRAWS)) for outcome in joint
    ]

    def judge(firing: Firing) -> float:
        there = at.in_firing(firing)
        cools = at.firing is not None and firing.smoke != at.firing.smoke
        right = np.ones(_QUICK_DRAWS, bool) if fitting is None or cools else fitting
        for draws, fluidity in some:
            if fitting is None or cools:
                right = right & judge_draws(draws, there, fluidity).right
            else:
                stages = stages_at(there.when, draws, at.criteria, fluidity)
                right = right & ripe_at_all(stages, draws.glazes.surface, at.criteria)
        return float(right.mean())

    return judge


def _by_promise(
    tried: Sequence[tuple[_Move, float | None]], firing: Firing, quick: Judge, asked: float
) -> Iterable[_Move]:
    """Changes that pass the quick judge, the smallest first: one, then two of those that help."""
    now = quick(firing)
    yield from (move for move, odds in tried if odds is not None and odds >= asked)
    gains = [(move, odds - now) for move, odds in tried if odds is not None and odds > now]
    pairs = [
        _both(a, b)
        for (a, more), (b, other) in itertools.combinations(gains, 2)
        if a.kind != b.kind and now + more + other >= asked - _TOGETHER_MORE
    ]
    for pair in sorted(pairs, key=lambda m: m.cost)[:_MOST_PAIRS]:
        odds = _odds(pair, firing, quick)
        if odds is not None and odds >= asked:
            yield pair


def _odds(move: _Move, firing: Firing, quick: Judge) -> float | None:
    """None for what cannot be done."""
    changed = move.apply(firing)
    if changed is None:
        return None
    try:
        return quick(changed)
    except CompositionError:  # beyond this kiln
        return None


def _both(a: _Move, b: _Move) -> _Move:
    def apply(firing: Firing) -> Firing | None:
        once = a.apply(firing)
        return None if once is None else b.apply(once)

    return _Move(f"{a.kind} {b.kind}", 0.0, a.cost + b.cost, f"{a.words}, and {b.words}", apply)


def _moves(firing: Firing, *, coarse: bool) -> list[_Move]:
    """All single changes, the smallest first."""
    moves = [*_hotter_or_longer(firing), *_at_the_pulls(firing)]
    if coarse:
        moves = [m for m in moves if any(abs(m.cost * 10.0 - step) < 0.1 for step in _COARSE)]
        moves += _cooling(firing)
    return sorted(moves, key=lambda m: m.cost)


def _hotter_or_longer(firing: Firing) -> list[_Move]:
    peak = max(range(len(firing.segments)), key=lambda k: firing.segments[k].target_c)
    at_peak = firing.segments[peak]
    moves = []
    for step, sign in itertools.product(_PEAK_C, (1.0, -1.0)):
        to = at_peak.target_c + sign * step
        words = f"peak at {show_temperature(to)} instead of {at_peak.target_c:.0f} °C"
        moves.append(_Move("peak", to, step / 10.0, words, _segment(peak, target_c=to)))
    pulled_there = any(p.segment == peak + 1 for p in firing.pulls)
    for step, sign in itertools.product(_SOAK_MIN, (1.0, -1.0)):
        to = at_peak.hold_min + sign * step
        if to >= 0.0 and not (sign < 0 and pulled_there):
            words = f"soak {to:.0f} min instead of {at_peak.hold_min:.0f} at the peak"
            moves.append(_Move("soak", to, step / 10.0, words, _soak(peak, to)))
    return moves


def _at_the_pulls(firing: Firing) -> list[_Move]:
    peak = max(range(len(firing.segments)), key=lambda k: firing.segments[k].target_c)
    moves = []
    for k in sorted({p.segment - 1 for p in firing.pulls} - {peak}):
        held_c = firing.segments[k].target_c
        for step, sign in itertools.product(_HOLD_C, (1.0, -1.0)):
            to = held_c + sign * step
            if to < firing.segments[peak].target_c:
                words = f"hold at {show_temperature(to)} instead of {held_c:.0f} °C while pulling"
                moves.append(_Move("hold", to, step / 10.0, words, _segment(k, target_c=to)))
    for step in _SOONER_MIN:
        if _sooner(firing, step) is not None:
            words = f"pull the last pot {step // 60}:{step % 60:02d} (h:mm) sooner"
            apply = partial(_sooner, minutes=float(step))
            moves.append(_Move("sooner", step, step / 30.0, words, apply))
    return moves


def _cooling(firing: Firing) -> list[_Move]:
    """Other ways from the kiln to the room, for pots that are pulled."""
    if not firing.pulls:
        return []
    smoke, moves = firing.smoke, []
    for air_s in _AIR_S:
        if air_s != smoke.air_s:
            words = f"{air_s} s in air instead of {smoke.air_s:g} before the bin"
            apply = _after_pull(air_s=float(air_s))
            moves.append(_Move("air", float(air_s), _COOLING_COSTS, words, apply))
    then: Literal["air", "water"] = "air" if smoke.then == "water" else "water"
    words = "a quench in water at the end" if then == "water" else "no quench in water"
    moves.append(_Move("quench", 0.0, _COOLING_COSTS, words, _after_pull(then=then)))
    return moves


def _after_pull(**changes: Any) -> Callable[[Firing], Firing]:
    return lambda firing: replace(firing, smoke=replace(firing.smoke, assumed=False, **changes))


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
