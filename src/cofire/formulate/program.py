"""The nearest recipe under linear targets, by linear programming (HiGHS, through scipy).

Amounts are parts (M,) of a base of 100. Distance is the sum of the moves of each part and each
quantity: a sum, not a sum of squares, so that few materials change and most stay as they were.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from cofire.arrays import Array

#: Cost of missing a target by its scale, in parts moved: more than any recipe can move.
MISS_COST = 1e5


@dataclass(frozen=True, eq=False)
class LinearConstraint:
    """A target ``low <= weights . x <= high``. It is missed only if nothing else is possible, as
    long as no weight but 0 is below a ten thousandth of ``scale``, the unit of misses."""

    weights: Array
    low: float
    high: float
    scale: float = 1.0

    def miss(self, parts: Array) -> float:
        """By how many scales (at least 0) a recipe misses it."""
        value = float(self.weights @ parts)
        return max(self.low - value, value - self.high, 0.0) / self.scale


@dataclass(frozen=True, eq=False)
class ClosenessObjective:
    """What should stay close: parts near ``parts`` (M,) at a ``cost`` each (M,), and quantities
    ``matrix`` (K, M) . x near ``values`` (K,) at ``weight`` each."""

    parts: Array
    cost: Array
    matrix: Array
    values: Array
    weight: float

    def distance(self, parts: Array) -> float:
        """How far a recipe is."""
        moved = float(self.cost @ np.abs(parts - self.parts))
        return moved + self.weight * float(np.abs(self.matrix @ parts - self.values).sum())


@dataclass(frozen=True, eq=False)
class Solved:
    """Parts (M,), and the reduced cost (M,) of one more part of each: negative for a material, used
    or at its upper bound, that would lower the objective."""

    parts: Array
    reduced_cost: Array


def solve(
    rows: Sequence[LinearConstraint],
    closeness: ClosenessObjective,
    low: Array,
    high: Array,
    adding: Array | None = None,
    total: float = 100.0,
) -> Solved:
    """The nearest parts (M,) between ``low`` and ``high`` (M,) that add up to ``total``, each
    counted ``adding`` (M,) times (default 1).

    Raises ValueError when the bounds leave no recipe at all.
    """
    from scipy.optimize import linprog

    m, k, r = len(low), len(closeness.values), len(rows)
    weights = np.array([row.weights for row in rows]).reshape(r, m)
    scale = np.diag([row.scale for row in rows]).reshape(r, r)
    eye_m, eye_k = np.eye(m), np.eye(k)
    none = np.zeros
    # unknowns: amounts, moved parts, moved quantities, misses
    system = np.block(
        [
            [eye_m, -eye_m, none((m, k)), none((m, r))],
            [-eye_m, -eye_m, none((m, k)), none((m, r))],
            [closeness.matrix, none((k, m)), -eye_k, none((k, r))],
            [-closeness.matrix, none((k, m)), -eye_k, none((k, r))],
            [weights, none((r, m)), none((r, k)), -scale],
            [-weights, none((r, m)), none((r, k)), -scale],
        ]
    )
    most = np.concatenate(
        [closeness.parts, -closeness.parts, closeness.values, -closeness.values,
         [row.high for row in rows], [-row.low for row in rows]]
    )  # fmt: skip
    bites = np.isfinite(most)
    system, most = system[bites], most[bites]
    cost = np.concatenate(
        [none(m), closeness.cost, np.full(k, closeness.weight), np.full(r, MISS_COST)]
    )
    adding = np.ones(m) if adding is None else adding
    sum_to = np.concatenate([adding, none(m + k + r)])[None, :]
    free = np.full(m + k + r, np.inf)
    bounds = np.stack([np.append(low, none(m + k + r)), np.append(high, free)], axis=1)
    solution = linprog(
        cost, A_ub=system, b_ub=most, A_eq=sum_to, b_eq=[total], bounds=bounds, method="highs"
    )
    if solution.x is None:
        raise ValueError("the bounds leave no recipe")
    # reduced costs, with what moving a part by itself costs
    duals = np.asarray(solution.ineqlin.marginals)
    reduced_cost = -(system[:, :m].T @ duals) - adding * float(solution.eqlin.marginals[0])
    return Solved(np.clip(solution.x[:m], low, high), np.asarray(reduced_cost))
