"""The fitted coefficients, and properties from them. Numpy only; loaded on first use."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np

from cofire.arrays import Array
from cofire.chem.oxides import MODELLED
from cofire.glass.basis import CHUNK, basis
from cofire.glass.estimate import Estimate, estimate, interpolate_level

_N = len(MODELLED)
_I = {o: i for i, o in enumerate(MODELLED)}

#: How wrong the weight of an oxide may be that few measured glasses hold, per mole fraction, in
#: 1e-6/K, K, GPa, g/cm³, log10 Pa·s: the order of the largest published partial factors, so that
#: such an oxide widens the interval instead of being trusted. Our choice.
THIN = ("CuO", "CoO", "MnO", "Fe2O3", "Bi2O3", "P2O5", "F", "TiO2")
THIN_DOUBT = {
    "expansion": 5.0, "glass_transition": 250.0, "strain": 250.0, "annealing": 250.0,
    "littleton": 300.0, "dilatometric": 300.0, "youngs": 50.0, "density": 1.0,
    "liquidus": 800.0, "viscosity": 6.0,
}  # fmt: skip
#: The same for oxides that no measured glass here holds at all (Ni, Cr, V, Ag, Ce, Sb ...).
UNKNOWN_TIMES = 3.0
#: Zirconia and tin rarely stay dissolved, and few viscosities were measured with them.
THIN_IN_VISCOSITY = ("ZrO2", "SnO2")


@cache
def coefficients() -> dict[str, Array]:
    """All fitted arrays by name, float64."""
    path = Path(__file__).parent / "coefficients" / "engine.npz"
    with np.load(path) as stored:
        return {key: stored[key].astype(np.float64) for key in stored.files}


@dataclass(frozen=True)
class Columns:
    """Mole fractions (N, 22) of what the models know, the basis, and the share they do not."""

    x: Array
    columns: Array
    unknown: Array


def prepare(mol: Array) -> Columns:
    """Moles (N, n_oxides), any total, in rows -> what the models need. Empty rows give NaN."""
    known = mol[:, :_N]
    total = known.sum(axis=1, keepdims=True)
    x = np.divide(known, total, out=np.full_like(known, np.nan), where=total > 0)
    everything = mol.sum(axis=1)
    unknown = np.divide(
        mol[:, _N:].sum(axis=1), everything, out=np.zeros(len(mol)), where=everything > 0
    )
    with np.errstate(invalid="ignore"):
        return Columns(x, basis(x, coefficients()["landmarks"]), unknown)


def doubt(at: Columns, name: str) -> Array:
    """Extra half-width (N,) at 90 % for oxides that the data hardly know, in engine units."""
    per_mol = THIN_DOUBT[name]
    thin = [*THIN, *(THIN_IN_VISCOSITY if name == "viscosity" else ())]
    share = np.sqrt((at.x[:, [_I[o] for o in thin]] ** 2).sum(axis=1))
    return np.asarray(per_mol * np.hypot(share, UNKNOWN_TIMES * at.unknown))


def spread(at: Columns, name: str, width: Array, level: float) -> tuple[Array, Array]:
    """Half-widths (N,) at ``level`` and at 90 %, from stored ``width`` = (s0², k, q...)."""
    store = coefficients()
    variance = ((at.columns @ store[f"{name}.factor"]) ** 2).sum(axis=1)
    base = np.sqrt(width[0] + width[1] * (variance + store[f"{name}.missed"][0]))
    levels, q = store["levels"], width[2:]
    extra = doubt(at, name)
    q90 = interpolate_level(0.9, levels, q)
    ql = interpolate_level(level, levels, q)
    return np.hypot(ql * base, extra * ql / q90), np.hypot(q90 * base, extra)


def scalar(
    mol: Array, name: str, level: float, shift: Array | None = None, width: str = "width"
) -> Estimate:
    """One property of moles (N, n_oxides); ``shift`` (n_extra,) multiplies the range terms."""
    mol = np.atleast_2d(np.asarray(mol, dtype=float))
    parts = [
        _scalar(prepare(mol[i : i + CHUNK]), name, level, shift, width)
        for i in range(0, max(len(mol), 1), CHUNK)
    ]
    return Estimate(*(np.concatenate(column) for column in zip(*parts, strict=True)))


def _scalar(
    at: Columns, name: str, level: float, shift: Array | None, width: str
) -> tuple[Array, Array, Array, Array]:
    store = coefficients()
    weights = store[f"{name}.weights"]
    value = at.columns @ weights[: at.columns.shape[1]]
    if shift is not None:
        value = value + range_shift(at.x, shift)
    wide, wide90 = spread(at, name, store[f"{name}.{width}"], level)
    e = estimate(value, wide, wide90)
    return e.value, e.low, e.high, e.sd


def range_shift(x: Array, about_c: Array) -> Array:
    """What a mean expansion gains when its range centres on ``about_c`` (N,) instead of 160 °C."""
    store = coefficients()
    weights = store["expansion.weights"][-(_N + 2) :]
    t = (np.asarray(about_c, dtype=float) - 160.0) / 100.0
    return np.asarray(weights[0] * t + weights[1] * t**2 + 3.0 * t * (x @ weights[2:]))
