"""A value and the bounds that hold it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Self

import numpy as np

from cofire import glass
from cofire.arrays import Array


@dataclass(frozen=True, eq=False)
class Interval:
    """A value between two bounds that hold it with probability ``level``."""

    value: float
    low: float
    high: float
    level: float
    unit: str

    @classmethod
    def of(cls, estimate: glass.Estimate, unit: str, level: float = 0.9) -> Self:
        """The first row of an estimate."""
        value, low, high = (
            float(np.ravel(v)[0]) for v in (estimate.value, estimate.low, estimate.high)
        )
        return cls(value, low, high, level, unit)

    @classmethod
    def of_draws(cls, draws: Array, unit: str) -> Self:
        """The middle of draws, and what holds 90 % of them."""
        return cls(*quantiles(draws), 0.9, unit)


def quantiles(values: Array, level: float = 0.9) -> tuple[float, float, float]:
    """Middle, low and high of the finite draws; NaN without any."""
    usable = values[np.isfinite(values)]
    edge = 0.5 * (1.0 - level)
    middle, low, high = at_shares(usable, (0.5, edge, 1.0 - edge))
    return middle, low, high


def middle_of(values: Array) -> float:
    """The middle of draws; NaN without any."""
    return at_shares(values, (0.5,))[0]


def at_shares(values: Array, shares: Sequence[float]) -> list[float]:
    """What these shares of the values lie below, straight between values; NaN without any. Sorting
    is quicker than ``np.percentile``."""
    if not len(values):
        return [float("nan")] * len(shares)
    ranked = np.sort(values)
    last = len(ranked) - 1
    found = []
    for share in shares:
        below = int(share * last)
        low, high = float(ranked[below]), float(ranked[min(below + 1, last)])
        found.append(low if low == high else low + (high - low) * (share * last - below))
    return found
