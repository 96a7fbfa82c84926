"""Values of the nonlinear targets of a recipe, and their slopes per material."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from cofire.answers.change.targets import MAY, Target
from cofire.arrays import Array, Mask
from cofire.errors import CompositionError
from cofire.formulate.nearest import NonlinearTarget
from cofire.model.conditions import Conditions
from cofire.model.evaluation import WIDEST_MM, Evaluation, Margins, evaluate
from cofire.model.glaze_draws import MIDDLE, draw_glazes
from cofire.model.glaze_set import GlazeSet
from cofire.model.melt_range import history_of, peaks
from cofire.model.outcome import standard_error
from cofire.records import Material

#: Kinds of target that no straight line meets.
NONLINEAR = (
    "expansion", "stress", "crackle", "black", "ripe at", "liquidus", "melts", "fits", "ripe", *MAY
)  # fmt: skip
#: Those that are met with odds: their value is a margin that as many draws as asked have at least.
PROBABILISTIC = ("fits", "ripe", "crackle", "black", *MAY)
#: Of those, the distance of cracks is met by its middle: how many flaws start cracks is known to a
#: factor of three at best until tiles tell, so no net is ever sure.
BY_MIDDLE = ("crackle", "black")
#: How far within a wish for a net a search aims, as a logarithm: rounding and few draws move it.
_INSIDE = 0.05
#: Those that are read off draws.
_DRAWN = (*PROBABILISTIC, "stress")
#: Step of a material for numerical slopes, parts.
_NUDGE = 0.5
#: Draws while searching.
_DRAWS = 256


@dataclass(frozen=True, eq=False)
class RecipeEvaluator:
    """Evaluates unknown parts (V,), each of a material of a set: ``incidence`` (V, M) says which.
    ``sure`` is the share of draws that has to meet what is met with odds; ``offsets`` (Q,) are what
    all draws added to the few at the last recipe that was tried."""

    glazes: GlazeSet
    incidence: Array
    materials: tuple[Material, ...]  # (V,)
    at: Conditions
    sure: float
    targets: tuple[Target, ...]  # the nonlinear ones
    prices: Mapping[str, float] = field(default_factory=dict)  # per kg, by material id
    offsets: Array | None = None

    def whole(self, parts: Array) -> Array:
        """Parts (..., V) -> parts of the set (..., M)."""
        return np.asarray(parts @ self.incidence)

    def nonlinear(self) -> tuple[NonlinearTarget, ...]:
        """The targets in the form of the solver."""
        return tuple(
            NonlinearTarget(_INSIDE if w.kind in BY_MIDDLE else 0.0, np.inf, w.scale)
            if w.kind in PROBABILISTIC
            else NonlinearTarget(*w.aim, w.scale)
            for w in self.targets
        )

    def __call__(self, parts: Array, may: Mask) -> tuple[Array, Array]:
        """Values (Q,) and slopes per part (Q, V), zero for what may not change."""
        moving = np.flatnonzero(may)
        rows = np.tile(parts, (len(moving) + 1, 1))
        rows[np.arange(1, len(rows)), moving] += _NUDGE
        slopes = np.zeros((len(self.targets), len(parts)))
        try:
            evaluation = self._values(rows, 1)
            values = evaluation[:, 0].copy()
            if self._drawn:
                values[self._drawn] = self._values(parts[None, :], _DRAWS)[self._drawn, 0]
        except CompositionError:  # locked by solids, or nothing left
            return np.full(len(self.targets), np.nan), slopes
        slopes[:, moving] = (evaluation[:, 1:] - evaluation[:, :1]) / _NUDGE
        if self.offsets is not None:
            values = values + self.offsets
        return values, slopes

    @cached_property
    def _drawn(self) -> list[int]:
        return [k for k, w in enumerate(self.targets) if w.kind in _DRAWN]

    def middle(self, rows: Array) -> Evaluation:
        """The middle of recipes (P, V)."""
        return evaluate(self.glazes, self.whole(rows), self.at)[0]

    def _values(self, rows: Array, n: int) -> Array:
        """Values (Q, P) of the nonlinear targets."""
        whole = self.whole(rows)
        evaluation, margins = evaluate(self.glazes, whole, self._needed, n)
        values = [self.value(w, evaluation, margins, self.glazes, whole) for w in self.targets]
        return np.array(values).reshape(len(self.targets), len(rows))

    @cached_property
    def _needed(self) -> Conditions:
        """The conditions without the body or the firing that no target asks about."""
        body, firing = needs(self.targets)
        at = self.at
        if (body or at.body is None) and (firing or at.firing is None):
            return at
        # a firing still says how ware cools
        return at.only(fit=body, ripeness=firing)

    def value(
        self,
        target: Target,
        evaluation: Evaluation,
        margins: Margins,
        glazes: GlazeSet,
        parts: Array,
    ) -> Array:
        """Values (P,) of one target for evaluated recipes (P, M)."""
        plain = {
            "expansion": evaluation.expansion_1e6_per_k,
            "liquidus": evaluation.liquidus_c,
            "melts": evaluation.melts_c,
            "stress": evaluation.stress_mpa,
        }.get(target.kind)
        if plain is not None:
            return plain
        if target.kind == "ripe at":
            draws = draw_glazes(glazes, parts, self.at, MIDDLE)
            return peaks(draws, *history_of(self.at), self.at.criteria).matures_c
        if target.kind in BY_MIDDLE:
            spacing = margins.log_spacing if target.kind == "crackle" else margins.log_black
            assert spacing is not None
            return _within(target, np.median(spacing, axis=1))
        sure = self.sure if target.kind not in MAY else surely(1.0 - target.high)
        return np.quantile(margins_of(target, margins), 1.0 - sure, axis=1)


def surely(odds: float) -> float:
    """Odds that give a yes where ``odds`` are asked."""
    return min(odds + 1.5 * standard_error(odds), 0.9999)


def _within(target: Target, log_spacing: Array) -> Array:
    """How far within a target distances of cracks (...,) are."""
    most = min(target.high, float(np.log(WIDEST_MM)))  # farther apart there are none
    return np.asarray(np.minimum(log_spacing - target.low, most - log_spacing))


def margins_of(target: Target, margins: Margins) -> Array:
    """Margin (P, n) of each draw to a target that is met with odds."""
    spacing = {"crackle": margins.log_spacing, "black": margins.log_black}.get(target.kind)
    if spacing is not None:
        return _within(target, spacing)
    margin = {
        "fits": margins.fits_mpa,
        "ripe": margins.ripe_decades,
        "shivers": margins.holds_mpa,
        "crazes": margins.whole_mpa,
    }.get(target.kind)
    if margin is None:
        raise ValueError(f"{target.kind} is not met with odds here")
    return margin


def needs(targets: Sequence[Target]) -> tuple[bool, bool]:
    """Whether a body, and whether a firing, has to be named for them."""
    kinds = {w.kind for w in targets}
    return bool(kinds & {"stress", "crackle", "black", "fits", *MAY}), bool(
        kinds & {"ripe", "ripe at"}
    )


def with_offsets(evaluator: RecipeEvaluator, parts: Array, true: Array) -> RecipeEvaluator:
    """The same, corrected by the ``true`` values (Q,) that all draws give at ``parts``."""
    bare = replace(evaluator, offsets=None)
    values, _ = bare(parts, np.zeros(len(parts), bool))
    off = np.where(np.isfinite(true) & np.isfinite(values), true - values, 0.0)
    return replace(evaluator, offsets=off)
