"""Sentences say what the numbers of their answer say, in whole English."""

from __future__ import annotations

import re

import pytest

from cofire.answers.adjust import adjust
from cofire.answers.change.problem import Allowed
from cofire.answers.change.relative_targets import read_target
from cofire.answers.fit import fit
from cofire.answers.pair import pair
from cofire.files.library import Library
from cofire.model.conditions import Conditions
from cofire.words import percent

LIB = Library()
OF_EACH_KIND = ("clear-crackle", "frit-gloss", "true-matte", "copper-lustre", "does-not-work")


def whole(sentence: str) -> None:
    assert sentence[0].isupper() and sentence[-1] in ".!?"
    assert not re.search(r"\b(\w+) \1\b|  | [,.;]|nan|None", sentence), sentence


@pytest.mark.parametrize("name", OF_EACH_KIND)
@pytest.mark.parametrize("body", ["raku", "porcelain"])
def test_a_fit_says_its_own_odds(name: str, body: str) -> None:
    for firing in (None, "raku-workshop"):
        answer = fit(LIB, LIB.recipe(name), Conditions.read(LIB, body=body, firing=firing))
        whole(answer.sentence)
        assert answer.sentence.startswith("Yes") == answer.yes
        odds = {percent(o, 0.8) for o in (answer.odds_wanted, answer.odds_right)}
        odds |= {percent(o) for o in (answer.odds_wanted, answer.odds_right)}
        assert any(said in answer.sentence for said in odds)
        assert ("too close to call" in answer.sentence) == (answer.verdict == "too close to call")


@pytest.mark.parametrize("firing", ["raku-workshop", "earthenware-cone-04"])
def test_a_pair_says_whether_all_is_well(firing: str) -> None:
    for names in (OF_EACH_KIND[1:2], OF_EACH_KIND[:2], OF_EACH_KIND[2:]):
        for body in (None, "raku"):
            at = Conditions.read(LIB, body=body, firing=firing)
            answer = pair(LIB, [LIB.recipe(n) for n in names], at)
            whole(answer.sentence)
            assert answer.sentence.startswith("Yes") == answer.yes
            assert {percent(answer.odds_together), percent(answer.odds_together, 0.8)} & set(
                re.findall(r"(?:under |over )?[\d.]+ %", answer.sentence)
            )
            assert ("--body" in answer.sentence) == (body is None)


@pytest.mark.parametrize("want", ["expansion 7.2", "expansion at least 14", "kaolin 5 %"])
def test_a_change_says_whether_it_is_met(want: str) -> None:
    recipe = LIB.recipe("clear-crackle")
    answer = adjust(LIB, recipe, [read_target(want, LIB, recipe)], Conditions(), Allowed())
    whole(answer.sentence)
    assert answer.sentence.startswith("Yes") == answer.yes
    assert answer.yes or want in answer.sentence or answer.proposals[0].meets_all
