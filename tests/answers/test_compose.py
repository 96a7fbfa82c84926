"""From a unity formula to a recipe."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from cofire.answers.change.available_materials import available_materials
from cofire.answers.compose import compose, read_unity
from cofire.chem.oxides import INDEX, MOLAR_MASS, vector
from cofire.errors import CompositionError, QuantityError
from cofire.files.library import Library
from cofire.files.recipe_writer import write_recipe
from cofire.model.analysis import analyse
from cofire.records import Material

LIB = Library.open(None)
SHELF = available_materials(LIB)
EXAMPLES = {
    e["id"]: e
    for e in json.loads(
        (Path(__file__).parents[1] / "published" / "worked_examples.json").read_text("utf-8")
    )
}


def _ideal(key: str, oxides: dict[str, float], equivalent: float) -> Material:
    """A material of the classic hand method: so many moles of oxides in one equivalent."""
    wt = 100.0 * vector(oxides) * MOLAR_MASS / equivalent
    named = {o: float(w) for o, w in zip(INDEX, wt, strict=True) if w > 0.0}
    return Material(key, (key,), named, 100.0 - sum(named.values()), "test")


IDEAL = {
    "White lead": _ideal("White lead", {"PbO": 1.0}, 258.0),
    "Whiting": _ideal("Whiting", {"CaO": 1.0}, 100.0),
    "Feldspar": _ideal("Feldspar", {"K2O": 1.0, "Al2O3": 1.0, "SiO2": 6.0}, 557.0),
    "Kaolin": _ideal("Kaolin", {"Al2O3": 1.0, "SiO2": 2.0}, 258.0),
    "Calcined kaolin": _ideal("Calcined kaolin", {"Al2O3": 1.0, "SiO2": 2.0}, 222.0),
    "Flint": _ideal("Flint", {"SiO2": 1.0}, 60.08),
}


@pytest.mark.published
def test_the_classic_hand_method() -> None:
    """Binns, The Potter's Craft (1922): a lead glaze, here arithmetic only, worked by hand with
    equivalents 258, 100, 557, 258 and 60 to 154.8, 30, 55.7, 25.8 and 48 parts."""
    example = EXAMPLES["binns_bright_base5"]
    printed = {k: v for k, v in example["batch_printed"].items() if k != "total"}
    answer = compose(LIB, vector(example["formula"]), [IDEAL[k] for k in printed], chosen=True)
    assert answer.yes
    total = sum(printed.values())
    for part in answer.ways[0].recipe.base:
        assert part.amount == pytest.approx(100.0 * printed[part.material.id] / total, abs=0.06)


@pytest.mark.published
def test_a_matt_by_hand_whatever_the_kaolin() -> None:
    """Binns' matt: raw and calcined kaolin bring the same, so the formula is reached with any split
    of them; lead, whiting, feldspar and flint come out as printed."""
    example = EXAMPLES["binns_matt"]
    printed = example["batch_exact"]
    answer = compose(LIB, vector(example["formula"]), [IDEAL[k] for k in printed], chosen=True)
    amounts = {p.material.id: p.amount for p in answer.ways[0].recipe.base}
    lead = amounts["White lead"]
    for key in ("Whiting", "Feldspar", "Flint"):
        assert amounts[key] / lead == pytest.approx(printed[key] / printed["White lead"], rel=5e-3)
    assert answer.yes


@pytest.mark.parametrize("name", ["clear-crackle", "frit-gloss", "satin-white", "borate-gloss"])
def test_recipe_to_unity_and_back(name: str) -> None:
    """To 1e-6: from its own materials a recipe's formula gives the recipe."""
    recipe = LIB.recipe(name)
    materials = [p.material for p in recipe.parts]
    answer = compose(LIB, analyse(recipe).unity, materials, chosen=True)
    total = sum(p.amount for p in recipe.parts)
    want = {p.material.id: 100.0 * p.amount / total for p in recipe.parts}
    got = {p.material.id: p.amount for p in answer.ways[0].recipe.base}
    assert got == pytest.approx(want, abs=1e-6)


def test_few_materials_are_chosen_by_themselves() -> None:
    answer = compose(LIB, read_unity("0.3 Na2O, 0.7 CaO, 0.35 Al2O3, 3 SiO2, 0.3 B2O3"), SHELF,
                     chosen=False)  # fmt: skip
    assert answer.yes
    assert len(answer.ways[0].recipe.base) <= 6


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("0.3 Na2O 0.3 CaO 3 SiO2", "add up to 0.6"),
        ("0.3 Nao 0.7 CaO 3 SiO2", "not an oxide"),
        ("1 CaO", "silica or boron"),
        ("CaO CaO", "not an oxide"),
        ("0.5 CaO 0.5 CaO 2 SiO2", "twice"),
        ("", "silica or boron"),
    ],
)
def test_formulas_that_are_none(text: str, said: str) -> None:
    with pytest.raises(QuantityError, match=said):
        read_unity(text)


def test_unity_reads_both_orders() -> None:
    one = read_unity("0.3 Na2O, 0.7 CaO, 0.35 Al2O3, 3 SiO2")
    other = read_unity("Na2O 0.3; CaO=0.7; Al2O3: 0.35; SiO2 3.0")
    np.testing.assert_array_equal(one, other)


def test_a_composed_recipe_reads_back_as_the_same_glaze(tmp_path: Path) -> None:
    wanted = read_unity("0.5 Na2O 0.5 MgO 0.1 Al2O3 2 SiO2 0.8 B2O3")
    answer = compose(LIB, wanted, SHELF, chosen=False)
    path = tmp_path / "composed.toml"
    write_recipe(path, answer.ways[0].recipe)
    np.testing.assert_allclose(analyse(LIB.recipe(path)).unity, answer.ways[0].unity, atol=2e-3)


def test_decimal_commas_and_leftovers() -> None:
    one, other = read_unity("0,3 Na2O, 0,7 CaO, 3 SiO2"), read_unity("0.3 Na2O 0.7 CaO 3 SiO2")
    np.testing.assert_array_equal(one, other)
    for text in ("1 CaO 3 SiO2 garbage", "0.3 Na2O, 0.7 CaO, 3 SiO2, Al2O3"):
        with pytest.raises(QuantityError, match="not an oxide"):
            read_unity(text)


def test_materials_that_bring_nothing_of_it_are_refused() -> None:
    """Alumina has neither the flux nor the silica of a soda glass."""
    soda_glass = read_unity("1 Na2O 3 SiO2")
    for materials in ([LIB.material("alumina-calcined")[0]], []):
        with pytest.raises(CompositionError, match="none of these oxides"):
            compose(LIB, soda_glass, materials, chosen=True)
