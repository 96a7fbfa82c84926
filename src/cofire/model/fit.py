"""A glaze's coat on a body, from setting to the room: every draw of both."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from cofire.arrays import Array, Mask, blocks
from cofire.fit.cracking import (
    FLAW_FACTOR,
    PULLED_FLAWS,
    at_rim,
    channel_factor,
    critical_stress_mpa,
    left_of_onset,
    rim_limit_mpa,
    spalling_limit_mpa,
)
from cofire.fit.crackle import spacing_mm
from cofire.fit.setting import set_temperature_c
from cofire.fit.stress import grown, mismatch_strain, plane_strain_gpa
from cofire.model.body_draws import BodyDraws
from cofire.model.conditions import Conditions
from cofire.model.cooling import Cooling, Way
from cofire.model.cooling_stress import facing_mpa, stress_of, worst_on_the_way
from cofire.model.crackle import CrackPattern, crack_patterns
from cofire.model.glaze_draws import GlazeDraws
from cofire.model.interval import middle_of
from cofire.model.smoke import Pulled, pulled_stress, walls
from cofire.records import Surface


@dataclass(frozen=True, eq=False)
class FitDraws:
    """Per draw (N,): what happens to the coat, and why. Stresses are those away from the rim."""

    set_c: Array
    alpha_glaze: Array
    alpha_body: Array
    stress_mpa: Array
    max_tension_mpa: Array  # ever
    max_compression_mpa: Array
    mpa_per_alpha: Array  # what 1e-6/K more of the glaze's expansion adds
    mpa_per_strain: Array
    spacing_mm: Array  # of cracks; inf without cracks
    crazes_now: Mask  # in the kiln or on the way from it, at a rim at least
    crazes: Mask  # by the horizon, as the clay takes up moisture
    crackles: Mask  # at once, away from the rim
    shivers: Mask
    could_shiver: Mask
    margin_mpa: Array  # how far from what its surface does not want
    holds_mpa: Array  # how far from shivering
    whole_mpa: Array  # how far from crazing by the horizon
    as_wanted: Mask
    critical_mpa: Array  # where energy lets a crack run
    onset_mpa: Array  # where one starts
    rim: Array  # stress at the rim over that elsewhere
    horizon_mpa: Array  # tension that crazes it by the horizon, before the clay grows
    shiver_mpa: Array  # compression that pushes it off
    z: Array
    coat_mm: Array
    pulled: Pulled | None
    flaws_per_mm: Array
    black_mm: Array | None  # distance of cracks that the smoke blackened

    @cached_property
    def crack_patterns(self) -> tuple[CrackPattern, ...]:
        """Of pulled ware: cracks by when they open."""
        if self.pulled is None:
            return ()
        return crack_patterns(self.pulled, self)

    @property
    def limits_mpa(self) -> tuple[float, float, float]:
        """Middles of the limits: it shivers; it crazes by the horizon; it crazes at once."""
        limits = (self.shiver_mpa, self.horizon_mpa, self.onset_mpa / self.rim)
        shiver, later, now = (middle_of(v) for v in limits)
        return shiver, min(later, now), now


def wanted_of(surface: Surface) -> str:
    """A crackle is meant to craze, a lustre to stay on; everything else to sit without a crack.

    Lustre glazes are soft and alkaline and nearly all craze; the smoked net is part of the look
    (common practice, no source).
    """
    return {"crackle": "crazes", "lustre": "stays"}.get(surface, "sits")


#: A look at this many draws tells where nearly all set: within this much of their span of the
#: middle, and some °C; the rest are looked for everywhere. Our choice.
_LOOK, _BEYOND, _BEYOND_C = 256, 0.6, 45.0


def set_points_c(
    glaze: GlazeDraws, cooling: Cooling, rows: NDArray[np.float32] | None = None
) -> Array:
    """Where each draw (N,) sets, °C, for ``eta_rows`` at the temperatures of the cooling; beyond
    the range that is covered, the middle of the glaze's others."""
    if rows is None:
        rows = glaze.eta_rows(cooling.t_c)
    near = _near_setting(glaze, cooling, rows)
    set_c = _sets_at(glaze, cooling, rows, near)
    if not near.all():
        at = cooling.t_c[near]
        missed = ~((set_c > at[1]) & (set_c < at[-2]))
        set_c[missed] = _sets_at(glaze.those(missed[0]), cooling, rows)[0]
    known = np.isfinite(set_c)
    if known.all():
        return np.ravel(set_c)
    # a glaze of which no draw sets in the range is stiff above it or soft below it
    stiff = glaze.by_glaze(glaze.eta_of(rows[:, :, -1:])[:, 0] > 10.0)
    ends = np.where(stiff, cooling.t_c[-1], cooling.t_c[0])
    filled = np.where(known.any(axis=1, keepdims=True), np.nan, ends)
    middle = np.nanmedian(np.where(known, set_c, filled), axis=1, keepdims=True)
    return np.ravel(np.where(known, set_c, middle))


def _near_setting(glaze: GlazeDraws, cooling: Cooling, rows: NDArray[np.float32]) -> Mask:
    """Which temperatures (T,) of the cooling nearly all draws of a single glaze set among."""
    everywhere = np.ones(len(cooling.t_c), bool)
    if len(glaze.parts) > 1 or glaze.n < 4 * _LOOK:
        return everywhere
    look = _sets_at(glaze.some(_LOOK), cooling, rows)
    look = look[np.isfinite(look)]
    if not look.size:
        return everywhere
    beyond = _BEYOND_C + _BEYOND * np.ptp(look)
    return np.asarray(np.abs(cooling.t_c - np.median(look)) <= beyond)


def _sets_at(
    glaze: GlazeDraws, cooling: Cooling, rows: NDArray[np.float32], near: Mask | slice = slice(None)
) -> Array:
    """Where draws set, by glaze (P, n), among the temperatures that are ``near``; NaN beyond."""
    shear = glaze.youngs_gpa / (2.0 * (1.0 + glaze.poisson))
    rows, t_c, c_per_s = rows[:, :, near], cooling.t_c[near], cooling.c_per_s[near]
    set_c = [
        set_temperature_c(t_c, glaze.eta_of(rows, some), c_per_s, shear[some])
        for some in blocks(len(shear))
    ]
    return glaze.by_glaze(np.concatenate(set_c))


def fit_draws(
    glaze: GlazeDraws, body: BodyDraws, at: Conditions, across: FitDraws | None = None
) -> FitDraws:
    """Every draw from setting to room temperature; glaze and body need the same number of draws.

    ``across`` is another glaze on the other face of the wall; without it a pot glazed on both sides
    has the same glaze there.
    """
    cooling, wall_mm, shape = at.cooling_curve, at.wall_mm, at.shape
    set_c = set_points_c(glaze, cooling)
    alpha_glaze = glaze.alpha_1e6_per_k(set_c)
    alpha_body = body.alpha_to(set_c)
    per_strain = stress_of(shape, np.ones_like(set_c), glaze, body, wall_mm)
    after = None
    if cooling.path is None:
        strain = mismatch_strain(alpha_glaze, alpha_body, set_c) + body.relaxation
        stress = per_strain * strain + body.scatter_mpa
        tension, compression = worst_on_the_way(glaze, body, set_c, stress, per_strain)
    else:
        assert cooling.smoke is not None
        way = Way(float(cooling.path.skin_c[0]), cooling.smoke)
        (of,) = walls((way,), wall_mm, shape, body)
        after = pulled_stress(glaze, body, set_c, cooling.smoke, of, wall_mm, shape)
        stress, tension, compression = (
            after.cold_mpa,
            after.max_tension_mpa,
            after.max_compression_mpa,
        )
    if across is not None:
        stress, tension, compression = (
            facing_mpa(mine, glaze, body, wall_mm, other * across.coat_mm)
            for mine, other in (
                (stress, across.stress_mpa),
                (tension, across.max_tension_mpa),
                (compression, across.max_compression_mpa),
            )
        )
    moduli = (glaze.youngs_gpa, glaze.poisson), (body.youngs_gpa, body.poisson)
    coat_modulus, body_modulus = (plane_strain_gpa(*m) for m in moduli)
    z = channel_factor(coat_modulus, body_modulus)
    critical = critical_stress_mpa(glaze.coat_mm, glaze.toughness_mpa_m05, z)
    starts = FLAW_FACTOR[shape] * (1.0 if after is None else PULLED_FLAWS)
    onset = critical * np.maximum(starts * body.onset_factor, 1.0)
    edge = spalling_limit_mpa(glaze.coat_mm, body.toughness_mpa_m05, coat_modulus, body_modulus)
    sharp, blunt = edge, edge * np.sqrt(body.edge_energy)
    rim = np.ones_like(onset)
    if shape != "tile":  # whose edges are sharp
        pulls_off = rim_limit_mpa(glaze.coat_mm, body.rim_over_wall * wall_mm, body.strength_mpa)
        sharp, blunt = np.maximum(sharp, pulls_off), np.maximum(blunt, pulls_off)
    if shape == "pot":
        rim = at_rim(glaze.coat_mm, wall_mm, glaze.youngs_gpa, body.youngs_gpa)
    horizon = _tension_that_crazes(at.horizon_years, onset, rim, per_strain, body)
    now_mpa = onset / rim - tension
    later_mpa = np.minimum(now_mpa, horizon - stress)
    holds = compression - blunt
    flaws = body.flaws_per_mm
    margin = {"crazes": tension - onset, "stays": holds, "sits": np.minimum(later_mpa, holds)}[
        wanted_of(glaze.glazes.surface)
    ]
    return FitDraws(
        set_c=set_c,
        alpha_glaze=alpha_glaze,
        alpha_body=alpha_body,
        stress_mpa=stress,
        max_tension_mpa=tension,
        max_compression_mpa=compression,
        mpa_per_alpha=1e-6 * (set_c - 20.0) * per_strain,
        mpa_per_strain=per_strain,
        spacing_mm=spacing_mm(tension, onset, critical, glaze.coat_mm, z, flaws),
        crazes_now=now_mpa <= 0.0,
        crazes=later_mpa <= 0.0,
        crackles=tension >= onset,
        shivers=holds <= 0.0,
        could_shiver=compression <= sharp,
        margin_mpa=margin,
        holds_mpa=holds,
        whole_mpa=later_mpa,
        as_wanted=margin > 0.0,
        critical_mpa=critical,
        onset_mpa=onset,
        rim=rim,
        horizon_mpa=horizon,
        shiver_mpa=blunt,
        z=z,
        coat_mm=glaze.coat_mm,
        pulled=after,
        flaws_per_mm=flaws,
        black_mm=None
        if after is None
        else spacing_mm(after.smoke_mpa, onset, critical, glaze.coat_mm, z, flaws),
    )


def _tension_that_crazes(
    years: float, onset: Array, rim: Array, per_strain: Array, body: BodyDraws
) -> Array:
    """Tension (N,), MPa, of the fresh coat that crazes it within some years of moist room air.

    The law: what is fresh and what the growth of the clay adds, at the rim, reach what slow growth
    has left of the onset. A clay that takes up no moisture still leaves the slow growth.
    """
    moist = per_strain * grown(body.moisture, years, body.moist_early)
    return np.asarray(left_of_onset(years, body.slow) * onset / rim - moist)


def crazing_margin_mpa(years: float, fits: FitDraws, body: BodyDraws) -> Array:
    """Tension (N,), MPa, that the coat could bear more and still be whole after some years."""
    limit = _tension_that_crazes(years, fits.onset_mpa, fits.rim, fits.mpa_per_strain, body)
    return np.minimum(fits.onset_mpa / fits.rim - fits.max_tension_mpa, limit - fits.stress_mpa)


def crazed_after(years: float, fits: FitDraws, body: BodyDraws) -> float:
    """Odds that it has crazed after so many years, as its clay takes up moisture and grows."""
    return float((crazing_margin_mpa(years, fits, body) <= 0.0).mean())
