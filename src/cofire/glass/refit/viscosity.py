"""The viscosity curve, fitted to viscosities and fixed points together.

MYEGA (Mauro et al., PNAS 106 (2009) 19780): log10 eta = A + (12 - A) x exp((m/(12 - A) - 1)(x - 1))
with x = T12/T in kelvin. ln T12 and ln m run over the common basis, A is linear in composition.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from scipy.linalg import cho_factor, cho_solve

from cofire.arrays import Array
from cofire.glass.estimate import unsure
from cofire.glass.refit.grounds import Grounds
from cofire.glass.refit.judged import Judged
from cofire.glass.refit.landmarks import Landmarks
from cofire.glass.refit.measured import Measured, Rows
from cofire.glass.refit.properties import refuse_too_few
from cofire.glass.refit.solve import Unseen, calibrate, downweight, fold_of, low_rank, renumber
from cofire.glass.viscosity import N_FREE, unsure_at

#: log10 Pa·s at which each fixed point is measured; strain and annealing by their definition,
#: Littleton's by his (10^6.6 Pa·s).
FIXED = {"annealing": 12.0, "strain": 13.5, "littleton_softening": 6.6}
#: What one row of each kind is worth beside a measured viscosity; by cross-validation.
WORTH = {"viscosity": 1.0, "fixed": 0.3, "calorimeter": 0.15}
#: By how many kelvins temperatures may be wrong, and by how many decades a viscosity: steep rows
#: are known less well. By publication-grouped cross-validation.
KELVINS = 12.0
DECADES = 0.08
#: Bounds that keep the curve sane while it is being fitted and far outside the data.
LN_M = (2.5, 5.0)
A_RANGE = (-6.0, 2.0)
CURVE_PENALTY = {"a": 3.0, "t": 30.0, "m": 10.0, "off": 30.0}
#: Rounds of the fit in which rows are weighted anew, and at most in all; it has settled when no
#: step is larger than so much of the longest one allowed.
_REWEIGHTED = 9
_ROUNDS = 25
#: Rounds at first that see every third row only: they look for the neighbourhood.
_ROUGH = 5
_SETTLED = 1e-7


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


def gather(measured: Measured) -> ViscosityRows:
    """All rows that speak of viscosity."""
    r = measured.rows("visc", "log10_eta_Pas", extra="T_K")
    parts = [ViscosityRows(r.x, r.y, r.extra, r.group, _all("viscosity", r), r.core)]
    for name, log10_eta in FIXED.items():
        r = measured.rows("fixed_points", "t_c", kind=name)
        y = np.full(len(r.y), log10_eta)
        parts.append(ViscosityRows(r.x, y, r.y + 273.15, r.group, _all("fixed", r), r.core))
    r = measured.rows("tg", "Tg_K")
    y = np.full(len(r.y), 12.0)
    parts.append(ViscosityRows(r.x, y, r.y, r.group, _all("calorimeter", r), r.core))
    rows = ViscosityRows(*(np.concatenate(column) for column in zip(*parts, strict=True)))
    return rows.some((rows.y > -1.5) & (rows.y < 14.5))


def _all(kind: str, rows: Rows) -> Any:
    return np.full(len(rows.y), kind)


class CurveFit(NamedTuple):
    """Weights in the columns of the fit: A (23,), ln T12 (P,), ln m (P,), and the covariance of
    those of ln T12 (P, P)."""

    a: Array
    t12: Array
    m: Array
    covariance: Array

    def log10_eta(self, b: Array, x: Array, t_k: Array) -> Array:
        """log10 eta of rows (N,), clipped at 14 where nothing is measured."""
        a = np.clip(self.a[0] + x @ self.a[1:], *A_RANGE)
        ln_m = np.clip(b @ self.m, *LN_M)
        return np.asarray(np.minimum(curve(b @ self.t12, ln_m, a, t_k)[0], 14.0))


def solve(b: Array, rows: ViscosityRows, ridge: Array) -> CurveFit:
    """Gauss-Newton with robust weights, for columns ``b`` (N, P) with penalties ``ridge`` (P,).

    Beside A, ln T12 and ln m the fit finds how far a calorimeter's Tg lies from T12, linear in
    composition: such rows say how T12 moves, but not where it stands.
    """
    x, y, t_k, group, kind, _ = rows
    ones = np.concatenate([np.ones((len(x), 1)), x], axis=1)
    na, nb = ones.shape[1], b.shape[1]
    size = 2 * na + 2 * nb
    a_at, t_at, m_at, off_at = np.split(np.arange(size), np.cumsum([na, nb, nb]))
    off = ones * (kind == "calorimeter")[:, None]
    number = renumber(group)
    rows_of = np.bincount(number)[number]
    worth = np.array([WORTH[k] for k in kind]) / np.clip(np.sqrt(rows_of / 10.0), 0.7, 3.0)
    penalty, prior, p = np.zeros(size), np.zeros(size), np.zeros(size)
    penalty[a_at] = CURVE_PENALTY["a"]
    penalty[0] = 1e-3
    penalty[t_at] = CURVE_PENALTY["t"] * ridge
    penalty[m_at] = CURVE_PENALTY["m"] * ridge
    penalty[off_at] = CURVE_PENALTY["off"]
    prior[0] = p[0] = -2.6
    p[t_at[0]], p[m_at[0]] = np.log(800.0), np.log(38.0)
    whole = b, ones, off, y, t_k, worth
    for round_number in range(_ROUNDS):
        every = 3 if round_number < _ROUGH else 1
        b, ones, off, y, t_k, worth = (column[::every] for column in whole)
        ln_t12 = b @ p[t_at] + off @ p[off_at]
        ln_m = np.clip(b @ p[m_at], *LN_M)
        value, by_t12, by_m, by_a = curve(ln_t12, ln_m, np.clip(ones @ p[a_at], *A_RANGE), t_k)
        residual = y - value
        if round_number < _REWEIGHTED:
            variance = 1.0 + (KELVINS / DECADES * by_t12 / t_k) ** 2
            if round_number == 0:
                weight = worth / np.maximum(np.abs(residual), 1.0) / variance
            else:
                z = residual / np.sqrt(variance)
                scale = max(1.4826 * float(np.median(np.abs(z))), 0.08)
                weight = worth * downweight(z, scale, redescend=6.0) / variance
            weight = every * weight
        blocks = ((ones, by_a), (b, by_t12), (b, by_m), (off, by_t12))
        # half the digits for the way down, which takes most of the time; the slope, which says
        # where the bottom is, has all of them
        normal = _normal(blocks, np.sqrt(weight), np.float32)
        normal[np.diag_indices(size)] *= 1.0 + 1e-5  # more than what rounding takes away
        normal += np.diag(penalty)
        slope = np.concatenate([c.T @ (by * weight * residual) for c, by in blocks])
        step = cho_solve(cho_factor(normal), slope - penalty * (p - prior))
        far = max(np.abs(b @ step[t_at]).max() / 0.4, np.abs(b @ step[m_at]).max() / 0.6)
        p = p + step / max(1.0, float(far))
        if round_number >= _REWEIGHTED and far < _SETTLED:
            break
    exact = _normal(blocks, np.sqrt(weight), np.float64) + np.diag(penalty)
    inverse = np.linalg.inv(exact)[np.ix_(t_at, t_at)]
    return CurveFit(p[a_at], p[t_at], p[m_at], inverse)


def _normal(blocks: Any, root: Array, digits: Any) -> Array:
    """Normal matrix (P, P) of columns, each times its slope (N,) and the root of a weight."""
    jacobian = np.concatenate(
        [c.astype(digits) * (by * root).astype(digits)[:, None] for c, by in blocks], axis=1
    )
    return np.asarray(jacobian.T @ jacobian, dtype=float)


def predict_unseen(rows: ViscosityRows, grounds: Grounds) -> Unseen:
    """log10 eta of all rows, each from landmarks and a fit that saw nothing of its publication."""
    out = Unseen.none(len(rows.y))
    fold = fold_of(rows.group)
    for k, landmarks in enumerate(grounds.of_fold):
        left = np.flatnonzero(fold == k)
        if not len(left):
            continue
        b = landmarks.columns(rows.x)
        found = _fit(b[fold != k], rows.some(fold != k), landmarks)
        b = b[left]
        out.value[left] = found.log10_eta(b, rows.x[left], rows.t_k[left])
        out.variance[left] = ((b @ found.covariance) * b).sum(1)
        out.apart[left] = landmarks.apart(rows.x[left])
    return out


def _fit(b: Array, rows: ViscosityRows, landmarks: Landmarks) -> CurveFit:
    return solve(b, rows, landmarks.penalty(b.shape[1]))


def fit_viscosity(grounds: Grounds) -> tuple[dict[str, Array], list[Judged], Array]:
    """Coefficients of the curve and its doubt; how unseen rows came out, and the temperatures
    (N,), K, of those rows."""
    rows = gather(grounds.measured)
    refuse_too_few("viscosity", rows.group[rows.kind == "viscosity"])
    landmarks = grounds.all
    found = _fit(landmarks.columns(rows.x), rows, landmarks)
    factor, missed = low_rank(found.covariance, grounds.sample)
    unseen = predict_unseen(rows, grounds)
    terms = unsure_at(unsure(rows.x, unseen.apart), unseen.value, rows.t_k - 273.15)
    part = rows.kind == "viscosity"
    width = calibrate(
        (rows.y - unseen.value)[part], unseen.variance[part], rows.group[part], terms[part],
        free=N_FREE,
    )  # fmt: skip
    scale = width.scale(unseen.variance, terms)
    judged = []
    for name, some in (
        ("log10_eta", part),
        ("log10_eta_2_5", part & (rows.y >= 2.0) & (rows.y <= 5.0)),
    ):
        judged.append(
            Judged(
                name, rows.x[some], rows.y[some], unseen.value[some], scale[some], width.q,
                rows.group[some], rows.core[some], unseen.apart[some],
            )
        )  # fmt: skip
        print(judged[-1].line(), flush=True)
    store = {
        "a": found.a,
        "t12": landmarks.weights(found.t12),
        "m": landmarks.weights(found.m),
        "factor": landmarks.weights(factor),
        "missed": np.array([missed]),
        "width": width.stored(),
    }
    return store, judged, rows.t_k[part]
