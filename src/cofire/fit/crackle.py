"""Crack spacing: cracks start at scarce flaws, and each relieves its neighbourhood."""

from __future__ import annotations

from functools import cache

import numpy as np

from cofire.arrays import Array

#: Flaws per mm of coat that have started a crack at twice ``FLAWS_MPA``. With this the black nets
#: of usual crackle glazes come out at 5 to 20 mm (common practice, no source): the one number that
#: a studio's own tiles should set. Flaws are counted over a fixed stress: small ones do not know
#: how thick the coat is.
FLAWS_PER_MM = 0.12
FLAWS_MPA = 35.0
#: Below that only single cracks start: the share of ``FLAWS_PER_MM`` that is left; our choice.
_SINGLE = 0.01
#: Beyond this many relief lengths cracks do not feel each other.
_FAR = 12.0
#: Least and most intervals of the table of coverage, and steps of it, even in their logarithm.
_FELL, _FELL_STEPS = (1e-6, 1e4), 6000


@cache
def _car_parking() -> tuple[Array, Array]:
    """Coverage of a line by intervals that fall at random and stay if they find room, over the
    number that fell per length of one: Rényi 1958 (Publ. Math. Inst. Hung. Acad. Sci. 3, 109)."""
    t = np.concatenate([[0.0], np.geomspace(*_FELL, _FELL_STEPS + 1)])
    inner = np.where(t > 1e-9, -np.expm1(-t) / np.maximum(t, 1e-12), 1.0)
    exponent = np.concatenate([[0.0], np.cumsum(0.5 * (inner[1:] + inner[:-1]) * np.diff(t))])
    density = np.exp(-2.0 * exponent)
    return t, np.concatenate([[0.0], np.cumsum(0.5 * (density[1:] + density[:-1]) * np.diff(t))])


def coverage(fallen: Array) -> Array:
    """Share of a line covered (...,), 0 to 0.7476, after ``fallen`` intervals per length of one."""
    t, covered = _car_parking()
    decades = np.log(_FELL[1] / _FELL[0])
    within = np.clip(fallen, 0.0, _FELL[1])
    # the logarithm says which step it is in, many times faster than a search
    place = 1.0 + np.log(np.maximum(within / _FELL[0], 1e-3)) * (_FELL_STEPS / decades)
    low = np.clip(np.nan_to_num(place), 0.0, float(_FELL_STEPS)).astype(int)
    share = (within - t[low]) / (t[low + 1] - t[low])
    return np.asarray(covered[low] + share * (covered[low + 1] - covered[low]))


def _next_pays(freed: Array) -> Array:
    """How near cracks must stand (...,), in relief lengths, for one more between two of them to set
    free the share ``freed`` (0 to 1) of what a lone one does.

    It is y of 2 tanh(y/2) - tanh(y) = freed. With t = tanh(y/2) that is the cubic
    2 t³ - freed t² - freed = 0, which has one real root; by Cardano's formula (theoretical).
    """
    third = np.cbrt(freed * (freed**2 / 216.0 + 0.25 + np.sqrt(freed**2 / 432.0 + 0.0625)))
    t = freed / 6.0 + third + freed**2 / (36.0 * np.maximum(third, 1e-30))
    return np.asarray(np.minimum(2.0 * np.arctanh(np.minimum(t, 1.0 - 1e-12)), _FAR))


def floor_mm(stress_mpa: Array, critical_mpa: Array, coat_mm: Array, z: Array) -> Array:
    """The smallest crack spacing, mm, (...,).

    Shear lag: beside a crack the coat regains its stress over the relief length Z h, so that
    cracks L apart set free tanh(L/(2 Z h)) of what lone ones do (Xia & Hutchinson, J. Mech. Phys.
    Solids 48 (2000) 1107, from memory). One more opens between two of them as long as what it sets
    free pays for it, (critical/stress)²; half of the least such distance is the floor. A
    finite-element model of the coat (tests/fit/plane_strain.py) agrees within a fifth.
    """
    pays = (critical_mpa / np.maximum(stress_mpa, critical_mpa)) ** 2
    return np.asarray(z * coat_mm * _next_pays(pays))


def spacing_mm(
    stress_mpa: Array,
    onset_mpa: Array,
    critical_mpa: Array,
    coat_mm: Array,
    z: Array,
    flaws_per_mm: Array | float = FLAWS_PER_MM,
) -> Array:
    """Mean distance of cracks, mm, (...,); inf where the stress starts none.

    ``onset_mpa`` is where a crack starts, ``critical_mpa`` where energy lets it run. Flaws that can
    start one grow in number as the stress rises above ``FLAWS_MPA``, and each crack keeps others
    away by the floor, which grows with the coat: so thick coats give coarse nets, though they
    craze sooner. Coarse near the onset, where flaws are scarce; near 1.34 floors where they are
    plenty.
    """
    flaws = flaws_per_mm * np.maximum(stress_mpa / FLAWS_MPA - 1.0, _SINGLE)
    with np.errstate(divide="ignore", invalid="ignore"):
        floor = floor_mm(stress_mpa, critical_mpa, coat_mm, z)
        spacing = floor / coverage(flaws * floor)
    return np.asarray(np.where(stress_mpa >= onset_mpa, spacing, np.inf))


def describe_spacing(spacing_mm: float) -> str:
    """Words for a crack spacing; our choice of words and limits."""
    if not np.isfinite(spacing_mm) or spacing_mm > 60.0:
        return "a few long cracks at most"
    if spacing_mm > 20.0:
        return "wide net"
    if spacing_mm > 8.0:
        return "coarse net"
    if spacing_mm > 3.0:
        return "middling net"
    return "fine net"
