"""Overlaps, the smallest change of the firing, and mattes that keep their crystals."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from cofire.answers.pair import pair
from cofire.chem.composition import wt_from_mol
from cofire.files.library import Library
from cofire.model.analysis import analyse
from cofire.model.conditions import Conditions
from cofire.model.glaze_draws import Drawing
from cofire.model.outcome import all_right, judge, judge_together
from cofire.model.overlap import DRAWS, mixtures
from cofire.model.standard_draws import N
from cofire.read.coat import Coat
from cofire.ripeness.judge import runs
from cofire.ripeness.stages import crystal_minutes

LIB = Library()
DAY = Conditions(firing=LIB.firing("raku-workshop"))


def test_a_mixture_is_the_mean_of_both_by_fired_weight() -> None:
    a, b = LIB.recipe("frit-gloss"), LIB.recipe("true-matte")
    wt = [wt_from_mol(analyse(r).mol) for r in (a, b)]
    glazes, ends = mixtures(a, b)
    mixed = wt_from_mol(glazes.mol((0.7 * ends[0] + 0.3 * ends[1])[None, :])[0])
    assert mixed == pytest.approx(0.7 * wt[0] + 0.3 * wt[1], abs=1e-6)


def test_the_ends_of_an_overlap_are_the_glazes_themselves() -> None:
    a, b = LIB.recipe("frit-gloss"), LIB.recipe("true-matte")
    answer = pair(LIB, [a, b], DAY)
    assert len(answer.overlaps) == 1
    one = answer.overlaps[0]
    assert one.runs.shape == (11,)
    thick = DAY.with_coat(Coat(2 * DAY.coat(0).fired_mm, "twice"))
    for end, recipe in ((0, a), (-1, b)):
        assert one.runs[end] == pytest.approx(
            pair(LIB, [recipe], thick).glazes[0].pulls[-1].odds.runs, abs=0.08
        )
        # and with as few draws the same to the last of them
        few = judge(recipe, thick, Drawing(DRAWS)).stages[-1]
        assert one.runs[end] == runs(few, DAY.criteria).mean()


def test_the_change_it_proposes_makes_it_a_yes() -> None:
    recipes = [LIB.recipe("frit-gloss"), LIB.recipe("earthenware-gloss")]
    answer = pair(LIB, recipes, DAY)
    assert not answer.yes
    assert answer.change is not None
    again = pair(LIB, recipes, Conditions(firing=answer.change.firing))
    assert again.yes
    assert again.odds_together == pytest.approx(answer.change.odds)
    assert "instead of" in answer.change_words


def test_when_nothing_helps_it_says_so() -> None:
    answer = pair(LIB, [LIB.recipe("does-not-work")], DAY)
    assert answer.change is None
    assert "Nothing tried makes it a yes" in answer.change_words


def test_doubling_the_draws_changes_no_verdict() -> None:
    """Odds that are not within half a per cent of what is asked stay on their side."""
    for names in (["frit-gloss", "true-matte"], ["frit-gloss", "earthenware-gloss"]):
        recipes = [LIB.recipe(n) for n in names]
        once = pair(LIB, recipes, DAY)
        twice = [judge(recipe, DAY, Drawing(2 * N)) for recipe in recipes]
        odds = all_right(judge_together(recipes, twice, DAY)).mean()
        assert (odds >= 0.8) == once.yes
        assert odds == pytest.approx(once.odds_together, abs=0.02)


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
    cool = pair(LIB, [recipe], Conditions(firing=hot)).glazes[0].pulls[0]
    scorched = (
        pair(LIB, [recipe], Conditions(firing=replace(hot, segments=segments))).glazes[0].pulls[0]
    )
    assert scorched.odds.ripe < cool.odds.ripe
