"""Slurries against the balance they come from, and against arithmetic that was printed."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from cofire.errors import QuantityError
from cofire.files.library import Library
from cofire.model.slurry import (
    SOLIDS_G_PER_CM3,
    dry_g_per_ml,
    read_density,
    slurry_ml,
    solid_g_per_cm3,
    solids_g_per_cm3,
    water_ml,
)
from cofire.read.units import GRAMS, millilitres
from cofire.records import Part

LIB = Library()
PRINTED: dict[str, Any] = {
    each["id"]: each
    for each in json.loads(
        (Path(__file__).parents[1] / "published" / "worked_examples.json").read_text()
    )
}


@pytest.mark.parametrize("solids", [2.3, 2.6, 4.6])
@pytest.mark.parametrize("per_ml", [0.15, 0.5, 0.9])
def test_a_millilitre_mixed_by_hand(per_ml: float, solids: float) -> None:
    """So much powder in a measuring glass, filled up with water to the mark of 1 ml."""
    water = 1.0 - per_ml / solids
    weighs = per_ml + water
    assert dry_g_per_ml(weighs, solids) == pytest.approx(per_ml)
    assert water_ml(per_ml, weighs, solids) == pytest.approx(water)
    assert slurry_ml(per_ml, weighs, solids) == pytest.approx(1.0)
    assert density_g_per_ml(per_ml, water, solids) == pytest.approx(weighs)


def density_g_per_ml(dry_g: float, water: float, solids: float = SOLIDS_G_PER_CM3) -> float:
    """Density of a slurry of grams of solids in millilitres of water (theoretical)."""
    return (dry_g + water) / (dry_g / solids + water)


def test_a_hundred_grams_of_powder_at_1_45() -> None:
    """The trade's round figure: about as much water as powder."""
    assert dry_g_per_ml(1.45) == pytest.approx(0.731, abs=5e-4)
    assert water_ml(100.0, 1.45) == pytest.approx(98.3, abs=0.1)


@pytest.mark.parametrize("d", [1.2, 1.45, 1.7])
def test_water_and_density_undo_each_other(d: float) -> None:
    water = water_ml(1234.0, d, 2.7)
    assert density_g_per_ml(1234.0, water, 2.7) == pytest.approx(d)
    # what is in the bucket weighs what it weighs, and takes the room it takes
    volume = slurry_ml(1234.0, d, 2.7)
    assert volume * d == pytest.approx(1234.0 + water)
    assert volume == pytest.approx(1234.0 / 2.7 + water)


def test_thinning_adds_nothing_but_water() -> None:
    """2 l at 1.6 g/ml thinned to 1.45: weights and volumes add, so (1.6 - 1.45) / (1.45 - 1) of the
    volume is water."""
    dry = 2000.0 * float(dry_g_per_ml(1.6))
    more = water_ml(dry, 1.45) - water_ml(dry, 1.6)
    assert more == pytest.approx(2000.0 * 0.15 / 0.45)
    assert slurry_ml(dry, 1.45) == pytest.approx(2000.0 + more)


def test_density_of_a_powder_is_weight_over_volume() -> None:
    recipe = LIB.recipe("satin-white")
    zircon = next(p for p in recipe.parts if p.material.id == "zircon")
    light = [p for p in recipe.parts if p is not zircon]
    without, with_it = solids_g_per_cm3(light), solids_g_per_cm3(recipe.parts)
    assert 2.4 < without < with_it < 4.6
    grams = sum(p.amount for p in light)
    volume = grams / without + zircon.amount / 4.6
    assert with_it == pytest.approx((grams + zircon.amount) / volume)
    assert solids_g_per_cm3(LIB.recipe("clear-crackle").parts) == pytest.approx(2.55, abs=0.06)


@pytest.mark.published
def test_buckets_example() -> None:
    """T. Buck: 200 ml of slurry weigh 306 g."""
    assert read_density(f"{306 / 200} g/ml") == PRINTED["slurry_density"]["printed"]["density_g_mL"]


@pytest.mark.published
def test_damp_kaolin() -> None:
    """Norsker and Danisch 1993: 100 g dry to 92 g; 3500 g are wanted dry."""
    case = PRINTED["moisture_compensation"]
    more = 100.0 * (100.0 - 92.0) / 92.0  # of the dry weight

    def damp_g(dry_g: float, percent: float) -> float:
        return dry_g * (1.0 + percent / 100.0)

    assert more == pytest.approx(case["exact"]["percent"], abs=5e-4)
    assert round(more, 1) == case["printed"]["percent"]
    assert damp_g(3500.0, more) == pytest.approx(case["exact"]["weigh_g"], abs=5e-3)
    # they worked on with the rounded 8.7 %
    assert damp_g(3500.0, round(more, 1)) == pytest.approx(case["printed"]["weigh_g"])
    # and dried again, it is what was wanted
    assert damp_g(3500.0, more) * 0.92 == pytest.approx(3500.0)


@pytest.mark.published
def test_a_five_gallon_bucket() -> None:
    """Filled to three quarters; the page reckons slurry as heavy as water and half water, which a
    bucket of 1.45 g/ml is not. Its own premise gives its number, the balance another."""
    case = PRINTED["five_gallon_bucket"]
    volume = 0.75 * millilitres("5 gal")
    pounds = 8.0 * 5 * 0.75
    assert pounds == case["printed"]["slurry_lb"]
    assert pounds / 2.0 * 453.6 == pytest.approx(case["printed"]["dry_g"])
    assert volume * 1.45 / float(GRAMS["lb"]) == pytest.approx(45.0, abs=0.6)  # its note
    assert volume * float(dry_g_per_ml(1.45)) == pytest.approx(10_400.0, abs=30.0)


def test_solids_as_light_as_water_are_no_glaze() -> None:
    assert SOLIDS_G_PER_CM3 > 1.0
    with pytest.raises(QuantityError, match="a glaze slurry cannot weigh"):
        read_density("1.0")


def test_density_by_what_is_in_the_bucket() -> None:
    """60 g of silica and 20 g of glass: 80 / (60 / 2.65 + 20 / 2.5) = 2.61 g/cm³; nothing counts
    that is not in it."""
    known = LIB.materials
    silica, whiting, clay = (known[name] for name in ("silica", "whiting", "kaolin-ideal"))
    glass = next(one for one in known.values() if "glass-dust" in one.cautions)
    parts = [Part("a", 60.0, silica), Part("b", 20.0, glass), Part("c", 0.0, whiting)]
    assert [solid_g_per_cm3(one) for one in (silica, whiting)] == [2.65, 2.71]
    assert [solid_g_per_cm3(one) for one in (glass, clay)] == [2.5, 2.6]
    assert solids_g_per_cm3(parts) == pytest.approx(80.0 / (60.0 / 2.65 + 20.0 / 2.5))


@pytest.mark.parametrize(
    ("text", "value"),
    [("1.05", 1.05), ("2.1 g/ml", 2.1), ("1450 g/l", 1.45), ("1.04", 0), ("2.11", 0)],
)
def test_what_is_a_slurry(text: str, value: float) -> None:
    if value:
        assert read_density(text) == pytest.approx(value)
    else:
        with pytest.raises(QuantityError, match=text):
            read_density(text)
