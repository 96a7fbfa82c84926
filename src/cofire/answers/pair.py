"""The main job: two or more glazes, one firing, and perhaps a body."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from cofire.answers.findings.cautions import firing_cautions, material_cautions, pull_cautions
from cofire.answers.findings.long_hold import crystal_findings, vapour_findings
from cofire.answers.firing import speed_findings
from cofire.answers.firing_change import (
    QUICK_DRAWS,
    SEARCH_SPAN_C,
    Change,
    StagesAt,
    judge_with,
    smallest_change,
)
from cofire.answers.fit import FitAnswer, summarise
from cofire.answers.formula import UNMODELLED, ambiguity_findings, composition_findings
from cofire.answers.messages.fit import pulled_findings
from cofire.arrays import Mask
from cofire.errors import CompositionError
from cofire.files.library import Library
from cofire.findings import Finding, sort_findings
from cofire.model.analysis import analyse
from cofire.model.cooling import cooling
from cofire.model.draws import GlazeDraws, draw_body, draw_glaze
from cofire.model.fit import fit_draws
from cofire.model.interval import Interval, quantiles
from cofire.model.overlap import Overlap, overlaps
from cofire.model.ripening import Fluidity, all_ripe, fluidity_up_to, stages_at
from cofire.model.schedule import Moment, moments, spread_c
from cofire.model.solids import solid_findings
from cofire.model.survival import Survival, survival
from cofire.read.coat import DEFAULT, Coat
from cofire.records import Body, Firing, Recipe
from cofire.ripeness.judge import Criteria, Stages, ripe_enough, runs
from cofire.words import percent

#: A share of pores left below which a powder has begun to hold together.
_HELD_TOGETHER = 0.6


@dataclass(frozen=True)
class AtPull:
    """One glaze at one moment: odds that add up to 1, and how far it slid down the wall
    and ran past its edge (mm)."""

    moment: str
    at_min: float
    peak_c: float
    under: float
    ripe: float
    runs: float
    sealed: float
    smooth: float
    slide_mm: Interval
    run_mm: Interval
    word: str


@dataclass(frozen=True, eq=False)
class InFiring:
    """One glaze in the firing. ``odds`` is the share of draws that are right in every respect."""

    recipe: Recipe
    pulls: tuple[AtPull, ...]
    fit: FitAnswer | None
    odds_ripe: float
    odds: float
    yes: bool


@dataclass(frozen=True, eq=False)
class PairAnswer:
    firing: Firing
    body: Body | None
    coat: Coat
    wall_mm: float
    glazes: tuple[InFiring, ...]
    odds_asked: float
    odds: float
    yes: bool
    sentence: str
    overlaps: tuple[Overlap, ...]
    survival: Survival | None  # of the pot, if it is pulled red-hot
    change: Change | None  # of the firing, that would make it yes
    change_words: str
    findings: tuple[Finding, ...]


def pair(
    library: Library,
    recipes: list[Recipe],
    firing: Firing,
    body: Body | None = None,
    *,
    coat: Coat = DEFAULT,
    wall_mm: float = 6.0,
    odds: float = 0.8,
    cooled: str | None = None,
    criteria: Criteria | None = None,
) -> PairAnswer:
    """Judge each glaze at the first and the last pull, its fit, and all of them together.

    Raises CompositionError for a recipe that is no glaze or a firing its kiln cannot do.
    """
    if not recipes:
        raise CompositionError("no glaze was named.", hint="Name one or more recipes.")
    by = criteria or Criteria()
    when = moments(firing, wall_mm)
    cool = cooling(firing, wall_mm, cooled)
    body_draws = draw_body(body) if body else None
    glazes: list[InFiring] = []
    drawn: list[tuple[Recipe, GlazeDraws, Mask]] = []
    together: Mask | None = None
    findings: list[Finding] = []
    for recipe in recipes:
        analysis = analyse(recipe)
        draws = draw_glaze(recipe, coat, spread_c=spread_c(firing))
        findings += ambiguity_findings(recipe, analysis)
        findings += composition_findings(recipe, analysis, draws.solids)
        findings += solid_findings(recipe, draws.solids)
        findings += crystal_findings(
            recipe,
            draws.solids.melt_mol.mean(axis=0, keepdims=True),
            when[-1].time_s,
            when[-1].ware_c,
        )
        findings += vapour_findings(recipe, analysis, when[-1].time_s, when[-1].ware_c)
        done = stages_at(when, recipe, draws, by)
        good = all_ripe(recipe, done, by)
        fits_body = np.ones(len(good), bool)
        odds_ripe = float(good.mean())
        answer = None
        if body and body_draws:
            fits = fit_draws(recipe, draws, body_draws, wall_mm, cool)
            fits_body = fits.as_wanted
            good = good & fits_body
            answer = summarise(recipe, body, coat, wall_mm, cool.words, fits, odds, [])
        pulls = tuple(_describe(m, d, recipe, by) for m, d in zip(when, done, strict=True))
        share = float(good.mean())
        glazes.append(InFiring(recipe, pulls, answer, odds_ripe, share, share >= odds))
        together = good if together is None else together & good
        drawn.append((recipe, draws, fits_body))
    assert together is not None
    share = float(together.mean())
    findings += material_cautions(library, recipes) + firing_cautions(library, firing)
    if cool.path is not None and not firing.pulls:
        findings += pull_cautions(library)
    findings += [f for g in glazes if g.fit for f in g.fit.findings]
    findings += [UNMODELLED, *speed_findings(firing)]
    over = overlaps(
        recipes,
        when[-1],
        by,
        coat,
        body_draws,
        wall_mm,
        cool,
    )
    findings += overlap_findings(over, [g.pulls[-1].runs for g in glazes], odds)
    survives = None
    if body and body_draws and cool.path is not None:
        survives = survival(body_draws, cool, wall_mm, "pot", compare=False)
        findings += pulled_findings(recipes[0], body, survives, cool)
    change, change_words = None, ""
    if share < odds:
        change, change_words = _better_firing(firing, drawn, wall_mm, by, odds)
    return PairAnswer(
        firing=firing,
        body=body,
        coat=coat,
        wall_mm=wall_mm,
        glazes=tuple(glazes),
        odds_asked=odds,
        odds=share,
        yes=share >= odds,
        sentence=_sentence(glazes, body, share, odds),
        overlaps=over,
        survival=survives,
        change=change,
        change_words=change_words,
        findings=sort_findings(findings),
    )


def _better_firing(
    firing: Firing,
    drawn: list[tuple[Recipe, GlazeDraws, Mask]],
    wall_mm: float,
    by: Criteria,
    odds: float,
) -> tuple[Change | None, str]:
    fit_alone = float(np.logical_and.reduce([fits for _, _, fits in drawn]).mean())
    if fit_alone < odds:
        return None, (
            f"No change of the firing helps: they fit the body with only {percent(fit_alone)} odds."
        )
    quick, full = (
        judge_with(drawn, wall_mm, by, all_ripe, _stages_known(firing, n), n)
        for n in (QUICK_DRAWS, None)
    )
    change = smallest_change(firing, odds, quick, full)
    if change is None:
        return None, (
            "No change of peak, soak, hold or last pull within this kiln's limits makes it a yes."
        )
    return change, f"It would be a yes ({percent(change.odds)}) with this change: {change.words}."


def _stages_known(firing: Firing, n: int | None) -> StagesAt:
    """``stages_at`` that works the fluidities of each glaze out once for all firings tried."""
    tables: dict[int, Fluidity] = {}
    top = firing.peak_c + max(firing.kiln.reads_off_c, 0.0)

    def at(when: list[Moment], recipe: Recipe, draws: GlazeDraws, by: Criteria) -> list[Stages]:
        if n is None:
            return stages_at(when, recipe, draws, by)
        if id(draws) not in tables:
            tables[id(draws)] = fluidity_up_to(top, draws, SEARCH_SPAN_C)
        return stages_at(when, recipe, draws, by, tables[id(draws)])

    return at


#: Odds of running, where glazes overlap, or crazing, that are worth a word; our choice.
_OVERLAP_RUNS = 0.3
_MAY_CRAZE = {"crackle", "lustre"}


def overlap_findings(over: Sequence[Overlap], alone: Sequence[float], odds: float) -> list[Finding]:
    """Where two glazes over each other run although neither does alone."""
    found = []
    for one in over:
        if one.crazes is not None and not {one.first.surface, one.second.surface} & _MAY_CRAZE:
            worst, ends = float(one.crazes.max()), max(one.crazes[0], one.crazes[-1])
            if worst >= _OVERLAP_RUNS and worst > 2.0 * ends:
                found.append(
                    Finding(
                        "overlap-crazes",
                        "caution",
                        f"mixed with “{one.second.name}” where they overlap, it crazes with "
                        f"{percent(worst)} odds, more than either alone.",
                        "mixtures of both, 300 draws each",
                        one.first.name,
                    )
                )
        at = one.worst
        if one.runs[at] < _OVERLAP_RUNS or max(alone) > 1.0 - odds:
            continue
        share = 100.0 * float(one.shares[at])
        what = (
            f"{100 - share:.0f} : {share:.0f} mixed"
            if 0.0 < share < 100.0
            else "even one alone, twice as thick"
        )
        found.append(
            Finding(
                "overlap-runs",
                "caution",
                f"where it lies over “{one.second.name}”, two coats thick ({one.coat_mm:.2g} mm "
                f"fired), it runs with {percent(float(one.runs[at]))} odds at the last pull "
                f"({what}), though neither does alone. Keep overlaps thin and away from the foot.",
                "mixtures of both, 300 draws each",
                one.first.name,
            )
        )
    return found


def _describe(moment: Moment, done: Stages, recipe: Recipe, by: Criteria) -> AtPull:
    ready, ran = ripe_enough(done, recipe.surface, by), runs(done, by)
    under, running = float((~ready & ~ran).mean()), float(ran.mean())
    ripe = 1.0 - under - running
    sealed = float((done.pores_left <= by.pores_left).mean())
    smooth = float((done.grain_ripple_left <= by.ripple_left).mean())
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
    elif float(np.median(done.pores_left)) <= _HELD_TOGETHER:
        word = "underfired, still porous"
    else:
        word = "dry, far from sealed"
    return AtPull(
        moment.name,
        moment.at_min,
        float(moment.ware_c.max()),
        under,
        ripe,
        running,
        sealed,
        smooth,
        Interval(*quantiles(done.slide_mm), 0.9, "mm"),
        Interval(*quantiles(done.run_mm), 0.9, "mm"),
        word,
    )


def _sentence(glazes: list[InFiring], body: Body | None, share: float, asked: float) -> str:
    many = len(glazes) > 1
    scope = "" if body else " Ripeness only: name a --body to hear whether they fit."
    if share >= asked:
        who = ("Both are" if len(glazes) == 2 else "All are") if many else "It is"
        fits = ""
        if body:
            wanted = {g.fit.wanted for g in glazes if g.fit}
            one, several = {
                frozenset({"sits"}): ("fits the body", "fit the body"),
                frozenset({"crazes"}): ("crackles as meant", "crackle as meant"),
                frozenset({"stays"}): ("stays on the body", "stay on the body"),
            }.get(frozenset(wanted), ("", "fit the body as meant"))
            fits = f" and {several if many else one}"
        return f"Yes: {who.lower()} ripe at every pull{fits} ({percent(share)} together)." + scope
    reasons = [_reason(g, asked) for g in glazes]
    reasons = [r for r in reasons if r]
    if not reasons:
        reasons = ["each alone is sure enough, but not all at once"]
    return (
        f"No: {'; '.join(reasons)} ({percent(share, asked)} together, {percent(asked)} asked)."
        + scope
    )


def _the(moment: str) -> str:
    return moment if moment.startswith("the ") else f"the {moment}"


def _reason(glaze: InFiring, asked: float) -> str:
    name = f"“{glaze.recipe.name}”"
    worst = min(glaze.pulls, key=lambda p: p.ripe)
    if worst.ripe < asked:
        if worst.runs > worst.under:
            return f"{name} runs at {_the(worst.moment)} ({percent(worst.runs)})"
        word = worst.word if worst.word != "ripe" else "not surely ripe"
        return f"{name} is {word} at {_the(worst.moment)} ({percent(worst.under)} under)"
    if glaze.fit and not glaze.fit.yes:
        if glaze.fit.wanted == "crazes":
            return f"{name} does not surely crackle ({percent(glaze.fit.crazes)})"
        if glaze.fit.crazes_later >= glaze.fit.shivers:
            return f"{name} crazes ({percent(glaze.fit.crazes_later)})"
        return f"{name} could shiver ({percent(glaze.fit.shivers)})"
    return (
        ""
        if glaze.yes
        else f"{name} is right in every respect with only {percent(glaze.odds, asked)} odds"
    )
