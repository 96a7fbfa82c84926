"""The viscosity curve, fitted to viscosities and fixed points together.

MYEGA (Mauro et al., PNAS 106 (2009) 19780): log10 eta = A + (12 - A) x exp((m/(12 - A) - 1)(x - 1))
with x = T12/T in kelvin. ln T12 and ln m run over the common basis, A is linear in composition.
"""

from __future__ import annotations

import itertools
from typing import Any, NamedTuple

import numpy as np

from cofire.arrays import Array
from cofire.chem.oxides import MODELLED
from cofire.glass.basis import basis
from cofire.glass.estimate import low_fire
from cofire.glass.refit.judged import Judged
from cofire.glass.refit.landmarks import penalty
from cofire.glass.refit.measured import read_table
from cofire.glass.refit.solve import (
    FOLDS,
    LEVELS,
    calibrate,
    downweight,
    fold_of,
    low_rank,
    renumber,
)

#: log10 Pa·s at which each fixed point is measured; strain and annealing by their definition,
#: Littleton's by his (10^6.6 Pa·s).
FIXED = {"annealing": 12.0, "strain": 13.5, "littleton_softening": 6.6}
#: What one row of each kind is worth beside a measured viscosity; by cross-validation.
WORTH = {"viscosity": 1.0, "fixed": 0.3, "calorimeter": 0.15}
#: Bounds that keep the curve sane while it is being fitted and far outside the data.
LN_M = (2.5, 5.0)
A_RANGE = (-6.0, 2.0)
CURVE_PENALTY = {"a": 3.0, "t": 30.0, "m": 10.0, "off": 30.0}
#: Bands of log10 eta in which doubt is measured.
BANDS = np.array([-1.5, 1.5, 3.0, 5.0, 8.0, 14.5])


def curve(ln_t12: Array, ln_m: Array, a: Array, t_k: Array) -> tuple[Array, Array, Array, Array]:
    """log10 eta and its derivatives by ln T12, ln m and A, all broadcast."""
    x = np.exp(ln_t12) / t_k
    m, d = np.exp(ln_m), 12.0 - a
    e = np.exp(np.clip((m / d - 1.0) * (x - 1.0), -30.0, 30.0))
    value = a + d * x * e
    by_t12 = d * x * e * (1.0 + (m / d - 1.0) * x)
    by_m = x * e * (x - 1.0) * m
    by_a = 1.0 - x * e + x * e * (x - 1.0) * m / d
    return value, by_t12, by_m, by_a


class ViscosityRows(NamedTuple):
    """Measured rows (N,): mole fractions (N, 22), log10 eta, temperature, publication, kind of
    measurement, and whether it is a low-fire glass."""

    x: Array
    y: Array
    t_k: Array
    group: Any
    kind: Any
    core: Any

    def some(self, which: Any) -> ViscosityRows:
        return ViscosityRows(*(column[which] for column in self))


def gather(every: int) -> ViscosityRows:
    """All rows that speak of viscosity, or those of one publication in ``every``."""
    parts = [("viscosity", r) for r in read_table("visc")]
    parts += [("fixed", r) for r in read_table("fixed_points") if r["kind"] in FIXED]
    parts += [("calorimeter", r) for r in read_table("tg")]

    def point(kind: str, r: dict[str, str]) -> tuple[float, float]:
        if kind == "viscosity":
            return float(r["log10_eta_Pas"]), float(r["T_K"])
        if kind == "fixed":
            return FIXED[r["kind"]], float(r["t_c"]) + 273.15
        return 12.0, float(r["Tg_K"])

    ids = {g: i for i, g in enumerate(dict.fromkeys(r["group"] for _, r in parts))}
    parts = [
        (k, r) for k, r in parts if ids[r["group"]] % every == 0 and -1.5 < point(k, r)[0] < 14.5
    ]
    x = np.array([[float(r[o]) for o in MODELLED] for _, r in parts])
    points = np.array([point(k, r) for k, r in parts])
    group = np.array([r["group"] for _, r in parts])
    kind = np.array([k for k, _ in parts])
    core = np.array([r["core"] == "1" for _, r in parts])
    return ViscosityRows(x / x.sum(1, keepdims=True), points[:, 0], points[:, 1], group, kind, core)


def solve(b: Array, rows: ViscosityRows, ridge: Array) -> tuple[Array, Array]:
    """Gauss-Newton with robust weights: parameters and the inverse normal matrix.

    Parameters are A (23,), ln T12 (P,), ln m (P,) and how far a calorimeter's Tg lies from T12
    (23,): the latter says how T12 moves with composition, but not where it stands.
    """
    x, y, t_k, group, kind, _ = rows
    ones = np.concatenate([np.ones((len(x), 1)), x], axis=1)
    na, nb = ones.shape[1], b.shape[1]
    t_at, m_at = slice(na, na + nb), slice(na + nb, na + 2 * nb)
    off = ones * (kind == "calorimeter")[:, None]
    number = renumber(group)
    rows_of = np.bincount(number)[number]
    worth = np.array([WORTH[k] for k in kind]) / np.clip(np.sqrt(rows_of / 10.0), 0.7, 3.0)
    size = 2 * na + 2 * nb
    full = np.zeros((size, size))
    full[:na, :na] = CURVE_PENALTY["a"] * np.eye(na)
    full[0, 0] = 1e-3
    full[t_at, t_at] = CURVE_PENALTY["t"] * ridge
    full[m_at, m_at] = CURVE_PENALTY["m"] * ridge
    full[-na:, -na:] = CURVE_PENALTY["off"] * np.eye(na)
    start = np.zeros(size)
    start[0], start[na], start[na + nb] = -2.6, np.log(800.0), np.log(38.0)
    prior = np.zeros(size)
    prior[0] = -2.6
    p = start
    for step_number in range(9):
        ln_t12 = b @ p[t_at] + off @ p[-na:]
        ln_m = np.clip(b @ p[m_at], *LN_M)
        a = np.clip(ones @ p[:na], *A_RANGE)
        value, by_t12, by_m, by_a = curve(ln_t12, ln_m, a, t_k)
        residual = y - value
        if step_number == 0:
            weight = worth / np.maximum(np.abs(residual), 1.0)
        else:
            scale = max(1.4826 * float(np.median(np.abs(residual))), 0.08)
            weight = worth * downweight(residual, scale, redescend=6.0)
        jacobian = np.concatenate(
            [ones * by_a[:, None], b * by_t12[:, None], b * by_m[:, None], off * by_t12[:, None]],
            axis=1,
        )
        weighted = jacobian * weight[:, None]
        normal = weighted.T @ jacobian + full
        step = np.linalg.solve(normal, weighted.T @ residual - full @ (p - prior))
        far = max(np.abs(b @ step[t_at]).max() / 0.4, np.abs(b @ step[m_at]).max() / 0.6)
        p = p + step / max(1.0, float(far))
    return p, np.linalg.inv(normal)


def predict(p: Array, b: Array, x: Array, t_k: Array) -> Array:
    """log10 eta of rows (N,), clipped at 14 where nothing is measured."""
    na, nb = x.shape[1] + 1, b.shape[1]
    a = np.clip(p[0] + x @ p[1:na], *A_RANGE)
    ln_m = np.clip(b @ p[na + nb : na + 2 * nb], *LN_M)
    return np.asarray(np.minimum(curve(b @ p[na : na + nb], ln_m, a, t_k)[0], 14.0))


def fit_viscosity(
    landmarks: Array, sample: Array, every: int = 1
) -> tuple[dict[str, Array], list[Judged], Array]:
    """Coefficients of the curve and its doubt by band of log10 eta; how unseen rows came out, and
    the temperatures (N,), K, of those rows."""
    rows = gather(every)
    x, y, t_k, group, kind, core = rows
    b = basis(x, landmarks)
    na, nb = x.shape[1] + 1, b.shape[1]
    ridge = penalty(landmarks)
    p, inverse = solve(b, rows, ridge)
    factor, missed = low_rank(inverse[na : na + nb, na : na + nb], sample)
    value, variance = np.zeros(len(y)), np.zeros(len(y))
    fold = fold_of(group)
    for k in range(FOLDS):
        seen, left = fold != k, fold == k
        pk, inv = solve(b[seen], rows.some(seen), ridge)
        value[left] = predict(pk, b[left], x[left], t_k[left])
        variance[left] = ((b[left] @ inv[na : na + nb, na : na + nb]) * b[left]).sum(1)
    measured = kind == "viscosity"
    low_share = low_fire(x)
    widths = []
    half = np.zeros(len(y))
    factors = np.zeros((len(y), len(LEVELS)))
    for low, high in itertools.pairwise(BANDS):
        # bands by what is predicted: that is all one knows of a new glaze
        part = measured & (value >= low) & (value < high)
        width = calibrate((y - value)[part], variance[part], group[part], low_share[part])
        widths.append(width.stored())
        half[part], factors[part] = width.scale(variance[part], low_share[part]), width.q
    judged = []
    for name, part in (
        ("log10_eta", measured),
        ("log10_eta_2_5", measured & (y >= 2.0) & (y <= 5.0)),
        *((f"log10_eta_{i}", measured & (value >= low) & (value < high))
          for i, (low, high) in enumerate(itertools.pairwise(BANDS))),
    ):  # fmt: skip
        judged.append(
            Judged(
                name, x[part], y[part], value[part], half[part], factors[part], group[part],
                core[part],
            )
        )  # fmt: skip
        print(judged[-1].line(), flush=True)
    store = {
        "a": p[:na],
        "t12": p[na : na + nb],
        "m": p[na + nb : na + 2 * nb],
        "factor": factor,
        "missed": np.array([missed]),
        "bands": BANDS,
        "width": np.array(widths),
    }
    return store, judged[:2], t_k[measured]
