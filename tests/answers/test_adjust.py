"""Targets on real materials."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from cofire import glass
from cofire.answers.adjust import adjust
from cofire.answers.change.available_materials import available_materials
from cofire.answers.change.problem import Allowed
from cofire.answers.change.relative_targets import read_target
from cofire.answers.fit import fit
from cofire.answers.pair import pair
from cofire.answers.results.adjust import AdjustAnswer
from cofire.chem.oxides import INDEX, MOLAR_MASS
from cofire.errors import CofireError, CompositionError, QuantityError, UnknownNameError
from cofire.files.library import Library
from cofire.formulate.program import ClosenessObjective
from cofire.material_kinds import is_twin
from cofire.model.analysis import analyse
from cofire.model.conditions import Conditions
from cofire.model.evaluation import evaluate, evaluate_recipe
from cofire.model.glaze_draws import MIDDLE, draw_glazes
from cofire.model.glaze_set import glaze_set
from cofire.model.outcome import judge
from cofire.model.ripening import stages_at
from cofire.model.standard_draws import N
from cofire.records import Part, Recipe
from cofire.ripeness.judge import DEFAULT as CRITERIA
from cofire.ripeness.judge import ripe_enough
from cofire.studio import Studio

LIB = Library.open(None)
SHELF = available_materials(LIB)
RAKU, DAY = LIB.body("raku"), LIB.firing("raku-workshop")
PULLED = Conditions(RAKU, DAY)
NOTHING = Conditions()


def ask(name: str, *wants: str, at: Conditions = NOTHING, **more) -> AdjustAnswer:  # type: ignore[no-untyped-def]
    recipe = LIB.recipe(name)
    targets = [read_target(w, LIB, recipe) for w in wants]
    return adjust(LIB, recipe, targets, at, Allowed(SHELF, **more))


@pytest.mark.parametrize("alpha", [6.0, 7.2, 9.5])
def test_a_target_expansion_is_what_the_engine_gives(alpha: float) -> None:
    answer = ask("clear-crackle", f"expansion {alpha}")
    assert answer.yes
    for proposal in answer.proposals:
        melt = analyse(proposal.recipe).mol[None, :]
        assert glass.expansion(melt).value[0] == pytest.approx(alpha, abs=0.06)
        assert sum(p.amount for p in proposal.recipe.base) == pytest.approx(100.0, abs=1e-9)


def test_unity_ratio_and_amounts_are_met_exactly() -> None:
    answer = ask(
        "frit-gloss", "SiO2:Al2O3 9", "kaolin at least 8 %", "KNaO at most 0.2", "loi at most 6 %"
    )
    assert answer.yes
    recipe = answer.proposals[0].recipe
    formula = analyse(recipe).unity
    assert formula[INDEX["SiO2"]] / formula[INDEX["Al2O3"]] == pytest.approx(9.0, rel=0.01)
    assert formula[INDEX["K2O"]] + formula[INDEX["Na2O"]] <= 0.202
    assert analyse(recipe).loi_percent <= 6.1
    assert {p.material.id: p.amount for p in recipe.base}["kaolin-ideal"] >= 8.0


def test_the_nearest_on_a_brute_force_grid() -> None:
    """Two parts of freedom: of all recipes in steps of a half whose expansion is right, none is
    nearer than the one found."""
    recipe = LIB.recipe("clear-crackle")
    target = read_target("expansion 7.6 to 7.8", LIB, recipe)
    answer = adjust(LIB, recipe, [target], NOTHING)
    found = {p.material.id: p.amount for p in answer.proposals[0].recipe.base}
    glazes, own = glaze_set(recipe)
    grid = np.array([(a, b, 100.0 - a - b) for a in np.arange(0, 100.5, 0.5)
                     for b in np.arange(0, 100.5 - a, 0.5)])  # fmt: skip
    parts = np.column_stack([grid, np.ones(len(grid))])
    alpha = evaluate(glazes, parts, NOTHING)[0].expansion_1e6_per_k
    right = grid[(alpha >= 7.6) & (alpha <= 7.8)]
    per = glazes.grams / MOLAR_MASS
    now = own @ per
    keep = now / now.sum() > 0.003
    matrix = (per[:3] * 100.0 / now.sum())[:, keep].T
    kept = ClosenessObjective(own[:3], np.ones(3), matrix, matrix @ own[:3], 0.5)
    best = min(kept.distance(p) for p in right)
    ours = kept.distance(np.array([found[m.id] for m in glazes.materials[:3]]))
    assert ours <= best + 0.6  # rounding to a tenth, and the grid's half


def test_never_worse_than_the_start_and_kept_is_kept() -> None:
    recipe = LIB.recipe("frit-gloss")
    keep = [LIB.material("lithium-carbonate")[0]]
    gone = [LIB.material("frit-3249-type")[0]]
    answer = adjust(
        LIB,
        recipe,
        [read_target("expansion 6.5", LIB, recipe)],
        NOTHING,
        Allowed(SHELF, keep, gone),
    )
    assert answer.yes
    for proposal in answer.proposals:
        amounts = {p.material.id: p.amount for p in proposal.recipe.base}
        assert amounts["lithium-carbonate"] == pytest.approx(2.0)
        assert "frit-3249-type" not in amounts
        for before, met in zip(answer.now.targets, proposal.targets, strict=True):
            assert met.target.miss(met.value) <= met.target.miss(before.value) + 1e-9


def test_odds_asked_are_odds_given() -> None:
    """Pair says yes to what adjust calls a yes, with the same odds."""
    at = Conditions(LIB.body("white-earthenware"), LIB.firing("earthenware-cone-04"))
    answer = ask("frit-gloss", "fits", "ripe", at=at)
    assert answer.yes
    before = pair(LIB, [LIB.recipe("frit-gloss")], at)
    after = pair(LIB, [answer.proposals[0].recipe], at)
    assert before.odds_together < 0.8
    assert after.yes
    assert before.odds_together == answer.now.odds_right
    assert after.odds_together == answer.proposals[0].odds_right


def test_a_finer_black_crackle_is_finer() -> None:
    answer = ask("white-crackle", "black crackle 3 mm", "ripe", at=PULLED)
    assert answer.yes
    nets = [
        fit(LIB, recipe, PULLED).nets[1] for recipe in (answer.recipe, answer.proposals[0].recipe)
    ]
    assert nets[0].spacing_mm is not None and nets[1].spacing_mm is not None
    assert nets[1].spacing_mm.value < nets[0].spacing_mm.value / 1.5


def test_a_distance_of_cracks_is_met_by_its_middle_from_half_to_twice() -> None:
    """The odds again from the draws of the recipe; no net is sure, so the middle of all decides."""
    for target, low, high in (
        ("black crackle 5 mm", 2.5, 10.0),
        ("black crackle 15 mm", 7.5, 30.0),
        ("black crackle at least 40 mm", 40.0, 150.0),  # if there is none it is not met
    ):
        recipe = LIB.recipe("white-crackle")
        answer = adjust(LIB, recipe, [read_target(target, LIB, recipe)], PULLED)
        for proposal in (answer.now, *answer.proposals):
            met, done = proposal.targets[0], judge(proposal.recipe, PULLED)
            assert done.fit is not None and done.fit.black_mm is not None
            apart = done.fit.black_mm
            assert met.odds == pytest.approx(((apart > low) & (apart < high)).mean(), abs=1e-3)
            middle = np.median(np.minimum(apart, 200.0))
            assert met.met == (low < middle < high)
    assert not answer.now.meets_all


def test_ripe_at_a_target_peak() -> None:
    at = Conditions(firing=DAY)
    answer = ask("frit-gloss", "ripe at 860 C", at=at)
    assert answer.yes
    glazes, own = glaze_set(answer.proposals[0].recipe)
    middle = draw_glazes(glazes, own[None, :], at, MIDDLE)
    first = at.when[0]
    for peak_c, ripe in ((846.0, False), (874.0, True)):
        moved = replace(first, ware_c=first.ware_c + peak_c - first.ware_c.max())
        stages = stages_at((moved,), middle, CRITERIA)[0]
        assert ripe_enough(stages, "gloss", CRITERIA).tolist() == [ripe]


def test_targets_that_contradict_each_other_are_named() -> None:
    answer = ask("clear-crackle", "SiO2 at least 6", "SiO2 at most 2", "kaolin at least 5 %")
    assert not answer.yes
    assert {w.text for w in answer.cannot_be_met_together} == {"SiO2 at least 6", "SiO2 at most 2"}
    assert "cannot be met together" in answer.sentence


def test_a_change_that_needs_another_firing_is_said() -> None:
    answer = ask("clear-crackle", "expansion 5")
    assert "melts-elsewhere" in {f.code for f in answer.findings}


def test_out_of_reach_is_said_with_the_nearest() -> None:
    recipe = LIB.recipe("clear-crackle")
    answer = adjust(LIB, recipe, [read_target("expansion at least 14", LIB, recipe)], NOTHING)
    assert not answer.yes
    before, met = answer.now.targets[0], answer.proposals[0].targets[0]
    assert before.value < met.value < 14.0


def test_answers_differ_in_kind() -> None:
    answer = ask("clear-crackle", "expansion 7.2")
    reasons = [p.reason for p in answer.proposals]
    assert len(set(reasons)) == len(reasons) >= 2
    bought = [
        {p.material.id for p in one.recipe.base} - {p.material.id for p in answer.recipe.base}
        for one in answer.proposals
    ]
    assert all(len(b) <= 1 for b in bought)


def test_silica_or_boron_cures_crazing() -> None:
    """Trade: more silica or boron, less soda. Where a glaze crazes, one of them comes in."""
    answer = ask("clear-crackle", "stress at most 0 MPa", at=PULLED)
    before, after = (analyse(r).mol for r in (answer.recipe, answer.proposals[0].recipe))
    alkali = [INDEX["Na2O"], INDEX["K2O"]]
    assert after[alkali].sum() < before[alkali].sum()


@pytest.mark.parametrize(
    ("target", "error", "said"),
    [
        ("expansion 900", QuantityError, "cannot expand by that much"),
        ("expansion", QuantityError, "cannot read the target"),
        ("unobtainium 5 %", UnknownNameError, "not a material"),
        ("crackle 8", QuantityError, "no unit"),
        ("ripe at 900", QuantityError, "no unit"),
        ("kaolin 5 mm", QuantityError, "per cent"),
        ("stress 5 psi", QuantityError, "MPa"),
        ("SiO2 3 mm", QuantityError, "moles"),
        ("kaolin at least 120 %", QuantityError, "0 to 100"),
    ],
)
def test_unreadable_targets_are_refused(target: str, error: type[CofireError], said: str) -> None:
    with pytest.raises(error, match=said):
        read_target(target, LIB, LIB.recipe("clear-crackle"))


def test_what_a_target_needs_has_to_be_named() -> None:
    with pytest.raises(CompositionError, match="--body"):
        ask("clear-crackle", "crackle 8 mm")
    with pytest.raises(CompositionError, match="--firing"):
        ask("clear-crackle", "ripe")
    with pytest.raises(CompositionError, match="no target was given"):
        ask("clear-crackle")


def _cobalt(where: str) -> Recipe:
    glass_parts = (("frit-3195-type", 80.0), ("kaolin-ideal", 15.0), ("silica", 5.0))
    base = tuple(Part(n, a, LIB.material(n)[0]) for n, a in glass_parts)
    blue = (Part("cobalt oxide", 0.15, LIB.material("cobalt oxide")[0]),)
    added = where == "additions"
    return Recipe("blue", "Blue", base if added else base + blue, blue if added else (), "gloss")


@pytest.mark.parametrize("where", ["base", "additions"])
@pytest.mark.parametrize("target", ["expansion 6", "loi at most 1 %", "clay at least 18 %"])
def test_colours_stay_what_they_are(where: str, target: str) -> None:
    recipe = _cobalt(where)
    answer = adjust(LIB, recipe, [read_target(target, LIB, recipe)], NOTHING, Allowed(SHELF))
    for proposal in answer.proposals:
        blue = [p.amount for p in proposal.recipe.parts if "cobalt" in p.material.id]
        assert blue == pytest.approx([0.15], abs=1e-9)
        assert sum(p.amount for p in proposal.recipe.base) == pytest.approx(100.0, abs=0.011)


def test_words_mean_what_they_say() -> None:
    with pytest.raises(CompositionError, match="meant to sit"):
        ask("frit-gloss", "crackles", at=Conditions(RAKU))
    with pytest.raises(CompositionError, match="meant to crackle"):
        ask("clear-crackle", "sits", at=Conditions(RAKU))
    assert ask("clear-crackle", "crackles", at=Conditions(RAKU)).yes


def test_what_adjust_calls_a_yes_pair_calls_a_yes() -> None:
    for name, body in (("borate-gloss", "yard-raku"), ("clear-crackle", "talc-earthenware")):
        at = Conditions(LIB.body(body), DAY)
        answer = ask(name, "fits", "ripe", at=at)
        told = pair(LIB, [answer.proposals[0].recipe], at)
        assert told.odds_together == answer.proposals[0].odds_right
        assert told.yes == answer.yes


def test_it_still_melts_without_being_asked() -> None:
    answer = ask("clear-crackle", "B2O3 0")
    assert answer.now.seen is not None
    for proposal in answer.proposals:
        if proposal.meets_all:
            assert proposal.seen is not None
            assert proposal.seen.melts_c[0] < answer.now.seen.melts_c[0] + 105.0


def test_additions_can_be_targets_kept_and_left_out() -> None:
    def amounts(answer: AdjustAnswer) -> dict[str, float]:
        return {p.material.id: p.amount for p in answer.proposals[0].recipe.additions}

    assert amounts(ask("white-crackle", "tin oxide 5 %")) == pytest.approx({"tin-oxide": 5.0})
    copper = ask("turquoise-crackle", "CuO 0.2")  # met, but no measured glass holds so much
    assert copper.proposals[0].meets_all and copper.verdict == "outside the data"
    tin = LIB.material("tin oxide")[0]
    assert amounts(ask("white-crackle", "expansion 7.5", left_out=[tin])) == {}
    assert amounts(ask("white-crackle", "expansion 7.5", kept=[tin])) == {"tin-oxide": 7.0}
    with pytest.raises(CompositionError, match="kept and left out"):
        ask("white-crackle", "expansion 7.5", kept=[tin], left_out=[tin])


def test_what_nothing_brings_is_said() -> None:
    for target in ("CuO 0.2", "Ag 0.1", "SiO2:CoO 8"):
        with pytest.raises(CompositionError, match="no available material brings"):
            ask("clear-crackle", target)


def test_a_limit_is_not_gone_round_with_a_twin() -> None:
    answer = ask("clear-crackle", "kaolin at most 5 %", "expansion 7.6")
    kaolin = LIB.material("kaolin-ideal")[0]
    for part in answer.proposals[0].recipe.base:
        assert part.material.id == "kaolin-ideal" or not is_twin(part.material, kaolin)


def test_black_cracks_need_smoke() -> None:
    with pytest.raises(CompositionError, match="pulled hot"):
        ask("frit-gloss", "black crackle 8 mm", at=Conditions(RAKU))


def test_impossible_amounts_are_a_no_and_not_a_complaint() -> None:
    answer = ask("clear-crackle", "silica 50 %", "kaolin 60 %")
    assert not answer.yes
    assert {w.text for w in answer.cannot_be_met_together} == {"silica 50 %", "kaolin 60 %"}


def test_a_cheaper_glaze() -> None:
    """By hand: 60 of 6, 28 of 5, 12 of 1.20 and 1 of 2 a kg, 101 in all: 51 cents the 100 g."""
    recipe = LIB.recipe("clear-crackle")
    prices = {"frit-3110-type": 6.0, "frit-3134-type": 5.0, "kaolin-ideal": 1.2, "silica": 0.8,
              "bentonite-sodium": 2.0}  # fmt: skip
    target = read_target("cost at most 0.45", LIB, recipe)
    answer = adjust(LIB, recipe, [target], NOTHING, Allowed(SHELF, prices=prices))
    assert answer.yes
    assert answer.now.targets[0].value == pytest.approx((360 + 140 + 14.4 + 2) / 1010.0, rel=1e-6)
    for proposal in answer.proposals:
        parts = proposal.recipe.parts
        assert {p.material.id for p in parts} <= set(prices)
        cost = sum(p.amount * prices[p.material.id] for p in parts) / sum(p.amount for p in parts)
        assert cost / 10.0 <= 0.4505
    with pytest.raises(CompositionError, match="there is no price"):
        adjust(LIB, recipe, [target], NOTHING, Allowed(SHELF))


@pytest.mark.parametrize("want", ["ripe at 1e5 C", "ripe at 20 C", "liquidus 5000 F"])
def test_a_temperature_that_no_kiln_reaches_is_refused_in_words(want: str) -> None:
    with pytest.raises(QuantityError, match="no kiln"):
        Studio().adjust("clear-crackle", [want])


@pytest.mark.parametrize(
    ("more", "now", "to"),
    [
        ("SiO2 +0.2", "unity", lambda now: now + 0.2),
        ("SiO2 −0.2", "unity", lambda now: now - 0.2),
        ("SiO2 +2 %", "weight", lambda now: now + 2.0),
        ("kaolin + 5", "amount", lambda now: now + 5.0),
        ("expansion -5 %", "expansion", lambda now: 0.95 * now),
        ("expansion +0.3", "expansion", lambda now: now + 0.3),
    ],
)
def test_a_sign_asks_for_more_or_less_than_now(
    more: str, now: str, to: Callable[[float], float]
) -> None:
    recipe = LIB.recipe("clear-crackle")
    seen, silica = analyse(recipe), INDEX["SiO2"]
    values = {
        "unity": seen.unity[silica],
        "weight": seen.oxides_wt_percent[silica],
        "amount": 12.0,
        "expansion": float(evaluate_recipe(recipe, NOTHING, 1).expansion_1e6_per_k[0]),
    }
    target = read_target(more, LIB, recipe)
    assert 0.5 * (target.low + target.high) == pytest.approx(to(values[now]), abs=0.006)


@pytest.mark.parametrize("words", ["crackle +5 mm", "ripe -40 C", "cost -10 %", "kaolin -13"])
def test_a_sign_that_cannot_be_a_change_is_refused(words: str) -> None:
    with pytest.raises(CofireError, match=r"sign|less than nothing"):
        read_target(words, LIB, LIB.recipe("clear-crackle"))


@pytest.mark.parametrize(
    "wishes", [(), ("shivers at most 5 %",), ("expansion 8.0",), ("black crackle 5 mm",)]
)
def test_each_of_several_odds_is_asked_for_more(
    wishes: tuple[str, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    """To be right in all with 80 %, each of fit and ripeness may fail half as often: a limit of its
    own, a number and a distance of cracks are no such odds."""

    class Seen(Exception):
        pass

    def seen(_recipe: Recipe, _targets: object, _allowed: object, _at: object, sure: float) -> None:
        raise Seen(sure)

    monkeypatch.setattr("cofire.answers.adjust.problem_of", seen)
    recipe = LIB.recipe("clear-crackle")
    at = Conditions(body=LIB.body("yard-raku"), firing=LIB.firing("raku-workshop"))
    targets = [read_target(wish, LIB, recipe) for wish in wishes]
    with pytest.raises(Seen) as sure:
        adjust(LIB, recipe, targets, at)
    enough = 0.8 + 1.5 * (0.8 * 0.2 / N) ** 0.5
    assert sure.value.args[0] == pytest.approx(1.0 - (1.0 - enough) / 2.0)
