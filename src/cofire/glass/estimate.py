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
#: Distance to the nearest landmark glass, in units of position, well inside the measured glasses,
#: at their edge, and outside: a fixed ruler, so that more data make a glass better known and not
#: the ruler longer. Our choice: the median, the 95th and the 99.8th percentile of first data.
RULER = np.array([0.7, 1.6, 2.7])


def distance_grade(apart: Array) -> Array:
    """Grade (N,) of distances to the nearest landmark: 0 well inside, 0.5 at the edge, 1 outside,
    and on in a straight line to 3."""
    beyond = RULER[2] + 4.0 * (RULER[2] - RULER[1])
    return np.asarray(np.interp(apart, [*RULER, beyond], [0.0, 0.5, 1.0, 3.0]))


def low_fire(x: Array) -> Array:
    """How much each glass (N, 22), mole fractions, is one of low fire: (N,) from 0 to 1.

    1 from B2O3 0.05, alkalis 0.05 and Al2O3 0.02 on with SiO2 up to 0.70, the box in which models
    are judged apart; falling to 0 a little outside. Our choice.
    """

    def rises(amount: Array, low: float, high: float) -> Array:
        t = np.clip((amount - low) / (high - low), 0.0, 1.0)
        return np.asarray(t * t * (3.0 - 2.0 * t))

    return np.asarray(
        rises(x[:, _I["B2O3"]], 0.02, 0.05)
        * rises(_alkali(x), 0.02, 0.05)
        * rises(x[:, _I["Al2O3"]], 0.0, 0.02)
        * rises(-x[:, _I["SiO2"]], -0.75, -0.70)
    )


def _alkali(x: Array) -> Array:
    return np.asarray(x[:, [_I["Li2O"], _I["Na2O"], _I["K2O"]]].sum(axis=1))


#: What may make predictions less sure: see ``unsure``.
UNSURE = ("far", "alkali", "boron", "lead", "little silica", "low fire")


def unsure(x: Array, apart: Array) -> Array:
    """How much of each of UNSURE glasses (N, 22) have, (N, 6), from 0 on; ``apart`` is the distance
    (N,) to the nearest landmark. Where amounts begin to count is our choice."""

    def above(amount: Array, start: float) -> Array:  # smooth, in tenths of a mole fraction
        with np.errstate(invalid="ignore"):  # rows of nothing
            return np.asarray(0.1 * np.logaddexp(0.0, (amount - start) / 0.01))

    return np.stack(
        [
            distance_grade(apart),
            above(_alkali(x), 0.15),
            above(x[:, _I["B2O3"]], 0.12),
            above(x[:, _I["PbO"]], 0.10),
            above(-x[:, _I["SiO2"]], -0.55),
            low_fire(x),
        ],
        axis=1,
    )


@dataclass(frozen=True, eq=False)
class Width:
    """How wide an interval is: q sqrt(s0² + k variance) exp(slopes · what makes it unsure).

    The variance of a fit alone does not show that unseen publications miss by more far from the
    data or where glasses are rich in alkali, boron or lead. ``q`` stands at the stored levels.
    """

    s0_squared: float
    k: float
    slopes: Array  # (n_terms,)
    q: Array

    @classmethod
    def of(cls, stored: Array, n_terms: int = len(UNSURE)) -> Width:
        """From an array as ``stored`` wrote it."""
        s0_squared, k = (float(v) for v in stored[:2])
        return cls(s0_squared, k, stored[2 : 2 + n_terms], stored[2 + n_terms :])

    def stored(self, unit: float = 1.0) -> Array:
        """As an array, with values in model units turned into engine units."""
        return np.concatenate([[unit**2 * self.s0_squared, self.k], self.slopes, self.q])

    def scale(self, variance: Array, terms: Array) -> Array:
        """Half-width over its q (N,), from the fit's variance (N,) and terms (N, n_terms)."""
        return self.scale_along(variance, terms @ self.slopes)

    def scale_along(self, variance: Array, along: Array) -> Array:
        """As ``scale`` where the terms times their slopes are known, (N,)."""
        return np.asarray(np.sqrt(self.s0_squared + self.k * variance) * np.exp(along))


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
