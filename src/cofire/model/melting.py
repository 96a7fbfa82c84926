"""The melt range of a recipe under a schedule's shape."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cofire import glass
from cofire.arrays import Array
from cofire.model.analysis import Analysis
from cofire.model.solids import mixture
from cofire.read.coat import DEFAULT
from cofire.records import Firing, Recipe
from cofire.ripeness.judge import DEFAULT as CRITERIA
from cofire.ripeness.melt_range import melt_range as peaks
from cofire.ripeness.melt_range import standard_shape
from cofire.ripeness.stages import Melt

#: Surface tension is taken here; it changes by 4 mN/m in 100 °C, far less than it is known.
WORKING_C = 950.0


@dataclass(frozen=True, eq=False)
class MeltRange:
    """Peaks (°C) at which a glaze seals, is ripe and runs; NaN where none up to 1400 °C does.

    ``half_width_c`` is the 90 % half-width that the viscosity model allows near maturity.
    """

    seals_c: float
    matures_c: float
    runs_c: float
    half_width_c: float
    schedule: str


def melt_range(recipe: Recipe, analysis: Analysis, firing: Firing | None) -> MeltRange:
    """Under the shape of a firing shifted as a whole, or a plain one when none is named."""
    if firing is None:
        time_s, below = standard_shape()
        schedule = "peaks of a firing that climbs its last 300 °C at 150 °C/h and soaks 10 min"
    else:
        from cofire.model.schedule import kiln_history

        past = kiln_history(firing)
        hot = past.air_c > past.air_c.max() - 300.0
        time_s, below = past.time_s[hot], past.air_c[hot] - past.air_c.max()
        schedule = f"peaks of a firing shaped like “{firing.name}”"
    mixed = mixture(recipe, analysis.mol[None, :])
    mol, stiffer = mixed.melt_mol, mixed.stiffening
    curve = glass.viscosity(mol)
    gamma = glass.surface_tension(mol, WORKING_C)
    melt = Melt(1e-3 * float(gamma.value[0]), float(glass.melt_density(mol)[0]))

    def log10_eta_at(t_c: Array) -> Array:
        return np.asarray(curve.log10_eta(t_c[None, :])[0] + stiffer)

    seals, matures, runs = peaks(
        log10_eta_at, time_s, below, recipe.surface, DEFAULT.fired_mm, melt, CRITERIA
    )
    near = np.array([matures if np.isfinite(matures) else 1000.0])
    slope = (log10_eta_at(near - 5.0) - log10_eta_at(near + 5.0)) / 10.0
    half = float((curve.width(near)[0] / np.maximum(slope[0], 1e-6)).item())
    return MeltRange(seals, matures, runs, half, schedule)
