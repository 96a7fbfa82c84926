"""Surface tension of the melt, by published factors: the measured rows hold no low-fire glaze."""

from __future__ import annotations

from functools import cache

import numpy as np

from cofire.arrays import Array, Mask
from cofire.chem.composition import shares, wt_from_mol
from cofire.chem.oxides import INDEX, vector
from cofire.glass.engine import coefficients
from cofire.glass.estimate import Estimate, estimate, interpolate_level
from cofire.glass.published.reading import read

#: Dietzel's table holds at this temperature; the tension falls by this per K; from memory.
_AT_C = 900.0
_PER_C = -0.04
#: PbO, wt %, from which a melt counts as leaded, and where it begins to; our choice.
_LEADED_WT = 5.0
_LITTLE_LEAD_WT = 1.0


@cache
def _factors() -> tuple[Array, Mask]:
    listed = {r["oxide"]: float(r["mn_per_m_per_wt_percent"]) for r in read("surface_tension.csv")}
    return vector(listed), vector(dict.fromkeys(listed, 1.0)) > 0.0


def dietzel_mn_per_m(mol: Array, t_c: Array | float) -> Array:
    """Surface tension (N,), mN/m, of melts (N, n_oxides) in moles at temperatures (N,) or one.

    Dietzel 1942. An oxide that his table lacks counts as the mean of the rest.
    """
    factors, listed = _factors()
    wt = wt_from_mol(shares(np.atleast_2d(np.asarray(mol, dtype=float))))
    with np.errstate(divide="ignore", invalid="ignore"):
        at_900 = 100.0 * (wt @ factors) / wt[:, listed].sum(axis=1)
    return np.asarray(at_900 + _PER_C * (np.asarray(t_c, dtype=float) - _AT_C))


def is_leaded(mol: Array) -> Mask:
    """Whether melts (N, n_oxides) hold more lead than the table can be trusted with."""
    wt = wt_from_mol(shares(np.atleast_2d(np.asarray(mol, dtype=float))))
    return np.asarray(wt[:, INDEX["PbO"]] > _LEADED_WT)


def surface_tension(mol: Array, t_c: Array | float, level: float = 0.9) -> Estimate:
    """Surface tension of the melt, mN/m, with an interval from measured melts, 900-1400 °C.

    Dietzel's factors, less their mean error. Few of the measured melts are like low-fire glazes, so
    the interval is that of all of them; melts with lead have their own correction and interval.
    Unknown above 1400 °C and below 800 °C.
    """
    store = coefficients()
    wt = wt_from_mol(shares(np.atleast_2d(np.asarray(mol, dtype=float))))
    lead = wt[:, INDEX["PbO"]]
    leaded = np.clip((lead - _LITTLE_LEAD_WT) / (_LEADED_WT - _LITTLE_LEAD_WT), 0.0, 1.0)

    def between(without: float, with_lead: float) -> Array:
        return np.asarray(without + leaded * (with_lead - without))

    def half(at: float) -> Array:
        without, with_lead = (
            interpolate_level(at, store["levels"], w) for w in store["surface_tension.width"]
        )
        return between(without, with_lead)

    off = between(*(float(v) for v in store["surface_tension.off"]))
    return estimate(dietzel_mn_per_m(mol, t_c) - off, half(level), half(0.9))
