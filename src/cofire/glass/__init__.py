"""Properties of a glass from its composition, each with the interval that measured data allow.

Compositions are moles (N, n_oxides) in the order of ``cofire.chem.oxides.OXIDES``, of any total;
rows of nothing give NaN. For several properties of the same glasses call ``prepare`` once and hand
its result to each; go through very many glasses ``CHUNK`` at a time. Levels run from 0.5 to 0.99.
The models hold for oxidised, fully melted glass inside the data (``support`` says how far inside);
source of all: the measured rows in ``measured/``, fitted by ``python -m cofire.glass.refit``.
"""

from __future__ import annotations

import importlib
from collections.abc import Callable
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from cofire.arrays import Array
from cofire.glass.engine import (
    CHUNK,
    Prepared,
    card_page,
    coefficients,
    prepare,
    range_bend,
    range_shift,
    scalar,
    scores,
)
from cofire.glass.estimate import Z90, Estimate, Width, signed_error
from cofire.glass.support import Support, support, support_grade
from cofire.glass.surface_tension import surface_tension
from cofire.glass.viscosity import ViscosityCurve, viscosity

if TYPE_CHECKING:
    from cofire.glass import published

__all__ = [
    "CHUNK", "Estimate", "ExpansionTerms", "Prepared", "Support", "ViscosityCurve",
    "annealing_point", "card_page", "density", "dilatometric_softening", "expansion",
    "expansion_20_400", "expansion_errors", "expansion_terms", "glass_transition", "liquidus",
    "littleton_point", "melt_density", "middle_density", "poisson_ratio", "prepare", "published",
    "scores", "strain_point", "support", "support_grade", "surface_tension", "viscosity",
    "youngs_modulus",
]  # fmt: skip


def __getattr__(name: str) -> Any:
    if name == "published":  # only comparisons need it
        return importlib.import_module("cofire.glass.published")
    raise AttributeError(f"module 'cofire.glass' has no attribute {name!r}")


def _property(name: str, doc: str) -> Callable[..., Estimate]:
    def estimate(mol: Array | Prepared, level: float = 0.9) -> Estimate:
        return scalar(mol, name, level)

    estimate.__doc__ = doc
    return estimate


expansion = _property("expansion", "Mean linear expansion 20-300 °C, 1e-6/K.")
glass_transition = _property("glass_transition", "Glass transition as a calorimeter gives it, °C.")
strain_point = _property("strain", "Strain point (10^13.5 Pa·s), °C.")
annealing_point = _property("annealing", "Annealing point (10^12 Pa·s), °C.")
littleton_point = _property("littleton", "Littleton softening point (10^6.6 Pa·s), °C.")
dilatometric_softening = _property(
    "dilatometric", "Dilatometric softening point (about 10^10 Pa·s), °C."
)
youngs_modulus = _property("youngs", "Young's modulus at room temperature, GPa.")
density = _property("density", "Density at 20 °C, g/cm³.")
liquidus = _property("liquidus", "Liquidus, °C: above it no crystal lasts.")


def expansion_20_400(mol: Array | Prepared, level: float = 0.9) -> Estimate:
    """Mean linear expansion 20-400 °C, 1e-6/K."""
    return scalar(mol, "expansion", level, about_c=210.0, width="width_20_400")


class ExpansionTerms(NamedTuple):
    """Mean expansion over 20-300 °C (N,), 1e-6/K, and how it grows with the range (N,)."""

    value: Array
    bend: Array

    def up_to(self, to_c: Array | float) -> Array:
        """Mean linear expansion from 20 °C to ``to_c`` (N,), 1e-6/K.

        Below the glass transition. Ranges were measured up to about 20-680 °C; beyond, the last
        known is taken.
        """
        about = np.clip(0.5 * (20.0 + np.asarray(to_c, dtype=float)), 55.0, 350.0)
        return np.asarray(self.value + range_shift(self.bend, about))

    def of(self, pick: NDArray[np.intp]) -> ExpansionTerms:
        """Those that ``pick`` says."""
        return ExpansionTerms(self.value[pick], self.bend[pick])


def expansion_terms(mol: Array | Prepared) -> ExpansionTerms:
    """Of N glasses."""
    at = prepare(mol)
    return ExpansionTerms(at.sum("expansion.weights"), range_bend(at.x))


def expansion_errors(mol: Array | Prepared, rank: Array) -> Array:
    """Plausible errors of the expansion of glasses, 1e-6/K, (N, n), at ranks (n,) from 0, far too
    low, to 1, far too high; in one column all err by the same share of their width."""
    store = coefficients()
    half = Z90 * expansion(mol).sd
    q = Width.of(store["expansion.width"]).q
    return np.asarray(half[:, None] * signed_error(rank, store["levels"], q))


def middle_density(mol: Array | Prepared) -> Array:
    """Density at 20 °C (N,), g/cm³, without its interval."""
    return prepare(mol).sum("density.weights")


def melt_density(mol: Array | Prepared) -> Array:
    """Density of the melt near 900-1100 °C (N,), kg/m³.

    The cold glass's, less 4 %: glass grows by 2.5 % up to its transition and three times as fast
    above it, and melts measure 3 to 6 % less than their glasses (from memory).
    """
    return np.asarray(960.0 * middle_density(mol))


def poisson_ratio(mol: Array | Prepared) -> Array:
    """Poisson ratio (N,); additive in the oxides, misses measured values by about 0.02."""
    weights = coefficients()["poisson.weights"]
    return np.asarray(weights[0] + prepare(mol).x @ weights[1:])
