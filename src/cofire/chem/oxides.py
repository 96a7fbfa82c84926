"""The oxides a glaze is counted in, their fixed order, and each element's fate in the fire.

Every composition array in cofire has ``len(OXIDES)`` values on its last axis, in this order.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Final

import numpy as np

from cofire.arrays import Array

#: Oxides that the property models know, in the order of the measured data.
MODELLED: Final = (
    "SiO2", "B2O3", "Al2O3", "Li2O", "Na2O", "K2O", "MgO", "CaO", "SrO", "BaO", "ZnO",
    "PbO", "TiO2", "ZrO2", "SnO2", "P2O5", "Fe2O3", "MnO", "CuO", "CoO", "Bi2O3", "F",
)  # fmt: skip

#: Counted in every analysis but known to no model: they widen the intervals instead.
COUNTED: Final = ("NiO", "Cr2O3", "V2O5", "Ag", "Au", "CeO2", "Sb2O3", "MoO3", "CdO")

OXIDES: Final = MODELLED + COUNTED
INDEX: Final = {name: i for i, name in enumerate(OXIDES)}

#: Columns of the unity formula. Boron stands with the stabilisers by the custom of the trade.
FLUXES: Final = ("Li2O", "Na2O", "K2O", "MgO", "CaO", "SrO", "BaO", "ZnO", "PbO")
ALKALIS: Final = ("Li2O", "Na2O", "K2O")
STABILISERS: Final = ("Al2O3", "B2O3")
FORMERS: Final = ("SiO2",)
APART: Final = tuple(o for o in OXIDES if o not in FLUXES + STABILISERS + FORMERS)

#: element -> (oxide it is counted as, atoms of the element in one formula unit of that oxide).
#: Metals and lower oxides take up oxygen in the fire; higher ones give it off.
FATE: Final = {
    "Si": ("SiO2", 1), "B": ("B2O3", 2), "Al": ("Al2O3", 2), "Li": ("Li2O", 2),
    "Na": ("Na2O", 2), "K": ("K2O", 2), "Mg": ("MgO", 1), "Ca": ("CaO", 1),
    "Sr": ("SrO", 1), "Ba": ("BaO", 1), "Zn": ("ZnO", 1), "Pb": ("PbO", 1),
    "Ti": ("TiO2", 1), "Zr": ("ZrO2", 1), "Sn": ("SnO2", 1), "P": ("P2O5", 2),
    "Fe": ("Fe2O3", 2), "Mn": ("MnO", 1), "Cu": ("CuO", 1), "Co": ("CoO", 1),
    "Bi": ("Bi2O3", 2), "F": ("F", 1), "Ni": ("NiO", 1), "Cr": ("Cr2O3", 2),
    "V": ("V2O5", 2), "Ag": ("Ag", 1), "Au": ("Au", 1), "Ce": ("CeO2", 1),
    "Sb": ("Sb2O3", 2), "Mo": ("MoO3", 1), "Cd": ("CdO", 1),
}  # fmt: skip

#: Elements that leave as gas: water, CO2, NOx, SOx, HCl. Oxygen balances and needs no entry.
LEAVES: Final = ("H", "C", "N", "S", "Cl")

_KNOWN = json.loads((Path(__file__).parent / "known_formulas.json").read_text("utf-8"))

#: Standard atomic weights, g/mol, written by ``python -m cofire.chem.formulas`` from periodictable.
ATOMIC_WEIGHT: Final[dict[str, float]] = _KNOWN["atomic_weights"]
#: Formulas already taken apart by the same command, so that start-up needs no parser.
KNOWN_FORMULAS: Final[dict[str, dict[str, float]]] = _KNOWN["formulas"]


def _molar_mass(oxide: str) -> float:
    return sum(n * ATOMIC_WEIGHT[el] for el, n in KNOWN_FORMULAS[oxide].items())


#: g/mol, shape (n_oxides,). Fluorine counts as the element, as analysts print it.
MOLAR_MASS: Final[Array] = np.array([_molar_mass(o) for o in OXIDES])


def vector(amounts: dict[str, float]) -> Array:
    """Named amounts -> array in the fixed order, shape (n_oxides,), unit unchanged.

    Raises KeyError for a name that is not in OXIDES.
    """
    out = np.zeros(len(OXIDES))
    for name, value in amounts.items():
        out[INDEX[name]] += value
    return out


def named(values: Array) -> dict[str, float]:
    """Array (n_oxides,) -> {oxide: value} for those that are not zero, unit unchanged."""
    return {o: float(v) for o, v in zip(OXIDES, values, strict=True) if v != 0.0}
