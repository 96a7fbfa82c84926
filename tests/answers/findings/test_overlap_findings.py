"""Overlaps that are worth a word, made by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from cofire.answers.findings.overlap import overlap_findings
from cofire.files.library import Library
from cofire.model.overlap import Overlap

LIB = Library()
SHARES = np.array([0.0, 0.25, 0.5, 1.0])


def over(runs: list[float], crazes: list[float] | None = None) -> Overlap:
    pair = LIB.recipe("frit-gloss"), LIB.recipe("satin-white")
    crazed = None if crazes is None else np.array(crazes)
    return Overlap(*pair, 0.5, SHARES, np.array(runs), crazed)


def told(one: Overlap, alone: float = 0.0) -> dict[str, str]:
    return {f.code: f.message for f in overlap_findings([one], alone, 0.8)}


def test_a_mixture_that_runs_is_named_by_its_shares() -> None:
    assert told(over([0.0, 0.1, 0.2, 0.0])) == {}
    message = told(over([0.1, 0.7, 0.5, 0.0]))["overlap-runs"]
    assert "75 : 25" in message and "70 %" in message
    assert "twice as thick" in told(over([0.6, 0.2, 0.1, 0.0]))["overlap-runs"]
    assert told(over([0.1, 0.7, 0.5, 0.0]), alone=0.3) == {}  # it runs alone already


def test_a_mixture_that_crazes_though_neither_does() -> None:
    calm = [0.0] * 4
    assert "overlap-crazes" in told(over(calm, [0.1, 0.5, 0.4, 0.1]))
    assert told(over(calm, [0.4, 0.5, 0.4, 0.1])) == {}  # hardly more than the first alone
    assert told(over(calm, [0.0, 0.2, 0.1, 0.0])) == {}
    crackle = replace(LIB.recipe("satin-white"), surface="crackle")
    meant = replace(over(calm, [0.1, 0.5, 0.4, 0.1]), second=crackle)
    assert told(meant) == {}


@pytest.mark.parametrize(("odds", "yes"), [(0.29, False), (0.3, True)])
def test_three_tenths_are_worth_a_word(odds: float, yes: bool) -> None:
    assert ("overlap-runs" in told(over([0.0, odds, 0.0, 0.0]))) == yes
    calm = [0.0] * 4
    assert ("overlap-crazes" in told(over(calm, [0.1, odds, 0.1, 0.1]))) == yes


@pytest.mark.parametrize(
    ("crazes", "yes"),
    [([0.25, 0.5, 0.0, 0.0], False), ([0.0, 0.5, 0.0, 0.25], False), ([0.2, 0.5, 0.0, 0.1], True)],
)
def test_a_mixture_crazes_more_than_twice_as_often_as_its_ends(
    crazes: list[float], yes: bool
) -> None:
    assert ("overlap-crazes" in told(over([0.0] * 4, crazes))) == yes


@pytest.mark.parametrize(("alone", "yes"), [(0.19, True), (0.21, False)])
def test_what_runs_alone_already_is_no_news(alone: float, yes: bool) -> None:
    """Odds of 0.8 were asked, so a fifth may run alone."""
    assert ("overlap-runs" in told(over([0.0, 0.9, 0.0, 0.0]), alone=alone)) == yes


@pytest.mark.parametrize(
    ("at", "said"),
    [(0, "twice as thick"), (1, "75 : 25 mixed"), (2, "50 : 50 mixed"), (3, "twice as thick")],
)
def test_which_mixture_runs(at: int, said: str) -> None:
    runs = [0.0] * 4
    runs[at] = 0.9
    message = told(over(runs))["overlap-runs"]
    assert said in message and "0.5" in message


def test_a_hundredth_of_the_second_is_a_mixture() -> None:
    one = replace(over([0.0, 0.9, 0.0, 0.0]), share_of_second=np.array([0.0, 0.01, 0.5, 1.0]))
    assert "99 : 1 mixed" in told(one)["overlap-runs"]
