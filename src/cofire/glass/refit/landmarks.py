"""Landmark glasses, chosen to cover the measured ones, and what keeps their weights small."""

from __future__ import annotations

import numpy as np

from cofire.arrays import Array
from cofire.chem.oxides import MODELLED
from cofire.glass.basis import nearness, plain, position, squared_distance, structure

#: Penalties on plain terms and landmarks; by publication-grouped cross-validation.
PLAIN_PENALTY = 0.01
LANDMARK_PENALTY = 0.5


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
