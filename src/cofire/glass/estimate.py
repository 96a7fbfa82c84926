"""A predicted property with its doubt."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cofire.arrays import Array


@dataclass(frozen=True, eq=False)
class Estimate:
    """Arrays (N,): value, interval at the level asked for, and the normal sd of the same width.

    The intervals cover glasses from publications that the fit did not see, at the stated level.
    """

    value: Array
    low: Array
    high: Array
    sd: Array


#: Half-width of a 90 % interval of a normal distribution, in standard deviations.
Z90 = 1.6448536


def estimate(value: Array, width_at_level: Array, width_at_90: Array) -> Estimate:
    """Symmetric interval around a value."""
    return Estimate(value, value - width_at_level, value + width_at_level, width_at_90 / Z90)


def interpolate_level(level: float, levels: Array, q: Array) -> float:
    """Half-width factor at a level between the stored ones. Raises ValueError outside them."""
    if not levels[0] - 1e-6 <= level <= levels[-1] + 1e-6:
        raise ValueError(f"levels run from {levels[0]:.2f} to {levels[-1]:.2f}, not {level}")
    return float(np.interp(level, levels, q))


def error_shape(u: Array, levels: Array, q: Array) -> Array:
    """Size of an error over the 90 % half-width, for probabilities ``u`` (N,) in 0..1.

    Errors on unseen publications are mostly small and now and then gross, which a normal
    distribution of the same 90 % width would hide: half of them are less than a third of that
    width. Follows the stored quantiles, straight between them.
    """
    q90 = float(np.interp(0.9, levels, q))
    return np.asarray(np.interp(u, np.append(0.0, levels), np.append(0.0, q)) / q90)
