"""Glazes under conditions: the one module that judges draws."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal, get_args

import numpy as np

from cofire import glass
from cofire.arrays import Mask
from cofire.files.bought import Bought
from cofire.model.bought import draw_bought
from cofire.model.conditions import Conditions
from cofire.model.fit import FitDraws, fit_draws
from cofire.model.glaze_draws import EVERYTHING, Drawing, GlazeDraws, draw_glazes
from cofire.model.glaze_set import glaze_set
from cofire.model.ripening import Fluidity, fired, fluidity_up_to, hottest_c, ripe_at_all, stages_at
from cofire.model.standard_draws import N
from cofire.records import Recipe
from cofire.ripeness.judge import Stages

#: From this grade of ``glass.support`` on, no measured glass stands behind a number.
OUTSIDE = 1.0
#: Digits to which two compositions (mole fractions) and coats (mm) count as the same.
_SAME_DIGITS = 9

Verdict = Literal["no", "outside the data", "too close to call", "yes"]
#: From the worst to the best.
VERDICTS: tuple[Verdict, ...] = get_args(Verdict)


def standard_error(odds: float, draws: int = N) -> float:
    """Standard error of odds from ``n`` draws."""
    return float(np.sqrt(max(odds * (1.0 - odds), 0.0) / draws))


def verdict_of(odds: float, asked: float, outside: bool = False) -> Verdict:
    """“yes” only if the odds exceed the odds asked by their standard error, inside the measured
    data."""
    unsure = standard_error(asked)
    if odds < asked - unsure:
        return "no"
    if outside:
        return "outside the data"
    return "yes" if odds > asked + unsure else "too close to call"


@dataclass(frozen=True, eq=False)
class Outcome:
    """Every draw (P n,) of glazes under conditions. ``stages`` are those at each moment of the
    firing, none without one; ``fit`` is None without a body."""

    draws: GlazeDraws
    stages: tuple[Stages, ...]
    ripe: Mask | None  # at every pull, not running
    fit: FitDraws | None
    right: Mask  # in all that the conditions ask

    @property
    def odds(self) -> float:
        """Of all that is asked, of a single glaze."""
        return float(self.right.mean())

    @property
    def odds_ripe(self) -> float | None:
        return None if self.ripe is None else float(self.ripe.mean())

    @property
    def outside(self) -> bool:
        """Whether a single glaze lies outside the measured data, its analyses as stated."""
        return bool(glass.support(self.draws.middle).grade[0] >= OUTSIDE)


def judge_draws(
    draws: GlazeDraws, at: Conditions, known: Fluidity | None = None, fits: FitDraws | None = None
) -> Outcome:
    """Judge draws of P glazes; the body's first n draws meet each of them. ``known`` and ``fits``
    are taken where they have been worked out already."""
    right = np.ones(len(draws.pick), bool)
    stages: tuple[Stages, ...] = ()
    ripe = None
    if at.when:
        known = known or fluidity_up_to(hottest_c(at.when), draws)
        stages = tuple(stages_at(at.when, draws, at.criteria, known))
        ripe = ripe_at_all(stages, draws.glazes.surface, at.criteria)
        right = right & ripe
    if at.body_draws is not None and fits is None:
        body_draws = at.body_draws.middle if draws.n == 1 else at.body_draws.some(draws.n)
        fits = fit_draws(fired(draws, at.when, known), body_draws.tiled(len(draws.parts)), at)
    if fits is not None:
        right = right & fits.as_wanted
    return Outcome(draws, stages, ripe, fits, right)


def judge(recipe: Recipe, at: Conditions, how: Drawing = EVERYTHING) -> Outcome:
    """One recipe, every draw. Raises CompositionError if it is not a glaze."""
    return judge_draws(draw_recipe(recipe, at, how), at)


def judge_each(recipes: Sequence[Recipe], at: Conditions) -> list[Outcome]:
    """Several glazes on one pot, each by itself with the coat of its layer. Two on a pot glazed on
    both sides are one inside and one outside, whichever: each lies on either face, and feels the
    other pull through the wall."""
    outcomes = [judge(recipe, at, Drawing(layer=k)) for k, recipe in enumerate(recipes)]
    return _face_to_face(outcomes, at)


def _face_to_face(outcomes: list[Outcome], at: Conditions) -> list[Outcome]:
    body = at.body_draws
    if at.shape != "both-sides" or len(outcomes) != 2 or body is None:
        return outcomes
    fits = [outcome.fit for outcome in outcomes]
    for _ in range(2):  # each follows from the other; the second time to 1 %
        fits = [
            fit_draws(fired(outcome.draws, at.when), body.some(outcome.draws.n), at, across)
            for outcome, across in zip(outcomes, fits[::-1], strict=True)
        ]
    judged = []
    for outcome, fit in zip(outcomes, fits, strict=True):
        assert fit is not None
        right = fit.as_wanted if outcome.ripe is None else outcome.ripe & fit.as_wanted
        judged.append(replace(outcome, fit=fit, right=right))
    return judged


def draw_recipe(recipe: Recipe, at: Conditions, how: Drawing = EVERYTHING) -> GlazeDraws:
    """Draws of one recipe, or of a glaze of unknown recipe. Raises CompositionError if it is not a
    glaze."""
    if isinstance(recipe, Bought):
        return draw_bought(recipe, at, how)
    glazes, parts = glaze_set(recipe)
    return draw_glazes(glazes, parts[None, :], at, how)


def judge_together(
    recipes: Sequence[Recipe], alone: Sequence[Outcome], at: Conditions
) -> list[Outcome]:
    """Outcomes of several glazes with shared draws; ``alone`` are those of each by itself.

    Coats and places in the kiln are independent from glaze to glaze, everything else is shared.
    Streams go round in an order of composition and coat, so that neither names nor the order of
    typing matter; equal glazes in the same coat are one.
    """
    layers = {_key(recipe, at, k): k for k, recipe in enumerate(recipes)}
    outcomes = []
    for stream, layer in enumerate(layers[key] for key in sorted(layers)):
        outcome = alone[layer]
        if stream > 0:
            outcome = judge_draws(outcome.draws.restreamed(at, layer, stream), at)
        outcomes.append(outcome)
    return _face_to_face(outcomes, at)


def all_right(outcomes: Sequence[Outcome]) -> Mask:
    """In which draws (n,) all of several glazes are right in all that is asked."""
    return np.asarray(np.logical_and.reduce([outcome.right for outcome in outcomes]))


def odds_together(joint: Sequence[Outcome], alone: Sequence[Outcome]) -> float:
    """Odds of all at once; never more than those of any ``alone``, whose coats and places are drawn
    in another stream."""
    return min(float(all_right(joint).mean()), *(outcome.odds for outcome in alone))


def _key(recipe: Recipe, at: Conditions, layer: int) -> tuple[object, ...]:
    """A key of a glaze by its composition, not by its name."""
    glazes, parts = glaze_set(recipe)
    shares = {
        m.id: v for m, v in zip(glazes.materials, parts / parts.sum(), strict=True) if v > 0.0
    }
    held = (
        tuple((name, round(float(v), _SAME_DIGITS)) for name, v in sorted(some.items()))
        for some in (shares, recipe.undissolved, recipe.crystals)
    )
    moles = tuple(round(float(v), _SAME_DIGITS) for v in glazes.mol(parts[None, :])[0])
    bucket = "" if recipe.known else recipe.name
    return recipe.surface, bucket, moles, at.coat(layer).fired_mm, recipe.fluorine_kept, *held
