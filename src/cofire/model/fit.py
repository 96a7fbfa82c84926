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
from cofire.model.cooling import Cooling
from cofire.model.cooling_stress import stress_of, worst_on_the_way
from cofire.model.crackle import Net, nets
from cofire.model.draws import BodyDraws, GlazeDraws
from cofire.model.smoke import Pulled, pulled_stress
from cofire.records import Recipe, Shape, Surface

#: Ages at which the growth of the clay in moist air is looked at.
AGES_YEARS = (0.1, 1.0, 10.0)


@dataclass(frozen=True, eq=False)
class FitDraws:
    """Per draw (N,): what happens to the coat, and why."""

    set_c: Array
    alpha_glaze: Array
    alpha_body: Array
    stress_mpa: Array
    pull_mpa: Array  # most tension, ever
    mpa_per_alpha: Array  # what 1e-6/K more of the glaze's expansion adds
    spacing_mm: Array  # of cracks; inf where there are none
    crazes_now: Mask
    crazes: Mask  # now or within months of moist air
    shivers: Mask
    could_shiver: Mask
    margin_mpa: Array  # how far from what its surface does not want
    as_wanted: Mask
    critical_mpa: Array
    z: Array
    coat_mm: Array
    pulled: Pulled | None
    flaws_per_mm: float | None
    black_mm: Array | None  # distance of cracks that the smoke blackened
    aging: tuple[tuple[float, float], ...]  # years, odds of crazing by then
    limits_mpa: tuple[float, float, float]  # edges could shiver; crazes later; crazes at once

    @cached_property
    def nets(self) -> tuple[Net, ...]:
        """Of pulled ware: cracks by when they open."""
        if self.pulled is None:
            return ()
        return nets(self.pulled, self.critical_mpa, self.z, self.coat_mm, self.flaws_per_mm)


def wanted_of(surface: Surface) -> str:
    """A crackle is meant to craze, a lustre to stay on; everything else to sit without a crack.

    Lustre glazes are soft and alkaline and nearly all craze; the smoked net is part of the look
    (common practice, no source).
    """
    return {"crackle": "crazes", "lustre": "stays"}.get(surface, "sits")


def fit_draws(
    recipe: Recipe,
    glaze: GlazeDraws,
    body: BodyDraws,
    wall_mm: float,
    cool: Cooling,
    shape: Shape = "pot",
) -> FitDraws:
    """Carry every draw from setting to room temperature."""
    shear = glaze.youngs_gpa / (2.0 * (1.0 + glaze.poisson))
    eta = glaze.log10_eta(cool.t_c)
    set_c = set_temperature_c(cool.t_c, eta, cool.c_per_s, shear)
    set_c = np.where(np.isfinite(set_c), set_c, np.nanmedian(set_c))
    alpha_glaze = glaze.alpha_1e6_per_k(set_c)
    alpha_body = body.alpha_to(set_c)
    after = None
    if cool.path is None:
        strain = mismatch_strain(alpha_glaze, alpha_body, set_c)
        stress = stress_of(shape, strain, glaze, body, wall_mm)
        pull, push = worst_on_the_way(glaze, body, set_c, stress, wall_mm, shape)
    else:
        after = pulled_stress(glaze, body, set_c, cool, wall_mm, shape)
        stress, pull, push = after.cold_mpa, after.ever_mpa, after.push_mpa
    toughness = glaze.toughness_mpa_m05
    moduli = (glaze.youngs_gpa, glaze.poisson), (body.youngs_gpa, body.poisson)
    coat_modulus, body_modulus = (plane_strain_gpa(*m) for m in moduli)
    z = channel_factor(coat_modulus, body_modulus)
    critical = critical_stress_mpa(glaze.coat_mm, toughness, z)
    critical_moist = critical_stress_mpa(glaze.coat_mm, in_moist_air(toughness), z)
    edge = spalling_limit_mpa(glaze.coat_mm, body.toughness_mpa_m05, coat_modulus, body_modulus)
    now = pull >= critical
    # moist air works on what stays, not on what passed in a quench
    later = now | (stress >= critical_moist)
    holds = push - np.sqrt(SHEAR_FACTOR) * edge
    stays_whole = np.minimum(critical - pull, critical_moist - stress)
    margin = {"crazes": pull - critical, "stays": holds, "sits": np.minimum(stays_whole, holds)}[
        wanted_of(recipe.surface)
    ]

    def crazed_after(years: float) -> float:
        more = stress_of(shape, grown(body.moisture, years), glaze, body, wall_mm)
        return float((now | (stress + more >= critical_moist)).mean())

    return FitDraws(
        set_c=set_c,
        alpha_glaze=alpha_glaze,
        alpha_body=alpha_body,
        stress_mpa=stress,
        pull_mpa=pull,
        mpa_per_alpha=stress_of(shape, 1e-6 * (set_c - 20.0), glaze, body, wall_mm),
        spacing_mm=spacing_mm(pull, critical, glaze.coat_mm, z, body.body.flaws_per_mm),
        crazes_now=now,
        crazes=later,
        shivers=holds <= 0.0,
        could_shiver=push <= edge,
        margin_mpa=margin,
        as_wanted=margin > 0.0,
        critical_mpa=critical,
        z=z,
        coat_mm=glaze.coat_mm,
        pulled=after,
        black_mm=None
        if after is None
        else spacing_mm(after.smoke_mpa, critical, glaze.coat_mm, z, body.body.flaws_per_mm),
        flaws_per_mm=body.body.flaws_per_mm,
        aging=tuple((years, crazed_after(years)) for years in AGES_YEARS),
        limits_mpa=(
            float(np.median(edge)),
            float(np.median(critical_moist)),
            float(np.median(critical)),
        ),
    )
