"""Targets relative to the glaze as it is, worked out by hand from what it is."""

from __future__ import annotations

import pytest

from cofire.answers.change.relative_targets import read_target
from cofire.answers.change.targets import Target
from cofire.chem.oxides import OXIDES
from cofire.errors import CofireError
from cofire.files.library import Library
from cofire.model.analysis import analyse
from cofire.model.conditions import Conditions
from cofire.model.evaluation import evaluate_recipe

LIB = Library()
#: 60 and 28 of frits with 12 of kaolin, and 1 of bentonite besides.
RECIPE = LIB.recipe("clear-crackle")


def read(text: str) -> Target:
    return read_target(text, LIB, RECIPE)


def middle(text: str) -> float:
    return (read(text).low + read(text).high) / 2.0


def test_a_peak_moves_by_what_is_said_and_the_right_way() -> None:
    up, down = read("40 C hotter"), read("40 C lower")
    assert up.kind == down.kind == "ripe at"
    assert up.low - down.low == pytest.approx(80.0)
    assert read("72 F higher").low == pytest.approx(up.low)  # a difference: nine fifths, no 32
    assert read("ripe 40 C cooler").low == pytest.approx(down.low)


@pytest.mark.parametrize(("said", "per_cent"), [("kaolin +5", 17.0), ("kaolin -5", 7.0)])
def test_an_amount_moves_by_points(said: str, per_cent: float) -> None:
    assert middle(said) == pytest.approx(per_cent, abs=0.01)


def test_an_expansion_moves_by_a_share_or_by_its_own_unit() -> None:
    now = float(evaluate_recipe(RECIPE, Conditions(), 1).expansion_1e6_per_k[0])
    assert middle("expansion -5 %") == pytest.approx(0.95 * now, abs=0.006)
    assert middle("expansion +10 %") == pytest.approx(1.1 * now, abs=0.006)
    assert middle("expansion +0.3") == pytest.approx(now + 0.3, abs=0.006)


def test_a_ratio_moves_by_a_share() -> None:
    mol = dict(zip(OXIDES, analyse(RECIPE).mol, strict=True))
    now = mol["SiO2"] / mol["Al2O3"]
    assert middle("SiO2:Al2O3 +10 %") == pytest.approx(1.1 * now, abs=0.006)


@pytest.mark.parametrize("said", ["kaolin -12.5", "kaolin -90"])
def test_nothing_becomes_less_than_nothing(said: str) -> None:
    with pytest.raises(CofireError):
        read(said)


def test_all_of_it_may_go() -> None:
    assert read("kaolin -12").low <= 0.0 <= read("kaolin -12").high


@pytest.mark.parametrize("mpa", [-20.0, 20.0])
def test_the_sign_of_a_stress_is_its_own(mpa: float) -> None:
    """Minus is a coat that is pressed, not one that is pulled less."""
    assert middle(f"stress {mpa:+g} MPa") == middle(f"stress {mpa:+g}") == pytest.approx(mpa)
