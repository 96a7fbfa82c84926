"""Where a glaze lies between shivering and crazing, as stress on one axis."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

import numpy as np

from cofire import glass
from cofire.arrays import Array
from cofire.fit.crackle import spacing_mm
from cofire.model.fit import FitDraws
from cofire.model.interval import middle_of

#: Nets that are marked on a strip, mm.
_NETS_MM = (20.0, 10.0, 5.0, 3.0, 2.0)


class CracksApart(NamedTuple):
    """A distance of cracks, and the stress from which they stand so near."""

    mm: float
    from_mpa: float


@dataclass(frozen=True, eq=False)
class Strip:
    """Where zones begin, as stresses in the fresh coat, MPa, tension positive: the limits of the
    verdict, at their middle; and where published tables of expansions would put this glaze."""

    shivers_below: float
    crazes_by_horizon_from: float
    crazes_at_once_from: float
    published_tables: dict[str, float]
    cracks_apart_mm: tuple[CracksApart, ...]


def strip_of(fits: FitDraws, mol: Array | None) -> Strip:
    """From the draws of one glaze and its moles (1, n_oxides), if they are known."""
    middle = middle_of(fits.stress_mpa)
    # stress is a straight line in the glaze's expansion: a table's number moves it along that line
    slope = middle_of(fits.mpa_per_alpha)
    known = {} if mol is None else _by_tables(tuple(mol[0].tolist()))
    edge, later, now = fits.limits_mpa
    # crack spacing by stress, to aim at a crackle
    onset, critical, coat, factor, flaws = (
        np.full(800, middle_of(values))
        for values in (
            fits.onset_mpa, fits.critical_mpa, fits.coat_mm, fits.z, fits.flaws_per_mm
        )
    )  # fmt: skip
    pulled = np.linspace(1.01 * onset[0], 12.0 * onset[0], 800)
    apart = spacing_mm(pulled, onset, critical, coat, factor, flaws)
    nets = tuple(
        CracksApart(mm, float(np.interp(-mm, -apart, pulled)))
        for mm in _NETS_MM
        if apart[-1] < mm < apart[0]
    )
    moved = {name: middle + slope * more for name, more in known.items()}
    return Strip(edge, later, now, moved, nets)


@lru_cache(maxsize=64)  # the same in every firing
def _by_tables(moles: tuple[float, ...]) -> dict[str, float]:
    """How much more than ours published tables make a glaze expand, 1e-6/K."""
    mol = np.array([moles])
    ours = float(glass.expansion(mol).value[0])
    theirs = {t.name: glass.published.expansion(mol, t)[0] for t in glass.published.tables()}
    return {name: float(alpha) - ours for name, alpha in theirs.items() if np.isfinite(alpha)}
