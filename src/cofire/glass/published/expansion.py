"""Published additive tables of expansion beside our own model, to show why numbers differ."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np

from cofire.arrays import Array, Mask
from cofire.chem.composition import shares, wt_from_mol
from cofire.chem.oxides import FORMERS, INDEX, OXIDES, STABILISERS, vector
from cofire.files import toml

#: An oxide that a table lacks may make up this mole fraction before the table has no answer.
_MAY_LACK = 0.01


@dataclass(frozen=True, eq=False)
class ExpansionTable:
    """One published table. Summed factor × amount times ``per`` gives 1e-6/K, linear."""

    id: str
    name: str
    citation: str
    status: str
    range_c: str
    basis: str
    per: float
    factors: Array
    slopes: Array
    knows: Mask  # (n_oxides,)


@cache
def tables() -> tuple[ExpansionTable, ...]:
    """All published tables, in the order of their file."""
    path = Path(__file__).parent / "expansion_tables.toml"
    out = []
    for key, t in toml.read(path).data.items():
        knows = np.array([o in t["factors"] for o in OXIDES])
        if key == "appen":
            knows |= np.array([o in ("SiO2", "B2O3", "TiO2", "PbO") for o in OXIDES])
        out.append(
            ExpansionTable(
                key, t["name"], t["citation"], t["status"], t["range_c"], t["basis"], t["per"],
                vector(t["factors"]), vector(t.get("slopes", {})), knows,
            )
        )  # fmt: skip
    return tuple(out)


def expansion(mol: Array, table: ExpansionTable) -> Array:
    """Linear expansion (N,), 1e-6/K, of moles (N, n_oxides); NaN where the table lacks an oxide."""
    x = shares(np.atleast_2d(np.asarray(mol, dtype=float)))
    lacks = (x * ~table.knows).max(axis=1) > _MAY_LACK
    if table.basis == "mol":
        value = x @ table.factors + _appen_rules(x)
    else:
        wt = wt_from_mol(x)
        value = (wt * (table.factors + table.slopes * wt)).sum(axis=1)
    return np.where(lacks, np.nan, table.per * value)


def _appen_rules(x: Array) -> Array:
    """What Appen gives silica, boron, titania and lead: factors that depend on the glass.

    PbO is taken as 130 + 5 (R2O - 3) between 130 and 190, R2O in mol per cent.
    """

    def of(oxide: str) -> Array:
        return np.asarray(x[:, INDEX[oxide]])

    silica = 100.0 * of("SiO2")
    boron = of("B2O3")
    giving = (
        of("Na2O") + of("K2O") + of("BaO")
        + 0.7 * (of("CaO") + of("SrO") + of("PbO"))
        + 0.3 * (of("Li2O") + of("MgO") + of("ZnO"))
        - of("Al2O3")
    )  # fmt: skip
    psi = np.clip(np.divide(giving, boron, out=np.zeros_like(boron), where=boron > 0), 0.0, 4.0)
    alkali = 100.0 * (of("Li2O") + of("Na2O") + of("K2O"))
    return np.asarray(
        of("SiO2") * np.where(silica <= 67.0, 38.0, 38.0 - (silica - 67.0))
        + boron * (12.5 * (4.0 - psi) - 50.0)
        + of("TiO2") * (10.5 - 1.5 * (np.clip(silica, 37.0, 67.0) - 50.0))
        + of("PbO") * np.clip(130.0 + 5.0 * (alkali - 3.0), 130.0, 190.0)
    )


def is_low_fire_core(mol: Array) -> Mask:
    """Whether each glass (N,) lies in the low-fire boron box on which tables were also scored:
    SiO2 .45-.70, B2O3 .05-.25, alkalis .05-.25, Al2O3 .02-.12, earths + ZnO up to .25, no lead."""
    x = shares(np.atleast_2d(np.asarray(mol, dtype=float)))

    def of(*names: str) -> Array:
        return np.asarray(x[:, [INDEX[n] for n in names]].sum(axis=1))

    def within(value: Array, low: float, high: float) -> Mask:
        return np.asarray((value >= low) & (value <= high))

    return np.asarray(
        within(of(*FORMERS), 0.45, 0.70)
        & within(of(STABILISERS[1]), 0.05, 0.25)
        & within(of("Li2O", "Na2O", "K2O"), 0.05, 0.25)
        & within(of("Al2O3"), 0.02, 0.12)
        & within(of("MgO", "CaO", "SrO", "BaO", "ZnO"), 0.0, 0.25)
        & (of("PbO") < 1e-4)
    )
