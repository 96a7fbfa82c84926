"""What an answer hangs on: against recipes written out, closed forms and the draws themselves."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from cofire.answers.fit import fit
from cofire.answers.formula import formula
from cofire.answers.pair import pair
from cofire.answers.sensitivity.results import SensitivityAnswer
from cofire.answers.sensitivity.sensitivity import sensitivity
from cofire.answers.sensitivity.sources import SOURCES, WeighingPlan, each_source
from cofire.errors import CofireError
from cofire.files.library import Library
from cofire.glass.estimate import Z90
from cofire.model.conditions import PYROMETER_SD_C, Conditions
from cofire.model.glaze_draws import MIDDLE, draw_glazes
from cofire.model.glaze_set import glaze_set
from cofire.model.melt_range import peaks, plain_firing
from cofire.records import Recipe
from cofire.ripeness.judge import DEFAULT as CRITERIA

LIB = Library.open(None)
GLOSS, CRACKLE = LIB.recipe("frit-gloss"), LIB.recipe("clear-crackle")
PULLED = Conditions(LIB.body("raku"), LIB.firing("raku-workshop"))
ON_YARD, NOTHING = Conditions(LIB.body("yard-raku")), Conditions()


def asked(
    recipe: Recipe,
    at: Conditions = NOTHING,
    batch_g: float = 100.0,
    step_g: float = 0.1,
    slips: bool = False,
) -> SensitivityAnswer:
    return sensitivity(LIB, WeighingPlan(recipe, batch_g, step_g, slips), at)


@cache
def in_full(name: str) -> SensitivityAnswer:
    return asked(LIB.recipe(name), PULLED)


def write(cofire, parts: dict[str, float], more: str = "") -> Recipe:  # type: ignore[no-untyped-def]
    base = "\n".join(f"{name} = {amount!r}" for name, amount in parts.items())
    text = f'name = "Yard"\nsurface = "gloss"\n[base]\n{base}\n[additions]\n{more}\n'
    return Library().recipe(cofire.write("yard.toml", text))


PARTS = {"frit-3195-type": 70.0, "silica": 15.0, "lithium-carbonate": 3.0, "kaolin": 12.0}


@pytest.mark.parametrize("name", PARTS)
def test_an_effect_is_what_the_other_recipe_says(cofire, name: str) -> None:  # type: ignore[no-untyped-def]
    """One gram more in 100 g, written out as a recipe and asked with formula."""
    start = write(cofire, PARTS)
    effect = next(e for e in asked(start).materials if e.written == name)
    before = formula(LIB, start)
    after = formula(LIB, write(cofire, PARTS | {name: PARTS[name] + 1.0}))
    moved = effect.one_hundredth_of_the_batch_more
    assert moved.more_g == 1.0
    assert moved.expansion_1e6_per_k == pytest.approx(
        after.expansion.value - before.expansion.value, abs=1e-5
    )
    softer = after.isokoms[1].temperature_c.value - before.isokoms[1].temperature_c.value
    assert moved.ripens_hotter_c == pytest.approx(softer, rel=0.2, abs=0.5)
    # one step does a tenth of it, as the glaze is almost linear within a gram
    assert effect.one_scale_step_more.expansion_1e6_per_k == pytest.approx(
        0.1 * moved.expansion_1e6_per_k, rel=0.08
    )


def test_facts_of_the_trade() -> None:
    by_name = {
        e.written: e.one_hundredth_of_the_batch_more for e in in_full("frit-gloss").materials
    }
    lithia, silica, kaolin = (by_name[n] for n in ("lithium carbonate", "silica", "kaolin"))
    assert lithia.ripens_hotter_c < -10.0 and lithia.fluidity_decades > 0.1
    assert silica.ripens_hotter_c > 0.0 and kaolin.ripens_hotter_c > 0.0
    assert silica.expansion_1e6_per_k < 0.0 < lithia.expansion_1e6_per_k
    assert silica.stress_mpa is not None and lithia.stress_mpa is not None
    assert lithia.stress_mpa > 0.0
    careful = in_full("frit-gloss").careful
    assert careful is not None and careful.written == "lithium carbonate"


def test_silica_that_dissolves_presses_the_coat() -> None:
    """After a slow firing to cone 04 hardly any of it is left as grains; at a first raku pull much
    is, and grains of quartz pull."""
    slow = Conditions(LIB.body("raku"), LIB.firing("earthenware-cone-04"))
    recipe = LIB.recipe("frit-gloss")
    effects = asked(recipe, slow).materials
    silica = next(e for e in effects if e.written == "silica").one_hundredth_of_the_batch_more
    assert silica.stress_mpa is not None and silica.stress_mpa < 0.0


def test_hotter_is_decades_over_the_slope_of_flow() -> None:
    """A firing that is so much hotter makes good what a stiffer glaze lacks: by the fluidity of the
    same glaze in firings 5 °C to either side, grains and all."""
    glazes, own = glaze_set(CRACKLE)
    draws = draw_glazes(glazes, own[None], Conditions(), MIDDLE)
    time_s, ware_c = plain_firing(asked(CRACKLE).own.ripens_c)
    spare = [peaks(draws, time_s, ware_c + by, CRITERIA).spare_decades[0] for by in (-5.0, 5.0)]
    slope = (spare[1] - spare[0]) / 10.0
    for effect in asked(CRACKLE).materials:
        moved = effect.one_hundredth_of_the_batch_more
        assert moved.ripens_hotter_c == pytest.approx(
            -moved.fluidity_decades / slope, rel=0.1, abs=0.1
        )


@pytest.mark.parametrize("name", ["clear-crackle", "frit-gloss", "earthenware-gloss"])
def test_it_ripens_where_formula_says(name: str) -> None:
    said = formula(LIB, LIB.recipe(name)).melt_range.matures_c
    assert asked(LIB.recipe(name)).own.ripens_c == pytest.approx(said, abs=1e-3)


@pytest.mark.parametrize("name", ["clear-crackle", "frit-gloss"])
def test_the_recipe_itself_is_what_fit_and_pair_say(name: str) -> None:
    answer, glaze = in_full(name), LIB.recipe(name)
    said = fit(LIB, glaze, PULLED)
    assert answer.own.stress_mpa == pytest.approx(said.stress_mpa.value, abs=1e-6)
    assert answer.all_drawn.stress_mpa == pytest.approx(
        0.5 * (said.stress_mpa.high - said.stress_mpa.low), rel=0.08
    )
    odds = pair(LIB, [glaze], PULLED).odds_together
    assert answer.own.odds == odds
    assert answer.odds_as_weighed_and_bought == pytest.approx(
        odds, abs=0.03
    )  # with a scale's steps on top


@pytest.mark.parametrize("name", ["clear-crackle", "frit-gloss"])
def test_squares_add_up_to_the_whole(name: str) -> None:
    answer = in_full(name)
    for read in ("expansion_1e6_per_k", "stress_mpa", "ripens_c"):
        added, whole = getattr(answer.squares_added, read), getattr(answer.all_drawn, read)
        assert added == pytest.approx(whole, rel=0.10), read
        parts = [getattr(d, read) for d in answer.half_widths_90_percent]
        assert added == pytest.approx(np.sqrt(np.sum(np.square(parts))))


def test_variances_of_independent_sources_add_up() -> None:
    drawn = each_source(WeighingPlan(GLOSS, 100.0, 1.0, True), ON_YARD)
    for read in ("alpha_1e6_per_k", "stress_mpa"):
        parts = [float(np.var(getattr(drawn[s], read))) for s in SOURCES]
        assert sum(parts) == pytest.approx(float(np.var(getattr(drawn["all"], read))), rel=0.15)


def test_each_source_moves_what_it_can_move() -> None:
    drawn = each_source(WeighingPlan(GLOSS, 100.0, 0.1), ON_YARD)

    def widths(source: str) -> tuple[float, float, float]:
        seen = drawn[source]
        assert seen.stress_mpa is not None
        return (
            float(np.std(seen.alpha_1e6_per_k)), float(np.std(seen.stress_mpa)),
            float(np.nanstd(seen.ripens_c)),
        )  # fmt: skip

    assert widths("coat")[0] == pytest.approx(0.0, abs=1e-9) and widths("coat")[2] > 5.0
    assert widths("place")[0] == pytest.approx(0.0, abs=1e-9) and widths("place")[2] > 5.0
    assert widths("body")[1] > 1.0
    assert widths("body")[::2] == pytest.approx((0.0, 0.0), abs=1e-6)
    assert min(widths("models")) > 0.1 and min(widths("analyses")) > 0.01


def test_closed_forms() -> None:
    """The kiln's scatter goes straight into the peak; the models' is what formula prints."""
    by_source = {d.source: d for d in in_full("clear-crackle").half_widths_90_percent}
    spread_c = np.hypot(PYROMETER_SD_C, PULLED.place_sd_c)
    assert by_source["place"].ripens_c == pytest.approx(Z90 * spread_c, rel=0.05)
    said = formula(LIB, CRACKLE).expansion
    assert by_source["models"].expansion_1e6_per_k == pytest.approx(
        0.5 * (said.high - said.low), rel=0.10
    )


def test_weighing_errors_are_uniform_within_half_a_step() -> None:
    weighing = WeighingPlan(GLOSS, 100.0, 0.5)
    off = weighing.drawn() - weighing.grams
    assert np.abs(off).max() <= 0.25
    assert off.std() == pytest.approx(0.5 / np.sqrt(12.0), rel=0.05)
    slipped = WeighingPlan(GLOSS, 100.0, 0.001, True).drawn() / weighing.grams - 1.0
    assert slipped.std() == pytest.approx(0.01, rel=0.08)
    # lines are weighed one by one: what one is off says nothing of another
    between = np.corrcoef(off.T)[np.triu_indices(off.shape[1], 1)]
    assert np.abs(between).max() < 3.0 / np.sqrt(len(off))


def test_a_coarser_scale_widens_only_the_weighing() -> None:
    fine, coarse = (
        {d.source: d.expansion_1e6_per_k for d in asked(GLOSS, step_g=step).half_widths_90_percent}
        for step in (0.1, 1.0)
    )
    assert coarse["weighing"] == pytest.approx(10.0 * fine["weighing"], rel=0.1)
    for source in ("analyses", "models", "coat", "place"):
        assert coarse[source] == fine[source]


def test_a_larger_batch_makes_the_same_scale_finer() -> None:
    small, large = (asked(GLOSS, batch_g=g) for g in (100.0, 1000.0))
    assert large.half_widths_90_percent[0].expansion_1e6_per_k == pytest.approx(
        0.1 * small.half_widths_90_percent[0].expansion_1e6_per_k, rel=0.05
    )
    for one, other in zip(small.materials, large.materials, strict=True):
        assert one.one_hundredth_of_the_batch_more.expansion_1e6_per_k == pytest.approx(
            other.one_hundredth_of_the_batch_more.expansion_1e6_per_k
        )


def test_too_coarse_a_scale_is_said_with_a_batch_that_helps(cofire) -> None:  # type: ignore[no-untyped-def]
    blue = write(cofire, PARTS, '"cobalt carbonate" = 0.2')
    told = [f for f in asked(blue).findings if f.code == "scale-too-coarse"]
    assert [f.subject for f in told] == ["cobalt carbonate"]
    assert "0.2 g" in told[0].message and "25 %" in told[0].message and "500 g" in told[0].message
    for help_ in ({"batch_g": 500.0}, {"step_g": 0.02}):
        found = asked(blue, **help_).findings  # type: ignore[arg-type]
        assert not [f for f in found if f.code == "scale-too-coarse"], help_


def test_a_wobble_that_turns_a_yes_into_a_no_is_said() -> None:
    fresh = replace(PULLED, horizon_years=0.1, body=LIB.body("white-earthenware"))
    odds = asked(GLOSS, fresh).own.odds
    assert odds is not None
    just = asked(GLOSS, replace(fresh, odds=round(odds - 0.01, 3)), step_g=0.5)
    assert any("lithium carbonate" in w and "makes it a no" in w for w in just.verdict_changes)
    steady = asked(CRACKLE, replace(PULLED, odds=0.6))
    assert steady.yes and steady.verdict_changes == ()
    asked_too_much = asked(GLOSS, replace(PULLED, odds=0.95))
    assert not asked_too_much.yes and asked_too_much.verdict_changes == ()


def test_without_a_body_or_a_firing_nothing_is_judged() -> None:
    answer = asked(GLOSS)
    assert answer.yes and answer.own.odds is None and answer.all_drawn.stress_mpa is None
    assert {d.source for d in answer.half_widths_90_percent} == set(SOURCES) - {
        "body", "moisture", "law", "pots"
    }  # fmt: skip


def test_a_batch_that_stays_locked_is_a_no() -> None:
    answer = asked(LIB.recipe("does-not-work"), Conditions(firing=PULLED.firing))
    assert answer.own.odds == answer.odds_as_weighed_and_bought == 0.0
    assert not answer.yes


@pytest.mark.parametrize(("batch_g", "step_g"), [(0.0, 0.1), (1e9, 0.1), (100.0, 0.0), (1.0, 5.0)])
def test_impossible_scales_are_refused(batch_g: float, step_g: float) -> None:
    with pytest.raises(CofireError) as error:
        asked(GLOSS, batch_g=batch_g, step_g=step_g)
    assert error.value.hint


def test_knowing_a_doubt_is_ranked_by_the_answers_it_changes() -> None:
    """By definition: the clay alone known, worked out by hand from the same draws."""
    answer = asked(GLOSS, Conditions(LIB.body("raku")))
    rows = answer.odds_without
    assert [r.source for r in rows] == [
        r.source for r in sorted(rows, key=lambda r: (-r.changes, r.source))
    ]
    assert {r.source for r in rows} == set(SOURCES)
    assert rows[0].source in ("body", "models")
    weighing = {r.source: r for r in rows}["weighing"]
    assert weighing.changes < 0.02 and weighing.odds == pytest.approx(
        answer.odds_as_weighed_and_bought, abs=0.02
    )


def test_a_clay_known_well_changes_fewer_answers() -> None:
    wide, known = (
        {r.source: r.changes for r in asked(GLOSS, Conditions(LIB.body(b))).odds_without}["body"]
        for b in ("raku", "yard-raku")
    )
    assert known < 0.8 * wide


def test_the_odds_after_a_tile_average_to_those_before() -> None:
    """Bayes: each result is weighted by its odds."""
    answer = asked(GLOSS, Conditions(LIB.body("raku")))
    tile = answer.next_tile
    assert tile is not None
    assert sum(r.odds for r in tile.results) == pytest.approx(1.0, abs=0.03)
    mean = sum(r.odds * r.odds_right for r in tile.results)
    assert mean == pytest.approx(answer.odds_as_weighed_and_bought, abs=0.02)
    after = {r.shows: r.odds_right for r in tile.results}
    assert after["comes out whole"] > after["crazes within days"] + 0.2


def test_no_tile_is_proposed_without_a_clay() -> None:
    assert asked(GLOSS).next_tile is None and asked(GLOSS).odds_without == ()
