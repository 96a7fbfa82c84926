"""One glaze on one body: will it craze, sit or shiver, and is it ripe where a firing is named?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from cofire.answers.findings.cautions import firing_cautions, material_cautions, pull_cautions
from cofire.answers.findings.fit import curve_findings, fit_findings, pulled_findings
from cofire.answers.findings.recipe import recipe_findings
from cofire.answers.messages.fit import fit_sentence
from cofire.answers.results.fit import Crazed, FitAnswer, FitAnswers, FitOdds
from cofire.errors import CompositionError
from cofire.files.library import Library
from cofire.findings import sort_findings
from cofire.model.analysis import analyse
from cofire.model.body_draws import BodyDraws
from cofire.model.conditions import Conditions
from cofire.model.cooling_stress import stress_while_cooling, through_mpa
from cofire.model.crackle import crack_pattern
from cofire.model.crackle_curve import crackle_curve
from cofire.model.fit import FitDraws, crazed_after, wanted_of
from cofire.model.glaze_draws import Drawing
from cofire.model.interval import Interval, middle_of
from cofire.model.outcome import Outcome, judge, standard_error, verdict_of
from cofire.model.smoke import stress_of_pulled
from cofire.model.standard_draws import N
from cofire.model.strip import strip_of
from cofire.model.survival import survival
from cofire.model.trials import trials
from cofire.records import Recipe

#: Ages at which the growth of the clay in moist air is looked at, beside the horizon.
_AGES_YEARS = (0.1, 1.0, 10.0)
#: “Within months” is this long.
_MONTHS_YEARS = 0.25
#: A net rarer than this needs no curve of air and smoke.
_WORTH_A_CURVE = 0.3
#: Glazes beyond this number are ranked by a few draws; only where these leave a verdict open, by so
#: many standard errors of the odds, all are taken. Our choice.
_MANY, _FEW_DRAWS, _OPEN = 12, 1024, 3.0


def fit(library: Library, recipe: Recipe, at: Conditions) -> FitAnswer:
    """Odds that a glaze crazes, sits or shivers on the body of some conditions, and is ripe in
    their firing.

    Raises CompositionError if it is not a glaze, or no body is named.
    """
    body_draws = _body_draws(at)
    outcome = judge(recipe, at.for_glazes(1))
    answer = summarise(recipe, outcome, at)
    findings = [
        *recipe_findings(recipe, outcome.draws),
        *material_cautions(library, [recipe]),
        *fit_findings(answer),
        *curve_findings(body_draws.body, answer.set_c),
    ]
    if at.firing:
        findings += firing_cautions(library, at.firing)
    fits = outcome.fit
    assert fits is not None
    stays = through_mpa(at.shape, outcome.draws, body_draws, at.wall_mm, fits.stress_mpa)
    if fits.pulled is None:
        way = stress_while_cooling(
            outcome.draws, body_draws, fits.set_c, fits.stress_mpa, at.wall_mm, at.shape
        )
        answer = replace(answer, way_down=way)
    else:
        survives = survival(body_draws, at.cooling_curve, at.wall_mm, at.shape)
        smoke = at.cooling_curve.smoke
        if answer.odds.crazes_at_once >= _WORTH_A_CURVE and smoke and smoke.bin_min > 0.0:
            answer = replace(answer, air_and_smoke=crackle_curve(outcome.draws, fits, at))
        answer = replace(answer, way_down=stress_of_pulled(fits.pulled), survival=survives)
        findings += pulled_findings(recipe, body_draws.body, survives, at.cooling_curve)
        findings += pull_cautions(library)
    return replace(answer, through_mpa=stays, findings=sort_findings(findings))


def fits(library: Library, recipes: Sequence[Recipe], at: Conditions) -> FitAnswers:
    """One glaze as by ``fit``, several as by ``rank``."""
    alone = len(recipes) == 1
    return FitAnswers([fit(library, recipes[0], at)] if alone else rank(recipes, at))


def rank(recipes: Sequence[Recipe], at: Conditions) -> list[FitAnswer]:
    """Several glazes on one body, the one that crazes most first. Each has the coat of its place
    among the recipes. More than a dozen are ranked by few draws each, which ``draws`` tells."""
    at.for_glazes(len(recipes))
    n = _FEW_DRAWS if len(recipes) > _MANY else N
    few = at.with_draws(_body_draws(at).some(n))
    answers = []
    for layer, recipe in enumerate(recipes):
        by, outcome = few, judge(recipe, few, Drawing(n, layer))
        if n < N and abs(outcome.odds - at.odds) <= _OPEN * standard_error(at.odds, n):
            by, outcome = at, judge(recipe, at, Drawing(layer=layer))
        answers.append(summarise(recipe, outcome, by, layer))
    return sorted(answers, key=lambda a: -a.most_on_the_way_mpa.value)


def _body_draws(at: Conditions) -> BodyDraws:
    if at.body_draws is None:
        raise CompositionError("no body was named.", hint="Name a --body.")
    return at.body_draws


def summarise(recipe: Recipe, outcome: Outcome, at: Conditions, layer: int = 0) -> FitAnswer:
    """Draws -> odds, intervals and a sentence."""
    body_draws, fits = _body_draws(at), outcome.fit
    assert fits is not None
    pattern = crack_pattern(fits.spacing_mm)
    odds = FitOdds(
        crazes_at_once=float(fits.crazes_now.mean()),
        crazes_within_months=crazed_after(_MONTHS_YEARS, fits, body_draws),
        crazes_by_horizon=float(fits.crazes.mean()),
        sits=float((~fits.crazes & ~fits.shivers).mean()),
        sits_fresh=float((~fits.crazes_now & ~fits.shivers).mean()),
        shivers=float(fits.shivers.mean()),
        edges_could_shiver=float(fits.could_shiver.mean()),
    )
    answer = FitAnswer(
        recipe=recipe,
        body=body_draws.body,
        at=at.with_coat(at.coat(layer)),
        layer=layer + 1,
        set_c=Interval.of_draws(fits.set_c, "°C"),
        alpha_glaze=Interval.of_draws(fits.alpha_glaze, "1e-6/K"),
        alpha_body=Interval.of_draws(fits.alpha_body, "1e-6/K"),
        stress_mpa=Interval.of_draws(fits.stress_mpa, "MPa"),
        most_on_the_way_mpa=Interval.of_draws(fits.max_tension_mpa, "MPa"),
        odds=odds,
        crackle_mm=pattern.spacing_mm,
        crackle=pattern.words,
        wanted=wanted_of(recipe.surface),
        odds_wanted=float(fits.as_wanted.mean()),
        odds_ripe=outcome.odds_ripe,
        odds_right=outcome.odds,
        verdict=verdict_of(outcome.odds, at.odds, outcome.outside),
        strip_mpa=strip_of(fits, analyse(recipe).mol[None, :] if recipe.known else None),
        crazed_with_the_years=tuple(
            Crazed(years, crazed_after(years, fits, body_draws))
            for years in sorted({*_AGES_YEARS, at.horizon_years})
        ),
        tests=trials(fits, body_draws, at),
        nets=fits.crack_patterns,
        draws=outcome.draws.n,
    )
    answer = replace(answer, sentence=fit_sentence(answer, _gap(fits)))
    return replace(answer, findings=sort_findings(fit_findings(answer)))


def _gap(fits: FitDraws) -> tuple[float, bool]:
    """How much more the glaze shrinks than its body, 1e-6/K, and whether the glaze is doubted
    more."""
    gap = middle_of(fits.alpha_glaze - fits.alpha_body)
    return gap, bool(np.std(fits.alpha_glaze) > np.std(fits.alpha_body))
