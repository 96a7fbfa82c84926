"""Linear targets: as constraints of the program, and their values."""

from __future__ import annotations

import numpy as np

from cofire.answers.change.evaluator import RecipeEvaluator
from cofire.answers.change.targets import Target
from cofire.arrays import Array, Mask
from cofire.chem.composition import flux_moles
from cofire.chem.oxides import INDEX, MOLAR_MASS
from cofire.formulate.program import LinearConstraint


def _over(target: Target, evaluator: RecipeEvaluator) -> tuple[Array, Array]:
    """Numerator and denominator of the fraction that a target is about, per part (V,)."""
    named = np.array([float(m.id in target.names) for m in evaluator.materials])
    if target.kind == "share":  # of all that is weighed
        return named, np.full(len(named), 0.01)
    if target.kind == "cost":  # of 100 g of all that is weighed
        prices = np.array([evaluator.prices.get(m.id, 0.0) for m in evaluator.materials])
        return 0.1 * prices, np.ones(len(named))
    if target.kind == "loi":
        return evaluator.incidence @ evaluator.glazes.lost, np.full(len(named), 0.01)
    grams = evaluator.incidence @ evaluator.glazes.grams
    if target.kind == "weight":
        return grams[:, [INDEX[o] for o in target.names]].sum(axis=1), 0.01 * grams.sum(axis=1)
    moles = grams / MOLAR_MASS
    top = moles[:, [INDEX[o] for o in target.names]].sum(axis=1)
    if target.kind == "ratio":
        return top, moles[:, [INDEX[o] for o in target.below]].sum(axis=1)
    return top, flux_moles(moles)


def rows_of(target: Target, evaluator: RecipeEvaluator, start: Array) -> list[LinearConstraint]:
    """Constraints of a linear target, one for each of its ends."""
    if target.kind == "amount":  # per 100 of the base, as the unknowns
        weights = np.array([float(m.id in target.names) for m in evaluator.materials])
        return [LinearConstraint(weights, target.low, target.high, target.scale)]
    top, bottom = _over(target, evaluator)
    now = max(float(start @ bottom), 1e-9)
    rows = []
    for bound, least in zip(target.aim, (True, False), strict=True):
        if np.isfinite(bound):
            low, high = (0.0, np.inf) if least else (-np.inf, 0.0)
            rows.append(LinearConstraint(top - bound * bottom, low, high, target.scale * now))
    return rows


def linear_values(target: Target, evaluator: RecipeEvaluator, rows: Array) -> Array:
    """Values (P,) of such a target for parts (P, V)."""
    if target.kind == "amount":
        return np.asarray(
            rows @ np.array([float(m.id in target.names) for m in evaluator.materials])
        )
    top, bottom = _over(target, evaluator)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.asarray((rows @ top) / (rows @ bottom))


def brings_nothing(target: Target, evaluator: RecipeEvaluator, allowed: Mask) -> str:
    """The oxide that a target asks for and nothing allowed (V,) brings, or nothing."""
    if target.kind not in ("unity", "weight", "ratio"):
        return ""
    top, bottom = (np.abs(v[allowed]).max(initial=0.0) for v in _over(target, evaluator))
    if target.low > 0.0 and np.isfinite(target.low) and top < 1e-9:
        return " or ".join(target.names)
    if target.kind == "ratio" and bottom < 1e-9:
        return " or ".join(target.below)
    return ""
