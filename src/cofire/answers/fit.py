"""One glaze on one body: will it craze, sit or shiver?"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from cofire.answers.findings.cautions import material_cautions, pull_cautions
from cofire.answers.formula import UNMODELLED, ambiguity_findings, composition_findings
from cofire.answers.messages.fit import fit_findings, pulled_findings, sentence
from cofire.arrays import Array
from cofire.files.library import Library
from cofire.findings import Finding, sort_findings
from cofire.model.analysis import analyse
from cofire.model.cooling import cooling
from cofire.model.cooling_stress import (
    Through,
    WayDown,
    through_mpa,
    way_down,
)
from cofire.model.crackle import CrackleCurve, Net, crackle_curve, net_of
from cofire.model.draws import draw_body, draw_glaze
from cofire.model.fit import FitDraws, fit_draws, wanted_of
from cofire.model.interval import Interval, quantiles
from cofire.model.smoke import on_its_way
from cofire.model.solids import solid_findings
from cofire.model.strip import Strip, strip_of
from cofire.model.survival import Survival, survival
from cofire.read.coat import DEFAULT, Coat
from cofire.records import Body, Firing, Recipe, Shape


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
