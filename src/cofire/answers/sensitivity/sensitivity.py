"""Sensitivity of an answer to weighing, materials and firing."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from cofire.answers.findings.texts import finding
from cofire.answers.sensitivity.amount_effects import Effect, amount_effects
from cofire.answers.sensitivity.messages import flips, sensitivity_sentence
from cofire.answers.sensitivity.next_tile import next_tile
from cofire.answers.sensitivity.results import Doubt, SensitivityAnswer, Without
from cofire.answers.sensitivity.sources import (
    SOURCES,
    Drawn,
    WeighingPlan,
    each_source,
    right_without,
)
from cofire.arrays import Array, Mask
from cofire.errors import refusal
from cofire.files.library import Library
from cofire.findings import Finding, sort_findings
from cofire.model.analysis import analyse
from cofire.model.conditions import Conditions
from cofire.model.outcome import VERDICTS, verdict_of
from cofire.read.units import show_weight
from cofire.records import Recipe
from cofire.round_numbers import round_up

#: A scale is too coarse for what is less than ten of its steps: half a step is then 5 %, and
#: colourants are felt at that; our choice.
_COARSE = 0.1


def sensitivity(library: Library, weighing: WeighingPlan, at: Conditions) -> SensitivityAnswer:
    """Change each amount by a step of the scale and by a hundredth of the batch, and draw every
    source of doubt alone.

    Raises QuantityError for an impossible batch or scale, CompositionError for no glaze.
    """
    recipe = weighing.recipe
    analyse(recipe)
    _must_weigh(weighing)
    own, effects = amount_effects(weighing, at.for_glazes(1))
    drawn = each_source(weighing, at)
    doubts = tuple(_doubt(s, drawn[s]) for s in SOURCES if s in drawn)
    asked = at.body is not None or at.firing is not None
    combined = _doubt("all", drawn["all"])
    odds_whole = float(drawn["all"].right.mean()) if asked else None
    findings = [
        finding("gradual-melting"),
        finding("not-in-any-model"),
        *_coarse(effects, weighing.batch_g),
    ]
    findings += _unknown_spread(recipe)
    if not np.isfinite(own.ripens_c):
        findings.append(finding("never-ripe", recipe.name))
    verdict = None
    if own.odds is not None and odds_whole is not None:
        verdict = min(
            (verdict_of(odds, at.odds, own.outside_the_data) for odds in (own.odds, odds_whole)),
            key=VERDICTS.index,
        )
    answer = SensitivityAnswer(
        weighing=weighing,
        at=at,
        conditions=_conditions(weighing, at),
        own=own,
        materials=effects,
        half_widths_90_percent=doubts,
        squares_added=_together(doubts),
        all_drawn=combined,
        odds_as_weighed_and_bought=odds_whole,
        odds_without=_without(weighing, at, drawn["all"].right) if asked else (),
        next_tile=next_tile(weighing, at, drawn["all"].right) if asked else None,
        verdict=verdict,
        careful=_most_careful(effects, combined),
        findings=sort_findings(findings),
    )
    return replace(answer, verdict_changes=flips(answer), sentence=sensitivity_sentence(answer))


def _must_weigh(weighing: WeighingPlan) -> None:
    batch_g, step_g = weighing.batch_g, weighing.scale_step_g
    if not 1.0 <= batch_g <= 1e6:
        raise refusal("batch-for-sensitivity", batch_g=batch_g)
    if not 1e-4 <= step_g <= 0.2 * batch_g:
        raise refusal("scale-for-sensitivity", step_g=step_g, batch_g=batch_g)


def half_width(values: Array) -> float:
    """Half of the width that holds 90 % of the finite draws; NaN without any."""
    usable = values[np.isfinite(values)]
    if not len(usable):
        return float("nan")
    low, high = np.percentile(usable, [5.0, 95.0])
    return float(0.5 * (high - low))


def _doubt(source: str, drawn: Drawn) -> Doubt:
    stress = None if drawn.stress_mpa is None else half_width(drawn.stress_mpa)
    return Doubt(source, half_width(drawn.alpha_1e6_per_k), stress, half_width(drawn.ripens_c))


def _without(weighing: WeighingPlan, at: Conditions, right: Mask) -> tuple[Without, ...]:
    """What each source does to the answer (N,), the largest first."""
    rows = [
        Without(source, float(known.mean()), float((known != right).mean()))
        for source, known in right_without(weighing, at).items()
    ]
    return tuple(sorted(rows, key=lambda row: (-row.changes, row.source)))


def _together(doubts: tuple[Doubt, ...]) -> Doubt:
    columns = [[d.expansion_1e6_per_k, d.stress_mpa, d.ripens_c] for d in doubts]
    alpha, stress, ripens_c = np.linalg.norm(np.array(columns, dtype=float), axis=0).tolist()
    return Doubt("together", alpha, None if doubts[0].stress_mpa is None else stress, ripens_c)


def _most_careful(effects: tuple[Effect, ...], combined: Doubt) -> Effect | None:
    """The material with the largest effect per gram, in any property."""

    def weight(effect: Effect) -> float:
        moved = effect.one_hundredth_of_the_batch_more
        pairs = (
            (moved.expansion_1e6_per_k, combined.expansion_1e6_per_k),
            (moved.stress_mpa, combined.stress_mpa),
            (moved.ripens_hotter_c, combined.ripens_c),
        )
        return max((abs(a) / b for a, b in pairs if a is not None and b and a == a), default=0.0)

    return max(effects, key=weight, default=None)


def _coarse(effects: tuple[Effect, ...], batch_g: float) -> list[Finding]:
    findings = []
    for effect in effects:
        if effect.scale_step_share <= _COARSE * (1.0 + 1e-9):
            continue
        findings.append(
            finding(
                "step-too-coarse",
                effect.written,
                grams=effect.grams,
                step_g=effect.one_scale_step_more.more_g,
                share=50.0 * effect.scale_step_share,
                batch=show_weight(round_up(batch_g * effect.scale_step_share / _COARSE)),
                finer_g=effect.grams * _COARSE,
            )
        )
    return findings


def _unknown_spread(recipe: Recipe) -> list[Finding]:
    bare = [p.material.name for p in recipe.parts if p.amount and not p.material.spread_wt_percent]
    if not bare:
        return []
    return [finding("spread-unknown", recipe.name, names=", ".join(dict.fromkeys(bare)))]


def _conditions(weighing: WeighingPlan, at: Conditions) -> tuple[str, ...]:
    parts = [
        f"batch of {show_weight(weighing.batch_g)} of base",
        f"scale with steps of {weighing.scale_step_g:g} g",
    ]
    if weighing.slips:
        parts.append("and every line off by a hundredth")
    if at.body:
        parts += [f"on {at.body.name}", f"wall {at.wall_mm:g} mm", at.cooling_curve.words]
    parts.append(f"coat {at.coat(0).reading}")
    parts.append(
        f"ripens as shifted from {at.firing.name}"
        if at.firing
        else "ripens in a firing that climbs its last 300 °C at 150 °C/h and soaks 10 min"
    )
    return tuple(parts)
