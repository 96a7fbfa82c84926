"""A glaze's coat on a body, from setting to the room: every draw of both."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from cofire.arrays import Array, Mask
from cofire.fit.cracking import (
    SHEAR_FACTOR,
    channel_factor,
    critical_stress_mpa,
    in_moist_air,
    spalling_limit_mpa,
)
from cofire.fit.crackle import spacing_mm
from cofire.fit.setting import set_temperature_c
from cofire.fit.stress import grown, mismatch_strain, plane_strain_gpa
from cofire.model.body_draws import BodyDraws
from cofire.model.conditions import Conditions
from cofire.model.cooling import Cooling
from cofire.model.cooling_stress import stress_of, worst_on_the_way
from cofire.model.crackle import CrackPattern, crack_patterns
from cofire.model.glaze_draws import GlazeDraws
from cofire.model.smoke import Pulled, pulled_stress
from cofire.records import Surface


@dataclass(frozen=True, eq=False)
class FitDraws:
    """Per draw (N,): what happens to the coat, and why."""

    set_c: Array
    alpha_glaze: Array
    alpha_body: Array
    stress_mpa: Array
    max_tension_mpa: Array  # ever
    mpa_per_alpha: Array  # what 1e-6/K more of the glaze's expansion adds
    spacing_mm: Array  # of cracks; inf without cracks
    crazes_now: Mask
    crazes: Mask  # now or within months of moist air
    shivers: Mask
    could_shiver: Mask
    margin_mpa: Array  # how far from what its surface does not want
    as_wanted: Mask
    critical_mpa: Array
    critical_moist_mpa: Array
    edge_mpa: Array
    z: Array
    coat_mm: Array
    pulled: Pulled | None
    flaws_per_mm: float | None
    black_mm: Array | None  # distance of cracks that the smoke blackened

    @cached_property
    def crack_patterns(self) -> tuple[CrackPattern, ...]:
        """Of pulled ware: cracks by when they open."""
        if self.pulled is None:
            return ()
        return crack_patterns(
            self.pulled, self.critical_mpa, self.z, self.coat_mm, self.flaws_per_mm
        )

    @property
    def limits_mpa(self) -> tuple[float, float, float]:
        """Middles of the limits: edges could shiver; it crazes later; it crazes at once."""
        limits = (self.edge_mpa, self.critical_moist_mpa, self.critical_mpa)
        edge, later, now = (float(np.median(v)) for v in limits)
        return edge, later, now


def wanted_of(surface: Surface) -> str:
    """A crackle is meant to craze, a lustre to stay on; everything else to sit without a crack.

    Lustre glazes are soft and alkaline and nearly all craze; the smoked net is part of the look
    (common practice, no source).
    """
    return {"crackle": "crazes", "lustre": "stays"}.get(surface, "sits")


def set_points_c(glaze: GlazeDraws, cooling: Cooling, log10_eta: Array | None = None) -> Array:
    """Where each draw (N,) sets, °C, for viscosities (N, T) at the temperatures of the cooling;
    beyond the range that is covered, the middle of the glaze's others."""
    eta = glaze.log10_eta(cooling.t_c) if log10_eta is None else log10_eta
    shear = glaze.youngs_gpa / (2.0 * (1.0 + glaze.poisson))
    set_c = glaze.by_glaze(set_temperature_c(cooling.t_c, eta, cooling.c_per_s, shear))
    known = np.isfinite(set_c)
    if known.all():
        return np.ravel(set_c)
    # a glaze of which no draw sets in the range is stiff above it or soft below it
    ends = np.where(glaze.by_glaze(eta[:, -1]) > 10.0, cooling.t_c[-1], cooling.t_c[0])
    filled = np.where(known.any(axis=1, keepdims=True), np.nan, ends)
    middle = np.nanmedian(np.where(known, set_c, filled), axis=1, keepdims=True)
    return np.ravel(np.where(known, set_c, middle))


def fit_draws(glaze: GlazeDraws, body: BodyDraws, at: Conditions) -> FitDraws:
    """Every draw from setting to room temperature; glaze and body need the same number of draws."""
    cooling, wall_mm, shape = at.cooling_curve, at.wall_mm, at.shape
    set_c = set_points_c(glaze, cooling)
    alpha_glaze = glaze.alpha_1e6_per_k(set_c)
    alpha_body = body.alpha_to(set_c)
    after = None
    if cooling.path is None:
        strain = mismatch_strain(alpha_glaze, alpha_body, set_c)
        stress = stress_of(shape, strain, glaze, body, wall_mm)
        tension, compression = worst_on_the_way(glaze, body, set_c, stress, wall_mm, shape)
    else:
        after = pulled_stress(glaze, body, set_c, cooling, wall_mm, shape)
        stress, tension, compression = (
            after.cold_mpa,
            after.max_tension_mpa,
            after.max_compression_mpa,
        )
    toughness = glaze.toughness_mpa_m05
    moduli = (glaze.youngs_gpa, glaze.poisson), (body.youngs_gpa, body.poisson)
    coat_modulus, body_modulus = (plane_strain_gpa(*m) for m in moduli)
    z = channel_factor(coat_modulus, body_modulus)
    critical = critical_stress_mpa(glaze.coat_mm, toughness, z)
    critical_moist = critical_stress_mpa(glaze.coat_mm, in_moist_air(toughness), z)
    edge = spalling_limit_mpa(glaze.coat_mm, body.toughness_mpa_m05, coat_modulus, body_modulus)
    now = tension >= critical
    # moist air works on what stays, not on what passed in a quench
    later = now | (stress >= critical_moist)
    holds = compression - np.sqrt(SHEAR_FACTOR) * edge
    stays_whole = np.minimum(critical - tension, critical_moist - stress)
    margin = {"crazes": tension - critical, "stays": holds, "sits": np.minimum(stays_whole, holds)}[
        wanted_of(glaze.glazes.surface)
    ]
    flaws = body.body.flaws_per_mm
    return FitDraws(
        set_c=set_c,
        alpha_glaze=alpha_glaze,
        alpha_body=alpha_body,
        stress_mpa=stress,
        max_tension_mpa=tension,
        mpa_per_alpha=stress_of(shape, 1e-6 * (set_c - 20.0), glaze, body, wall_mm),
        spacing_mm=spacing_mm(tension, critical, glaze.coat_mm, z, flaws),
        crazes_now=now,
        crazes=later,
        shivers=holds <= 0.0,
        could_shiver=compression <= edge,
        margin_mpa=margin,
        as_wanted=margin > 0.0,
        critical_mpa=critical,
        critical_moist_mpa=critical_moist,
        edge_mpa=edge,
        z=z,
        coat_mm=glaze.coat_mm,
        pulled=after,
        flaws_per_mm=flaws,
        black_mm=None
        if after is None
        else spacing_mm(after.smoke_mpa, critical, glaze.coat_mm, z, flaws),
    )


def crazed_after(
    years: float, fits: FitDraws, glaze: GlazeDraws, body: BodyDraws, at: Conditions
) -> float:
    """Odds that it has crazed after so many years, as its clay takes up moisture and grows."""
    more = stress_of(at.shape, grown(body.moisture, years), glaze, body, at.wall_mm)
    return float((fits.crazes_now | (fits.stress_mpa + more >= fits.critical_moist_mpa)).mean())
