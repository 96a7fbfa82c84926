"""The common ground of all property models: one set of functions of composition.

Every property is a weighted sum of these columns: mole fractions, their products, structural
terms of glass chemistry, and nearness to a few hundred landmark glasses. Only the weights differ,
so a million glasses need the expensive part once.
"""

from __future__ import annotations

from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from cofire.arrays import Array
from cofire.chem.oxides import MODELLED

_I: Final = {oxide: i for i, oxide in enumerate(MODELLED)}
#: Oxides common enough in the measured glasses for their products to be known.
_MAIN: Final = [
    _I[o]
    for o in (
        "SiO2", "B2O3", "Al2O3", "Li2O", "Na2O", "K2O", "MgO", "CaO", "SrO", "BaO", "ZnO", "PbO",
    )
]  # fmt: skip
_PAIRS: Final = np.array([(a, b) for k, a in enumerate(_MAIN) for b in _MAIN[k + 1 :]])

#: Mole fractions over which a glass becomes a noticeably different one; our choice, by
#: cross-validation over publications.
SCALE: Final = np.array(
    [0.15, 0.08, 0.05, 0.06, 0.06, 0.06, 0.08, 0.08, 0.08, 0.08, 0.08, 0.10] + [0.04] + [0.03] * 9
)
_STRUCTURE_SCALE: Final = np.array([0.06, 0.06, 0.05, 0.06])
#: Reach of a landmark in those units.
REACH: Final = 2.5


_ALKALI_EARTH: Final = np.array(
    [[o in ("Li2O", "Na2O", "K2O"), o in ("MgO", "CaO", "SrO", "BaO", "ZnO")] for o in MODELLED],
    dtype=float,
)
_BUILDERS: Final = [
    _I[o] for o in ("Li2O", "Na2O", "K2O", "MgO", "CaO", "PbO", "B2O3", "Al2O3")
]  # fmt: skip


#: Mole fractions over which one kind of structure gives way to the next, so that no property has a
#: corner on a line between glazes; our choice, not tuned.
_PAIRING: Final = 0.006
_MIXING: Final = 0.005
_ROOT: Final = 0.003
_TRACE: Final = 0.02


def paired(a: Array, b: Array) -> Array:
    """How much of ``a`` and ``b`` (N,) is bound to the other at equilibrium: nearly the smaller
    of the two, and nothing where one of them is nothing."""
    total = a + b + _PAIRING
    return np.asarray(2.0 * a * b / (total + np.sqrt(np.maximum(total**2 - 4.0 * a * b, 0.0))))


def structure(x: Array) -> Array:
    """Structural terms of mole fractions (N, 22), shape (N, 16).

    Boron takes up modifiers beyond those that charge-balance alumina and turns four-coordinated;
    what is left over breaks the network. Two like modifiers act otherwise than either alone.
    """

    def mixed(a: Array, b: Array) -> Array:
        return np.asarray(a * b / (a + b + _MIXING))

    def root(a: Array) -> Array:
        return np.asarray(0.3 * (np.sqrt(a + _ROOT) - np.sqrt(_ROOT)))

    alkali, earth = (x @ _ALKALI_EARTH).T
    lithia, soda, potash, magnesia, lime, lead, boron, alumina = x[:, _BUILDERS].T
    modifier = alkali + 0.6 * earth + 0.5 * lead
    balanced = paired(modifier, alumina)
    four = paired(modifier - balanced, boron)
    broken = modifier - balanced - four
    flux = alkali + earth + lead
    return np.stack(
        [
            four,
            broken,
            alumina - balanced,
            boron - four,
            0.1 * four / (boron + _TRACE),
            root(broken),
            mixed(lithia, soda),
            mixed(soda, potash),
            mixed(lithia, potash),
            mixed(magnesia, lime),
            mixed(alkali, earth),
            mixed(alkali, lead),
            root(alkali),
            root(boron),
            root(flux),
            alkali**2 / (flux + _MIXING),
        ],
        axis=1,
    )


def plain(x: Array, built: Array) -> Array:
    """The transparent part of the basis (N, n_plain): constant, oxides, products, structure."""
    return np.concatenate(
        [
            np.ones((len(x), 1)),
            x,
            4.0 * x[:, _PAIRS[:, 0]] * x[:, _PAIRS[:, 1]],
            2.0 * x[:, _MAIN] ** 2,
            built,
        ],
        axis=1,
    )


def position(x: Array, built: Array) -> Array:
    """Where a glass lies for the landmarks (N, 26): scaled oxides and structure."""
    return np.concatenate([x / SCALE, built[:, :4] / _STRUCTURE_SCALE], axis=1)


def to_measure_from(landmarks: Array) -> Array:
    """What ``squared_distance`` needs of positions (M, 26), (28, M)."""
    return np.stack([*(-2.0 * landmarks.T), np.ones(len(landmarks)), (landmarks**2).sum(1)])


def squared_distance(at: Array, measured_from: Array) -> Array:
    """Of positions (N, 26) from those of ``to_measure_from`` (M), shape (N, M), never below
    zero."""
    # in double precision: small differences of large numbers, and a root is taken of them
    ones = np.ones((len(at), 1))
    left = np.concatenate([at, (at**2).sum(1, keepdims=True), ones], axis=1)
    squared = left @ measured_from  # all three sums in one pass
    return np.asarray(np.maximum(squared, 0.0, out=squared))


def nearness(squared: Array, digits: Any = np.float32) -> NDArray[Any]:
    """Matern 3/2 kernel of squared distances (N, M) in units of position, shape (N, M).

    Single precision is good to 1e-7 and twice as fast; values and fits take double.
    """
    r = np.multiply(squared, 3.0 / REACH**2, dtype=digits, casting="same_kind")
    np.sqrt(r, out=r)  # in place: large tables spend their time here
    fade = np.negative(r)
    np.exp(fade, out=fade)
    r += digits(1.0)
    r *= fade
    return r
