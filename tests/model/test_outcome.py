"""Verdicts, and odds that hang on nothing but the glazes."""

from __future__ import annotations

import itertools
from dataclasses import replace
from math import nextafter

import numpy as np
import pytest

from cofire.files.library import Library
from cofire.model.conditions import Conditions
from cofire.model.glaze_draws import Drawing
from cofire.model.outcome import (
    OUTSIDE,
    Outcome,
    judge,
    judge_each,
    judge_together,
    odds_together,
    standard_error,
    verdict_of,
)
from cofire.model.standard_draws import N
from cofire.read.coat import Coat
from cofire.records import Recipe

LIB = Library.open(None)
DAY = Conditions(firing=LIB.firing("raku-workshop"))
BOTH = Conditions(LIB.body("raku"), LIB.firing("raku-workshop"))
NAMES = [path.stem for path, _ in LIB.files("recipes")]
SOME = ("frit-gloss", "clear-crackle", "satin-white", "true-matte")


def together(recipes: list[Recipe], at: Conditions) -> float:
    alone = [judge(recipe, at, Drawing(layer=k)) for k, recipe in enumerate(recipes)]
    return odds_together(judge_together(recipes, alone, at), alone)


def named(*names: str) -> list[Recipe]:
    return [LIB.recipe(n) for n in names]


# verdicts


@pytest.mark.parametrize("asked", [0.5, 0.8, 0.95, 0.999])
def test_a_verdict_is_sure_beyond_its_sampling_error(asked: float) -> None:
    """The error of a share of N draws: the root of p (1 - p) / N."""
    error = (asked * (1.0 - asked) / N) ** 0.5
    assert standard_error(asked) == pytest.approx(error)
    ends = asked - standard_error(asked), asked + standard_error(asked)
    assert verdict_of(nextafter(ends[0], 0.0), asked) == "no"
    assert verdict_of(ends[0], asked) == "too close to call"
    assert verdict_of(asked, asked) == "too close to call"
    assert verdict_of(ends[1], asked) == "too close to call"
    assert verdict_of(nextafter(ends[1], 2.0), asked) == "yes"
    assert verdict_of(0.0, asked) == "no"
    assert verdict_of(1.0, asked) == "yes"


def test_four_in_five_is_the_boundary_to_a_draw() -> None:
    """By hand: 0.8 x 10240 is 8192 draws and the error 40.5 of them; 8151.5 to 8232.5."""
    words = {k: verdict_of(k / 10240, 0.8) for k in (8151, 8152, 8232, 8233)}
    assert words == {
        8151: "no", 8152: "too close to call", 8232: "too close to call", 8233: "yes"
    }  # fmt: skip


def test_outside_the_data_is_never_a_yes() -> None:
    for odds in np.linspace(0.0, 1.0, 101):
        word = verdict_of(float(odds), 0.8, True)
        plain = verdict_of(float(odds), 0.8)
        assert word == ("no" if plain == "no" else "outside the data")


def test_which_glazes_lie_outside() -> None:
    """Copper beyond what measured glasses hold; a plain gloss lies inside."""
    assert not judge(LIB.recipe("frit-gloss"), Conditions()).outside
    assert judge(LIB.recipe("copper-matte"), Conditions()).outside
    assert OUTSIDE == 1.0


# one glaze


def judged(recipe: Recipe, at: Conditions = BOTH) -> Outcome:
    return judge(recipe, at)


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("factor", [3.7, 0.01])
def test_the_size_of_a_batch_does_not_matter(name: str, factor: float) -> None:
    recipe = LIB.recipe(name)

    def more(parts: tuple) -> tuple:  # type: ignore[type-arg]
        return tuple(replace(p, amount=factor * p.amount) for p in parts)

    larger = replace(recipe, base=more(recipe.base), additions=more(recipe.additions))
    one, other = judged(recipe), judged(larger)
    assert other.odds == pytest.approx(one.odds, abs=1e-3)
    assert other.odds_ripe == pytest.approx(one.odds_ripe, abs=1e-3)


@pytest.mark.parametrize("name", NAMES)
def test_the_order_of_lines_does_not_matter(name: str) -> None:
    recipe = LIB.recipe(name)
    turned = replace(recipe, base=recipe.base[::-1], additions=recipe.additions[::-1])
    assert judged(turned).odds == pytest.approx(judged(recipe).odds, abs=1e-3)


@pytest.mark.parametrize("name", SOME)
def test_a_line_written_in_two_is_the_same_line(name: str) -> None:
    recipe = LIB.recipe(name)
    first = recipe.base[0]
    half = replace(first, amount=0.5 * first.amount)
    split = replace(recipe, base=(half, *recipe.base[1:], half))
    assert judged(split).odds == pytest.approx(judged(recipe).odds, abs=1e-3)


@pytest.mark.parametrize("name", SOME)
def test_names_do_not_matter(name: str) -> None:
    recipe = LIB.recipe(name)
    assert judged(replace(recipe, id="zz", name="Something else")).odds == judged(recipe).odds


@pytest.mark.parametrize("name", SOME)
def test_right_is_ripe_and_as_wanted_draw_by_draw(name: str) -> None:
    done = judged(LIB.recipe(name))
    assert done.ripe is not None and done.fit is not None
    assert np.array_equal(done.right, done.ripe & done.fit.as_wanted)
    ripe_alone = judge(LIB.recipe(name), DAY)
    assert np.array_equal(ripe_alone.right, done.ripe)
    assert done.odds <= min(done.odds_ripe or 0.0, done.fit.as_wanted.mean())


def test_nothing_asked_is_nothing_wrong() -> None:
    done = judge(LIB.recipe("frit-gloss"), Conditions())
    assert done.odds == 1.0 and done.odds_ripe is None and done.fit is None


# several glazes


@pytest.mark.parametrize("at", [DAY, BOTH], ids=["fired", "on raku"])
@pytest.mark.parametrize("count", [2, 3, 5])
def test_twins_have_the_odds_of_one(count: int, at: Conditions) -> None:
    for name in SOME:
        recipe = LIB.recipe(name)
        copies = [replace(recipe, id=f"copy-{k}", name=f"Copy {k}") for k in range(count)]
        assert together(copies, at) == judge(recipe, at).odds


@pytest.mark.parametrize("at", [DAY, BOTH], ids=["fired", "on raku"])
def test_order_and_names_do_not_matter(at: Conditions) -> None:
    found = set()
    for order in itertools.permutations(("frit-gloss", "satin-white", "true-matte")):
        recipes = [
            replace(recipe, id=f"r{k}", name=f"R {k}") for k, recipe in enumerate(named(*order))
        ]
        found.add(together(recipes, at))
    assert len(found) == 1


def test_a_twin_more_changes_nothing() -> None:
    pair = named("frit-gloss", "satin-white")
    assert together([*pair, pair[0]], DAY) == together(pair, DAY)


@pytest.mark.parametrize("names", list(itertools.combinations(SOME, 2)))
@pytest.mark.parametrize("at", [DAY, BOTH], ids=["fired", "on raku"])
def test_all_at_once_is_never_likelier_than_the_least_likely(
    names: tuple[str, ...], at: Conditions
) -> None:
    recipes = named(*names)
    alone = [judge(recipe, at).odds for recipe in recipes]
    both = together(recipes, at)
    assert both <= min(alone)
    # and no less than what two leave that are never wrong at once
    assert both >= sum(alone) - 1.0 - 3.0 * np.sqrt(2.0) * standard_error(min(alone))


def test_in_another_coat_it_is_another_glaze() -> None:
    """The same glaze under two coats is not one glaze twice."""
    recipe = LIB.recipe("frit-gloss")
    thin, thick = Coat(0.15, "thin"), Coat(0.35, "thick")
    at = replace(DAY, coats=(thin, thick))
    alone = [judge(recipe, DAY.with_coat(c)).odds for c in (thin, thick)]
    both = together([recipe, recipe], at)
    assert both < max(alone)
    assert both <= min(alone)
    turned = replace(DAY, coats=(thick, thin))
    assert together([recipe, recipe], turned) == both


# one glaze inside, another outside


def test_a_twin_on_the_other_face_is_the_same_glaze_on_both() -> None:
    """Two equal glazes, one inside and one outside: as if one was named."""
    both = Conditions(LIB.body("raku"), LIB.firing("raku-workshop"), shape="both-sides")
    one = judge(LIB.recipe("frit-gloss"), both)
    for twin in judge_each(named("frit-gloss", "frit-gloss"), both):
        assert twin.fit is not None and one.fit is not None
        np.testing.assert_allclose(twin.fit.stress_mpa, one.fit.stress_mpa, atol=1e-6)
        assert twin.odds == pytest.approx(one.odds, abs=1e-3)
    assert together(named("frit-gloss", "frit-gloss"), both) == pytest.approx(one.odds, abs=1e-3)


def test_a_crackle_inside_presses_the_gloss_outside() -> None:
    """It pulls the wall together, and so the coat on the other face."""
    both = Conditions(LIB.body("raku"), shape="both-sides")
    gloss, crackle = judge_each(named("frit-gloss", "clear-crackle"), both)
    alone = judge(LIB.recipe("frit-gloss"), both)
    assert gloss.fit is not None and crackle.fit is not None and alone.fit is not None
    assert np.median(gloss.fit.stress_mpa) < np.median(alone.fit.stress_mpa) - 3.0
    # forces through the wall by hand: each coat is eased by the other's pull over the wall
    turned = judge_each(named("clear-crackle", "frit-gloss"), both)
    assert turned[1].odds == gloss.odds
