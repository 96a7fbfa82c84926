"""Every demo glaze in every demo firing gives an answer, with and without a change to propose."""

from __future__ import annotations

import math

import pytest

from cofire.answers.pair import pair
from cofire.files.library import Library
from cofire.model.conditions import Conditions
from cofire.model.outcome import judge

LIB = Library()
RECIPES = [path.stem for path, _ in LIB.files("recipes")]
FIRINGS = [path.stem for path, _ in LIB.files("recipes", "firings")]


@pytest.mark.filterwarnings("error")
@pytest.mark.parametrize("firing", FIRINGS)
def test_every_recipe(firing: str) -> None:
    for name in RECIPES:
        recipe, at = LIB.recipe(name), Conditions(firing=LIB.firing(firing))
        answer = pair(LIB, [recipe], at)
        for pull in answer.glazes[0].pulls:
            assert math.isclose(sum(pull.odds), 1.0, abs_tol=1e-9)
        # no firing makes a yes of what lies outside the data
        assert answer.yes or answer.change_words or judge(recipe, at).outside
