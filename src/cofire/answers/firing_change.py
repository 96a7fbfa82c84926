"""If the answer is no: the smallest change of the firing that makes it yes."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from cofire.arrays import Mask
from cofire.errors import CompositionError
from cofire.model.draws import GlazeDraws
from cofire.model.schedule import Moment, moments
from cofire.read.units import show_temperature
from cofire.records import Firing, Recipe
from cofire.ripeness.judge import Criteria, Stages

#: Draws for the search; what it finds is judged again with all of them.
QUICK_DRAWS = 800
#: What counts as one step of trouble: 10 °C, 10 min of soak, half an hour of pulling; our choice.
_PEAK_C = (10, 20, 30, 40, 50, 60, 80)
#: No move changes the peak by more than this.
SEARCH_SPAN_C = 85.0
_SOAK_MIN = (10, 20, 30, 45, 60, 90)
_HOLD_C = (10, 20, 30, 40)
_SOONER_MIN = (30, 60, 90, 120, 150, 180)


@dataclass(frozen=True, eq=False)
class Change:
    """Another firing, what was changed in it, and the odds it gives."""

    firing: Firing
    words: str
    odds: float


@dataclass(frozen=True)
class _Move:
    cost: float
    words: str
    apply: Callable[[Firing], Firing | None]


Judge = Callable[[Firing], float]
StagesAt = Callable[[list[Moment], Recipe, GlazeDraws, Criteria], list[Stages]]


def smallest_change(firing: Firing, asked: float, quick: Judge, full: Judge) -> Change | None:
    """The least trouble that gives the odds asked for, or None when nothing tried does.

    One change at a time first, then two. ``quick`` judges with few draws, ``full`` with all.
    """
    moves = sorted(_moves(firing), key=lambda m: m.cost)
    pairs = [_both(a, b) for a, b in itertools.combinations(moves, 2) if a.words[:4] != b.words[:4]]
    near = [p for p in sorted(pairs, key=lambda m: m.cost) if p.cost <= 8.0]
    for move in _by_promise(firing, moves, near, quick, asked):
        changed = move.apply(firing)
        if changed is not None:
            odds = full(changed)
            if odds >= asked:
                return Change(changed, move.words, odds)
    return None


def _by_promise(
    firing: Firing, moves: list[_Move], pairs: list[_Move], quick: Judge, asked: float
) -> Iterable[_Move]:
    """Moves that the quick judge lets through, cheapest first; two at a time only if one alone
    never does."""
    one = [m for m in moves if _odds(m, firing, quick) >= asked - 0.02]
    if one:
        yield from one
    else:
        yield from (m for m in pairs[:40] if _odds(m, firing, quick) >= asked - 0.02)


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
    found = []
    for step in _PEAK_C:
        for sign in (1.0, -1.0):
            to = at_peak.target_c + sign * step
            words = f"peak at {show_temperature(to)} instead of {at_peak.target_c:.0f} °C"
            found.append(_Move(step / 10.0, words, _segment(peak, target_c=to)))
    pulled_there = any(p.segment == peak + 1 for p in firing.pulls)
    for step in _SOAK_MIN:
        for sign in (1.0, -1.0):
            to = at_peak.hold_min + sign * step
            if to >= 0.0 and not (sign < 0 and pulled_there):
                words = f"soak {to:.0f} min instead of {at_peak.hold_min:.0f} at the peak"
                found.append(_Move(step / 10.0, words, _soak(peak, to)))
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
                    found.append(_Move(step / 10.0, words, _segment(k, target_c=to)))
    for step in _SOONER_MIN:
        sooner = _sooner(firing, step)
        if sooner is not None:
            hours = f"{step // 60}:{step % 60:02d}"
            words = f"pull the last pot {hours} (h:mm) sooner"
            found.append(_Move(step / 30.0, words, partial(_sooner, minutes=float(step))))
    return found


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
    """Fewer pulls, or a last one that comes sooner; None when there is nothing to take away."""
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


def judge_with(
    glazes: list[tuple[Recipe, GlazeDraws, Mask]],
    wall_mm: float,
    by: Criteria,
    good: Callable[[Recipe, list[Stages], Criteria], Mask],
    stages: StagesAt,
    draws: int | None = None,
) -> Judge:
    """Odds that all glazes are right in a firing, given which of their draws fit the body."""
    some = [
        (recipe, d if draws is None else d.some(draws), fits[:draws]) for recipe, d, fits in glazes
    ]

    def judge(firing: Firing) -> float:
        when = moments(firing, wall_mm)
        together: Mask | None = None
        for recipe, d, fits in some:
            right = fits & good(recipe, stages(when, recipe, d, by), by)
            together = right if together is None else together & right
        assert together is not None
        return float(together.mean())

    return judge
