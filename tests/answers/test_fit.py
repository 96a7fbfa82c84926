"""How clays, shapes and years move the fit of a glaze."""

from __future__ import annotations

import numpy as np
import pytest

from cofire.answers.fit import fit, rank
from cofire.files.library import Library
from cofire.model.conditions import Conditions
from cofire.model.outcome import judge, standard_error, verdict_of

LIB = Library()
RAKU = Conditions(LIB.body("raku"))
BODY = """
name = "test clay"
source = "test"
[expansion]
{expansion}
[stiffness]
youngs_modulus_gpa = [15, 20]
poisson = [0.18, 0.20]
"""


def body(cofire, expansion: str):  # type: ignore[no-untyped-def]
    return LIB.body(cofire.write("clay.toml", BODY.format(expansion=expansion)))


def test_quartz_in_the_body_cures_crazing(cofire) -> None:  # type: ignore[no-untyped-def]
    """Free silica in the body puts the glaze into compression (any text on glaze fit)."""
    plain = "low = 6.0\nhigh = 6.2\nrange_c = [20, 500]"
    day, glaze = LIB.firing("raku-workshop"), LIB.recipe("clear-crackle")
    without, quartz = (
        fit(LIB, glaze, Conditions(body(cofire, plain + more), day))
        for more in ("", "\nquartz_step_percent = [0.09, 0.12]")
    )
    assert quartz.stress_mpa.value < without.stress_mpa.value - 20.0


def test_a_bending_tile_and_both_sides_carry_less(cofire) -> None:  # type: ignore[no-untyped-def]
    glaze, clay = LIB.recipe("clear-crackle"), LIB.body("yard-raku")
    pot, both, tile = (
        fit(LIB, glaze, Conditions(clay, shape=shape)).stress_mpa.value
        for shape in ("pot", "both-sides", "tile")
    )
    assert both < pot
    assert tile < pot


def test_tension_builds_on_the_way_down() -> None:
    fitted = fit(LIB, LIB.recipe("clear-crackle"), Conditions(LIB.body("yard-raku")))
    way = fitted.way_down
    assert way is not None
    set_by_all = (
        way.temperature_c < fitted.set_c.low
    )  # hotter, some are still soft and pull nothing
    assert set_by_all.sum() > 20
    assert (np.diff(way.stress_mpa[set_by_all]) < 0.0).all()  # rising temperature, falling tension
    assert way.stress_mpa[-1] == pytest.approx(0.0, abs=12.0)


def test_the_ranking_puts_the_crackle_on_top_and_agrees_with_fit() -> None:
    names = ["frit-gloss", "clear-crackle", "true-matte"]
    at = Conditions(LIB.body("yard-raku"))
    ranked = rank([LIB.recipe(n) for n in names], at)
    assert ranked[0].recipe.id == "clear-crackle"
    for one in ranked:
        assert one.odds.crazes_at_once == fit(LIB, one.recipe, at).odds.crazes_at_once


def test_many_glazes_are_ranked_by_few_draws_and_judged_alike() -> None:
    """A dozen and more: odds within the error of the draws behind them, verdicts as ``fit`` has
    them, and no fewer draws where the odds asked are near."""
    names = [path.stem for path, _ in LIB.files("recipes")] * 2
    at = Conditions(LIB.body("yard-raku"), odds=0.5537)  # what true-matte has, about
    ranked = rank([LIB.recipe(n) for n in names], at)
    draws = {one.recipe.id: one.draws for one in ranked}
    assert draws["clear-crackle"] == 1024
    assert draws["true-matte"] == 10_240
    for one in ranked:
        exact = judge(one.recipe, at)
        assert abs(one.odds_right - exact.odds) <= 4.0 * standard_error(exact.odds, one.draws)
        assert one.verdict == verdict_of(exact.odds, at.odds, exact.outside)


def test_cristobalite_can_craze_on_the_way_down(cofire) -> None:  # type: ignore[no-untyped-def]
    """A body whose step comes at 226 °C pulls its glaze apart above it, though at room temperature
    the two fit: the verdict looks at the worst of the way."""
    expansion = "low = 6.9\nhigh = 7.1\nrange_c = [20, 546]"
    glaze = LIB.recipe("frit-gloss")
    plain, stepped = (
        fit(LIB, glaze, Conditions(body(cofire, expansion + more)))
        for more in ("", "\ncristobalite_step_percent = [0.14, 0.18]")
    )
    assert stepped.stress_mpa.value == pytest.approx(
        plain.stress_mpa.value, abs=4.0
    )  # it sets near 546 °C
    assert stepped.odds.crazes_at_once > plain.odds.crazes_at_once + 0.3


def test_porous_clay_crazes_its_glaze_with_the_years() -> None:
    """Moisture expansion grows as the fourth root of time (Wilson et al. 2003): a tenth of a year
    brings 0.32 of what ten years do; porcelain takes up no water, and its cracks have grown as far
    as they do after a year."""
    aging = fit(LIB, LIB.recipe("frit-gloss"), RAKU).crazed_with_the_years
    odds = [share for _, share in aging]
    assert odds == sorted(odds)
    assert odds[-1] > odds[0] + 0.1
    dense = fit(
        LIB, LIB.recipe("frit-gloss"), Conditions(LIB.body("porcelain"))
    ).crazed_with_the_years
    assert dense[0][1] <= dense[1][1] == dense[-1][1]


def test_forces_through_a_pot_add_up_to_nothing() -> None:
    for shape in ("pot", "both-sides", "tile"):
        through = fit(
            LIB, LIB.recipe("clear-crackle"), Conditions(LIB.body("raku"), shape=shape)
        ).through_mpa
        assert through is not None
        coat = 0.5 * (through.coat_face + through.coat_at_bond) * 0.25
        sides = 2 if shape == "both-sides" else 1
        body = 0.5 * (through.body_at_bond + through.body_back) * 6.0
        # medians of products of draws are not products of medians
        assert sides * coat == pytest.approx(-body, rel=0.15)


def test_a_tile_bends_towards_a_coat_in_tension() -> None:
    """That lets go of the coat's face more than of its bond, and squeezes the clay most there."""
    at = Conditions(LIB.body("raku"), shape="tile")
    through = fit(LIB, LIB.recipe("clear-crackle"), at).through_mpa
    assert through is not None
    assert 0.0 < through.coat_face < through.coat_at_bond
    assert through.body_at_bond < 0.0 < through.body_back


def test_unknown_clay_is_a_wide_bracket() -> None:
    known, unknown = (
        fit(LIB, LIB.recipe("frit-gloss"), Conditions(LIB.body(b))).stress_mpa
        for b in ("raku", "unknown")
    )
    assert unknown.high - unknown.low > 1.3 * (known.high - known.low)
