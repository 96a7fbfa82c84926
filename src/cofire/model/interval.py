"""A value and the bounds that hold it."""

from __future__ import annotations

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
    if not len(usable):
        return float("nan"), float("nan"), float("nan")
    edge = 50.0 * (1.0 - level)
    low, middle, high = np.percentile(usable, [edge, 50.0, 100.0 - edge])
    return float(middle), float(low), float(high)
