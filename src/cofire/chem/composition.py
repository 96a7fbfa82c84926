"""Weight per cent, mole fractions and the unity formula: pure functions of oxide arrays.

Arrays end in an axis of ``len(OXIDES)``, in the order of ``cofire.chem.oxides``.
"""

from __future__ import annotations

import numpy as np

from cofire.arrays import Array
from cofire.chem.oxides import (
    ALKALIS,
    ATOMIC_WEIGHT,
    FATE,
    FLUXES,
    INDEX,
    LEAVES,
    MOLAR_MASS,
    OXIDES,
    vector,
)

_FLUX = np.array([o in FLUXES for o in OXIDES])
_ALKALI = np.array([o in ALKALIS for o in OXIDES])
_F = INDEX["F"]
#: Grams of oxygen whose place one gram of fluorine takes: analysts subtract it as “O for F”.
OXYGEN_FOR_F = ATOMIC_WEIGHT["O"] / (2.0 * ATOMIC_WEIGHT["F"])


def shares(amounts: Array) -> Array:
    """Amounts (..., n_oxides) -> the same summing to 1; rows of nothing become NaN."""
    total = amounts.sum(axis=-1, keepdims=True)
    return np.asarray(np.divide(amounts, total, out=np.full_like(amounts, np.nan), where=total > 0))


def mol_from_wt(wt: Array) -> Array:
    """Weights (..., n_oxides), any total -> mole fractions summing to 1."""
    return shares(wt / MOLAR_MASS)


def wt_from_mol(mol: Array) -> Array:
    """Moles (..., n_oxides), any total -> weight per cent summing to 100."""
    return 100.0 * shares(mol * MOLAR_MASS)


def flux_moles(mol: Array) -> Array:
    """Sum of the flux oxides, shape (...,), same unit as the input."""
    return np.asarray(mol[..., _FLUX].sum(axis=-1))


def unity(mol: Array) -> Array:
    """Moles (..., n_oxides) -> moles with the fluxes summing to 1; NaN where there is no flux."""
    flux = flux_moles(mol)[..., None]
    return np.divide(mol, flux, out=np.full_like(mol, np.nan), where=flux > 0)


def ratios(mol: Array) -> dict[str, Array]:
    """The ratios ceramists use, each (...,): silica to alumina, silica to boron, alkali share."""

    def over(top: Array, bottom: Array) -> Array:
        return np.divide(top, bottom, out=np.full_like(top, np.nan), where=bottom > 0)

    silica, alumina, boron = (mol[..., INDEX[o]] for o in ("SiO2", "Al2O3", "B2O3"))
    alkali = mol[..., _ALKALI].sum(axis=-1)
    return {
        "silica_to_alumina": over(silica, alumina),
        "silica_to_boron": over(silica, boron),
        "alkali_share_of_flux": over(alkali, flux_moles(mol)),
    }


def oxides_from_atoms(atoms: dict[str, float]) -> tuple[Array, float]:
    """Atoms of one formula unit -> (oxides as wt % of the raw material, LOI in wt %).

    Water, carbonate, nitrate, sulfate and chloride leave as LOI; metals and lower oxides take up
    oxygen, which makes it negative. Fluorine stays in the analysis as wt % F: oxides, F and LOI add
    up to 100 and the oxygen for F. Raises KeyError naming an element we know no fate for.
    """
    raw_g = sum(n * ATOMIC_WEIGHT[el] for el, n in atoms.items() if el in ATOMIC_WEIGHT)
    moles: dict[str, float] = {}
    for element, count in atoms.items():
        if element == "O" or element in LEAVES:
            continue
        oxide, per_unit = FATE[element]
        moles[oxide] = moles.get(oxide, 0.0) + count / per_unit
    wt = 100.0 * vector(moles) * MOLAR_MASS / raw_g
    return wt, float(100.0 - solid_mass(wt))


def fire(parts: Array, wt: Array, loi: Array, fluorine_kept: float) -> tuple[Array, Array]:
    """Raw parts (..., n) of materials, ``wt`` (..., n, n_oxides) and ``loi`` (n,) in wt % of raw.

    Returns grams of each oxide (..., n_oxides) in the fired glaze, and grams lost (...,), both
    per the parts given; of the fluorine the share ``fluorine_kept`` stays. Mass closes: parts =
    solid_mass(fired) + lost. Analyses that do not sum to 100 are first scaled so that they do.
    """
    total = (solid_mass(wt) + loi)[..., None]
    grams = (parts[..., None, :] @ (wt / total))[..., 0, :]
    lost = (parts[..., None, :] @ (loi[..., None] / total))[..., 0, 0]
    gone = (1.0 - fluorine_kept) * grams[..., _F]
    grams[..., _F] *= fluorine_kept
    # what fluorine leaves takes up oxygen
    return grams, lost + (1.0 - OXYGEN_FOR_F) * gone


def solid_mass(grams: Array) -> Array:
    """Grams of oxides (..., n_oxides) with fluorine -> mass of what they make up (...,)."""
    return np.asarray(grams.sum(axis=-1) - OXYGEN_FOR_F * grams[..., _F])
