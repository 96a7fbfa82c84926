"""Overlaps, the smallest change of the firing, and mattes that keep their crystals."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from cofire.answers import pair as pair_module
from cofire.answers.pair import pair
from cofire.chem.composition import wt_from_mol
from cofire.files.library import Library
from cofire.model import draws
from cofire.model.analysis import analyse
from cofire.model.overlap import mixed_recipe
from cofire.ripeness.stages import crystal_minutes

LIB = Library()
DAY = LIB.firing("raku-workshop")


def test_a_mixture_is_the_mean_of_both_by_fired_weight() -> None:
    a, b = LIB.recipe("frit-gloss"), LIB.recipe("true-matte")
    wt = [wt_from_mol(analyse(r).mol) for r in (a, b)]
    mixed = wt_from_mol(analyse(mixed_recipe(a, b, 0.3)).mol)
    assert mixed == pytest.approx(0.7 * wt[0] + 0.3 * wt[1], abs=0.05)


def test_the_ends_of_an_overlap_are_the_glazes_themselves() -> None:
    a, b = LIB.recipe("frit-gloss"), LIB.recipe("true-matte")
    answer = pair(LIB, [a, b], DAY)
    assert len(answer.overlaps) == 1
    one = answer.overlaps[0]
    assert one.runs.shape == (11,)
    thick = replace(answer.coat, fired_mm=2 * answer.coat.fired_mm)
    alone = pair(LIB, [a], DAY, coat=thick).glazes[0].pulls[-1].runs
    assert one.runs[0] == pytest.approx(alone, abs=0.08)


def test_the_change_it_proposes_makes_it_a_yes() -> None:
    recipes = [LIB.recipe("frit-gloss"), LIB.recipe("earthenware-gloss")]
    answer = pair(LIB, recipes, DAY)
    assert not answer.yes
    assert answer.change is not None
    again = pair(LIB, recipes, answer.change.firing)
    assert again.yes
    assert again.odds == pytest.approx(answer.change.odds)
    assert "instead of" in answer.change_words


def test_when_nothing_helps_it_says_so() -> None:
    answer = pair(LIB, [LIB.recipe("does-not-work")], DAY)
    assert answer.change is None
    assert "No change" in answer.change_words


def test_doubling_the_draws_changes_no_verdict(monkeypatch: pytest.MonkeyPatch) -> None:
    """Odds that are not within half a per cent of what is asked stay on their side."""
    for names in (["frit-gloss", "true-matte"], ["frit-gloss", "earthenware-gloss"]):
        recipes = [LIB.recipe(n) for n in names]
        once = pair(LIB, recipes, DAY)
        twice = np.ones(2 * draws.N, bool)
        when = pair_module.moments(DAY, 6.0)
        by = pair_module.Criteria()
        for recipe in recipes:
            more = draws.draw_glaze(recipe, once.coat, 2 * draws.N)
            done = pair_module.stages_at(when, recipe, more, by)
            twice &= pair_module.all_ripe(recipe, done, by)
        assert (twice.mean() >= 0.8) == once.yes
        assert twice.mean() == pytest.approx(once.odds, abs=0.02)


def test_crystals_count_from_the_last_time_above_the_liquidus() -> None:
    time_s = np.array([0.0, 3600.0, 4200.0, 4500.0, 8100.0])
    t_c = np.array([20.0, 943.0, 943.0, 916.0, 916.0])
    minutes = crystal_minutes(
        time_s,
        t_c,
        np.array([900.0, 930.0, 1100.0, 1100.0]),
        np.array([700.0, 700.0, 943.0, 990.0]),
    )
    assert minutes[0] == pytest.approx(0.0)  # melted away to the end
    assert 60.0 <= minutes[1] <= 65.0  # since it cooled through 930 °C
    assert minutes[2] == pytest.approx((8100.0 - 3600.0) / 60.0)  # never above; soft since the peak
    assert minutes[3] == pytest.approx(0.0)  # never soft enough


def test_a_matte_above_its_liquidus_is_not_a_ripe_matte() -> None:
    """The strontium matte, whose liquidus lies near 1000 °C, fired to 1060 °C and pulled there."""
    recipe = LIB.recipe("strontium-matte")
    hot = LIB.firing("raku-one-load")
    segments = (replace(hot.segments[0], target_c=1060.0),)
    cool = pair(LIB, [recipe], hot).glazes[0].pulls[0]
    scorched = pair(LIB, [recipe], replace(hot, segments=segments)).glazes[0].pulls[0]
    assert scorched.ripe < cool.ripe
