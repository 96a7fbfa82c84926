"""Fit every property model anew from the measured rows: ``python -m cofire.glass.refit``.

Writes ``coefficients/engine.npz``. Seeds are fixed. Doubt is measured on publications that the
fit did not see: rows are split by publication, never at random.
"""

from __future__ import annotations

import csv
import gzip
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from cofire.arrays import Array
from cofire.chem.oxides import MODELLED
from cofire.glass.basis import basis, nearness, plain, position, squared_distance, structure
from cofire.glass.engine import FOLDER, store_coefficients

MEASURED = Path(__file__).parent / "measured"
N_LANDMARKS = 300
FOLDS = 5
#: Levels at which interval widths are stored.
LEVELS = np.array([0.5, 0.6, 0.7, 0.8, 0.85, 0.9, 0.95, 0.98, 0.99])
#: Directions kept of the parameters' covariance: enough to tell near from far.
RANK = 32

#: Penalties on plain terms and landmarks, and the variance that publications share with
#: themselves over that of single rows; by publication-grouped cross-validation.
PLAIN_PENALTY = 0.01
LANDMARK_PENALTY = 0.5
PUBLICATION_RATIO = 0.3
HUBER = 1.0
REDESCEND = 4.0


@dataclass(frozen=True, eq=False)
class Rows:
    """One measured file: mole fractions (N, 22), value (N,), publication number (N,)."""

    x: Array
    y: Array
    group: np.ndarray[Any, Any]
    core: np.ndarray[Any, Any]
    extra: Array  # a second number column: temperature or range, else zero


def read_table(name: str) -> list[dict[str, str]]:
    with gzip.open(MEASURED / f"{name}.csv.gz", "rt", encoding="utf-8") as lines:
        return list(csv.DictReader(lines))


def rows(name: str, column: str, *, kind: str = "", extra: str = "", every: int = 1) -> Rows:
    """Rows of one file (of one ``kind``); ``every`` n-th publication only, for quick checks."""
    table = [r for r in read_table(name) if not kind or r["kind"] == kind]
    ids = {g: i for i, g in enumerate(dict.fromkeys(r["group"] for r in table))}
    table = [r for r in table if ids[r["group"]] % every == 0]
    x = np.array([[float(r[o]) for o in MODELLED] for r in table])
    return Rows(
        x=x / x.sum(axis=1, keepdims=True),
        y=np.array([float(r[column]) for r in table]),
        group=np.unique([r["group"] for r in table], return_inverse=True)[1],
        core=np.array([r["core"] == "1" for r in table]),
        extra=np.array([float(r[extra]) if extra else 0.0 for r in table]),
    )


def choose_landmarks(x: Array, count: int, seed: int = 7) -> Array:
    """Positions (count, 26) that cover the glasses ``x``: k-means from a spread-out start."""
    rng = np.random.default_rng(seed)
    at = position(x, structure(x))
    at = at[rng.permutation(len(at))[:20_000]]
    chosen = [at[rng.integers(len(at))]]
    squared = ((at - chosen[0]) ** 2).sum(1)
    for _ in range(count - 1):
        odds = np.minimum(squared, 9.0)  # far outliers are worth no more than far ones
        chosen.append(at[rng.choice(len(at), p=odds / odds.sum())])
        squared = np.minimum(squared, ((at - chosen[-1]) ** 2).sum(1))
    centres = np.array(chosen)
    for _ in range(8):
        nearest = squared_distance(at, centres).argmin(1)
        for m in range(count):
            members = at[nearest == m]
            if len(members):
                centres[m] = members.mean(0)
    return centres


def penalty(landmarks: Array, extra: int = 0) -> Array:
    """Ridge on the plain terms, the kernel's own norm on the landmarks; (P, P)."""
    one = np.full((1, len(MODELLED)), 1.0 / len(MODELLED))
    n_plain = plain(one, structure(one)).shape[1]
    size = n_plain + len(landmarks) + extra
    out = PLAIN_PENALTY * np.eye(size)
    out[0, 0] = 1e-6
    inner = slice(n_plain, n_plain + len(landmarks))
    out[inner, inner] = LANDMARK_PENALTY * (
        nearness(squared_distance(landmarks, landmarks)) + 1e-4 * np.eye(len(landmarks))
    )
    return out


def less_publication(group: Any, weight: Array, *columns: Array) -> list[Array]:
    """Take from each column part of its publication's weighted mean: generalised least squares
    for rows that share an offset per publication."""
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


def fit(columns: Array, y: Array, group: Any, ridge: Array) -> tuple[Array, Array]:
    """Robust penalised least squares: weights (P,) and the covariance of them (P, P)."""
    _, group = np.unique(group, return_inverse=True)
    weight = np.ones(len(y))
    for _ in range(6):
        b, target = less_publication(group, weight, columns, y)
        normal = (b * weight[:, None]).T @ b + ridge
        coefficients = np.linalg.solve(normal, (b * weight[:, None]).T @ target)
        residual = target - b @ coefficients
        scale = 1.4826 * float(np.median(np.abs(residual)))
        weight = downweight(residual, scale)
    return np.asarray(coefficients), np.asarray(scale**2 * np.linalg.inv(normal))


def fold_of(group: Any, seed: int = 1) -> Any:
    """Fold number of each row; a publication is never split."""
    return (np.random.default_rng(seed).permutation(int(group.max()) + 1) % FOLDS)[group]


@dataclass(frozen=True, eq=False)
class Unseen:
    """Predictions (N,) for rows whose publication was left out, and their model variance."""

    value: Array
    variance: Array


def cross_validate(columns: Array, data: Rows, ridge: Array) -> Unseen:
    value, variance = np.zeros(len(data.y)), np.zeros(len(data.y))
    fold = fold_of(data.group)
    for k in range(FOLDS):
        seen, left = fold != k, fold == k
        coefficients, covariance = fit(columns[seen], data.y[seen], data.group[seen], ridge)
        value[left] = columns[left] @ coefficients
        variance[left] = ((columns[left] @ covariance) * columns[left]).sum(1)
    return Unseen(value, variance)


def calibrate(error: Array, variance: Array, group: Any) -> tuple[float, float, Array]:
    """(s0², k, q at LEVELS) so that q sqrt(s0² + k variance) covers unseen publications.

    ``k`` is the one whose 90 % interval is narrowest on average; publications count by the root
    of their rows, so that no large one decides alone.
    """
    weight = 1.0 / np.sqrt(np.bincount(group)[group])
    s0 = float(np.median(np.abs(error))) ** 2
    best = (np.inf, 0.0, np.zeros(len(LEVELS)))
    for k in (0.0, 1.0, 2.0, 4.0, 8.0, 16.0, 32.0, 64.0):
        width = np.sqrt(s0 + k * variance)
        q = weighted_quantile(np.abs(error) / width, weight, LEVELS)
        mean = float(np.average(width * q[list(LEVELS).index(0.9)], weights=weight))
        if mean < best[0]:
            best = (mean, k, q)
    return s0, best[1], best[2]


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


@dataclass(frozen=True, eq=False)
class Target:
    """A property with a model of its own: where its rows are and how they are scaled."""

    name: str
    file: str
    column: str
    scale: float  # engine unit = scale × model unit + shift
    shift: float = 0.0
    kind: str = ""
    extra: str = ""


TARGETS = (
    Target("expansion", "expansion", "alpha_1e7_per_K", 0.1, extra="about_c"),
    Target("glass_transition", "tg", "Tg_K", 1.0, -273.15),
    Target("strain", "fixed_points", "t_c", 1.0, kind="strain"),
    Target("annealing", "fixed_points", "t_c", 1.0, kind="annealing"),
    Target("littleton", "fixed_points", "t_c", 1.0, kind="littleton_softening"),
    Target("dilatometric", "fixed_points", "t_c", 1.0, kind="dilatometric_softening"),
    Target("youngs", "young", "E_GPa", 1.0),
    Target("density", "density", "g_per_cm3", 1.0),
    Target("liquidus", "liquidus", "t_c", 1.0),
)
#: Model unit: what makes the spread of each property a few units, so that one penalty serves all.
MODEL_UNIT = {
    "expansion": 1.0, "glass_transition": 100.0, "strain": 100.0, "annealing": 100.0,
    "littleton": 100.0, "dilatometric": 100.0, "youngs": 10.0, "density": 0.3, "liquidus": 100.0,
}  # fmt: skip


def range_terms(x: Array, about_c: Array) -> Array:
    """How a mean expansion moves with the middle of its range: (N, 24), zero at 160 °C."""
    t = (about_c - 160.0)[:, None] / 100.0
    return np.concatenate([t, t**2, 3.0 * t * x], axis=1)


def fit_target(target: Target, landmarks: Array, sample: Array, every: int = 1) -> dict[str, Array]:
    """Coefficients and calibrated doubt of one property, as arrays to be stored."""
    data = rows(target.file, target.column, kind=target.kind, extra=target.extra, every=every)
    unit = MODEL_UNIT[target.name]
    y = (target.scale * data.y + target.shift) / unit
    columns, _ = basis(data.x, landmarks)
    n_extra = 0
    if target.extra:
        terms = range_terms(data.x, data.extra)
        n_extra = terms.shape[1]
        columns = np.concatenate([columns, terms], axis=1)
    ridge = penalty(landmarks, n_extra)
    scaled = Rows(data.x, y, data.group, data.core, data.extra)
    coefficients, covariance = fit(columns, y, data.group, ridge)
    unseen = cross_validate(columns, scaled, ridge)
    error = y - unseen.value
    n_basis = columns.shape[1] - n_extra
    factor, missed = low_rank(covariance[:n_basis, :n_basis], sample)
    out = {
        "weights": unit * coefficients,
        "factor": unit * factor,
        "missed": np.array([unit**2 * missed]),
    }
    parts = {"": np.ones(len(y), bool)}
    if target.extra:
        parts = {"": np.abs(data.extra - 160.0) < 1.0, "_20_400": np.abs(data.extra - 210.0) < 1.0}
    for suffix, part in parts.items():
        s0, k, q = calibrate(error[part], unseen.variance[part], renumber(data.group[part]))
        out[f"width{suffix}"] = np.concatenate([[unit**2 * s0, k], q])
        inside = part & data.core
        print(
            f"{target.name + suffix:20} unseen publications: mean miss "
            f"{unit * np.abs(error[part]).mean():.3f}, low-fire core "
            f"{unit * np.abs(error[inside]).mean():.3f}; 90 % covers "
            f"{covered(error, unseen.variance, s0, k, q, part):.3f}, core "
            f"{covered(error, unseen.variance, s0, k, q, inside):.3f}  "
            f"({part.sum()} rows, {inside.sum()} core)",
            flush=True,
        )
    return out


def renumber(group: Any) -> Any:
    return np.unique(group, return_inverse=True)[1]


def covered(error: Array, variance: Array, s0: float, k: float, q: Array, part: Any) -> float:
    width = q[list(LEVELS).index(0.9)] * np.sqrt(s0 + k * variance[part])
    return float((np.abs(error[part]) <= width).mean())


def refit(every: int = 1, folder: Path = FOLDER) -> None:
    """Fit everything and write the coefficients; ``every`` n-th publication only for a check."""
    from cofire.glass.refit_viscosity import fit_viscosity

    union = np.concatenate(
        [
            rows(t.file, t.column, kind=t.kind, every=every).x[::3]
            for t in TARGETS
            if t.name in ("expansion", "glass_transition", "strain", "annealing", "liquidus")
        ]
    )
    landmarks = choose_landmarks(union, N_LANDMARKS if every == 1 else 40)
    sample, _ = basis(union[:: max(1, len(union) // 3000)], landmarks)
    store: dict[str, Array] = {"landmarks": landmarks, "levels": LEVELS}
    for target in TARGETS:
        for key, value in fit_target(target, landmarks, sample, every).items():
            store[f"{target.name}.{key}"] = value
    for key, value in fit_viscosity(landmarks, sample, every).items():
        store[f"viscosity.{key}"] = value
    poisson = rows("poisson", "nu")
    design = np.concatenate([np.ones((len(poisson.x), 1)), poisson.x], axis=1)
    weights, _ = fit(design, poisson.y, poisson.group, 0.03 * np.eye(design.shape[1]))
    store["poisson.weights"] = weights
    store["seen.high"] = np.percentile(union, 99.8, axis=0)
    apart = np.sqrt(squared_distance(position(union, structure(union)), landmarks).min(1))
    store["seen.apart"] = np.percentile(apart, [50.0, 95.0, 99.8])
    store_coefficients(store, folder)
    print(f"written to {folder}")


if __name__ == "__main__":
    refit()
