"""A recipe as oxides: before and after firing, with the uncertainty of its materials."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from cofire.arrays import Array
from cofire.chem.composition import fire, flux_moles, mol_from_wt, solid_mass, unity
from cofire.chem.oxides import INDEX, OXIDES, vector
from cofire.errors import refusal
from cofire.records import Material, Recipe

#: Without one of these there is no glass, only colour, opacity or metal.
_GLASS_MAKERS = ("SiO2", "B2O3")


@dataclass(frozen=True, eq=False)
class Analysis:
    """Arrays (n_oxides,), of the fired glaze where not called raw; ``mol`` sums to 1."""

    raw_oxides_wt_percent: Array
    oxides_wt_percent: Array
    mol: Array
    unity: Array
    loi_percent: float
    json_also: ClassVar = ("oxides_mol_percent",)
    json_hides: ClassVar = ("mol",)

    @property
    def oxides_mol_percent(self) -> Array:
        return 100.0 * self.mol


def analyse(recipe: Recipe) -> Analysis:
    """The fired analysis of a recipe. Raises CompositionError if it is not a glaze."""
    amounts, wt, loi = _arrays(recipe)
    grams, lost = fire(amounts, wt, loi, recipe.fluorine_kept)
    mol = mol_from_wt(grams)
    require_glaze(recipe, mol)
    raw_total = float(amounts.sum())
    return Analysis(
        raw_oxides_wt_percent=(amounts @ wt) / raw_total,
        oxides_wt_percent=100.0 * grams / solid_mass(grams),
        mol=mol,
        unity=unity(mol),
        loi_percent=100.0 * float(lost) / raw_total,
    )


def with_material(recipe: Recipe, old: Material, new: Material) -> Array:
    """Mole fractions (n_oxides,) of the recipe with one material read as another."""
    amounts, wt, loi = _arrays(recipe, {old.id: new})
    grams, _ = fire(amounts, wt, loi, recipe.fluorine_kept)
    return mol_from_wt(grams)


def _arrays(
    recipe: Recipe, replaced: dict[str, Material] | None = None
) -> tuple[Array, Array, Array]:
    materials = [(replaced or {}).get(p.material.id, p.material) for p in recipe.parts]
    return (
        np.array([p.amount for p in recipe.parts]),
        np.array([vector(m.oxides_wt_percent) for m in materials]).reshape(-1, len(OXIDES)),
        np.array([m.loi_percent for m in materials]),
    )


def require_glaze(recipe: Recipe, mol: Array) -> None:
    """Raises CompositionError for fired mole fractions (n_oxides,) that are no glaze."""
    if not np.isfinite(mol).all():
        raise refusal("recipe-burns-away", recipe.place, recipe=recipe.name)
    if not any(mol[INDEX[o]] > 0.0 for o in _GLASS_MAKERS):
        raise refusal("no-glass-former", recipe.place, recipe=recipe.name)
    if not flux_moles(mol) > 0.0:
        raise refusal("no-flux", recipe.place, recipe=recipe.name)
