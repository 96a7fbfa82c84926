"""The solver against brute force, an independent linear program and its own promises."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from cofire.formulate.nearest import NonlinearTarget, RecipeTask, nearest
from cofire.formulate.program import MISS_COST, ClosenessObjective, LinearConstraint, solve
from cofire.formulate.rebuild import WantedAmounts, rebuild


def kept(parts: np.ndarray, quantities: int = 0, seed: int = 0) -> ClosenessObjective:
    matrix = np.random.default_rng(seed).random((quantities, len(parts)))
    return ClosenessObjective(parts, np.ones(len(parts)), matrix, matrix @ parts, 0.5)


def objective(rows: list[LinearConstraint], keep: ClosenessObjective, parts: np.ndarray) -> float:
    return MISS_COST * sum(row.miss(parts) for row in rows) + keep.distance(parts)


@pytest.mark.parametrize("seed", range(5))
def test_brute_force_on_a_grid_agrees(seed: int) -> None:
    """Four materials in steps of 2.5 parts: no grid point is better, and one is nearly as good."""
    rng = np.random.default_rng(seed)
    start = np.array([40.0, 30.0, 20.0, 10.0])
    keep = kept(start, 3, seed)
    weights = rng.random(4)
    rows = [LinearConstraint(weights, float(weights @ start) + 4.0, np.inf, 1.0)]
    found = solve(rows, keep, np.zeros(4), np.full(4, 100.0)).parts
    best = np.inf
    for a, b, c in itertools.product(np.arange(0.0, 100.1, 2.5), repeat=3):
        if a + b + c <= 100.0:
            best = min(best, objective(rows, keep, np.array([a, b, c, 100.0 - a - b - c])))
    ours = objective(rows, keep, found)
    assert found.sum() == pytest.approx(100.0, abs=1e-6)
    assert ours <= best + 1e-6
    assert best <= ours + 6.0  # half a step in each of four


@st.composite
def targets(draw: st.DrawFn) -> tuple[np.ndarray, list[LinearConstraint]]:
    m = draw(st.integers(3, 7))
    # nothing at all, or something beside the scale of a miss: see LinearConstraint
    number = st.just(0.0) | st.floats(1e-3, 1.0, allow_nan=False)
    parts = np.array(draw(st.lists(st.floats(1.0, 10.0), min_size=m, max_size=m)))
    rows = []
    for _ in range(draw(st.integers(1, 3))):
        weights = np.array(draw(st.lists(number, min_size=m, max_size=m)))
        low = draw(st.floats(0.0, 100.0))
        rows.append(LinearConstraint(weights, low, low + draw(st.floats(0.0, 20.0))))
    return 100.0 * parts / parts.sum(), rows


@settings(max_examples=60, deadline=None)
@given(targets())
@example((np.full(3, 100.0 / 3.0), [LinearConstraint(np.array([0.0, 0.0, 1.0 / 512.0]), 0.0, 0.0)]))
def test_possible_targets_are_met_and_impossible_ones_are_not(
    case: tuple[np.ndarray, list[LinearConstraint]],
) -> None:
    """Whether there is any recipe at all is asked of a program of its own, with nothing in it but
    the targets."""
    start, rows = case
    weights = np.array([r.weights for r in rows])
    ends = np.concatenate([[r.high for r in rows], [-r.low for r in rows]])
    m = len(start)
    alone = linprog(
        np.zeros(m), A_ub=np.vstack([weights, -weights]), b_ub=ends,
        A_eq=np.ones((1, m)), b_eq=[100.0], bounds=(0.0, 100.0),
    )  # fmt: skip
    found = solve(rows, kept(start), np.zeros(m), np.full(m, 100.0)).parts
    missed = max(row.miss(found) for row in rows)
    if alone.status == 0:
        assert missed < 1e-5
    else:
        assert missed > 0.0
    # and never worse than to leave it as it was
    assert objective(rows, kept(start), found) <= objective(rows, kept(start), start) + 1e-4


def test_gain_says_which_material_would_help() -> None:
    """A target that only the third material brings: it has the lowest reduced cost, and a part of
    it helps by that much."""
    start = np.array([60.0, 40.0, 0.0])
    rows = [LinearConstraint(np.array([0.0, 0.0, 1.0]), 10.0, np.inf, 1.0)]
    keep = kept(start)
    held = solve(rows, keep, np.zeros(3), np.array([100.0, 100.0, 0.0]))
    assert int(held.reduced_cost.argmin()) == 2
    more = solve(rows, keep, np.zeros(3), np.array([100.0, 100.0, 1.0]))
    change = objective(rows, keep, more.parts) - objective(rows, keep, held.parts)
    assert change == pytest.approx(held.reduced_cost[2], rel=0.01)


def test_a_nonlinear_target_is_met_where_a_linear_one_would_miss() -> None:
    """A parabola: x² / 100 = 36 is met at x = 60, though its slope at the start says otherwise."""

    def look(parts: np.ndarray, may: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        x = parts[0]
        return np.array([x**2 / 100.0]), np.array([[x / 50.0, 0.0]]) * may

    start = np.array([20.0, 80.0])
    task = RecipeTask(
        (), (NonlinearTarget(36.0, 36.0, 1.0),), kept(start), np.zeros(2), np.full(2, 100.0)
    )
    found = nearest(start, look, task, np.ones(2, bool))
    assert found.met
    assert found.parts[0] == pytest.approx(60.0, abs=0.1)


def test_the_same_question_has_the_same_answer() -> None:
    start = np.array([50.0, 30.0, 20.0])
    rows = [LinearConstraint(np.array([1.0, 0.2, 0.1]), 65.0, 70.0)]
    first, second = (
        solve(rows, kept(start, 4), np.zeros(3), np.full(3, 100.0)).parts for _ in range(2)
    )
    assert (first == second).all()


@pytest.mark.parametrize("seed", range(8))
def test_a_mixture_is_taken_apart_to_the_last_digit(seed: int) -> None:
    """Five of nine materials at random, mixed: found again to 1e-9 of what was asked."""
    rng = np.random.default_rng(seed)
    matrix = rng.random((12, 9)) * (rng.random((12, 9)) < 0.5)
    matrix[0] += 0.1
    parts = np.zeros(9)
    parts[rng.choice(9, 5, replace=False)] = rng.uniform(5.0, 50.0, 5)
    adding = matrix.sum(axis=0)
    wanted = WantedAmounts(matrix, matrix @ parts, adding, float(adding @ parts))
    found = rebuild(wanted, np.zeros(9), np.full(9, 1e-4), np.ones(9, bool), 0, 0.1)[0]
    np.testing.assert_allclose(matrix @ found.parts, matrix @ parts, atol=1e-8)
