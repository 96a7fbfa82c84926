"""At what temperature a cooling glaze stops flowing and starts to pull."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from cofire.arrays import Array

#: Keeps the logarithm finite where a curve is flat; far below any real rate times slope.
_LEAST = 1e-12


def set_temperature_c(
    t_c: Array,
    log10_eta: Array | NDArray[np.float32],
    cooling_c_per_s: Array | float,
    shear_modulus_gpa: Array | float,
) -> Array:
    """Where stress stops relaxing, (...,) °C, for viscosities (..., T) at temperatures (T,).

    The cooling rate may be one number or one for each temperature, the modulus one per curve.

    A melt under cooling relaxes with Maxwell's time eta/G. Stress freezes in where that time
    grows by a factor e in the time it itself lasts: (eta/G) q |d ln eta/dT| = 1, with q the
    cooling rate. At kiln rates this lies between the annealing (10^12 Pa·s) and strain
    (10^13.5 Pa·s) points, in air well above. ``t_c`` rises; NaN where the range is not covered.
    """
    kind = log10_eta.dtype  # single precision is enough, a millionth of a decade
    steepens = (-np.log(10.0) * np.asarray(cooling_c_per_s)).astype(kind)
    log10_pa = np.log10(1e9 * np.asarray(shear_modulus_gpa)).astype(kind)[..., None]
    # in place: these arrays are large
    balance = np.gradient(log10_eta, t_c, axis=-1)
    balance *= steepens
    np.maximum(balance, _LEAST, out=balance)
    np.log10(balance, out=balance)
    balance += log10_eta
    balance -= log10_pa
    frozen = balance > 0.0
    # the hottest frozen point: colder ones may lie on the cut-off end of a curve
    last = t_c.size - 1 - np.argmax(frozen[..., ::-1], axis=-1)
    usable = frozen.any(axis=-1) & (last < t_c.size - 1)
    i = np.clip(last, 0, t_c.size - 2)
    here = np.take_along_axis(balance, i[..., None], -1)[..., 0]
    there = np.take_along_axis(balance, i[..., None] + 1, -1)[..., 0]
    with np.errstate(invalid="ignore", divide="ignore"):
        share = here / (here - there)
    return np.asarray(np.where(usable, t_c[i] + share * (t_c[i + 1] - t_c[i]), np.nan))
