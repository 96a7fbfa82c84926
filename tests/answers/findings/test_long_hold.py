"""What a long hold does, against the hours and temperatures of histories written by hand."""

from __future__ import annotations

from dataclasses import replace
from statistics import NormalDist

import numpy as np
import pytest

from cofire import glass
from cofire.answers.findings.long_hold import crystal_findings, odds_below, vapour_findings
from cofire.files.library import Library
from cofire.findings import Finding
from cofire.model.analysis import analyse

LIB = Library()


def held(hours: float, at_c: float) -> tuple[np.ndarray, np.ndarray]:
    """Five hours up, then a hold, a minute each."""
    time_min = np.arange(0.0, 300.0 + 60.0 * hours + 0.5)
    return 60.0 * time_min, np.interp(time_min, [0.0, 300.0], [20.0, at_c])


def crystals(surface: str, hours: float, at_c: float) -> list[Finding]:
    recipe = replace(LIB.recipe("frit-gloss"), surface=surface)
    return crystal_findings(recipe, glass.prepare(analyse(recipe).mol[None]), *held(hours, at_c))


def vapours(name: str, hours: float, at_c: float) -> dict[str, Finding]:
    recipe = LIB.recipe(name)
    found = vapour_findings(recipe, analyse(recipe), *held(hours, at_c))
    return {one.code: one for one in found}


@pytest.mark.parametrize("depth_c", [-60.0, 0.0, 25.0, 30.0, 100.0])
def test_odds_below_a_liquidus_are_normal(depth_c: float) -> None:
    assert odds_below(depth_c, 30.0) == pytest.approx(NormalDist(0.0, 30.0).cdf(depth_c))


def test_a_matte_held_hot_is_told_for_how_long() -> None:
    """A soft frit glaze has no crystals at 1300 °C; some minutes of the way up are near it."""
    (said,) = crystals("matte", 2.0, 1300.0)
    assert said.code == "too-hot-for-crystals" and "near 1300 °C" in said.message
    assert 2.0 <= float(said.message.split(" h near")[0].split()[-1]) <= 2.1
    assert crystals("matte", 0.2, 1300.0) == [] == crystals("gloss", 2.0, 1300.0)


def test_vapours_leave_in_hours_and_not_in_minutes() -> None:
    """Of soft frits; of the way up to 950 °C half an hour is above 850."""
    assert "3.5 h" in vapours("clear-crackle", 3.0, 950.0)["vapours"].message
    assert vapours("clear-crackle", 0.9, 950.0) == {} == vapours("clear-crackle", 5.0, 840.0)
