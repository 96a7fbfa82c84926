"""Many glazes of the same materials at once: middles, margins and odds of each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from cofire import glass
from cofire.arrays import Array, Mask
from cofire.model.conditions import Conditions
from cofire.model.crackle import NO_CRACKS_MM
from cofire.model.fit import FitDraws
from cofire.model.glaze_draws import MIDDLE, Drawing, GlazeDraws, draw_glazes
from cofire.model.glaze_set import GlazeSet, glaze_set
from cofire.model.outcome import Outcome, judge_draws
from cofire.model.ripening import (
    NO_FLOW,
    Fluidity,
    fluidity_up_to,
    hottest_c,
    needed_to_ripen,
    needed_to_run,
    ripe_at_all,
)
from cofire.model.solids import Mixture, mixture
from cofire.model.standard_draws import N
from cofire.records import Recipe
from cofire.ripeness.judge import ripe_enough, runs

#: Isokom by which the melting of glazes is compared.
_LEVELS_LOG10_ETA = 4.0
#: A glaze that does not craze has no crack spacing. A search for one begins at this spacing, mm,
#: and higher (in logarithms) for each share of the critical stress that is missing; our choice.
WIDEST_MM = 150.0
_LED_BY = 5.0


@dataclass(frozen=True, eq=False)
class Evaluation:
    """Evaluation of P glazes: the middle (P,) of each quantity, and odds (P,) from draws; None if
    not asked."""

    mol: Array
    expansion_1e6_per_k: Array  # 20-300 °C, as fired, with solids
    expansion_half_width_90_1e6_per_k: Array  # 90 %
    liquidus_c: Array
    melts_c: Array  # at 10^4 Pa·s, where coats level within minutes
    loi_percent: Array
    solids: Mixture
    support: glass.Support
    odds_right: Array  # of all that the conditions ask
    stress_mpa: Array | None = None
    odds_crazes_at_once: Array | None = None
    odds_crazes_by_horizon: Array | None = None
    odds_shivers: Array | None = None
    odds_fits: Array | None = None  # of what its surface wants
    crack_spacing_mm: Array | None = None  # of draws that craze; inf if hardly any does
    black_crack_spacing_mm: Array | None = None
    odds_under_at_first_pull: Array | None = None
    odds_ripe_at_every_pull: Array | None = None  # and not running
    odds_runs_at_last_pull: Array | None = None
    ripe_by_decades: Array | None = None  # of fluidity, more than is needed at the first pull
    safe_by_decades: Array | None = None  # of fluidity, to the limit of running at the last pull

    def row(self, p: int) -> dict[str, Any]:
        """What is known of one glaze."""
        seen = {name: getattr(self, name) for name in _NUMBERS if name != "mol"}
        known = {name: float(values[p]) for name, values in seen.items() if values is not None}
        return {**known, "data": self.support.words[p]}


@dataclass(frozen=True, eq=False)
class Margins:
    """Margin of each draw (P, n) to what is asked for: negative is a miss."""

    fits_mpa: Array | None
    holds_mpa: Array | None  # on the pot
    whole_mpa: Array | None  # until the horizon
    ripe_decades: Array | None
    log_spacing: Array | None  # ln of mm, of all cracks and of black ones
    log_black: Array | None


def evaluate(
    glazes: GlazeSet, parts: Array, at: Conditions, n: int = 1
) -> tuple[Evaluation, Margins]:
    """Evaluate P glazes of ``parts`` (P, M) with the first ``n`` draws; with one, at the middle of
    everything, odds are 0 or 1.

    Raises CompositionError for solids that lock a glaze.
    """
    draws = draw_glazes(glazes, parts, at, MIDDLE if n == 1 else Drawing(n))
    known = fluidity_up_to(hottest_c(at.when), draws) if at.when else None
    outcome = judge_draws(draws, at, known)
    return _evaluation(outcome, glazes, parts, at, known), _margins(outcome, at, known)


def _evaluation(
    outcome: Outcome, glazes: GlazeSet, parts: Array, at: Conditions, known: Fluidity | None
) -> Evaluation:
    draws = outcome.draws
    middle = draws if draws.n == 1 else draw_glazes(glazes, parts, at, MIDDLE)
    of_glass = glass.expansion(middle.middle)
    youngs, poisson = middle.youngs_gpa, middle.poisson
    optional = _fitted(outcome, outcome.fit) if outcome.fit else {}
    if known is not None:
        optional |= _ripened(outcome, at, known)
    return Evaluation(
        mol=glazes.mol(parts),
        expansion_1e6_per_k=middle.solids.expansion(of_glass.value, youngs, poisson),
        expansion_half_width_90_1e6_per_k=of_glass.high - of_glass.value,
        liquidus_c=glass.liquidus(middle.middle).value,
        melts_c=middle.curve.isokom(_LEVELS_LOG10_ETA),
        loi_percent=100.0 * (parts @ glazes.lost) / parts.sum(axis=1),
        solids=middle.solids,
        support=glass.support(middle.middle),
        odds_right=draws.by_glaze(outcome.right).mean(axis=1),
        **optional,
    )


def _middle_spacing(spacing: Array) -> Array:
    """Middle of the draws (P, n), as ``crack_pattern`` takes it; inf if most have no cracks."""
    middle = np.median(np.minimum(spacing, NO_CRACKS_MM), axis=1)
    return np.where(middle < NO_CRACKS_MM, middle, np.inf)


def _fitted(outcome: Outcome, fits: FitDraws) -> dict[str, Array]:
    def odds(true: Mask) -> Array:
        return np.asarray(outcome.draws.by_glaze(true).mean(axis=1))

    values = {
        "stress_mpa": np.median(outcome.draws.by_glaze(fits.stress_mpa), axis=1),
        "odds_crazes_at_once": odds(fits.crazes_now),
        "odds_crazes_by_horizon": odds(fits.crazes),
        "odds_shivers": odds(fits.shivers),
        "odds_fits": odds(fits.as_wanted),
        "crack_spacing_mm": _middle_spacing(outcome.draws.by_glaze(fits.spacing_mm)),
    }
    if fits.black_mm is not None:
        values["black_crack_spacing_mm"] = _middle_spacing(outcome.draws.by_glaze(fits.black_mm))
    return values


def _spare_decades(draws: GlazeDraws, at: Conditions, known: Fluidity) -> tuple[Array, Array]:
    """Decades of fluidity (P, n) beyond ripe at the first pull, short of running at the last."""
    ends = (at.when[0], at.when[-1])
    first, last = (np.maximum(known.through(moment), NO_FLOW) for moment in ends)
    ripe = np.log10(first / needed_to_ripen(draws, at.criteria))
    safe = np.log10(needed_to_run(draws, at.criteria) / last)
    return draws.by_glaze(ripe), draws.by_glaze(safe)


def _ripened(outcome: Outcome, at: Conditions, known: Fluidity) -> dict[str, Array]:
    draws, by, surface = outcome.draws, at.criteria, outcome.draws.glazes.surface
    first, last = outcome.stages[0], outcome.stages[-1]
    ripe_by, safe_by = _spare_decades(draws, at, known)
    under = ~ripe_enough(first, surface, by) & ~runs(first, by)
    ripe = ripe_at_all(outcome.stages, surface, by)
    return {
        "odds_under_at_first_pull": draws.by_glaze(under).mean(axis=1),
        "odds_ripe_at_every_pull": draws.by_glaze(ripe).mean(axis=1),
        "odds_runs_at_last_pull": draws.by_glaze(runs(last, by)).mean(axis=1),
        "ripe_by_decades": np.median(ripe_by, axis=1),
        "safe_by_decades": np.median(safe_by, axis=1),
    }


def _margins(outcome: Outcome, at: Conditions, known: Fluidity | None) -> Margins:
    draws, fits = outcome.draws, outcome.fit
    ripe = None if known is None else np.minimum(*_spare_decades(draws, at, known))
    if fits is None:
        return Margins(None, None, None, ripe, None, None)

    def led(spacing: Array) -> Array:
        short = np.maximum(1.0 - fits.max_tension_mpa / fits.onset_mpa, 0.0)
        beyond = np.log(WIDEST_MM) + _LED_BY * short
        near = spacing < WIDEST_MM
        return draws.by_glaze(np.where(near, np.log(np.where(near, spacing, 1.0)), beyond))

    return Margins(
        draws.by_glaze(fits.margin_mpa),
        draws.by_glaze(fits.holds_mpa),
        draws.by_glaze(fits.whole_mpa),
        ripe,
        led(fits.spacing_mm),
        None if fits.black_mm is None else led(fits.black_mm),
    )


def evaluate_recipe(recipe: Recipe, at: Conditions, n: int = N) -> Evaluation:
    """One recipe with all draws, as in every answer about it alone; with one, at the middle of
    everything."""
    glazes, parts = glaze_set(recipe)
    return evaluate(glazes, parts[None, :], at, n)[0]


#: Fields with one number per glaze.
_NUMBERS = tuple(f.name for f in fields(Evaluation) if f.name not in ("solids", "support"))


def merged(
    pieces: Sequence[tuple[NDArray[np.intp], Evaluation]], glazes: GlazeSet, parts: Array
) -> Evaluation:
    """Evaluations of some rows each, joined for all glazes of ``parts`` (P, M)."""
    numbers: dict[str, Any] = {}
    for name in _NUMBERS:
        first = getattr(pieces[0][1], name)
        if first is None:
            continue
        numbers[name] = np.empty((len(parts), *first.shape[1:]))
        for rows, piece in pieces:
            numbers[name][rows] = getattr(piece, name)
    solids = mixture(glazes.recipe, glazes.mol(parts), amounts=parts)
    return Evaluation(**numbers, solids=solids, support=glass.support(solids.melt_mol))


def with_row(seen: Evaluation, row: int, one: Evaluation) -> Evaluation:
    """The same with the numbers of one glaze in a row."""
    changed = {}
    for name in _NUMBERS:
        values = getattr(seen, name)
        if values is not None:
            changed[name] = values.copy()
            changed[name][row] = getattr(one, name)[0]
    return replace(seen, **changed)
