"""Where two glazes lie over each other."""

from __future__ import annotations

import pytest

from cofire.answers.pair import pair
from cofire.chem.composition import wt_from_mol
from cofire.files.library import Library
from cofire.model.analysis import analyse
from cofire.model.conditions import Conditions
from cofire.model.glaze_draws import Drawing
from cofire.model.outcome import judge
from cofire.model.overlap import DRAWS, mixtures, overlaps
from cofire.read.coat import Coat
from cofire.ripeness.judge import runs

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


def test_an_overlap_is_as_thick_as_both_coats() -> None:
    """Two coats of 0.2 and 0.35 mm lie 0.55 mm thick, and never thicker than the wall."""
    recipes = [LIB.recipe("frit-gloss"), LIB.recipe("borate-gloss")]
    coats = (Coat(0.2, "thin"), Coat(0.35, "thick"))
    for wall_mm, thick in ((6.0, 0.55), (0.5, 0.5)):
        (one,) = overlaps(recipes, Conditions(firing=DAY.firing, coats=coats, wall_mm=wall_mm))
        assert one.coat_fired_mm == pytest.approx(thick)
