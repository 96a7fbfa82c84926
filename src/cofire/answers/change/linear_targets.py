"""Wishes that are straight lines in the amounts: as rows of a program, and what they came to."""

from __future__ import annotations

import numpy as np

from cofire.answers.change.evaluator import RecipeEvaluator
from cofire.answers.change.targets import Wish
from cofire.arrays import Array, Mask
from cofire.chem.composition import flux_moles
from cofire.chem.oxides import INDEX, MOLAR_MASS
from cofire.formulate.program import Row


def _over(wish: Wish, evaluator: RecipeEvaluator) -> tuple[Array, Array]:
    """What is above and below the line of the fraction a wish is about, per part (V,)."""
    named = np.array([float(m.id in wish.names) for m in evaluator.materials])
    if wish.kind == "share":  # of all that is weighed
        return named, np.full(len(named), 0.01)
    if wish.kind == "cost":  # of 100 g of all that is weighed
        prices = np.array([evaluator.prices.get(m.id, 0.0) for m in evaluator.materials])
        return 0.1 * prices, np.ones(len(named))
    if wish.kind == "loi":
        return evaluator.incidence @ evaluator.glazes.lost, np.full(len(named), 0.01)
    grams = evaluator.incidence @ evaluator.glazes.grams
    if wish.kind == "weight":
        return grams[:, [INDEX[o] for o in wish.names]].sum(axis=1), 0.01 * grams.sum(axis=1)
    moles = grams / MOLAR_MASS
    top = moles[:, [INDEX[o] for o in wish.names]].sum(axis=1)
    if wish.kind == "ratio":
        return top, moles[:, [INDEX[o] for o in wish.below]].sum(axis=1)
    return top, flux_moles(moles)


def rows_of(wish: Wish, evaluator: RecipeEvaluator, start: Array) -> list[Row]:
    """A wish that is a straight line in the amounts; one for each of its ends."""
    if wish.kind == "amount":  # per 100 of the base, which is what the unknowns are
        weights = np.array([float(m.id in wish.names) for m in evaluator.materials])
        return [Row(weights, wish.low, wish.high, wish.scale)]
    top, bottom = _over(wish, evaluator)
    now = max(float(start @ bottom), 1e-9)
    rows = []
    for bound, least in zip(wish.aim, (True, False), strict=True):
        if np.isfinite(bound):
            low, high = (0.0, np.inf) if least else (-np.inf, 0.0)
            rows.append(Row(top - bound * bottom, low, high, wish.scale * now))
    return rows


def linear_values(wish: Wish, evaluator: RecipeEvaluator, rows: Array) -> Array:
    """What such a wish has come to in parts (P, V), (P,)."""
    if wish.kind == "amount":
        return np.asarray(rows @ np.array([float(m.id in wish.names) for m in evaluator.materials]))
    top, bottom = _over(wish, evaluator)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.asarray((rows @ top) / (rows @ bottom))


def brings_nothing(wish: Wish, evaluator: RecipeEvaluator, allowed: Mask) -> str:
    """The oxide that a wish asks for and nothing allowed (V,) brings, or nothing."""
    if wish.kind not in ("unity", "weight", "ratio"):
        return ""
    top, bottom = (np.abs(v[allowed]).max(initial=0.0) for v in _over(wish, evaluator))
    if wish.low > 0.0 and np.isfinite(wish.low) and top < 1e-9:
        return " or ".join(wish.names)
    if wish.kind == "ratio" and bottom < 1e-9:
        return " or ".join(wish.below)
    return ""
