"""The viscosity curve, fitted to viscosities and fixed points together.

MYEGA (Mauro et al., PNAS 106 (2009) 19780): log10 eta = A + (12 - A) x exp((m/(12 - A) - 1)(x - 1))
with x = T12/T in kelvin. ln T12 and ln m run over the common basis, A is linear in composition.
"""

from __future__ import annotations

import itertools
from typing import Any

import numpy as np

from cofire.arrays import Array
from cofire.chem.oxides import MODELLED
from cofire.glass import refit as base
from cofire.glass.basis import basis

#: log10 Pa·s at which each fixed point is measured; strain and annealing by their definition,
#: Littleton's by his (10^6.6 Pa·s).
FIXED = {"annealing": 12.0, "strain": 13.5, "littleton_softening": 6.6}
#: What one row of each kind is worth beside a measured viscosity; by cross-validation.
WORTH = {"viscosity": 1.0, "fixed": 0.3, "calorimeter": 0.15}
#: Bounds that keep the curve sane while it is being fitted and far outside the data.
LN_M = (2.5, 5.0)
A_RANGE = (-6.0, 2.0)
CURVE_PENALTY = {"a": 3.0, "t": 30.0, "m": 10.0}
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


def gather(every: int) -> tuple[Array, Array, Array, Any, Any, Any]:
    """(x, log10 eta, T in K, publication, kind, core) of all rows that speak of viscosity."""
    parts = [("viscosity", r) for r in base.read_table("visc")]
    parts += [("fixed", r) for r in base.read_table("fixed_points") if r["kind"] in FIXED]
    parts += [("calorimeter", r) for r in base.read_table("tg")]

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
    group = np.unique([r["group"] for _, r in parts], return_inverse=True)[1]
    kind = np.array([k for k, _ in parts])
    core = np.array([r["core"] == "1" for _, r in parts])
    return x / x.sum(1, keepdims=True), points[:, 0], points[:, 1], group, kind, core


def solve(
    b: Array, x: Array, y: Array, t_k: Array, group: Any, kind: Any, ridge: Array
) -> tuple[Array, Array]:
    """Gauss-Newton with robust weights: parameters (24 + 2P,) and the inverse normal matrix."""
    ones = np.concatenate([np.ones((len(x), 1)), x], axis=1)
    na, nb = ones.shape[1], b.shape[1]
    off = (kind == "calorimeter").astype(float)  # a calorimeter's Tg is not T12: one offset
    rows_of = np.bincount(group)[group]
    worth = np.array([WORTH[k] for k in kind]) / np.clip(np.sqrt(rows_of / 10.0), 0.7, 3.0)
    size = na + 2 * nb + 1
    penalty = np.zeros((size, size))
    penalty[:na, :na] = CURVE_PENALTY["a"] * np.eye(na)
    penalty[0, 0] = 1e-3
    penalty[na : na + nb, na : na + nb] = CURVE_PENALTY["t"] * ridge
    penalty[na + nb : -1, na + nb : -1] = CURVE_PENALTY["m"] * ridge
    penalty[-1, -1] = 1.0
    start = np.zeros(size)
    start[0], start[na], start[na + nb] = -2.6, np.log(800.0), np.log(38.0)
    prior = np.zeros(size)
    prior[0] = -2.6
    p = start
    for step_number in range(9):
        ln_t12 = b @ p[na : na + nb] + off * p[-1]
        ln_m = np.clip(b @ p[na + nb : -1], *LN_M)
        a = np.clip(ones @ p[:na], *A_RANGE)
        value, by_t12, by_m, by_a = curve(ln_t12, ln_m, a, t_k)
        residual = y - value
        if step_number == 0:
            weight = worth / np.maximum(np.abs(residual), 1.0)
        else:
            scale = max(1.4826 * float(np.median(np.abs(residual))), 0.08)
            weight = worth * base.downweight(residual, scale, redescend=6.0)
        jacobian = np.concatenate(
            [
                ones * by_a[:, None],
                b * by_t12[:, None],
                b * by_m[:, None],
                (off * by_t12)[:, None],
            ],
            axis=1,
        )
        weighted = jacobian * weight[:, None]
        normal = weighted.T @ jacobian + penalty
        step = np.linalg.solve(normal, weighted.T @ residual - penalty @ (p - prior))
        far = max(
            np.abs(b @ step[na : na + nb]).max() / 0.4, np.abs(b @ step[na + nb : -1]).max() / 0.6
        )
        p = p + step / max(1.0, float(far))
    return p, np.linalg.inv(normal)


def predict(p: Array, b: Array, x: Array, t_k: Array) -> Array:
    """log10 eta of rows (N,), clipped at 14 where nothing is measured."""
    na, nb = x.shape[1] + 1, b.shape[1]
    a = np.clip(p[0] + x @ p[1:na], *A_RANGE)
    ln_m = np.clip(b @ p[na + nb : -1], *LN_M)
    return np.asarray(np.minimum(curve(b @ p[na : na + nb], ln_m, a, t_k)[0], 14.0))


def fit_viscosity(landmarks: Array, sample: Array, every: int = 1) -> dict[str, Array]:
    """Coefficients of the curve and its doubt by band of log10 eta."""
    x, y, t_k, group, kind, core = gather(every)
    b, _ = basis(x, landmarks)
    na, nb = x.shape[1] + 1, b.shape[1]
    ridge = base.penalty(landmarks)
    p, inverse = solve(b, x, y, t_k, group, kind, ridge)
    covariance = inverse[na : na + nb, na : na + nb]
    factor, missed = base.low_rank(covariance, sample)
    value, variance = np.zeros(len(y)), np.zeros(len(y))
    fold = base.fold_of(group)
    for k in range(base.FOLDS):
        seen, left = fold != k, fold == k
        pk, inv = solve(
            b[seen], x[seen], y[seen], t_k[seen], base.renumber(group[seen]), kind[seen], ridge
        )
        value[left] = predict(pk, b[left], x[left], t_k[left])
        variance[left] = ((b[left] @ inv[na : na + nb, na : na + nb]) * b[left]).sum(1)
    measured = kind == "viscosity"
    widths = []
    for low, high in itertools.pairwise(BANDS):
        # bands by what is predicted: that is all one knows of a new glaze
        part = measured & (value >= low) & (value < high)
        s0, grow, q = base.calibrate((y - value)[part], variance[part], base.renumber(group[part]))
        widths.append(np.concatenate([[s0, grow], q]))
        inside = part & core
        error = y - value
        print(
            f"log10 eta {low:g}..{high:g}: mean miss {np.abs(error[part]).mean():.3f}, core "
            f"{np.abs(error[inside]).mean():.3f}; 90 % covers "
            f"{base.covered(error, variance, s0, grow, q, part):.3f}, core "
            f"{base.covered(error, variance, s0, grow, q, inside):.3f}",
            flush=True,
        )
    for name, part in (("all", measured), ("2..5", measured & (y >= 2.0) & (y <= 5.0))):
        error = np.abs(y - value)
        print(f"log10 eta {name}: {error[part].mean():.3f}, core {error[part & core].mean():.3f}")
    return {
        "a": p[:na],
        "t12": p[na : na + nb],
        "m": p[na + nb : -1],
        "calorimeter": p[-1:],
        "factor": factor,
        "missed": np.array([missed]),
        "bands": BANDS,
        "width": np.array(widths),
    }
