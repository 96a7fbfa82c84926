"""Slurries: solids and water in a bucket, from their density, and back.

All follows from one balance: a millilitre holds solids, and water (1 g/ml) in the rest of it. Water
is 0.997 g/ml at 25 °C; the difference cannot be measured in a bucket.
"""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from cofire.arrays import Array
from cofire.errors import refusal
from cofire.files import toml
from cofire.read.units import g_per_ml
from cofire.records import Material, Part

#: Density of the solids in a glaze slurry, g/cm³: from memory; clay, feldspar and silica lie
#: between 2.5 and 2.7.
SOLIDS_G_PER_CM3 = 2.6
#: Below and above this no bucket of glaze can be stirred or says anything; common practice, no
#: source.
SLURRY_G_PER_ML = (1.05, 2.1)
#: Ground glass without lead, g/cm³; from memory (soda-lime glass 2.5).
_FRIT_G_PER_CM3 = 2.5


def solid_g_per_cm3(material: Material) -> float:
    """Density of a material's grains: its own if far from the usual, else that of glass or clay."""
    usual = _FRIT_G_PER_CM3 if "glass-dust" in material.cautions else SOLIDS_G_PER_CM3
    return float(toml.beside(__file__, "densities.toml").get(material.id, usual))


def solids_g_per_cm3(parts: Iterable[Part]) -> float:
    """Density of a recipe's powder: all its grams over all its volumes."""
    used = [(p.amount, solid_g_per_cm3(p.material)) for p in parts if p.amount > 0.0]
    return sum(g for g, _ in used) / sum(g / density for g, density in used)


def dry_g_per_ml(slurry_g_per_ml: Array | float, solids: float = SOLIDS_G_PER_CM3) -> Array:
    """Dry solids in a slurry by Brongniart's formula, (d - 1) s / (s - 1), g/ml: what is heavier
    than water is so because of its solids (theoretical)."""
    d = np.asarray(slurry_g_per_ml, dtype=float)
    return np.asarray((d - 1.0) * solids / (solids - 1.0))


def slurry_ml(dry_g: float, slurry_g_per_ml: float, solids: float = SOLIDS_G_PER_CM3) -> float:
    """Millilitres of slurry that hold these grams of solids (theoretical)."""
    return dry_g / float(dry_g_per_ml(slurry_g_per_ml, solids))


def water_ml(dry_g: float, slurry_g_per_ml: float, solids: float = SOLIDS_G_PER_CM3) -> float:
    """Water that brings these grams of solids to a density (theoretical)."""
    return dry_g * ((solids - 1.0) / (solids * (slurry_g_per_ml - 1.0)) - 1.0 / solids)


def read_density(text: str) -> float:
    """“1.45”, “1.45 g/ml” or “1450 g/l” -> g/ml. Raises QuantityError if it is not a slurry."""
    value = g_per_ml(text)
    low, high = SLURRY_G_PER_ML
    if not low <= value <= high:
        raise refusal("no-slurry", value=value, low=low, high=high)
    return value
