"""A recipe on trial: its slopes against recipes moved by hand, and what rounding leaves."""

from __future__ import annotations

import numpy as np
import pytest

from cofire import glass
from cofire.answers.change.problem import Allowed, Problem, problem_of
from cofire.answers.change.relative_targets import read_target
from cofire.files.library import Library
from cofire.model.analysis import analyse
from cofire.model.conditions import Conditions

LIB = Library()


def on_trial(name: str, text: str) -> Problem:
    recipe = LIB.recipe(name)
    target = read_target(text, LIB, recipe)
    return problem_of(recipe, [target], Allowed(), Conditions(), 0.8)


def test_slopes_are_what_another_part_does() -> None:
    """Each material half a part more, the recipe analysed anew."""
    problem = on_trial("clear-crackle", "expansion 7.2")
    which = [w.kind for w in problem.evaluator.targets].index("expansion")
    value, slopes = problem.evaluator(problem.start, np.ones(len(problem.start), bool))

    def expansion(parts: np.ndarray) -> float:
        melt = analyse(problem.recipe_of(parts)).mol[None, :]
        return float(glass.expansion(melt).value[0])

    assert value[which] == pytest.approx(expansion(problem.start), abs=1e-6)
    for k, slope in enumerate(slopes[which]):
        more = problem.start.copy()
        more[k] += 0.5
        moved = expansion(more) - expansion(problem.start)
        assert slope == pytest.approx(moved / 0.5, rel=1e-6, abs=1e-6)


def test_what_shrank_keeps_its_line_unless_it_is_a_trace() -> None:
    """Less than a quarter of a part is dropped; a part is not, whatever there was before."""
    problem = on_trial("clear-crackle", "expansion 7.2")
    base = np.flatnonzero(problem.in_base)
    least, most = base[np.argmin(problem.start[base])], base[np.argmax(problem.start[base])]
    assert problem.start[least] > 5.0
    for left, stays in ((1.0, True), (0.3, True), (0.2, False)):
        parts = problem.start.copy()
        parts[most] += parts[least] - left
        parts[least] = left
        rounded = problem.rounded(parts)
        assert (rounded[least] > 0.0) == stays
        assert rounded[base].sum() == pytest.approx(100.0, abs=1e-9)
        assert np.abs(rounded - parts).max() < (0.11 if stays else 0.31)
