"""The smallest change of the firing, enough draws, and mattes that keep their crystals."""

from __future__ import annotations

from dataclasses import replace

import pytest

from cofire.answers.pair import pair
from cofire.files.library import Library
from cofire.model.conditions import Conditions
from cofire.model.glaze_draws import Drawing
from cofire.model.outcome import all_right, judge, judge_together
from cofire.model.standard_draws import N
from cofire.read.coat import read_coats
from cofire.words import percent

LIB = Library()
DAY = Conditions(firing=LIB.firing("raku-workshop"))


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


def test_overlaps_that_run_are_a_no() -> None:
    """Two glazes that stay alone, and run where one lies over the other in thick coats."""
    recipes = [LIB.recipe("white-crackle"), LIB.recipe("clear-crackle")]
    for coat in ("0.25 mm fired", "0.35 mm fired", "0.5 mm fired"):
        answer = pair(LIB, recipes, replace(DAY, coats=read_coats(coat)))
        worst = max(float(one.runs.max()) for one in answer.overlaps)
        assert answer.odds_overlaps_stay == pytest.approx(1.0 - worst)
        if worst > 0.25:
            assert not answer.yes
    assert worst > 0.25  # so that the last of them says something
    assert pair(LIB, recipes[:1], DAY).odds_overlaps_stay is None


def test_what_is_not_sure_to_crackle_is_less_sure_than_asked() -> None:
    """The odds that the verdict uses: those of a crackle that does not shiver, not those that it
    crazes at all."""
    at = Conditions(body=LIB.body("unknown"), firing=LIB.firing("raku-workshop"), odds=0.86)
    answer = pair(LIB, [LIB.recipe("clear-crackle")], at, change=False)
    fit = answer.glazes[0].fit
    assert fit is not None and fit.odds_wanted < 0.86 < fit.odds.crazes_at_once
    assert f"not sure to crackle ({percent(fit.odds_wanted)})" in answer.sentence
