"""The same composition from other materials: few of them, and as near as they allow."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cofire.arrays import Array, Mask
from cofire.formulate.program import ClosenessObjective, LinearConstraint, solve

#: New materials that promise most, solved one by one before the best is taken.
_PROMISING = 8


@dataclass(frozen=True, eq=False)
class Rebuilt:
    """Parts (M,) that give the wanted amounts, and by how much each is missed (K,)."""

    parts: Array
    missed: Array


@dataclass(frozen=True, eq=False)
class WantedAmounts:
    """Amounts (K,) to be reached, ``matrix`` (K, M) what one part of each material brings, and
    ``adding`` (M,) what counts towards ``total``, which is met exactly."""

    matrix: Array
    amounts: Array
    adding: Array
    total: float
    within: LinearConstraint | None = None  # that is kept to, whatever is missed for it
    likely: Mask | None = None  # (M,) new materials that are tried whatever they promise


def rebuild(
    wanted: WantedAmounts, usual: Array, cost: Array, allowed: Mask, most_new: int, worth: float
) -> list[Rebuilt]:
    """With the ``allowed`` (M,) alone, with one more, and so on up to ``most_new``; and the best
    of all, from which whatever is not ``worth`` its line was taken away again.

    ``usual`` (M,) are parts to stay near where the amounts leave a choice, at ``cost`` (M,) each,
    small beside one unit of amount; inf for what may not be used. One more material has to better
    the sum of misses by ``worth``. Deterministic. Empty where nothing adds up.
    """
    solutions: list[Rebuilt] = []
    use = allowed.copy()
    first = _solved(wanted, usual, cost, use) if use.any() else None
    if first is not None:
        solutions.append(first)
    for _ in range(most_new):
        if solutions and _total(solutions[-1]) < worth:
            return solutions
        better = _one_more(wanted, usual, cost, use)
        if better is None:
            break
        j, rebuilt = better
        if solutions and _total(solutions[-1]) - _total(rebuilt) < worth:
            break
        use[j] = True
        solutions.append(rebuilt)
    pruned = _pruned(wanted, usual, cost, allowed, most_new, worth) if most_new else None
    if pruned is not None:
        solutions.append(pruned)
    return solutions


def _pruned(
    wanted: WantedAmounts, usual: Array, cost: Array, allowed: Mask, most_new: int, worth: float
) -> Rebuilt | None:
    """Start with all materials and remove those that matter least, until few enough are new."""
    use = np.isfinite(cost)
    best = _solved(wanted, usual, cost, use)
    if best is None:
        return None
    use = allowed | (best.parts > 0.0)
    while True:
        new = np.flatnonzero(use & ~allowed & (best.parts > 0.0))
        tried: list[tuple[float, int, Rebuilt]] = []
        for j in new:
            fewer = use.copy()
            fewer[j] = False
            rebuilt = _solved(wanted, usual, cost, fewer)
            if rebuilt is not None:
                tried.append((_objective(rebuilt, cost), int(j), rebuilt))
        if not tried:
            return best
        _, least, rebuilt = min(tried, key=lambda one: one[0])
        if len(new) <= most_new and _total(rebuilt) - _total(best) > worth:
            return best
        use[least] = False
        best = rebuilt


def _one_more(
    wanted: WantedAmounts, usual: Array, cost: Array, use: Mask
) -> tuple[int, Rebuilt] | None:
    """The new material that helps most, and the recipe with it."""
    spare = np.flatnonzero(~use & np.isfinite(cost))
    if use.any():
        try:
            reduced_cost = _program(wanted, usual, cost, use)[1]
            order = spare[np.argsort(reduced_cost[spare], kind="stable")]
            likely = spare[wanted.likely[spare]] if wanted.likely is not None else spare[:0]
            spare = np.unique(np.concatenate([order[:_PROMISING], likely]))
        except ValueError:
            pass
    best: tuple[int, Rebuilt] | None = None
    for j in spare:
        also = use.copy()
        also[j] = True
        rebuilt = _solved(wanted, usual, cost, also)
        if rebuilt is not None and (
            best is None or _objective(rebuilt, cost) < _objective(best[1], cost)
        ):
            best = int(j), rebuilt
    return best


def _objective(rebuilt: Rebuilt, cost: Array) -> float:
    return _total(rebuilt) + float(np.where(rebuilt.parts > 0.0, cost, 0.0) @ rebuilt.parts)


def _total(rebuilt: Rebuilt) -> float:
    return float(np.abs(rebuilt.missed).sum())


def _program(wanted: WantedAmounts, usual: Array, cost: Array, use: Mask) -> tuple[Array, Array]:
    """Parts and gains with those in use alone."""
    high = np.where(use, np.inf, 0.0)
    within = [] if wanted.within is None else [wanted.within]
    costs = np.where(np.isfinite(cost), cost, 1e3)
    kept = ClosenessObjective(np.where(use, usual, 0.0), costs, wanted.matrix, wanted.amounts, 1.0)
    solved = solve(within, kept, np.zeros_like(usual), high, wanted.adding, wanted.total)
    if any(row.miss(solved.parts) > 1e-6 for row in within):
        raise ValueError("the bounds leave no recipe")
    return solved.parts, solved.reduced_cost


def _solved(wanted: WantedAmounts, usual: Array, cost: Array, use: Mask) -> Rebuilt | None:
    try:
        parts, _ = _program(wanted, usual, cost, use)
    except ValueError:
        return None
    parts = _sharpened(wanted, parts)
    return Rebuilt(parts, wanted.matrix @ parts - wanted.amounts)


def _sharpened(wanted: WantedAmounts, parts: Array) -> Array:
    """Where the materials used reach every amount, reach it to the last digit: the program stops at
    a ten-millionth."""
    used = parts > 1e-9
    system = np.vstack([wanted.matrix[:, used], wanted.adding[used]])
    target = np.append(wanted.amounts, wanted.total)
    if np.abs(system @ parts[used] - target).max() > 1e-4 * max(wanted.total, 1.0):
        return parts
    exact, *_ = np.linalg.lstsq(system, target - system @ parts[used], rcond=None)
    better = parts.copy()
    better[used] = np.maximum(parts[used] + exact, 0.0)
    return better
