"""The published additive tables, worked again here from their own words."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from cofire.chem.composition import mol_from_wt
from cofire.chem.oxides import OXIDES
from cofire.glass import published

TABLES = {t.name.split()[0].lower(): t for t in published.tables()}

#: Winkelmann & Schott 1894 (Ann. Phys. Chem. 51, 730): cubical, 1e-7/K per wt %; from memory.
WINKELMANN_SCHOTT = {
    "SiO2": 0.8, "B2O3": 0.1, "Al2O3": 5.0, "Na2O": 10.0, "K2O": 8.5, "CaO": 5.0, "MgO": 0.1,
    "BaO": 3.0, "ZnO": 1.8, "PbO": 3.0, "Li2O": 2.0,
}  # fmt: skip


def row(amounts: dict[str, float]) -> np.ndarray:
    return np.array([[amounts.get(o, 0.0) for o in OXIDES]])


@given(st.lists(st.floats(0.1, 50.0), min_size=11, max_size=11))
def test_winkelmann_and_schott(parts: list[float]) -> None:
    wt = dict(zip(WINKELMANN_SCHOTT, parts, strict=True))
    total = sum(parts)
    by_hand = sum(WINKELMANN_SCHOTT[o] * 100.0 * v / total for o, v in wt.items()) / 3.0 / 10.0
    ours = published.expansion(mol_from_wt(row(wt)), TABLES["winkelmann"])[0]
    assert ours == pytest.approx(by_hand, rel=1e-9)


def appen_by_hand(mol: dict[str, float]) -> float:
    """Appen 1970, linear 20-400 °C: mole fractions times partial factors (1e-7/K), those of
    silica, boron and lead depending on the rest of the glass; from memory."""
    x = {o: v / sum(mol.values()) for o, v in mol.items()}
    factors = {
        "Al2O3": -30, "Li2O": 270, "Na2O": 395, "K2O": 465, "MgO": 60, "CaO": 130, "SrO": 160,
        "BaO": 200, "ZnO": 50,
    }  # fmt: skip
    silica = 38.0 if x["SiO2"] <= 0.67 else 38.0 - (100.0 * x["SiO2"] - 67.0)
    alkali, gives = x["Na2O"] + x["K2O"] + x["Li2O"], x["Na2O"] + x["K2O"] + x["BaO"]
    psi = gives + 0.7 * (x["CaO"] + x["SrO"] + x["PbO"]) - x["Al2O3"]
    psi = (psi + 0.3 * (x["Li2O"] + x["MgO"] + x["ZnO"])) / x["B2O3"]
    psi = min(max(psi, 0.0), 4.0)
    boron = 12.5 * (4.0 - psi) - 50.0  # -50 with much alkali, 0 with none
    lead = min(max(130.0 + 5.0 * (100.0 * alkali - 3.0), 130.0), 190.0)
    total = sum(factors[o] * x[o] for o in factors)
    return (total + silica * x["SiO2"] + boron * x["B2O3"] + lead * x["PbO"]) / 10.0


@given(st.lists(st.floats(0.05, 10.0), min_size=11, max_size=11), st.floats(30.0, 300.0))
def test_appen(parts: list[float], silica: float) -> None:
    oxides = ("B2O3", "Al2O3", "Li2O", "Na2O", "K2O", "MgO", "CaO", "SrO", "BaO", "ZnO", "PbO")
    mol = {"SiO2": silica, **dict(zip(oxides, parts, strict=True))}
    ours = published.expansion(row(mol), TABLES["appen"])[0]
    assert ours == pytest.approx(appen_by_hand(mol), rel=1e-9)


def test_a_table_that_lacks_an_oxide_says_nothing_instead_of_guessing() -> None:
    lithia = row({"SiO2": 60.0, "B2O3": 10.0, "Li2O": 20.0, "CaO": 10.0})
    assert np.isnan(published.expansion(lithia, TABLES["hall"])[0])
    assert np.isfinite(published.expansion(lithia, TABLES["appen"])[0])
