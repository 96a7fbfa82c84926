"""A predicted property with its doubt."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cofire.arrays import Array
from cofire.chem.oxides import MODELLED


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


_I = {oxide: i for i, oxide in enumerate(MODELLED)}


def low_fire(x: Array) -> Array:
    """How much each glass (N, 22), mole fractions, is one of low fire: (N,) from 0 to 1.

    1 from B2O3 0.05, alkalis 0.05 and Al2O3 0.02 on with SiO2 up to 0.70, the box in which models
    are judged apart; falling to 0 a little outside. Our choice.
    """

    def rises(amount: Array, low: float, high: float) -> Array:
        return np.clip((amount - low) / (high - low), 0.0, 1.0)

    alkali = x[:, [_I["Li2O"], _I["Na2O"], _I["K2O"]]].sum(axis=1)
    return np.asarray(
        rises(x[:, _I["B2O3"]], 0.02, 0.05)
        * rises(alkali, 0.02, 0.05)
        * rises(x[:, _I["Al2O3"]], 0.0, 0.02)
        * rises(-x[:, _I["SiO2"]], -0.75, -0.70)
    )


@dataclass(frozen=True, eq=False)
class Width:
    """How wide an interval is: q sqrt(s0² + k variance), times a factor for low fire.

    Some properties of low-fire glasses are known less well than those of others, which the
    variance alone does not show. ``q`` stands at the stored levels.
    """

    s0_squared: float
    k: float
    in_low_fire: float
    q: Array

    @classmethod
    def of(cls, stored: Array) -> Width:
        """From an array as ``stored`` wrote it."""
        s0_squared, k, in_low_fire = (float(v) for v in stored[:3])
        return cls(s0_squared, k, in_low_fire, stored[3:])

    def stored(self, unit: float = 1.0) -> Array:
        """As an array, with values in model units turned into engine units."""
        head = [unit**2 * self.s0_squared, self.k, self.in_low_fire]
        return np.concatenate([head, self.q])

    def scale(self, variance: Array, low_fire: Array) -> Array:
        """Half-width over its q (N,), from the fit's variance and ``low_fire``."""
        factor = 1.0 + low_fire * (self.in_low_fire - 1.0)
        return np.asarray(factor * np.sqrt(self.s0_squared + self.k * variance))


def error_shape(u: Array, levels: Array, q: Array) -> Array:
    """Size of an error over the 90 % half-width, for probabilities ``u`` (N,) in 0..1.

    Errors on unseen publications are mostly small and now and then gross, which a normal
    distribution of the same 90 % width would hide: half of them are less than a third of that
    width. Follows the stored quantiles, straight between them.
    """
    q90 = float(np.interp(0.9, levels, q))
    return np.asarray(np.interp(u, np.append(0.0, levels), np.append(0.0, q)) / q90)


def signed_error(rank: Array, levels: Array, q: Array) -> Array:
    """An error over the 90 % half-width, with its sign, at ranks (N,) from 0 to 1."""
    around = 2.0 * np.asarray(rank) - 1.0
    return np.asarray(np.sign(around) * error_shape(np.abs(around), levels, q))
