"""Whether a change of a recipe is put into words."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from cofire.answers.messages.adjust import reason_of
from cofire.files.library import Library

LIB = Library()
SILICA, KAOLIN = (LIB.material(name)[0].name for name in ("silica", "kaolin"))


def said(silica: float, kaolin: float, whiting: float) -> str:
    """Of a recipe of 60 silica and 40 kaolin, of which whiting may come."""
    names = ("silica", "kaolin", "whiting")
    evaluator = SimpleNamespace(materials=[LIB.material(name)[0] for name in names])
    problem: Any = SimpleNamespace(start=np.array([60.0, 40.0, 0.0]), evaluator=evaluator)
    return reason_of(problem, np.array([silica, kaolin, whiting]))


@pytest.mark.parametrize("more", [0.1, 0.4, 0.9])
def test_what_shows_in_the_printed_amounts_is_named(more: float) -> None:
    """Amounts are printed to a tenth; one alone that moves is named however little it is."""
    assert said(60.0 + more, 40.0, 0.0).startswith("more ")
    assert said(60.0 - more, 40.0, 0.0).startswith("less ")
    assert said(60.0, 40.0, more).startswith("add whiting")


def test_what_does_not_show_is_the_same_recipe() -> None:
    assert said(60.04, 39.96, 0.0) == ""


def test_who_moves_most_comes_first_and_crumbs_are_left_out() -> None:
    assert said(57.0, 35.0, 8.0) == f"add whiting, less {KAOLIN} and {SILICA}"
    assert said(52.2, 39.8, 8.0) == f"add whiting, less {SILICA}"
    assert said(100.0, 0.0, 0.0) == f"more {SILICA}, without {KAOLIN}"
