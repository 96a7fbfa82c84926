"""What weighing one material otherwise does to a glaze."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cofire.answers.sensitivity.sources import Bench, grams_of
from cofire.arrays import Array
from cofire.model.draws import draw_body
from cofire.model.fit import wanted_of
from cofire.model.glaze_set import draws_of, family_of, glance
from cofire.model.ripe_peak import ripening
from cofire.ripeness.judge import DEFAULT as CRITERIA

#: Draws for the odds beside each changed amount; all are the same, so that differences are real.
_ODDS_DRAWS = 1000
#: The other amount that is tried, as a share of the batch.
_SHARE = 0.01
#: Cracks farther apart than this, mm, are none.
_NO_CRACKS_MM = 200.0


@dataclass(frozen=True)
class Shift:
    """What so many grams more of one material change. None where nobody asked, or where there is
    nothing to compare."""

    grams: float
    alpha_1e6_per_k: float
    stress_mpa: float | None
    crazes: float | None  # odds
    decades: float  # of fluidity, over what ripening needs
    hotter_c: float  # so much hotter the firing would have to be
    spacing_mm: float | None
    right: float | None  # odds of all that was asked, with it
    right_less: float | None  # and with as much less


@dataclass(frozen=True)
class Effect:
    """One material of the batch, a step of the scale more of it, and a hundredth of the batch."""

    name: str
    grams: float
    step: Shift
    hundredth: Shift

    @property
    def step_share(self) -> float:
        """A step of the scale over its amount."""
        return self.step.grams / self.grams


@dataclass(frozen=True)
class Here:
    """The recipe itself; None what nobody asked. ``crazes`` and ``right`` are odds."""

    alpha: float  # 1e-6/K
    stress: float | None  # MPa
    crazes: float | None
    ripens_c: float
    spacing: float | None  # mm
    right: float | None


def weighed_otherwise(bench: Bench) -> tuple[Here, tuple[Effect, ...]]:
    """The recipe itself, and each of its materials weighed otherwise."""
    recipe = bench.recipe
    family, _ = family_of(recipe)
    grams = grams_of(recipe, bench.batch_g)
    used = [k for k in range(len(grams)) if grams[k] > 0.0]
    amounts = (bench.step_g, _SHARE * bench.batch_g)
    rows = [grams]
    for k in used:
        for more in (amounts[0], -amounts[0], amounts[1], -amounts[1]):
            row = grams.copy()
            row[k] = max(row[k] + more, 0.0)
            rows.append(row)
    parts = np.array(rows)
    clay = draw_body(bench.body) if bench.body else None
    one, many = (
        glance(
            family, parts, body=clay, cool=bench.cool, when=bench.when, coat=bench.coat,
            wall_mm=bench.wall_mm, n=n, spread_c=bench.spread_c,
        )
        for n in (1, _ODDS_DRAWS)
    )  # fmt: skip
    draws = draws_of(family, parts, coat=bench.coat)
    ripens_c, _ = ripening(draws, recipe.surface, bench.time_s, bench.ware_c, CRITERIA)
    fired = bench.ware_c
    if not bench.when:  # a plain firing is laid where the recipe ripens
        peak = float(ripens_c[0]) if np.isfinite(ripens_c[0]) else float(fired.max())
        fired = fired + peak - fired.max()
    _, decades = ripening(draws, recipe.surface, bench.time_s, fired, CRITERIA)
    asked = bool(bench.when) or clay is not None
    craze_odds = many.crazes if wanted_of(recipe.surface) == "crazes" else many.crazes_later

    def shift(row: int, more: float) -> Shift:
        def change(values: Array | None) -> float | None:
            return None if values is None else float(values[row] - values[0])

        apart = one.spacing_mm
        near = apart is not None and max(apart[0], apart[row]) < _NO_CRACKS_MM
        return Shift(
            grams=more,
            alpha_1e6_per_k=float(one.alpha_1e6_per_k[row] - one.alpha_1e6_per_k[0]),
            stress_mpa=change(one.stress_mpa),
            crazes=change(craze_odds),
            decades=float(decades[row] - decades[0]),
            hotter_c=float(ripens_c[row] - ripens_c[0]),
            spacing_mm=change(apart) if near else None,
            right=float(many.right[row]) if asked and many.right is not None else None,
            right_less=float(many.right[row + 1]) if asked and many.right is not None else None,
        )

    effects = tuple(
        Effect(
            family.recipe.parts[k].written,
            float(grams[k]),
            shift(4 * place + 1, amounts[0]),
            shift(4 * place + 3, amounts[1]),
        )
        for place, k in enumerate(used)
    )

    def first(values: Array | None) -> float | None:
        return None if values is None else float(values[0])

    here = Here(
        float(one.alpha_1e6_per_k[0]),
        first(one.stress_mpa),
        first(craze_odds),
        float(ripens_c[0]),
        first(one.spacing_mm),
        first(many.right) if asked else None,
    )
    return here, effects
