"""Every demo glaze in every demo firing gives an answer, with and without a change to propose."""

from __future__ import annotations

import math

import pytest

from cofire.answers.pair import pair
from cofire.files.library import Library

LIB = Library()
RECIPES = [path.stem for path, _ in LIB.files("recipes")]
FIRINGS = [path.stem for path, _ in LIB.files("recipes", "firings")]


@pytest.mark.filterwarnings("error")
@pytest.mark.parametrize("firing", FIRINGS)
def test_every_recipe(firing: str) -> None:
    for name in RECIPES:
        answer = pair(LIB, [LIB.recipe(name)], LIB.firing(firing))
        for pull in answer.glazes[0].pulls:
            assert math.isclose(pull.under + pull.ripe + pull.runs, 1.0, abs_tol=1e-9)
        assert answer.yes or answer.change_words
