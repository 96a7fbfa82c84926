"""The question of ``pair`` answered by the first few draws, keeping whatever did not change.

Where a person drags a number, the answer has to follow within a blink. The draws are the first of
those that ``pair`` takes, so what is quick and what is sharp differ only by the error of few draws.
"""

from __future__ import annotations

import itertools
from collections import OrderedDict
from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass, replace
from typing import Any, TypeVar

import numpy as np

from cofire.answers.firing import COLD_C, Track, track
from cofire.answers.messages.pair import pair_sentence
from cofire.answers.pair import in_firing
from cofire.answers.results.pair import InFiring, PairAnswer
from cofire.arrays import Array
from cofire.errors import refusal
from cofire.files.bought import Bought
from cofire.model.conditions import Conditions
from cofire.model.glaze_draws import Drawing, GlazeDraws
from cofire.model.outcome import VERDICTS, Outcome, draw_recipe, judge_draws, verdict_of
from cofire.model.overlap import Overlap, draw_mixtures, stays_apart, with_both_coats
from cofire.model.ripening import Fluidity, fluidity_up_to, hottest_c, stages_at
from cofire.model.schedule import kiln_history, ware_c
from cofire.records import Firing, Recipe
from cofire.ripeness.judge import runs

#: Draws of a quick answer: odds of 80 % then have a standard error of 1.8 per cent. Our choice.
DRAWS = 512
#: Moments along the firing at which the ribbons of a quick picture are worked out; our choice.
_MOMENTS = 18
#: How far the peak may be dragged, °C, before fluidities are worked out anew; our choice.
_SPARE_C = 60.0
#: Things of each kind that are kept: two glazes, as they were before and at each step of a drag.
_KEPT = 24
#: Mixtures of two glazes where they overlap, and draws of each; our choice.
_SHARES, MIXED = np.linspace(0.0, 1.0, 3), 100

T = TypeVar("T")


@dataclass(frozen=True, eq=False)
class Look:
    """An answer of ``pair`` together with how each glaze ripens along the firing."""

    pair: PairAnswer
    tracks: tuple[Track, ...]
    draws: int


class QuickPair:
    """Answers one question after another that differ little. Not for several threads at once."""

    def __init__(self, draws: int = DRAWS) -> None:
        self.draws = draws
        self._kept: dict[str, OrderedDict[Hashable, Any]] = {}

    def look(self, recipes: Sequence[Recipe], at: Conditions) -> Look:
        """As ``pair`` without survival and changes, and of overlaps only whether they run, at few
        mixtures; ``at`` is the same object for the same conditions. Raises CofireError as ``pair``
        does.
        """
        if at.firing is None:
            raise refusal("no-firing")
        at.for_glazes(len(recipes))
        few = self._keep("conditions", at, lambda: self._with_few(at))
        each = [self._one(recipe, few, k) for k, recipe in enumerate(recipes)]
        together = float(np.logical_and.reduce([outcome.right for outcome, _, _ in each]).mean())
        odds = min(together, *(outcome.odds for outcome, _, _ in each))
        outside = any(outcome.outside for outcome, _, _ in each)
        known = [(k, recipe) for k, recipe in enumerate(recipes) if recipe.known]
        over = tuple(self._over(a, b, few) for a, b in itertools.combinations(known, 2))
        words = [verdict_of(some, at.odds, outside) for some in (odds, stays_apart(over))]
        answer = PairAnswer(
            at=few,
            firing=at.firing,
            glazes=tuple(glaze for _, glaze, _ in each),
            odds_together=odds,
            verdict=min(words, key=VERDICTS.index),
            overlaps=over,
            odds_overlaps_stay=stays_apart(over) if over else None,
            survival=None,
        )
        answer = replace(answer, sentence=pair_sentence(answer))
        return Look(answer, tuple(along for _, _, along in each), self.draws)

    def _one(self, recipe: Recipe, at: Conditions, layer: int) -> tuple[Outcome, InFiring, Track]:
        """One glaze in its layer, its coat and place in a stream of their own."""
        same = (_said(recipe), layer)
        return self._keep("judged", (same, at), lambda: self._judged(recipe, at, layer))

    def _judged(
        self, recipe: Recipe, at: Conditions, layer: int
    ) -> tuple[Outcome, InFiring, Track]:
        firing = at.firing
        assert firing is not None
        drawn = (_said(recipe), layer, at.coat(layer).fired_mm, at.place_sd_c)
        how = Drawing(self.draws, layer, stream=layer)
        draws = self._keep("drawn", drawn, lambda: draw_recipe(recipe, at, how))
        known = self._fluidity(drawn, draws, hottest_c(at.when))
        outcome = judge_draws(draws, at, known)
        past = self._keep("past", at, lambda: _past(firing, at.wall_mm))
        ripens = track(
            recipe, draws, past.time_s, past.ware_c, at.criteria,
            n=self.draws, at_s=past.looked_at_s, known=known,
        )  # fmt: skip
        return outcome, in_firing(recipe, outcome, at, layer), ripens

    def _over(
        self, lower: tuple[int, Recipe], upper: tuple[int, Recipe], at: Conditions
    ) -> Overlap:
        (k, first), (j, second) = lower, upper
        coats = at.coat(k).fired_mm, at.coat(j).fired_mm
        mixed = ("mixed", _said(first), _said(second), coats, at.wall_mm, at.place_sd_c)

        def judged() -> Overlap:
            both = with_both_coats(at, k, j)
            draws = self._keep(
                "drawn", mixed, lambda: draw_mixtures(first, second, _SHARES, both, MIXED)
            )
            known = self._fluidity(mixed, draws, hottest_c(at.when))
            last = stages_at(at.when[-1:], draws, at.criteria, known)[0]
            ran = draws.by_glaze(runs(last, at.criteria)).mean(axis=1)
            return Overlap(first, second, both.coat_fired_mm, _SHARES, ran, None)

        return self._keep("over", (mixed, at), judged)

    def _fluidity(self, drawn: Hashable, draws: GlazeDraws, top_c: float) -> Fluidity:
        """Fluidities that cover a peak and what lies near it."""
        step = round(top_c / _SPARE_C)
        near = self._keep(
            "fluidity", (drawn, step), lambda: fluidity_up_to(_SPARE_C * step, draws, _SPARE_C)
        )
        return Fluidity(draws, near.grid_c, near.per_pa_s)

    def _with_few(self, at: Conditions) -> Conditions:
        """The same, its body drawn a few times only."""
        body = at.body_draws
        some = None if body is None else self._keep("body", body, lambda: body.some(self.draws))
        return at.with_draws(some)

    def _keep(self, kind: str, key: Hashable, make: Callable[[], T]) -> T:
        kept = self._kept.setdefault(kind, OrderedDict())
        if key in kept:
            kept.move_to_end(key)
        else:
            kept[key] = make()
            while len(kept) > _KEPT:
                kept.popitem(last=False)
        found: T = kept[key]
        return found


@dataclass(frozen=True, eq=False)
class _Past:
    """Ware over time (T,), and the moments at which ribbons are worked out."""

    time_s: Array
    ware_c: Array
    looked_at_s: Array


def _past(firing: Firing, wall_mm: float) -> _Past:
    time_s, ware = kiln_history(firing).time_s, ware_c(firing, wall_mm)
    hot = np.flatnonzero(ware > COLD_C)
    if not len(hot):
        return _Past(time_s, ware, time_s[:0])
    # even steps along the curve as it is drawn: where it is steep, much happens
    t, c = time_s[hot[0] :], ware[hot[0] :]
    along = np.cumsum(np.abs(np.diff(t)) / np.ptp(t) + np.abs(np.diff(c)) / np.ptp(ware))
    steps = np.linspace(0.0, along[-1], _MOMENTS)
    return _Past(time_s, ware, np.interp(steps, np.concatenate([[0.0], along]), t))


def _said(recipe: Recipe) -> Hashable:
    """All of a recipe that an answer depends on, and its name."""
    if isinstance(recipe, Bought):
        return recipe.name, recipe.surface, recipe.ripe, recipe.tiles
    parts = tuple((p.material, p.amount) for p in recipe.parts)
    held = (tuple(sorted(some.items())) for some in (recipe.undissolved, recipe.crystals))
    return recipe.name, recipe.surface, recipe.fluorine_kept, recipe.base_total, parts, *held
