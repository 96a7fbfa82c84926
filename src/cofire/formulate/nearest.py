"""Nonlinear targets (expansion, stress, ripeness) by repeated linearisation near a recipe."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from cofire.arrays import Array, Mask
from cofire.formulate.program import MISS_COST, ClosenessObjective, LinearConstraint, solve

#: (recipe (M,), which may change (M,)) -> values (Q,) there and slopes per part (Q, M).
EvaluateRecipe = Callable[[Array, Mask], tuple[Array, Array]]

#: Most steps, and how far one may go, in parts; our choice.
_STEPS = 9
_FIRST_TRUST, _LEAST_TRUST = 25.0, 0.02
#: The search stops at a step smaller than this, in parts.
_STILL = 1e-3
#: The search stops at a step that gains less than this, in parts.
_GAIN = 0.3


@dataclass(frozen=True, eq=False)
class NonlinearTarget:
    """A target ``low <= value <= high`` for a quantity that is not linear in the amounts."""

    low: float
    high: float
    scale: float

    def miss(self, value: float) -> float:
        """By how many scales (at least 0) a value misses it; an unknown value misses by one."""
        if not np.isfinite(value):
            return 1.0
        return max(self.low - value, value - self.high, 0.0) / self.scale


@dataclass(frozen=True, eq=False)
class Nearest:
    """A recipe (M,), by how many scales each linear and each nonlinear target is missed."""

    parts: Array
    row_misses: Array
    nonlinear_misses: Array
    distance: float

    @property
    def missed(self) -> float:
        """By how many scales all targets together are missed."""
        return float(self.row_misses.sum() + self.nonlinear_misses.sum())

    @property
    def met(self) -> bool:
        """Whether every target is met, to what numbers of this kind allow."""
        return float(np.concatenate([self.row_misses, self.nonlinear_misses, [0.0]]).max()) < 0.02


@dataclass(frozen=True, eq=False)
class RecipeTask:
    """The task of finding a recipe (M,): linear and nonlinear targets, closeness, and bounds;
    ``adding`` (M,) is what counts towards 100; None: everything."""

    rows: tuple[LinearConstraint, ...]
    nonlinear: tuple[NonlinearTarget, ...]
    closeness: ClosenessObjective
    low: Array
    high: Array
    adding: Array | None = None


def linearise(
    nonlinear: Sequence[NonlinearTarget], at: Array, values: Array, slopes: Array
) -> list[LinearConstraint]:
    """Nonlinear targets as linear constraints near a recipe (M,)."""
    rows = []
    for target, value, slope in zip(nonlinear, values, slopes, strict=True):
        if np.isfinite(value) and np.isfinite(slope).all():
            shift = float(slope @ at) - value
            rows.append(
                LinearConstraint(slope, target.low + shift, target.high + shift, target.scale)
            )
        else:
            rows.append(LinearConstraint(np.zeros_like(at), -np.inf, np.inf, target.scale))
    return rows


def nearest(start: Array, evaluate: EvaluateRecipe, task: RecipeTask, may_change: Mask) -> Nearest:
    """The closest recipe from ``start`` (M,) on: linear programs within a trust region that shrinks
    where the linear model is wrong. What may not change stays as in ``start``.

    Deterministic. Raises ValueError when the bounds leave no recipe at all.
    """
    rows, nonlinear, closeness = task.rows, task.nonlinear, task.closeness
    fixed = ~may_change
    low, high = np.where(fixed, start, task.low), np.where(fixed, start, task.high)
    at = start
    values, slopes = evaluate(at, may_change)

    def objective(parts: Array, tried_values: Array) -> float:
        missed = sum(row.miss(parts) for row in rows)
        missed += sum(w.miss(v) for w, v in zip(nonlinear, tried_values, strict=True))
        return MISS_COST * missed + closeness.distance(parts)

    best = objective(at, values)
    trust = _FIRST_TRUST
    for _ in range(_STEPS):
        linear = linearise(nonlinear, at, values, slopes)
        step_low = np.maximum(low, at - trust)
        step_high = np.minimum(high, at + trust)
        try:
            tried = solve([*rows, *linear], closeness, step_low, step_high, task.adding).parts
        except ValueError:
            if trust < 100.0:  # the bounds may be out of reach of one step
                trust *= 2.0
                continue
            raise
        if np.abs(tried - at).max() < _STILL:
            break
        tried_values, tried_slopes = evaluate(tried, may_change)
        now = objective(tried, tried_values)
        if now < best - 1e-6:
            gained = best - now
            at, values, slopes, best = tried, tried_values, tried_slopes, now
            trust = min(1.6 * trust, 100.0)
            if gained < _GAIN:
                break
        else:
            trust *= 0.35
        if trust < _LEAST_TRUST:
            break
    return Nearest(
        at,
        np.array([row.miss(at) for row in rows]),
        np.array([w.miss(v) for w, v in zip(nonlinear, values, strict=True)]),
        closeness.distance(at),
    )
