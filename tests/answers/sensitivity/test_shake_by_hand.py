"""The sums and sentences of a sensitivity analysis, with effects and odds that are made up."""

from __future__ import annotations

from dataclasses import fields, replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from cofire.answers.sensitivity import amount_effects as effects_module
from cofire.answers.sensitivity import next_tile as tile_module
from cofire.answers.sensitivity import sensitivity as sensitivity_module
from cofire.answers.sensitivity import sources as sources_module
from cofire.answers.sensitivity.amount_effects import Effect, Shift, amount_effects
from cofire.answers.sensitivity.messages import flips, sensitivity_sentence, share_of
from cofire.answers.sensitivity.next_tile import NextTile, next_tile
from cofire.answers.sensitivity.results import Doubt, SensitivityAnswer, Without
from cofire.answers.sensitivity.sensitivity import (
    _coarse,
    _conditions,
    _most_careful,
    _must_weigh,
    _together,
    _unknown_spread,
    _without,
    half_width,
)
from cofire.answers.sensitivity.sources import WeighingPlan
from cofire.errors import QuantityError
from cofire.files.library import Library
from cofire.model.conditions import Conditions
from cofire.model.crackle import NO_CRACKS_MM

LIB = Library()
GLOSS = LIB.recipe("frit-gloss")
NOTHING: Any = None


def shift(more_g: float = 1.0, **moved: Any) -> Shift:
    facts: dict[str, Any] = {
        "expansion_1e6_per_k": 0.0, "stress_mpa": None, "craze_odds": None,
        "fluidity_decades": 0.0, "ripens_hotter_c": 0.0, "crack_spacing_mm": None,
        "odds_with_it": None, "odds_with_as_much_less": None,
    }  # fmt: skip
    return Shift(more_g, **(facts | moved))


def effect(name: str, grams: float = 10.0, step_g: float = 0.1, **moved: Any) -> Effect:
    return Effect(name, grams, shift(step_g), shift(1.0, **moved))


def doubt(source: str, alpha: float, stress: float | None, ripens_c: float) -> Doubt:
    return Doubt(source, alpha, stress, ripens_c)


# --- what may be asked ----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("batch_g", "step_g", "can"),
    [
        (1.0, 0.2, True), (0.99, 0.1, False), (1e6, 1.0, True), (1.01e6, 1.0, False),
        (100.0, 20.0, True), (100.0, 20.1, False), (100.0, 1e-4, True), (100.0, 0.9e-4, False),
    ],
)  # fmt: skip
def test_a_batch_and_a_scale_that_go_together(batch_g: float, step_g: float, can: bool) -> None:
    """From 1 g to a tonne, in steps from a tenth of a milligram to a fifth of the batch."""
    plan = WeighingPlan(GLOSS, batch_g, step_g)
    if can:
        _must_weigh(plan)
    else:
        with pytest.raises(QuantityError):
            _must_weigh(plan)


# --- widths ---------------------------------------------------------------------------------------


def test_half_of_what_holds_nine_tenths() -> None:
    """0 to 100 evenly: from 5 to 95, half of 90; draws that never ripen are left out."""
    even = np.linspace(0.0, 100.0, 101)
    assert half_width(even) == pytest.approx(45.0)
    assert half_width(np.concatenate([even, [np.nan, np.inf, -np.inf]])) == pytest.approx(45.0)
    assert np.isnan(half_width(np.array([np.nan, np.inf])))


def test_squares_are_added() -> None:
    """3 and 4 make 5; 5 and 12 make 13; 8 and 15 make 17."""
    both = _together((doubt("coat", 3.0, 5.0, 8.0), doubt("place", 4.0, 12.0, 15.0)))
    assert (both.expansion_1e6_per_k, both.stress_mpa, both.ripens_c) == (5.0, 13.0, 17.0)
    bare = _together((doubt("coat", 3.0, None, 8.0), doubt("place", 4.0, None, 15.0)))
    assert bare.stress_mpa is None and bare.ripens_c == 17.0


@pytest.mark.parametrize(
    ("part", "together", "share"),
    [(3.0, 5.0, 0.36), (5.0, 5.0, 1.0), (None, 5.0, 0.0), (3.0, None, 0.0), (0.0, 0.0, 0.0),
     (3.0, float("nan"), 0.0), (3.0, float("inf"), 0.0)],
)  # fmt: skip
def test_a_share_of_the_variance(part: float | None, together: float | None, share: float) -> None:
    assert share_of(part, together) == pytest.approx(share)


# --- what to weigh carefully ----------------------------------------------------------------------


def test_the_largest_effect_over_its_doubt() -> None:
    """Of doubts of 0.5e-6/K, 10 MPa and 20 °C: 0.1 is a fifth, -3 MPa three tenths, 5 °C a
    quarter."""
    combined = doubt("all", 0.5, 10.0, 20.0)
    some = (effect("a", expansion_1e6_per_k=0.1), effect("b", stress_mpa=-3.0),
            effect("c", ripens_hotter_c=5.0))  # fmt: skip
    assert _most_careful(some, combined) is some[1]
    assert _most_careful(some, replace(combined, stress_mpa=20.0)) is some[2]
    assert _most_careful(some, replace(combined, stress_mpa=None, ripens_c=30.0)) is some[0]
    assert _most_careful(some[:2], replace(combined, expansion_1e6_per_k=0.2)) is some[0]
    assert _most_careful((), combined) is None
    # what never ripens says nothing, and no doubt is no measure
    never = (effect("d", ripens_hotter_c=float("nan")), some[0])
    assert _most_careful(never, combined) is some[0]
    assert _most_careful((some[0], some[2]), replace(combined, ripens_c=0.0)) is some[0]


@pytest.mark.parametrize(("grams", "told"), [(1.0, False), (0.99, True)])
def test_ten_steps_of_the_scale_are_enough(grams: float, told: bool) -> None:
    found = _coarse((effect("blue", grams, 0.1), effect("frit", 90.0, 0.1)), 100.0)
    assert [one.subject for one in found] == ["blue"] * told


def test_what_a_coarse_scale_needs() -> None:
    """0.2 g in steps of 0.1 g: half a step is 25 %; in 500 g it is 1 g, or on a scale of 0.02 g."""
    (found,) = _coarse((effect("blue", 0.2, 0.1),), 100.0)
    assert all(said in found.message for said in ("0.2 g", "25 %", "500 g", "0.02 g"))


def test_materials_without_a_spread_are_named_once() -> None:
    bare = replace(LIB.material("silica")[0], spread_wt_percent={}, names=("bare",))
    known = replace(bare, spread_wt_percent={"SiO2": 1.0}, names=("known",))
    part = GLOSS.base[0]

    def glaze(*parts: tuple[float, Any]) -> Any:
        base = tuple(replace(part, amount=amount, material=one) for amount, one in parts)
        return replace(GLOSS, base=base, additions=())

    assert _unknown_spread(glaze((1.0, known), (0.0, bare))) == []
    (found,) = _unknown_spread(glaze((1.0, known), (0.5, bare), (2.0, bare)))
    assert found.message.count("bare") == 1 and "known," not in found.message


def test_conditions_in_words() -> None:
    plan = WeighingPlan(GLOSS, 250.0, 0.5)
    bare = _conditions(plan, Conditions())
    assert bare[0].startswith("batch of 250 g") and bare[0].endswith(" of base")
    assert bare[1] == "scale with steps of 0.5 g"
    assert bare[-1].startswith("ripens in a firing") and len(bare) == 4
    at = Conditions(LIB.body("raku"), LIB.firing("raku-workshop"))
    full = _conditions(replace(plan, slips=True), at)
    assert full[2] == "and every line off by a hundredth" and full[4] == f"wall {at.wall_mm:g} mm"
    assert full[-1] == f"ripens as shifted from {at.firing.name}" and len(full) == 8  # type: ignore[union-attr]


def test_a_source_is_ranked_by_the_answers_it_changes(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of four draws two are right by now. Knowing the coat changes one of them, knowing the clay
    two, the models none; of equals by name."""
    right = np.array([True, True, False, False])
    known = {
        "models": right,
        "coat": np.array([True, True, True, False]),
        "body": np.array([True, False, True, False]),
        "analyses": right,
    }
    monkeypatch.setattr(sensitivity_module, "right_without", lambda *_: known)
    assert _without(NOTHING, NOTHING, right) == (
        Without("body", 0.5, 0.5), Without("coat", 0.75, 0.25),
        Without("analyses", 0.5, 0.0), Without("models", 0.5, 0.0))  # fmt: skip


# --- sentences ------------------------------------------------------------------------------------


def answer(**facts: Any) -> Any:
    own = SimpleNamespace(odds=facts.pop("own", 0.9))
    at = SimpleNamespace(
        odds=0.8, body=facts.pop("body", "clay"), firing=facts.pop("firing", "day")
    )
    doubts = (doubt("coat", 0.3, 6.0, 12.0), doubt("models", 0.4, 8.0, 5.0))
    return SimpleNamespace(
        **{
            "own": own, "at": at, "odds_as_weighed_and_bought": 0.85, "materials": (),
            "weighing": SimpleNamespace(batch_g=100.0), "half_widths_90_percent": doubts,
            "squares_added": doubt("together", 0.5, 10.0, 13.0), "odds_without": (),
            "verdict": "yes",
        } | facts
    )  # fmt: skip


def test_the_sentence_names_what_matters_most() -> None:
    """8 of 10 MPa are 64 % of the variance, 12 of 13 °C 85 %, 0.4 of 0.5e-6/K 64 %."""
    assert sensitivity_sentence(answer()) == (
        "Yes: right with 90 % odds as written, 85 % as weighed; how it fits depends most on the "
        "glass models (64 % of the doubt); when it ripens, on thickness of the coat (85 %)."
    )
    assert sensitivity_sentence(answer(firing=None)) == (
        "Yes: right with 90 % odds as written, 85 % as weighed; how it fits depends most on the "
        "glass models (64 % of the doubt).")  # fmt: skip
    assert sensitivity_sentence(answer(body=None, firing=None, own=None)) == (
        "When it ripens depends most on thickness of the coat (85 % of the doubt); its expansion, "
        "on the glass models (64 %).")  # fmt: skip
    assert "its expansion, on" in sensitivity_sentence(answer(body=None))


def test_the_verdict_stands_in_front() -> None:
    said = [sensitivity_sentence(answer(verdict=v, own=0.7)).partition(":")[0]
            for v in ("yes", "no", "too close to call", "outside the data")]  # fmt: skip
    assert said == ["Yes", "No", "No, too close to call", "No, outside the data"]
    without = sensitivity_sentence(answer(odds_as_weighed_and_bought=None))
    assert without.startswith("How it fits")


@pytest.mark.parametrize(("changes", "said"), [(0.019, False), (0.02, True)])
def test_a_fiftieth_of_the_answers_is_worth_a_word(changes: float, said: bool) -> None:
    rows = (Without("body", 0.9, changes), Without("coat", 0.9, 0.0))
    text = sensitivity_sentence(answer(odds_without=rows))
    assert ("knowing the clay would change the answer in 2 % of all cases" in text) == said


def test_what_turns_a_yes_into_a_no() -> None:
    """More than 0.8 was asked. Of four changed amounts two fall below; the others hold."""
    steps = Effect("silica", 20.0, shift(0.1, odds_with_it=0.9, odds_with_as_much_less=0.6),
                   shift(1.0, odds_with_it=0.5, odds_with_as_much_less=0.95))  # fmt: skip
    assert flips(answer(materials=(steps,))) == (
        "0.1 g less silica in 100 g makes it a no (60 %).",
        "1 g more silica in 100 g makes it a no (50 %).")  # fmt: skip
    assert flips(answer(materials=(effect("silica"),))) == ()
    # what is a no by now is turned by nothing
    assert flips(answer(materials=(steps,), own=0.6)) == ()
    assert flips(answer(materials=(steps,), own=None)) == ()
    assert flips(answer(materials=(steps,), odds_as_weighed_and_bought=None)) == ()


def test_weighing_alone_may_turn_it() -> None:
    assert flips(answer(odds_as_weighed_and_bought=0.7)) == (
        "As written it is right with 90 % odds; with weighing in doubt too, 70 %, and 80 % were "
        "asked.",)  # fmt: skip


@pytest.mark.parametrize(
    ("verdict", "yes"), [(None, True), ("yes", True), ("no", False), ("outside the data", False)]
)
def test_an_answer_is_a_yes_where_nothing_was_asked(verdict: Any, yes: bool) -> None:
    names = (one.name for one in fields(SensitivityAnswer))
    made = SensitivityAnswer(**dict.fromkeys(names, NOTHING) | {"verdict": verdict})
    assert made.yes == yes and made.weigh_most_carefully is None
    careful = replace(made, careful=effect("lithium carbonate"))
    assert careful.weigh_most_carefully == "lithium carbonate"


# --- the sources ---------------------------------------------------------------------------------


def test_a_source_is_seen_in_expansion_to_300_and_in_the_first_peaks(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Expansion counts from 20 to 300 °C, as everywhere; the peak of 2048 draws is looked for."""
    draws = SimpleNamespace(n=3, alpha_1e6_per_k=lambda to_c: to_c, some=lambda n: n)
    outcome = SimpleNamespace(draws=draws, fit=SimpleNamespace(stress_mpa="stress"), right="right")
    monkeypatch.setattr(sources_module, "_judged", lambda *_: outcome)
    monkeypatch.setattr(sources_module, "history_of", lambda _: (1, 2))
    monkeypatch.setattr(
        sources_module, "peaks", lambda n, *_: SimpleNamespace(matures_c=f"{n} peaks")
    )
    at: Any = SimpleNamespace(body_draws=None, criteria=None)
    drawn = sources_module.each_source(NOTHING, at)
    assert set(drawn) == {"weighing", "analyses", "models", "coat", "place", "all"}
    for one in drawn.values():
        assert one.alpha_1e6_per_k.tolist() == [300.0] * 3
        assert (one.stress_mpa, one.ripens_c, one.right) == ("stress", "2048 peaks", "right")
    outcome.fit = None
    assert sources_module.each_source(NOTHING, at)["all"].stress_mpa is None


# --- the amounts ----------------------------------------------------------------------------------


def test_each_amount_is_moved_by_a_step_and_by_a_hundredth_both_ways(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """In 200 g with steps of 0.5 g: 0.5 and 2 g. Nothing is weighed below nothing, and what is not
    in it is not moved."""
    evaluated: list[np.ndarray] = []
    number = effects_module.evaluate

    def evaluate(glazes: Any, parts: Any, *more: Any) -> Any:
        evaluated.append(parts)
        return number(glazes, parts, *more)

    monkeypatch.setattr(effects_module, "evaluate", evaluate)
    base = [replace(p, amount=a) for p, a in zip(GLOSS.base, (99.6, 0.4, 0.0), strict=False)]
    plan = WeighingPlan(replace(GLOSS, base=tuple(base), additions=()), 200.0, 0.5)
    _, effects = amount_effects(plan, Conditions())
    (parts,) = evaluated
    moved = parts - parts[0]
    assert parts[0].sum() == pytest.approx(200.0) and len(effects) == 2
    small = sorted(float(row[np.abs(row) > 1e-12][0]) for row in moved[1:])
    # 0.8 g of the second may lose half a gram, and not 2 g
    assert small == pytest.approx([-2.0, -0.8, -0.5, -0.5, 0.5, 0.5, 2.0, 2.0])
    # a step more, a step less, a hundredth more, a hundredth less
    signs = np.sign(moved[1:].sum(axis=1)).tolist()
    assert signs == [1.0, -1.0, 1.0, -1.0] * 2
    for one in effects:
        assert one.one_scale_step_more.more_g == 0.5
        assert one.one_hundredth_of_the_batch_more.more_g == 2.0
        assert one.scale_step_share == pytest.approx(0.5 / one.grams)


@pytest.mark.parametrize(("surface", "crazes"), [("crackle", 0.02), ("gloss", 0.03)])
def test_an_effect_is_its_row_less_the_first(
    monkeypatch: pytest.MonkeyPatch, surface: Any, crazes: float
) -> None:
    """Rows: as it is, and of each of two materials a step more and less, a hundredth more and less.
    Here row k has k squared more of everything; few draws say 0.5 as it is, all of them 0.6. A
    crackle is asked whether it crazes at once. A net that is none in a row is not compared."""
    k = np.arange(9.0) ** 2
    net_mm = np.where(np.arange(9) == 7, NO_CRACKS_MM, 5.0 + k)
    few = SimpleNamespace(
        expansion_1e6_per_k=7.0 + k, stress_mpa=10.0 + 2.0 * k, crack_spacing_mm=net_mm,
        odds_crazes_at_once=0.1 + 0.02 * k, odds_crazes_by_horizon=0.2 + 0.03 * k,
        odds_right=0.5 - 0.001 * k,
    )  # fmt: skip
    own = SimpleNamespace(
        expansion_1e6_per_k=[7.5], stress_mpa=[11.0], crack_spacing_mm=[5.5],
        odds_crazes_at_once=[0.15], odds_crazes_by_horizon=[0.25], odds_right=[0.6],
        support=SimpleNamespace(grade=[1.0]),
    )  # fmt: skip
    monkeypatch.setattr(effects_module, "evaluate", lambda *_: (few, None))
    monkeypatch.setattr(effects_module, "evaluate_recipe", lambda *_: own)
    monkeypatch.setattr(effects_module, "draw_glazes", lambda *_: None)
    monkeypatch.setattr(effects_module, "history_of", lambda _: (np.zeros(2), np.zeros(2)))
    melts = SimpleNamespace(matures_c=900.0 - k, spare_decades=0.1 * k)
    monkeypatch.setattr(effects_module, "peaks", lambda *_: melts)
    base = tuple(replace(p, amount=a) for p, a in zip(GLOSS.base, (60.0, 40.0), strict=False))
    glaze = replace(GLOSS, base=base, additions=(), surface=surface)
    at: Any = SimpleNamespace(when=("a firing",), body_draws="clay", criteria=None)
    baseline, effects = amount_effects(WeighingPlan(glaze, 100.0, 0.1), at)
    assert (baseline.expansion_1e6_per_k, baseline.stress_mpa, baseline.ripens_c) == (
        7.5,
        11.0,
        900,
    )
    assert baseline.crack_spacing_mm == 5.5 and baseline.odds == 0.6 and baseline.outside_the_data
    assert baseline.craze_odds == (0.15 if surface == "crackle" else 0.25)
    rows = [one for e in effects
            for one in (e.one_scale_step_more, e.one_hundredth_of_the_batch_more)]  # fmt: skip
    for row, moved in zip((1, 3, 5, 7), rows, strict=True):
        more, less = row**2, (row + 1) ** 2
        assert moved.expansion_1e6_per_k == pytest.approx(more)
        assert moved.stress_mpa == pytest.approx(2.0 * more)
        assert moved.craze_odds == pytest.approx(crazes * more)
        assert moved.fluidity_decades == pytest.approx(0.1 * more)
        assert moved.ripens_hotter_c == pytest.approx(-more)
        assert moved.crack_spacing_mm == (None if row == 7 else more)
        assert moved.odds_with_it == pytest.approx(0.6 - 0.001 * more)
        assert moved.odds_with_as_much_less == pytest.approx(0.6 - 0.001 * less)


# --- the next tile --------------------------------------------------------------------------------


def tried(
    monkeypatch: pytest.MonkeyPatch, shows: dict[str, dict[str, list[int]]], wall_mm: float = 6.0
) -> NextTile | None:
    """The best tile where a coat (mm, in words) shows each result in those of 200 draws, of which
    the first hundred are right."""
    at: Any = SimpleNamespace(
        body_draws="clay",
        wall_mm=wall_mm,
        coat=lambda _: SimpleNamespace(fired_mm=0.5),
        with_coat=lambda coat: coat.fired_mm,
    )

    def seen(_: Any, mm: float, body: str) -> dict[str, np.ndarray]:
        result = {}
        for name, (start, stop) in shows.get(f"{mm:.2g}", {"nothing": [0, 200]}).items():
            mask = np.zeros(200, bool)
            mask[start:stop] = True
            result[name] = mask
        return result

    monkeypatch.setattr(tile_module, "_shows", seen)
    right = np.arange(200) < 100
    return next_tile(NOTHING, at, right)


def test_the_tile_that_parts_right_from_wrong_is_next(monkeypatch: pytest.MonkeyPatch) -> None:
    """Half of all are right. A thin coat (0.3 mm) that parts them fully moves the odds by 0.5 both
    ways; a thick one (0.8 mm) by less; the coat itself by nothing."""
    found = tried(monkeypatch, {"0.3": {"whole": [0, 100], "crazed": [100, 200]},
                                "0.8": {"whole": [0, 150], "crazed": [150, 200]}})  # fmt: skip
    assert found is not None and found.coat_fired_mm == pytest.approx(0.3)
    assert found.results == (("whole", 0.5, 1.0), ("crazed", 0.5, 0.0))
    found = tried(monkeypatch, {"0.8": {"whole": [0, 150], "crazed": [150, 200]}})
    assert found is not None and found.coat_fired_mm == pytest.approx(0.8)
    assert found.results == (("whole", 0.75, pytest.approx(2.0 / 3.0)), ("crazed", 0.25, 0.0))
    # a rare result that says all is worth less than one of every second that says half
    found = tried(monkeypatch, {"0.3": {"whole": [0, 196], "crazed": [196, 200]},
                                "0.8": {"whole": [0, 150], "crazed": [150, 200]}})  # fmt: skip
    assert found is not None and found.coat_fired_mm == pytest.approx(0.8)


def test_results_of_one_in_a_hundred_are_told(monkeypatch: pytest.MonkeyPatch) -> None:
    found = tried(monkeypatch, {"0.3": {"w": [0, 198], "rare": [198, 200], "rarer": [199, 200]}})
    assert found is not None
    assert [one.shows for one in found.results] == ["w", "rare"]


def test_no_tile_is_thicker_than_its_wall(monkeypatch: pytest.MonkeyPatch) -> None:
    found = tried(monkeypatch, {"0.6": {"w": [0, 100], "c": [100, 200]}}, wall_mm=0.6)
    assert found is not None and found.coat_fired_mm == 0.6
