"""Landmark glasses, chosen to cover the measured ones, and the columns in which fits are made."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.linalg import cholesky, solve_triangular

from cofire.arrays import Array
from cofire.glass.basis import (
    nearness,
    plain,
    position,
    squared_distance,
    structure,
    to_measure_from,
)
from cofire.glass.estimate import low_fire

#: Penalties on plain terms and landmarks; by publication-grouped cross-validation.
PLAIN_PENALTY = 0.01
LANDMARK_PENALTY = 0.5
#: Low-fire glasses are a few hundredths of the measured ones and most of what is asked about: they
#: draw landmarks so many times more; the best of five tried on a quarter of the publications that
#: the fit had not seen.
_LOW_FIRE_TIMES = 11.0
#: Glasses that choose the landmarks, at most.
_MOST = 20_000


@dataclass(frozen=True, eq=False)
class Landmarks:
    """Positions (M, 26) of landmark glasses, and columns of glasses for a fit.

    Nearness to landmarks that stand close together is nearly the same column twice. Fits are made
    in columns without that likeness, in which the penalty is a diagonal, so that they come out the
    same on any number of threads; ``weights`` leads back.
    """

    at: Array

    @cached_property
    def _root(self) -> Array:
        like = nearness(squared_distance(self.at, to_measure_from(self.at)), np.float64)
        return np.asarray(cholesky(like + 1e-4 * np.eye(len(self.at)), lower=True))

    def columns(self, x: Array) -> Array:
        """Columns (N, n_plain + M) of mole fractions (N, 22)."""
        built = structure(x)
        near = nearness(squared_distance(position(x, built), to_measure_from(self.at)), np.float64)
        return np.concatenate(
            [plain(x, built), solve_triangular(self._root, near.T, lower=True).T], axis=1
        )

    def penalty(self, n_columns: int) -> Array:
        """What a squared weight costs (n_columns,); columns after the common ones as plain ones."""
        out = np.full(n_columns, PLAIN_PENALTY)
        out[0] = 1e-6
        out[self._near] = LANDMARK_PENALTY
        return out

    def weights(self, fitted: Array) -> Array:
        """Weights of the engine's basis from those of ``columns``, (n_columns,) or, side by side,
        (n_columns, K)."""
        out = fitted.copy()
        out[self._near] = solve_triangular(self._root, fitted[self._near], lower=True, trans="T")
        return np.asarray(out)

    @cached_property
    def _near(self) -> slice:
        one = np.full((1, 22), 1.0 / 22.0)
        n_plain = plain(one, structure(one)).shape[1]
        return slice(n_plain, n_plain + len(self.at))

    def apart(self, x: Array) -> Array:
        """Distance (N,) of glasses (N, 22) to the nearest landmark."""
        squared = squared_distance(position(x, structure(x)), to_measure_from(self.at))
        return np.asarray(np.sqrt(squared.min(axis=1)))


def choose_landmarks(x: Array, count: int, seed: int = 7) -> Landmarks:
    """``count`` landmarks that cover the glasses ``x`` (N, 22), each of which counts once: k-means
    from a spread-out start."""
    rng = np.random.default_rng(seed)
    x = x[np.unique(np.round(x, 3), axis=0, return_index=True)[1]]
    x = x[rng.permutation(len(x))[:_MOST]]
    at = position(x, structure(x))
    weight = 1.0 + (_LOW_FIRE_TIMES - 1.0) * low_fire(x)
    chosen = [at[rng.choice(len(at), p=weight / weight.sum())]]
    squared = ((at - chosen[0]) ** 2).sum(1)
    for _ in range(count - 1):
        odds = weight * np.minimum(squared, 9.0)  # far outliers are worth no more than far ones
        chosen.append(at[rng.choice(len(at), p=odds / odds.sum())])
        squared = np.minimum(squared, ((at - chosen[-1]) ** 2).sum(1))
    centres = np.array(chosen)
    for _ in range(8):
        nearest = squared_distance(at, to_measure_from(centres)).argmin(1)
        share = np.bincount(nearest, weight, count)
        for k in range(at.shape[1]):
            mean = np.bincount(nearest, weight * at[:, k], count) / np.maximum(share, 1e-9)
            centres[:, k] = np.where(share > 0.0, mean, centres[:, k])
    return Landmarks(centres)
