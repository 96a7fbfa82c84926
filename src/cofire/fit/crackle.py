"""How coarse a net of cracks is: scarce flaws start them, and each relieves its neighbourhood."""

from __future__ import annotations

from functools import cache

import numpy as np

from cofire.arrays import Array

#: Distance over which one crack relieves the coat, in units of sqrt(G_c Ebar h)/sigma: cracks that
#: come one after the other leave at least 8 (Thouless, Olsson & Gupta, Acta Metall. Mater. 40
#: (1992) 1287), cracks that came at once 5.6 (Thouless, J. Am. Ceram. Soc. 73 (1990) 2144); both
#: constants from memory.
SEQUENTIAL = 8.0
CONCERTED = 5.6
#: Flaws per mm of coat that have started a crack when the stress is twice the critical one. With
#: this nets of 5 to 20 mm come out near the onset and of 1 to 3 mm at three times the critical
#: stress (common practice, no source): the one number that a studio's own tiles should set.
FLAWS_PER_MM = 0.15


@cache
def _car_parking() -> tuple[Array, Array]:
    """Coverage of a line by intervals that fall at random and stay if they find room, over the
    number that fell per length of one: Rényi 1958 (Publ. Math. Inst. Hung. Acad. Sci. 3, 109)."""
    t = np.concatenate([[0.0], np.geomspace(1e-6, 1e4, 6001)])
    inner = np.where(t > 1e-9, -np.expm1(-t) / np.maximum(t, 1e-12), 1.0)
    exponent = np.concatenate([[0.0], np.cumsum(0.5 * (inner[1:] + inner[:-1]) * np.diff(t))])
    density = np.exp(-2.0 * exponent)
    return t, np.concatenate([[0.0], np.cumsum(0.5 * (density[1:] + density[:-1]) * np.diff(t))])


def coverage(fallen: Array) -> Array:
    """Share of a line covered (...,), 0 to 0.7476, when ``fallen`` intervals per length of one have
    tried their luck."""
    t, covered = _car_parking()
    return np.interp(fallen, t, covered)


def floor_mm(stress_mpa: Array, critical_mpa: Array, coat_mm: Array, z: Array) -> Array:
    """The closest that cracks can stand, mm, (...,): ``SEQUENTIAL`` sqrt(G_c Ebar h)/sigma.

    G_c Ebar is K_Ic², and K_Ic = sigma_c sqrt(Z h) by the law of channel cracks.
    """
    return np.asarray(SEQUENTIAL * coat_mm * np.sqrt(z) * critical_mpa / stress_mpa)


def spacing_mm(
    stress_mpa: Array,
    critical_mpa: Array,
    coat_mm: Array,
    z: Array,
    flaws_per_mm: float = FLAWS_PER_MM,
) -> Array:
    """Mean distance of cracks, mm, (...,); inf where the stress is not critical.

    Flaws that can start a crack grow in number as the stress rises above the critical one, the
    first of them coarse; each crack keeps others away by the floor. So nets are coarse near the
    onset, where flaws are scarce, and near 1.34 floors where they are plenty.
    """
    over = stress_mpa / critical_mpa - 1.0
    with np.errstate(divide="ignore", invalid="ignore"):
        floor = floor_mm(stress_mpa, critical_mpa, coat_mm, z)
        fallen = flaws_per_mm * np.maximum(over, 0.0) * floor
        found = floor / coverage(fallen)
    return np.asarray(np.where(over > 0.0, found, np.inf))


def net_words(spacing_mm: float) -> str:
    """How people call such a net; our choice of words and limits."""
    if not np.isfinite(spacing_mm) or spacing_mm > 60.0:
        return "a few long cracks at most"
    if spacing_mm > 20.0:
        return "wide net"
    if spacing_mm > 8.0:
        return "coarse net"
    if spacing_mm > 3.0:
        return "middling net"
    return "fine net"
