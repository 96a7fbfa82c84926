"""One glaze on one body: will it craze, sit or shiver?"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from cofire.answers.analysis import analyse
from cofire.answers.cautions import material_cautions, pull_cautions
from cofire.answers.coat import DEFAULT, Coat
from cofire.answers.draws import (
    BodyDraws,
    GlazeDraws,
    draw_body,
    draw_glaze,
    quantiles,
)
from cofire.answers.fit_strip import Strip, strip_of
from cofire.answers.fit_words import fit_findings, pulled_findings, sentence
from cofire.answers.formula import (
    UNMODELLED,
    Interval,
    ambiguity_findings,
    composition_findings,
)
from cofire.answers.pulled.cooling import Cooling, cooling
from cofire.answers.pulled.crackle import CrackleCurve, Net, crackle_curve, net_of, nets
from cofire.answers.pulled.smoke import Pulled, on_its_way, pulled_stress
from cofire.answers.pulled.survival import Survival, survival
from cofire.answers.solids import solid_findings
from cofire.answers.way_down import (
    Through,
    WayDown,
    stress_of,
    through_mpa,
    way_down,
    worst_on_the_way,
)
from cofire.arrays import Array, Mask
from cofire.files.library import Library
from cofire.findings import Finding, sort_findings
from cofire.fit.cracking import (
    SHEAR_FACTOR,
    channel_factor,
    critical_stress_mpa,
    in_moist_air,
    spalling_limit_mpa,
)
from cofire.fit.crackle import spacing_mm
from cofire.fit.setting import set_temperature_c
from cofire.fit.stress import (
    grown,
    mismatch_strain,
    plane_strain_gpa,
)
from cofire.records import Body, Firing, Recipe, Shape, Surface

#: Ages at which the growth of the clay in moist air is looked at.
AGES_YEARS = (0.1, 1.0, 10.0)


@dataclass(frozen=True, eq=False)
class FitAnswer:
    """Odds on one body. Stress: tension positive. ``wanted`` is “crazes”, “sits” or “stays”."""

    recipe: Recipe
    body: Body
    coat: Coat
    wall_mm: float
    cooling: str
    set_c: Interval
    alpha_glaze: Interval
    alpha_body: Interval
    stress: Interval  # cold
    worst: Interval  # most tension on the way there
    crazes: float
    crazes_later: float
    crackle_mm: Interval | None  # distance of cracks where it crazes at once
    crackle_words: str
    shivers: float
    could_shiver: float  # at a sharp edge or rim
    sits: float
    wanted: str
    odds: float
    odds_wanted: float
    yes: bool
    sentence: str
    strip: Strip
    aging: tuple[tuple[float, float], ...]
    findings: tuple[Finding, ...]
    shape: Shape = "pot"
    nets: tuple[Net, ...] = ()  # of pulled ware: cracks by when they open
    way_down: WayDown | None = None
    through: Through | None = None
    curve: CrackleCurve | None = None
    survival: Survival | None = None


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


def fit(
    library: Library,
    recipe: Recipe,
    body: Body,
    *,
    firing: Firing | None = None,
    coat: Coat = DEFAULT,
    wall_mm: float = 6.0,
    odds: float = 0.8,
    shape: Shape = "pot",
    cooled: str | None = None,
) -> FitAnswer:
    """Odds that a glaze crazes, sits or shivers; ``cooled`` as ``read_cooling`` reads it.

    Raises CompositionError when it is no glaze, QuantityError for a cooling nobody understands.
    """
    analysis = analyse(recipe)
    glaze = draw_glaze(recipe, coat)
    body_draws = draw_body(body)
    cool = cooling(firing, wall_mm, cooled, shape)
    draws = fit_draws(recipe, glaze, body_draws, wall_mm, cool, shape)
    findings = [
        *ambiguity_findings(recipe, analysis),
        *composition_findings(recipe, analysis, glaze.solids),
        *solid_findings(recipe, glaze.solids),
        UNMODELLED,
        *material_cautions(library, [recipe]),
    ]
    findings += _beyond_curve(body, draws.set_c)
    answer = summarise(recipe, body, coat, wall_mm, cool.words, draws, odds, findings)
    stays = through_mpa(shape, glaze, body_draws, wall_mm, draws.stress_mpa)
    answer = replace(answer, shape=shape, through=stays)
    if draws.pulled is None:
        way = way_down(glaze, body_draws, draws.set_c, draws.stress_mpa, wall_mm, shape)
        return replace(answer, way_down=way)
    survives = survival(body_draws, cool, wall_mm, shape)
    curve = None
    if answer.crazes_later >= _WORTH_A_CURVE and cool.smoke and cool.smoke.bin_min > 0.0:
        curve = crackle_curve(
            glaze,
            body_draws,
            draws.critical_mpa,
            draws.z,
            cool,
            wall_mm,
            shape,
            draws.nets,
        )
    return replace(
        answer,
        way_down=on_its_way(draws.pulled),
        curve=curve,
        survival=survives,
        findings=sort_findings(
            [
                *answer.findings,
                *pulled_findings(recipe, body, survives, cool),
                *pull_cautions(library),
            ]
        ),
    )


def _beyond_curve(body: Body, set_c: Array) -> list[Finding]:
    if body.curve is None or float((set_c > body.curve[0][-1]).mean()) < 0.05:
        return []
    return [
        Finding(
            "curve-too-short",
            "caution",
            f"the glaze sets near {np.median(set_c):.0f} °C, but the clay's curve ends at "
            f"{body.curve[0][-1]:.0f} °C: it is taken to go on as it ended.",
            body.source,
            body.name,
        )
    ]


#: A net rarer than this needs no curve of air and smoke.
_WORTH_A_CURVE = 0.3
#: Draws per glaze when many are compared: odds with a standard error of at most 2 per cent.
_RANK_DRAWS = 600


def rank(
    recipes: list[Recipe],
    body: Body,
    *,
    firing: Firing | None = None,
    coat: Coat = DEFAULT,
    wall_mm: float = 6.0,
    odds: float = 0.8,
    shape: Shape = "pot",
    cooled: str | None = None,
) -> list[FitAnswer]:
    """Several glazes on one body, the one that crazes most first."""
    cool = cooling(firing, wall_mm, cooled, shape)
    body_draws = draw_body(body).some(_RANK_DRAWS)
    found = []
    for recipe in recipes:
        glaze = draw_glaze(recipe, coat, _RANK_DRAWS)
        draws = fit_draws(recipe, glaze, body_draws, wall_mm, cool, shape)
        answer = summarise(recipe, body, coat, wall_mm, cool.words, draws, odds, [])
        found.append(replace(answer, shape=shape))
    return sorted(found, key=lambda a: -a.worst.value)


def summarise(
    recipe: Recipe,
    body: Body,
    coat: Coat,
    wall_mm: float,
    cooling_words: str,
    draws: FitDraws,
    odds: float,
    findings: list[Finding],
) -> FitAnswer:
    """Draws -> odds, intervals and a sentence."""
    wanted = wanted_of(recipe.surface)
    share = float(draws.as_wanted.mean())
    crazes_now, later = float(draws.crazes_now.mean()), float(draws.crazes.mean())
    shivers = float(draws.shivers.mean())
    sits = float((~draws.crazes & ~draws.shivers).mean())

    net = net_of(draws.spacing_mm)

    def interval(values: Array, unit: str) -> Interval:
        return Interval(*quantiles(values), 0.9, unit)

    return FitAnswer(
        recipe=recipe,
        body=body,
        coat=coat,
        wall_mm=wall_mm,
        cooling=cooling_words,
        set_c=interval(draws.set_c, "°C"),
        alpha_glaze=interval(draws.alpha_glaze, "1e-6/K"),
        alpha_body=interval(draws.alpha_body, "1e-6/K"),
        stress=interval(draws.stress_mpa, "MPa"),
        worst=interval(draws.pull_mpa, "MPa"),
        crazes=crazes_now,
        crazes_later=later,
        crackle_mm=net.spacing_mm,
        crackle_words=net.words,
        shivers=shivers,
        could_shiver=float(draws.could_shiver.mean()),
        sits=sits,
        wanted=wanted,
        odds=odds,
        odds_wanted=share,
        yes=share >= odds,
        sentence=sentence(
            recipe,
            body,
            wanted,
            share,
            odds,
            crazes_now,
            later,
            shivers,
            draws.alpha_glaze,
            draws.alpha_body,
            float(np.median(draws.pull_mpa - draws.stress_mpa)),
        ),
        strip=strip_of(
            draws.stress_mpa,
            draws.pull_mpa,
            draws.mpa_per_alpha,
            draws.limits_mpa,
            analyse(recipe).mol[None, :],
            draws.coat_mm,
            draws.z,
            body.flaws_per_mm,
        ),
        aging=draws.aging,
        nets=draws.nets,
        findings=sort_findings(
            [*findings, *fit_findings(recipe, body, float(draws.could_shiver.mean()))]
        ),
    )
