"""Crack patterns: spacing, and which cracks are black."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np

from cofire.arrays import Array
from cofire.fit.crackle import describe_spacing, spacing_mm
from cofire.model.interval import Interval, quantiles
from cofire.model.smoke import Pulled

#: Cracks farther apart than this count as none; our choice, as is the next.
NO_CRACKS_MM = 200.0
#: With fewer draws than this crazing, a spacing is not worth a number.
_ENOUGH_CRAZE = 0.02


@dataclass(frozen=True, eq=False)
class CrackPattern:
    """A crack pattern: its odds, and its spacing (mm)."""

    when: str
    odds: float
    spacing_mm: Interval | None
    words: str


def crack_pattern(spacing: Array, when: str = "") -> CrackPattern:
    """From the spacing of each draw (N,), inf where it has no cracks.

    The interval is over all draws: those without cracks count as ``NO_CRACKS_MM`` apart.
    """
    odds = float(np.isfinite(spacing).mean())
    if odds < _ENOUGH_CRAZE:
        return CrackPattern(when, odds, None, "almost no cracks")
    apart = Interval(*quantiles(np.minimum(spacing, NO_CRACKS_MM), 0.8), 0.8, "mm")
    low, high = describe_spacing(apart.low), describe_spacing(apart.high)
    return CrackPattern(when, odds, apart, low if low == high else f"{low} to {high}")


class Coats(Protocol):
    """Where cracks start and run in drawn coats, (N,)."""

    @property
    def onset_mpa(self) -> Array: ...
    @property
    def critical_mpa(self) -> Array: ...
    @property
    def coat_mm(self) -> Array: ...
    @property
    def z(self) -> Array: ...
    @property
    def flaws_per_mm(self) -> Array: ...


def crack_patterns(after: Pulled, of: Coats) -> tuple[CrackPattern, ...]:
    """Cracks of pulled ware by when they open: in air, by the end of the smoke, ever."""
    n = len(after.air_mpa)
    coats = (of.onset_mpa, of.critical_mpa, of.coat_mm, of.z, of.flaws_per_mm)
    onset, critical, coat_mm, z, flaws = (values[:n] for values in coats)
    return tuple(
        crack_pattern(spacing_mm(stress, onset, critical, coat_mm, z, flaws), when)
        for when, stress in (
            ("before the bin", after.air_mpa),
            ("black, open in the smoke", after.smoke_mpa),
            ("in the end, with pale ones", after.max_tension_mpa),
        )
    )
