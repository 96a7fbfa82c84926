"""Robust penalised least squares that takes a publication, not a row, as the unit of evidence."""

from __future__ import annotations

import zlib
from dataclasses import dataclass
from typing import Any

import numpy as np

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
PUBLICATION_POWER = 0.25
#: Fewer rows than this say nothing of how doubt differs at low fire.
_ENOUGH = 100
#: A 90 % interval should cover at least this share even of the least sure tenth of the glasses.
_FAR_COVERED = 0.88
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
    columns: Array, y: Array, group: Any, ridge: Array, worth: Array | None = None
) -> tuple[Array, Array]:
    """Robust penalised least squares: weights (P,) and the covariance of them (P, P)."""
    number = renumber(group)
    worth = np.ones(len(y)) if worth is None else worth
    weight = worth
    for _ in range(6):
        b, target = less_publication(number, weight, columns, y)
        normal = (b * weight[:, None]).T @ b + ridge
        coefficients = np.linalg.solve(normal, (b * weight[:, None]).T @ target)
        residual = target - b @ coefficients
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
    ridge: Array
    n: int

    def fit(self, keep: Any | None = None) -> tuple[Array, Array]:
        """Weights and covariance, from all rows or those to ``keep`` (N,)."""
        s = slice(None) if keep is None else keep
        # kin rows of one publication share an offset of their own
        name = np.char.add(self.group, np.where(np.arange(len(self.y)) < self.n, "", " kin"))
        return fit(self.columns[s], self.y[s], name[s], self.ridge, self.worth[s])


@dataclass(frozen=True, eq=False)
class Unseen:
    """Predictions (N,) for rows whose publication was left out, and their model variance."""

    value: Array
    variance: Array


def cross_validate(design: Design) -> Unseen:
    """Predict the property's own rows, each from a fit that saw nothing of its publication."""
    value, variance = np.zeros(design.n), np.zeros(design.n)
    fold = fold_of(design.group)
    for k in range(FOLDS):
        left = np.flatnonzero(fold[: design.n] == k)
        if len(left):
            coefficients, covariance = design.fit(fold != k)
            value[left] = design.columns[left] @ coefficients
            b = design.columns[left]
            variance[left] = ((b @ covariance) * b).sum(1)
    return Unseen(value, variance)


def calibrate(error: Array, variance: Array, group: Any, low_fire: Array) -> Width:
    """The width that covers unseen publications at every level, low-fire glasses no less
    than the rest; from errors, the fit's variance, publications and ``low_fire`` (N,).

    ``k`` is the one whose 90 % interval is narrowest on average, among those that still cover the
    tenth of the glasses of which the fit is least sure. Publications count for less than their
    rows, so that no large one decides alone.
    """
    number = renumber(group)
    weight = np.bincount(number)[number] ** -PUBLICATION_POWER
    at_90 = LEVELS.tolist().index(0.9)
    far = variance >= np.quantile(variance, 0.9)
    s0 = float(np.median(np.abs(error))) ** 2
    widths = []
    for k in (0.0, 1.0, 2.0, 4.0, 8.0, 16.0, 32.0, 64.0):
        plain = Width(s0, k, 1.0, np.ones(len(LEVELS)))
        size = np.abs(error) / plain.scale(variance, low_fire)
        of_all = weighted_quantile(size, weight, LEVELS)[at_90]
        part = low_fire >= 1.0
        wider = 1.0
        if part.sum() >= _ENOUGH:
            wider = max(1.0, weighted_quantile(size[part], weight[part], LEVELS)[at_90] / of_all)
        scale = Width(s0, k, wider, plain.q).scale(variance, low_fire)
        q = weighted_quantile(np.abs(error) / scale, weight, LEVELS)
        inside = np.abs(error) <= scale * q[at_90]
        short = max(0.0, _FAR_COVERED - float(np.average(inside[far], weights=weight[far])))
        mean = float(np.average(scale * q[at_90], weights=weight))
        widths.append((round(short, 2), mean, Width(s0, k, wider, q)))
    return min(widths, key=lambda f: f[:2])[2]


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
