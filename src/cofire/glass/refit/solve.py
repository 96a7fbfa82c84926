"""Robust penalised least squares that takes a publication, not a row, as the unit of evidence."""

from __future__ import annotations

import zlib
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy.optimize import minimize

from cofire.arrays import Array
from cofire.glass.estimate import Width

FOLDS = 5
#: Levels at which interval widths are stored.
LEVELS = np.array([0.5, 0.6, 0.7, 0.8, 0.85, 0.9, 0.95, 0.98, 0.99])
#: Directions kept of the parameters' covariance: enough to tell near from far.
RANK = 32
#: Variance that the rows of a publication share over that of a single row; by
#: publication-grouped cross-validation.
PUBLICATION_RATIO = 0.3
#: A row counts in calibration by its publication's rows to minus this power: between rows that
#: count alike (0) and publications that do (1). Our choice.
PUBLICATION_POWER = 0.6
HUBER = 1.0
REDESCEND = 4.0


def less_publication(group: Any, weight: Array, *columns: Array) -> list[Array]:
    """Take from each column part of its publication's weighted mean: generalised least squares
    for rows that share an offset per publication (numbered in ``group``)."""
    total = np.bincount(group, weight)
    theta = 1.0 - 1.0 / np.sqrt(1.0 + PUBLICATION_RATIO * total)
    out = []
    for column in columns:
        matrix = column if column.ndim == 2 else column[:, None]
        mean = np.zeros((len(total), matrix.shape[1]))
        np.add.at(mean, group, matrix * weight[:, None])
        mean *= (theta / np.maximum(total, 1e-12))[:, None]
        out.append((matrix - mean[group]).reshape(column.shape))
    return out


def downweight(residual: Array, scale: float, redescend: float = REDESCEND) -> Array:
    """Huber weights with a tail that lets gross errors go, (N,) in (0, 1]."""
    z = np.abs(residual) / scale
    weight = np.minimum(1.0, HUBER / np.maximum(z, 1e-9))
    tail = np.exp(-(np.maximum(z - redescend, 0.0) ** 2) / 8.0)
    return np.asarray(np.maximum(weight * tail, 1e-3))


def fit(
    columns: Array, y: Array, group: Any, penalty: Array, worth: Array | None = None
) -> tuple[Array, Array]:
    """Robust penalised least squares: weights (P,) and the covariance of them (P, P); ``penalty``
    (P,) on squared weights."""
    number = renumber(group)
    worth = np.ones(len(y)) if worth is None else worth
    weight = worth
    for _ in range(6):
        b, target = less_publication(number, weight, columns, y)
        root = np.sqrt(weight)
        b *= root[:, None]
        normal = b.T @ b
        normal[np.diag_indices_from(normal)] += penalty
        coefficients = np.linalg.solve(normal, b.T @ (root * target))
        residual = target - (b @ coefficients) / root
        scale = 1.4826 * float(np.median(np.abs(residual)))
        weight = worth * downweight(residual, scale)
    return np.asarray(coefficients), np.asarray(scale**2 * np.linalg.inv(normal))


def renumber(group: Any) -> Any:
    return np.unique(group, return_inverse=True)[1]


def fold_of(group: Any) -> Any:
    """Fold number of each row, by the name of its publication: the same one in every file."""
    return np.array([zlib.crc32(f"1{name}".encode()) % FOLDS for name in group])


@dataclass(frozen=True, eq=False)
class Design:
    """Rows of a property and its kin, ready to be fitted. The first ``n`` rows are its own."""

    columns: Array
    y: Array
    group: Any
    worth: Array
    penalty: Array
    n: int

    def fit(self, keep: Any | None = None) -> tuple[Array, Array]:
        """Weights and covariance, from all rows or those to ``keep`` (N,)."""
        s = slice(None) if keep is None else keep
        # kin rows of one publication share an offset of their own
        name = np.char.add(self.group, np.where(np.arange(len(self.y)) < self.n, "", " kin"))
        return fit(self.columns[s], self.y[s], name[s], self.penalty, self.worth[s])


@dataclass(frozen=True, eq=False)
class Unseen:
    """Predictions (N,) for rows whose publication was left out, from landmarks that were chosen
    without it; how far the fit leaves them open, and their distance to the nearest landmark."""

    value: Array
    variance: Array
    apart: Array

    @classmethod
    def none(cls, n: int) -> Unseen:
        return cls(np.zeros(n), np.zeros(n), np.zeros(n))


def calibrate(error: Array, variance: Array, group: Any, terms: Array, free: int = 0) -> Width:
    """The width that covers unseen publications at every level, from errors, the fit's variance,
    publications (N,) and what makes glasses unsure (N, n_terms).

    Quantile regression (Koenker & Bassett 1978) of log |error| at 90 %. No term narrows an
    interval, but for the last ``free`` of them. Publications count for less than their rows, so
    that no large one decides alone.
    """
    number = renumber(group)
    weight = np.bincount(number)[number] ** -PUBLICATION_POWER
    weight /= weight.sum()
    s0 = float(np.median(np.abs(error))) ** 2
    size = np.log(np.maximum(np.abs(error), 1e-3 * np.sqrt(s0)))
    columns = np.column_stack([np.ones(len(error)), terms])
    n = columns.shape[1]
    bounds = [(None, None), *[(0.0, 4.0)] * (n - 1 - free), *[(-4.0, 4.0)] * free]
    found = []
    for k in (0.0, 1.0, 4.0, 16.0, 64.0):
        base = size - 0.5 * np.log(s0 + k * variance)

        def loss(p: Array, base: Array = base) -> tuple[float, Array]:
            # the check function, rounded over a twentieth of a log unit so that it has a slope
            gap = (base - columns @ p) / 0.05
            over = np.logaddexp(0.0, gap)
            value = 0.05 * (weight @ (over - 0.1 * gap)) + 1e-4 * (p[1:] @ p[1:])
            slope = -columns.T @ (weight * (np.exp(gap - over) - 0.1))
            slope[1:] += 2e-4 * p[1:]
            return float(value), slope

        start = np.zeros(n)
        start[0] = weighted_quantile(base, weight, np.array([0.9]))[0]
        tight = {"ftol": 1e-15, "gtol": 1e-10, "maxiter": 2000}
        best = minimize(loss, start, jac=True, bounds=bounds, method="L-BFGS-B", options=tight)
        # where a search stops depends on how threads share a sum: no more digits than are sure
        found.append((float(best.fun), k, np.round(best.x[1:], 4)))
    _, k, slopes = min(found, key=lambda f: f[0])
    scale = Width(s0, k, slopes, LEVELS).scale(variance, terms)
    return Width(s0, k, slopes, weighted_quantile(np.abs(error) / scale, weight, LEVELS))


def weighted_quantile(values: Array, weight: Array, levels: Array) -> Array:
    order = np.argsort(values)
    cumulative = np.cumsum(weight[order]) / weight.sum()
    return np.asarray(np.interp(levels, cumulative, values[order]))


def low_rank(covariance: Array, sample: Array) -> tuple[Array, float]:
    """Factor L (P, RANK) with |L' b|² near b' C b on ``sample`` (N, P), and what it misses."""
    root = np.linalg.cholesky(covariance + 1e-12 * np.trace(covariance) * np.eye(len(covariance)))
    _, _, right = np.linalg.svd(sample @ root, full_matrices=False)
    factor = root @ right[:RANK].T
    exact = ((sample @ covariance) * sample).sum(1)
    missed = exact - ((sample @ factor) ** 2).sum(1)
    return factor, float(np.mean(missed))
