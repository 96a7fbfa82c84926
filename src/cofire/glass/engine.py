"""The fitted coefficients, and properties from them. Numpy only; loaded on first use."""

from __future__ import annotations

import json
import math
from dataclasses import dataclass
from functools import cache, cached_property
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from cofire.arrays import Array
from cofire.chem.composition import shares
from cofire.chem.oxides import MODELLED
from cofire.errors import refusal
from cofire.glass.basis import (
    nearness,
    plain,
    position,
    squared_distance,
    structure,
    to_measure_from,
)
from cofire.glass.estimate import Estimate, Width, estimate, interpolate_level, unsure

FOLDER = Path(__file__).parent / "coefficients"
_N = len(MODELLED)
#: Rows whose columns stay in a processor's cache.
CHUNK = 1000
_I = {o: i for i, o in enumerate(MODELLED)}

#: Uncertainty of the coefficient of an oxide that few measured glasses hold, per mole fraction, in
#: 1e-6/K, K, GPa, g/cm³, log10 Pa·s: the order of the largest published partial factors, so that
#: such an oxide widens the interval instead of being trusted. Our choice.
THIN = ("CuO", "CoO", "MnO", "Fe2O3", "Bi2O3", "P2O5", "F", "TiO2")
THIN_DOUBT = {
    "expansion": 5.0, "glass_transition": 250.0, "strain": 250.0, "annealing": 250.0,
    "littleton": 300.0, "dilatometric": 300.0, "youngs": 50.0, "density": 1.0,
    "liquidus": 2000.0, "viscosity": 6.0,
}  # fmt: skip
#: The same for oxides that no measured glass here holds at all (Ni, Cr, V, Ag, Ce, Sb ...).
UNKNOWN_TIMES = 3.0
#: Zirconia and tin rarely stay dissolved, and few viscosities were measured with them.
THIN_IN_VISCOSITY = ("ZrO2", "SnO2")


#: Factors of doubt take most of the room and are known to a few per cent: single precision.
_FILES = (("engine", np.float64), ("doubt", np.float32))


@cache
def coefficients() -> dict[str, Array]:
    """All fitted arrays by name, as ``store_coefficients`` wrote them."""
    shapes = json.loads((FOLDER / "shapes.json").read_text("utf-8"))
    out: dict[str, Array] = {}
    for name, _ in _FILES:
        flat = np.load(FOLDER / f"{name}.npy")
        sizes = [math.prod(shape) for shape in shapes[name].values()]
        parts = np.split(flat, np.cumsum(sizes)[:-1])
        for (key, shape), part in zip(shapes[name].items(), parts, strict=True):
            out[key] = part.reshape(shape)
    return out


@cache
def scores() -> dict[str, Any]:
    """How well each model and each published table did on unseen glasses, as the fit found."""
    result = json.loads((FOLDER / "scores.json").read_text("utf-8"))
    assert isinstance(result, dict)
    return result


def card_page() -> str:
    """The model card as the fit wrote it, one HTML page."""
    return (FOLDER / "card.html").read_text("utf-8")


def store_coefficients(arrays: dict[str, Array], folder: Path = FOLDER) -> None:
    """Write all fitted arrays: two files of numbers, one of names and shapes.

    Flat arrays load ten times faster than an archive of forty.
    """
    folder.mkdir(parents=True, exist_ok=True)
    shapes = {}
    for (name, digits), wanted in zip(_FILES, (False, True), strict=True):
        part = {k: v for k, v in arrays.items() if k.endswith(".factor") == wanted}
        flat = np.concatenate([np.ravel(v) for v in part.values()])
        np.save(folder / f"{name}.npy", flat.astype(digits))
        shapes[name] = {k: np.shape(v) for k, v in part.items()}
    (folder / "shapes.json").write_text(json.dumps(shapes, indent=0) + "\n", "utf-8")


#: Properties with a doubt of their own, and all that is a weighted sum of the basis.
_DOUBTED = (
    "expansion", "glass_transition", "strain", "annealing", "littleton", "dilatometric", "youngs",
    "density", "liquidus", "viscosity",
)  # fmt: skip
_SUMS = (*(f"{name}.weights" for name in _DOUBTED[:-1]), "viscosity.t12", "viscosity.m")


@dataclass(frozen=True, eq=False)
class _Tables:
    """What all properties need, side by side: one product takes a fraction of the time of many."""

    landmarks: Array  # (28, M) as distances from them are measured
    plain: Array  # (n_plain, n_sums) weights of the plain columns
    near: Array  # (M, n_sums) weights of the landmarks
    sums: dict[str, int]  # which of the sums has which weights
    doubted: tuple[str, ...]
    factors: list[NDArray[np.float32]]  # of each doubted property, (n_columns, rank)
    missed: NDArray[np.float32]  # (n,) variance that the factors miss


@cache
def tables() -> _Tables:
    """The coefficients, arranged for prediction."""
    store = coefficients()
    sums = [name for name in _SUMS if name in store]  # a fit of some properties has only theirs
    doubted = tuple(name for name in _DOUBTED if f"{name}.factor" in store)
    factors = [store[f"{n}.factor"].astype(np.float32, copy=False) for n in doubted]
    missed = np.concatenate([store[f"{n}.missed"] for n in doubted]).astype(np.float32)
    width = len(factors[0])
    weights = np.stack([store[name][:width] for name in sums], axis=1)
    n_plain = width - len(store["landmarks"])
    places = {name: place for place, name in enumerate(sums)}
    return _Tables(
        to_measure_from(store["landmarks"]),
        weights[:n_plain], weights[n_plain:], places, doubted, factors, missed,
    )  # fmt: skip


@dataclass(frozen=True, eq=False)
class Prepared:
    """N glasses in the form that all models share; made once, used for every property."""

    x: Array  # (N, 22) mole fractions of what the models know
    plain: Array  # (N, n_plain) the transparent part of the basis
    near: Array  # (N, M) nearness to each landmark glass
    counted: Array  # (N, n_counted) mole fractions of oxides unknown to them
    apart: Array  # (N,) distance to the nearest landmark glass
    nearest: NDArray[np.intp]  # (N,) and which one that is

    @cached_property
    def unsure(self) -> Array:
        """What makes predictions of each less sure (N, 6): ``estimate.UNSURE``."""
        return unsure(self.x, self.apart)

    @cached_property
    def position(self) -> Array:
        """Where each lies among the landmarks (N, 26)."""
        return position(self.x, structure(self.x))

    def sum(self, weights: str) -> Array:
        """The sum (N,) of the columns with these weights, such as “expansion.weights”."""
        place = tables().sums.get(weights)
        if place is None:
            raise refusal("not-fitted", name=weights.partition(".")[0])
        return np.asarray(self._sums[:, place])

    def variance(self, name: str) -> Array:
        """How far the fit leaves this property open (N,), in the square of its unit."""
        if name not in self._variances:  # asked for more than once
            self._variances[name] = self._variance(tables().doubted.index(name))
        return self._variances[name]

    @cached_property
    def _sums(self) -> Array:
        return np.asarray(self.plain @ tables().plain + self.near @ tables().near)

    @cached_property
    def _variances(self) -> dict[str, Array]:
        return {}

    def _variance(self, place: int) -> Array:
        # doubt is known to a few per cent at best; half the digits take half the time
        factors, missed = tables().factors[place], tables().missed[place]
        plain, near = self._digits
        projected = plain @ factors[: plain.shape[1]]
        projected += near @ factors[plain.shape[1] :]
        return np.asarray(np.einsum("ij,ij->i", projected, projected) + missed, dtype=float)

    @cached_property
    def _digits(self) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
        return self.plain.astype(np.float32), self.near.astype(np.float32)


def prepare(mol: Array | Prepared) -> Prepared:
    """Moles (N, n_oxides), any total, in rows -> what the models need. Empty rows give NaN.

    Costs most of the time of a prediction: a few kilobytes a glass, so hand over a large table in
    pieces of about ``CHUNK`` rows.
    """
    if isinstance(mol, Prepared):
        return mol
    mol = np.atleast_2d(np.asarray(mol, dtype=float))
    x = shares(mol[:, :_N])
    built = structure(x)
    squared = squared_distance(position(x, built), tables().landmarks)
    nearest = squared.argmin(axis=1) if len(x) else np.zeros(0, dtype=np.intp)
    apart = np.sqrt(np.take_along_axis(squared, nearest[:, None], 1)[:, 0].astype(np.float64))
    return Prepared(
        x, plain(x, built), nearness(squared, np.float64), shares(mol)[:, _N:], apart, nearest
    )


def doubt(at: Prepared, name: str) -> Array:
    """Extra half-width (N,) at 90 % for oxides that are rare in the data, in engine units."""
    per_mol = THIN_DOUBT[name]
    thin = [*THIN, *(THIN_IN_VISCOSITY if name == "viscosity" else ())]
    share = np.sqrt((at.x[:, [_I[o] for o in thin]] ** 2).sum(axis=1))
    return np.asarray(per_mol * np.hypot(share, UNKNOWN_TIMES * at.counted.sum(axis=1)))


def spread(at: Prepared, name: str, width: Width, level: float) -> tuple[Array, Array]:
    """Half-widths (N,) at ``level`` and at 90 %."""
    levels = coefficients()["levels"]
    base = width.scale(at.variance(name), at.unsure)
    extra = doubt(at, name)
    q90 = interpolate_level(0.9, levels, width.q)
    ql = interpolate_level(level, levels, width.q)
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
        value = value + range_shift(range_bend(at.x), about_c)
    wide, wide90 = spread(at, name, Width.of(store[f"{name}.{width}"]), level)
    return estimate(value, wide, wide90)


def range_bend(x: Array) -> Array:
    """How much each of the glasses ``x`` (N, 22) gains by the range of a mean expansion, (N,)."""
    return np.asarray(x @ coefficients()["expansion.weights"][-_N:])


def range_shift(bend: Array, about_c: Array | float) -> Array:
    """What a mean expansion gains when its range centres on ``about_c`` (N,) instead of 160 °C, of
    glasses of a ``range_bend`` (N,)."""
    even = coefficients()["expansion.weights"][-(_N + 2) : -_N]
    t = (np.asarray(about_c, dtype=float) - 160.0) / 100.0
    return np.asarray(even[0] * t + even[1] * t**2 + 3.0 * t * bend)
