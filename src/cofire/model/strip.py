"""Where a glaze lies between shivering and crazing, as stress on one axis."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cofire import glass
from cofire.arrays import Array
from cofire.fit.crackle import spacing_mm
from cofire.model.fit import FitDraws

#: Nets that are marked on a strip, mm.
_NETS_MM = (20.0, 10.0, 5.0, 3.0, 2.0)


@dataclass(frozen=True, eq=False)
class Strip:
    """Stresses in the coat, MPa, tension positive, at the middle of what is known.

    Left of ``edge_mpa`` edges could shiver; from ``later_mpa`` on it crazes within months, from
    ``now_mpa`` at once. ``tables`` are where published expansions would put this glaze.
    """

    edge_mpa: float
    later_mpa: float
    now_mpa: float
    low_mpa: float
    middle_mpa: float
    high_mpa: float
    worst_mpa: float  # most tension that the middle glaze ever saw on its way
    tables: tuple[tuple[str, float], ...]
    nets: tuple[tuple[float, float], ...]  # distance of cracks, mm, and the stress that gives it


def strip_of(fits: FitDraws, mol: Array) -> Strip:
    """From the draws of one glaze and its moles (1, n_oxides)."""
    low, middle, high = np.percentile(fits.stress_mpa, [5.0, 50.0, 95.0])
    # stress is a straight line in the glaze's expansion: a table's number moves it along that line
    slope = float(np.median(fits.mpa_per_alpha))
    ours = float(glass.expansion(mol).value[0])
    known = []
    for table in glass.published.tables():
        alpha = float(glass.published.expansion(mol, table)[0])
        if np.isfinite(alpha):
            known.append((table.name, float(middle) + slope * (alpha - ours)))
    edge, later, now = fits.limits_mpa
    worst = float(np.median(fits.max_tension_mpa))
    # how coarse a net each stress would give, so that a crackle can be aimed at
    pulled = np.linspace(1.01 * now, 12.0 * now, 800)
    coat, factor = np.full(800, np.median(fits.coat_mm)), np.full(800, np.median(fits.z))
    apart = spacing_mm(pulled, np.full(800, now), coat, factor, fits.flaws_per_mm)
    nets = tuple(
        (mm, float(np.interp(-mm, -apart, pulled))) for mm in _NETS_MM if apart[-1] < mm < apart[0]
    )
    return Strip(
        edge, later, now, float(low), float(middle), float(high), worst, tuple(known), nets
    )
