"""The effect of weighing more or less of one material."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from cofire.answers.sensitivity.sources import WeighingPlan
from cofire.arrays import Array
from cofire.model.conditions import Conditions
from cofire.model.crackle import NO_CRACKS_MM
from cofire.model.evaluation import Evaluation, evaluate, evaluate_recipe
from cofire.model.fit import wanted_of
from cofire.model.glaze_draws import MIDDLE, draw_glazes
from cofire.model.melt_range import history_of, peaks
from cofire.model.outcome import OUTSIDE

#: Draws for the odds beside each changed amount; all are the same, so that differences are real.
_ODDS_DRAWS = 1024
#: The other amount that is tried, as a share of the batch.
_SHARE = 0.01


@dataclass(frozen=True)
class Shift:
    """The effect of ``more_g`` grams of one material. None if not asked or not comparable."""

    more_g: float
    expansion_1e6_per_k: float
    stress_mpa: float | None
    craze_odds: float | None
    fluidity_decades: float  # over what ripening needs
    ripens_hotter_c: float  # how much hotter the firing would have to be
    crack_spacing_mm: float | None
    odds_with_it: float | None  # of all that was asked
    odds_with_as_much_less: float | None


@dataclass(frozen=True)
class Effect:
    """One material of the batch, a step of the scale more of it, and a hundredth of the batch."""

    written: str
    grams: float
    one_scale_step_more: Shift
    one_hundredth_of_the_batch_more: Shift
    json_also: ClassVar = ("scale_step_share",)

    @property
    def scale_step_share(self) -> float:
        """A step of the scale over its amount."""
        return self.one_scale_step_more.more_g / self.grams


@dataclass(frozen=True)
class Baseline:
    """The recipe itself, as it is written; None if not asked."""

    expansion_1e6_per_k: float
    stress_mpa: float | None
    craze_odds: float | None
    ripens_c: float
    crack_spacing_mm: float | None
    odds: float | None  # of all that was asked
    outside_the_data: bool


def amount_effects(weighing: WeighingPlan, at: Conditions) -> tuple[Baseline, tuple[Effect, ...]]:
    """The recipe itself, and the effects of more or less of each material."""
    glazes, grams = weighing.glazes, weighing.grams
    used = [k for k in range(len(grams)) if grams[k] > 0.0]
    amounts = (weighing.scale_step_g, _SHARE * weighing.batch_g)
    rows = [grams]
    for k in used:
        for more in (amounts[0], -amounts[0], amounts[1], -amounts[1]):
            row = grams.copy()
            row[k] = max(row[k] + more, 0.0)
            rows.append(row)
    parts = np.array(rows)
    asked = bool(at.when) or at.body_draws is not None
    evaluation = evaluate(glazes, parts, at, _ODDS_DRAWS if asked else 1)[0]
    own = evaluate_recipe(weighing.recipe, at) if asked else evaluation
    draws = draw_glazes(glazes, parts, at, MIDDLE)
    time_s, ware_c = history_of(at)
    ripens_c = peaks(draws, time_s, ware_c, at.criteria).matures_c
    if not at.when:  # a plain firing is laid where the recipe ripens
        peak = float(ripens_c[0]) if np.isfinite(ripens_c[0]) else float(ware_c.max())
        ware_c = ware_c + peak - ware_c.max()
    decades = peaks(draws, time_s, ware_c, at.criteria).spare_decades
    crackle = wanted_of(weighing.recipe.surface) == "crazes"

    def crazes(one: Evaluation) -> Array | None:
        return one.odds_crazes_at_once if crackle else one.odds_crazes_by_horizon

    def change(values: Array | None, row: int) -> float | None:
        return None if values is None else float(values[row] - values[0])

    def shift(row: int, more: float) -> Shift:
        spacing_mm = evaluation.crack_spacing_mm
        near = spacing_mm is not None and max(spacing_mm[0], spacing_mm[row]) < NO_CRACKS_MM
        # odds of few draws, moved by what all draws add where nothing is changed
        moved = own.odds_right[0] - evaluation.odds_right[0]
        return Shift(
            more_g=more,
            expansion_1e6_per_k=float(
                evaluation.expansion_1e6_per_k[row] - evaluation.expansion_1e6_per_k[0]
            ),
            stress_mpa=change(evaluation.stress_mpa, row),
            craze_odds=change(crazes(evaluation), row),
            fluidity_decades=float(decades[row] - decades[0]),
            ripens_hotter_c=float(ripens_c[row] - ripens_c[0]),
            crack_spacing_mm=change(spacing_mm, row) if near else None,
            odds_with_it=float(evaluation.odds_right[row] + moved) if asked else None,
            odds_with_as_much_less=float(evaluation.odds_right[row + 1] + moved) if asked else None,
        )

    effects = tuple(
        Effect(
            glazes.recipe.parts[k].written,
            float(grams[k]),
            shift(4 * place + 1, amounts[0]),
            shift(4 * place + 3, amounts[1]),
        )
        for place, k in enumerate(used)
    )

    def first(values: Array | None) -> float | None:
        return None if values is None else float(values[0])

    baseline = Baseline(
        float(own.expansion_1e6_per_k[0]),
        first(own.stress_mpa),
        first(crazes(own)),
        float(ripens_c[0]),
        first(own.crack_spacing_mm),
        float(own.odds_right[0]) if asked else None,
        bool(own.support.grade[0] >= OUTSIDE),
    )
    return baseline, effects
