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
    tables: tuple[tuple[str, float], ...]


def strip_of(
    stress_mpa: Array,
    set_c: Array,
    alpha_glaze: Array,
    alpha_body: Array,
    limits_mpa: tuple[float, float, float],
    mol: Array,
) -> Strip:
    """From the draws of one glaze (N,), the limits (edge, later, now), and its moles
    (1, n_oxides)."""
    low, middle, high = np.percentile(stress_mpa, [5.0, 50.0, 95.0])
    gap = alpha_glaze - alpha_body
    # stress is a straight line in the mismatch, so a table's number moves it along that line
    slope = float(np.median(stress_mpa[np.abs(gap) > 0.05] / gap[np.abs(gap) > 0.05]))
    ours = float(glass.expansion(mol).value[0])
    known = []
    for table in glass.published.tables():
        alpha = float(glass.published.expansion(mol, table)[0])
        if np.isfinite(alpha):
            known.append((table.name, float(middle) + slope * (alpha - ours)))
    edge, later, now = limits_mpa
    return Strip(edge, later, now, float(low), float(middle), float(high), tuple(known))
