"""The fitted coefficients, and properties from them. Numpy only; loaded on first use."""

from __future__ import annotations

import json
import math
from dataclasses import dataclass
from functools import cache, cached_property
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from cofire.arrays import Array
from cofire.chem.composition import shares
from cofire.chem.oxides import MODELLED
from cofire.glass.basis import basis
from cofire.glass.estimate import Estimate, estimate, interpolate_level

FOLDER = Path(__file__).parent / "coefficients"
_N = len(MODELLED)
#: Rows whose columns stay in a processor's cache.
CHUNK = 2000
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
    """All fitted arrays by name, float64, as ``store_coefficients`` wrote them."""
    flat = np.load(FOLDER / "engine.npy").astype(np.float64)
    shapes = json.loads((FOLDER / "engine.json").read_text("utf-8"))
    sizes = [math.prod(shape) for shape in shapes.values()]
    parts = np.split(flat, np.cumsum(sizes)[:-1])
    return {name: part.reshape(shapes[name]) for name, part in zip(shapes, parts, strict=True)}


def store_coefficients(arrays: dict[str, Array], folder: Path = FOLDER) -> None:
    """Write all fitted arrays: one file of single-precision numbers, one of names and shapes.

    One array loads ten times faster than an archive of forty.
    """
    folder.mkdir(exist_ok=True)
    flat = np.concatenate([np.ravel(v) for v in arrays.values()])
    np.save(folder / "engine.npy", flat.astype(np.float32))
    shapes = {name: np.shape(v) for name, v in arrays.items()}
    (folder / "engine.json").write_text(json.dumps(shapes, indent=0) + "\n", "utf-8")


#: Properties with a doubt of their own, and all that is a weighted sum of the basis.
_DOUBTED = (
    "expansion", "glass_transition", "strain", "annealing", "littleton", "dilatometric", "youngs",
    "density", "liquidus", "viscosity",
)  # fmt: skip
_SUMS = (*(f"{name}.weights" for name in _DOUBTED[:-1]), "viscosity.t12", "viscosity.m")


@cache
def side_by_side() -> tuple[Array, NDArray[np.float32], Array]:
    """Weights (P, n_sums), factors of doubt (P, n_doubted * rank) and what those miss.

    One product with all of them takes a fraction of the time of one product each.
    """
    store = coefficients()
    width = len(store["viscosity.t12"])
    return (
        np.stack([store[name][:width] for name in _SUMS], axis=1),
        np.concatenate([store[f"{n}.factor"] for n in _DOUBTED], axis=1).astype(np.float32),
        np.array([store[f"{n}.missed"][0] for n in _DOUBTED]),
    )


@dataclass(frozen=True, eq=False)
class Prepared:
    """N glasses in the form that all models share; made once, used for every property."""

    x: Array  # (N, 22) mole fractions of what the models know
    columns: Array  # (N, n_columns) the basis
    counted: Array  # (N, n_counted) mole fractions of what they do not know
    apart: Array  # (N,) distance to the nearest landmark glass
    nearest: NDArray[np.intp]  # (N,) and which one that is

    def sum(self, weights: str) -> Array:
        """The sum (N,) of the columns with these weights, such as “expansion.weights”."""
        return np.asarray(self._sums[:, _SUMS.index(weights)])

    def variance(self, name: str) -> Array:
        """How far the fit leaves this property open (N,), in the square of its unit."""
        return np.asarray(self._variances[:, _DOUBTED.index(name)])

    @cached_property
    def _sums(self) -> Array:
        return np.asarray(self.columns @ side_by_side()[0])

    @cached_property
    def _variances(self) -> Array:
        # doubt is known to a few per cent at best; half the digits take half the time
        _, factors, missed = side_by_side()
        projected = self.columns.astype(np.float32) @ factors
        projected = projected.reshape(len(projected), len(missed), -1)
        return np.asarray(np.einsum("npk,npk->np", projected, projected) + missed)


def prepare(mol: Array | Prepared) -> Prepared:
    """Moles (N, n_oxides), any total, in rows -> what the models need. Empty rows give NaN.

    Costs most of the time of a prediction: a few kilobytes a glass, so hand over a large table in
    pieces of about ``CHUNK`` rows.
    """
    if isinstance(mol, Prepared):
        return mol
    mol = np.atleast_2d(np.asarray(mol, dtype=float))
    x = shares(mol[:, :_N])
    columns, squared = basis(x, coefficients()["landmarks"])
    nearest = squared.argmin(axis=1) if len(x) else np.zeros(0, dtype=np.intp)
    apart = np.sqrt(np.take_along_axis(squared, nearest[:, None], 1)[:, 0])
    return Prepared(x, columns, shares(mol)[:, _N:], apart, nearest)


def doubt(at: Prepared, name: str) -> Array:
    """Extra half-width (N,) at 90 % for oxides that the data hardly know, in engine units."""
    per_mol = THIN_DOUBT[name]
    thin = [*THIN, *(THIN_IN_VISCOSITY if name == "viscosity" else ())]
    share = np.sqrt((at.x[:, [_I[o] for o in thin]] ** 2).sum(axis=1))
    return np.asarray(per_mol * np.hypot(share, UNKNOWN_TIMES * at.counted.sum(axis=1)))


def spread(at: Prepared, name: str, width: Array, level: float) -> tuple[Array, Array]:
    """Half-widths (N,) at ``level`` and at 90 %, from stored ``width`` = (s0², k, q...)."""
    store = coefficients()
    base = np.sqrt(width[0] + width[1] * at.variance(name))
    levels, q = store["levels"], width[2:]
    extra = doubt(at, name)
    q90 = interpolate_level(0.9, levels, q)
    ql = interpolate_level(level, levels, q)
    return np.hypot(ql * base, extra * ql / q90), np.hypot(q90 * base, extra)


def scalar(
    mol: Array | Prepared,
    name: str,
    level: float,
    about_c: float | None = None,
    width: str = "width",
) -> Estimate:
    """One property of moles (N, n_oxides), of an expansion over a range about ``about_c``."""
    at = prepare(mol)
    store = coefficients()
    value = at.sum(f"{name}.weights")
    if about_c is not None:
        value = value + range_shift(at.x, np.full(len(value), about_c))
    wide, wide90 = spread(at, name, store[f"{name}.{width}"], level)
    return estimate(value, wide, wide90)


def range_shift(x: Array, about_c: Array) -> Array:
    """What a mean expansion gains when its range centres on ``about_c`` (N,) instead of 160 °C."""
    store = coefficients()
    weights = store["expansion.weights"][-(_N + 2) :]
    t = (np.asarray(about_c, dtype=float) - 160.0) / 100.0
    return np.asarray(weights[0] * t + weights[1] * t**2 + 3.0 * t * (x @ weights[2:]))
