"""Where a glaze lies between shivering and crazing, as stress on one axis."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cofire import glass
from cofire.arrays import Array


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


def strip_of(
    stress_mpa: Array,
    pull_mpa: Array,
    mpa_per_alpha: Array,
    limits_mpa: tuple[float, float, float],
    mol: Array,
) -> Strip:
    """From the draws of one glaze (N,), what 1e-6/K of its expansion is worth, the limits (edge,
    later, now), and its moles (1, n_oxides)."""
    low, middle, high = np.percentile(stress_mpa, [5.0, 50.0, 95.0])
    # stress is a straight line in the glaze's expansion: a table's number moves it along that line
    slope = float(np.median(mpa_per_alpha))
    ours = float(glass.expansion(mol).value[0])
    known = []
    for table in glass.published.tables():
        alpha = float(glass.published.expansion(mol, table)[0])
        if np.isfinite(alpha):
            known.append((table.name, float(middle) + slope * (alpha - ours)))
    edge, later, now = limits_mpa
    worst = float(np.median(pull_mpa))
    return Strip(edge, later, now, float(low), float(middle), float(high), worst, tuple(known))
