"""Swaps on real materials."""

from __future__ import annotations

import numpy as np
import pytest

from cofire.answers.change.available_materials import available_materials
from cofire.answers.swap import swap
from cofire.chem.composition import unity
from cofire.chem.oxides import INDEX
from cofire.errors import CompositionError
from cofire.files.library import Library
from cofire.material_kinds import MOST_GEL, is_clay, is_gel, percent_of
from cofire.model.analysis import analyse
from cofire.records import Part, Recipe

LIB = Library.open(None)
SHELF = available_materials(LIB)


def _cobalt(where: str) -> Recipe:
    glass_parts = (("frit-3195-type", 80.0), ("kaolin-ideal", 15.0), ("silica", 5.0))
    base = tuple(Part(n, a, LIB.material(n)[0]) for n, a in glass_parts)
    blue = (Part("cobalt oxide", 0.15, LIB.material("cobalt oxide")[0]),)
    added = where == "additions"
    return Recipe("blue", "Blue", base if added else base + blue, blue if added else (), "gloss")


def test_swapping_what_is_exactly_a_mixture_is_exact() -> None:
    """Dolomite is whiting and magnesium carbonate; without it the same glaze comes out."""
    recipe = Recipe(
        "x", "x",
        tuple(Part(n, a, LIB.material(n)[0]) for n, a in
              (("frit-3110-type", 60.0), ("dolomite", 15.0), ("kaolin-ideal", 25.0))),
        (), "gloss",
    )  # fmt: skip
    gone = LIB.material("dolomite")[0]
    helpers = [LIB.material(n)[0] for n in ("whiting", "magnesium carbonate, heavy")]
    answer = swap(LIB, recipe, gone, helpers)
    assert answer.yes
    np.testing.assert_allclose(answer.ways[0].unity, answer.unity_before, atol=2e-4)


@pytest.mark.parametrize("name", ["white-crackle", "frit-gloss", "earthenware-gloss"])
def test_a_swap_keeps_the_glaze_and_never_uses_what_is_gone(name: str) -> None:
    recipe = LIB.recipe(name)
    for part in recipe.base:
        answer = swap(LIB, recipe, part.material, SHELF)
        for way in answer.ways:
            assert part.material.id not in {p.material.id for p in way.recipe.parts}
            assert sum(p.amount for p in way.recipe.base) == pytest.approx(100.0, abs=0.05)
            moved = unity(analyse(way.recipe).mol) - answer.unity_before
            said = np.array([way.unity_differs.get(o, 0.0) for o in INDEX])
            assert np.abs(moved - said).max() < 0.0101


def test_additions_stay_additions_and_clay_is_replaced_by_clay() -> None:
    answer = swap(LIB, LIB.recipe("white-crackle"), LIB.material("kaolin-ideal")[0], SHELF)
    best = answer.ways[0].recipe
    assert [p.material.id for p in best.additions] == ["tin-oxide"]
    assert any(is_clay(p.material) for p in best.base)


def test_what_is_not_in_it_cannot_be_swapped() -> None:
    with pytest.raises(CompositionError, match="holds no"):
        swap(LIB, LIB.recipe("frit-gloss"), LIB.material("tin-oxide")[0], SHELF)


@pytest.mark.parametrize("where", ["base", "additions"])
def test_a_swap_of_something_else_keeps_the_colour(where: str) -> None:
    answer = swap(LIB, _cobalt(where), LIB.material("kaolin-ideal")[0], SHELF)
    for way in answer.ways:
        assert way.unity[INDEX["CoO"]] == pytest.approx(answer.unity_before[INDEX["CoO"]], rel=0.1)


def test_a_metal_that_is_gone_is_not_replaced_by_nothing() -> None:
    recipe = LIB.recipe("silver-lustre")
    silver = next(p.material for p in recipe.parts if "Ag" in p.material.oxides_wt_percent)
    answer = swap(LIB, recipe, silver, [])
    assert not answer.yes
    assert "Ag" in answer.ways[0].lost


def test_no_jelly() -> None:
    answer = swap(LIB, LIB.recipe("clear-crackle"), LIB.material("kaolin-ideal")[0], SHELF)
    for way in answer.ways:
        assert percent_of(way.recipe, is_gel) <= MOST_GEL + 0.05


def test_a_base_that_is_gone_is_refused() -> None:
    """The additions alone may be a glaze: they were scaled to a base of nothing."""
    base = (Part("natural-borate", 0.1, LIB.material("natural-borate")[0]),)
    added = tuple(
        Part(n, a, LIB.material(n)[0]) for n, a in (("rutile", 0.6), ("ilmenite", 20903.7))
    )
    gone = LIB.material("natural-borate")[0]
    with pytest.raises(CompositionError):
        swap(LIB, Recipe("x", "x", base, added, "satin"), gone, SHELF)
