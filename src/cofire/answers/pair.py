"""The main job: one or more glazes, one firing, and perhaps a body."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from cofire.answers.findings.cautions import firing_cautions, material_cautions, pull_cautions
from cofire.answers.findings.firing import speed_findings
from cofire.answers.findings.fit import pulled_findings
from cofire.answers.findings.long_hold import crystal_findings, vapour_findings
from cofire.answers.findings.overlap import overlap_findings
from cofire.answers.findings.recipe import recipe_findings
from cofire.answers.findings.texts import finding
from cofire.answers.firing_change import smallest_change
from cofire.answers.fit import summarise
from cofire.answers.messages.pair import change_sentence, pair_sentence
from cofire.answers.results.pair import AtPull, InFiring, PairAnswer, RipeOdds
from cofire.errors import CompositionError
from cofire.files.library import Library
from cofire.findings import Finding, sort_findings
from cofire.model.analysis import analyse
from cofire.model.conditions import Conditions
from cofire.model.interval import Interval
from cofire.model.outcome import (
    VERDICTS,
    Outcome,
    judge_each,
    judge_together,
    odds_together,
    verdict_of,
)
from cofire.model.overlap import overlaps, stays_apart
from cofire.model.schedule import Moment
from cofire.model.survival import survival
from cofire.records import Recipe
from cofire.ripeness.judge import Criteria, Stages, dryness, ripe_enough, runs

#: A share of pores left below which a powder has begun to hold together.
_HELD_TOGETHER = 0.6


def pair(
    library: Library, recipes: Sequence[Recipe], at: Conditions, *, change: bool = True
) -> PairAnswer:
    """Judge each glaze at the first and the last pull, its fit, and all of them together; look for
    a ``change`` of the firing that would help.

    The recipes lie on the pot in their order, the first on the clay. Raises CompositionError for a
    recipe that is no glaze or a firing its kiln cannot do.
    """
    if not recipes:
        raise CompositionError("no glaze was named.", hint="Name one or more recipes.")
    if at.firing is None:
        raise CompositionError("no firing was named.", hint="Name a --firing.")
    at.for_glazes(len(recipes))
    outcomes = judge_each(recipes, at)
    glazes = tuple(
        in_firing(recipe, outcome, at, k)
        for k, (recipe, outcome) in enumerate(zip(recipes, outcomes, strict=True))
    )
    outside = any(outcome.outside for outcome in outcomes)
    joint = judge_together(recipes, outcomes, at)
    odds = odds_together(joint, outcomes)
    survives = None
    if at.body_draws is not None and at.cooling_curve.path is not None:
        survives = survival(at.body_draws, at.cooling_curve, at.wall_mm, at.shape, compare=False)
    over = overlaps(recipes, at)
    words = [verdict_of(some, at.odds, outside) for some in (odds, stays_apart(over))]
    answer = PairAnswer(
        at=at,
        firing=at.firing,
        glazes=glazes,
        odds_together=odds,
        verdict=min(words, key=VERDICTS.index),
        overlaps=over,
        odds_overlaps_stay=stays_apart(over) if over else None,
        survival=survives,
    )
    answer = replace(
        answer,
        sentence=pair_sentence(answer),
        findings=sort_findings(_findings(library, answer, outcomes)),
    )
    if answer.yes or outside or not change:
        return answer
    found, tried = smallest_change(joint, outcomes, recipes, at)
    return replace(answer, change=found, change_words=change_sentence(found, tried))


def in_firing(recipe: Recipe, outcome: Outcome, at: Conditions, layer: int) -> InFiring:
    """One glaze as it is at the pulls and on the body."""
    pulls = tuple(
        _describe(moment, stages, recipe, at.criteria)
        for moment, stages in zip(at.when, outcome.stages, strict=True)
    )
    return InFiring(
        recipe,
        layer + 1,
        at.coat(layer).fired_mm,
        pulls,
        summarise(recipe, outcome, at, layer) if at.body_draws is not None else None,
        outcome.odds_ripe or 0.0,
        outcome.odds,
        verdict_of(outcome.odds, at.odds, outcome.outside),
    )


def _findings(library: Library, answer: PairAnswer, outcomes: Sequence[Outcome]) -> list[Finding]:
    at, recipes = answer.at, [glaze.recipe for glaze in answer.glazes]
    last = at.when[-1]
    findings: list[Finding] = []
    for recipe, outcome in zip(recipes, outcomes, strict=True):
        findings += recipe_findings(recipe, outcome.draws)
        if not recipe.known:
            continue
        findings += crystal_findings(recipe, outcome.draws.middle, last.time_s, last.ware_c)
        findings += vapour_findings(recipe, analyse(recipe), last.time_s, last.ware_c)
    findings += material_cautions(library, recipes) + firing_cautions(library, answer.firing)
    if at.cooling_curve.path is not None and not answer.firing.pulls:
        findings += pull_cautions(library)
    findings += [f for glaze in answer.glazes if glaze.fit for f in glaze.fit.findings]
    findings += speed_findings(answer.firing)
    alone = max(glaze.pulls[-1].odds.runs for glaze in answer.glazes)
    findings += overlap_findings(answer.overlaps, alone, at.odds)
    if len(recipes) > 1:
        findings += [finding("bought-overlap", one.name) for one in recipes if not one.known]
    if at.body and answer.survival:
        findings += pulled_findings(recipes[0], at.body, answer.survival, at.cooling_curve)
    return findings


def _describe(moment: Moment, stages: Stages, recipe: Recipe, by: Criteria) -> AtPull:
    ready, ran = ripe_enough(stages, recipe.surface, by), runs(stages, by)
    under, running = float((~ready & ~ran).mean()), float(ran.mean())
    ripe = 1.0 - under - running
    sealed = float((stages.pores_left <= by.pores_left).mean())
    smooth = float((stages.grain_ripple_left <= by.ripple_left).mean())
    if running >= max(ripe, under):
        word = "runs"
    elif ripe >= under:
        word = "ripe"
    elif sealed >= 0.5 and recipe.surface == "matte":
        word = "sealed, but too hot to keep crystals"
    elif min(sealed, smooth) >= 0.5:
        word = "smooth, not yet level"
    elif sealed >= 0.5:
        word = "sealed, not yet smooth"
    elif float(np.median(stages.pores_left)) <= _HELD_TOGETHER:
        word = "underfired, still porous"
    else:
        word = "dry, far from sealed"
    dry_by = None
    if recipe.surface in ("matte", "dry matte"):
        dry_by = {why: float(share) for why, share in dryness(stages, by).items()}
    return AtPull(
        moment.name,
        moment.at_min,
        float(moment.ware_c.max()),
        RipeOdds(under, ripe, running),
        sealed,
        smooth,
        Interval.of_draws(stages.slide_mm, "mm"),
        Interval.of_draws(stages.run_mm, "mm"),
        Interval.of_draws(100.0 * stages.solid, "%"),
        word,
        dry_by,
    )
