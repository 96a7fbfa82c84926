"""Sources of uncertainty: each drawn alone, and all together."""

from __future__ import annotations

from collections.abc import Mapping, Set
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from cofire.arrays import Array, Mask
from cofire.model.body_draws import GROUPS as BODY_GROUPS
from cofire.model.conditions import Conditions
from cofire.model.fit import fit_draws
from cofire.model.glaze_draws import GROUPS, Drawing, draw_glazes
from cofire.model.glaze_set import GlazeSet, glaze_set
from cofire.model.melt_range import history_of, peaks
from cofire.model.outcome import Outcome, judge_draws
from cofire.model.ripening import fired
from cofire.model.standard_draws import N_ANALYSES, normals, rank_of
from cofire.records import Recipe

#: A line weighed carelessly is off by this share (1 sd); our choice.
SLIP = 0.01

#: Source -> how people call it.
SOURCES = {
    "weighing": "weighing",
    "analyses": "analyses of the materials",
    "models": "the glass models",
    "coat": "thickness of the coat",
    "place": "pyrometer and place in the kiln",
    "body": "the clay",
    "moisture": "moisture that the clay takes up",
    "law": "the laws of crazing and shivering",
    "pots": "scatter between pots",
}


@dataclass(frozen=True, eq=False)
class WeighingPlan:
    """How a recipe is weighed: grams of its base, the step of the scale, and whether every line
    may slip by a hundredth as well."""

    recipe: Recipe
    batch_g: float  # of the base; additions come on top
    scale_step_g: float
    slips: bool = False

    @cached_property
    def glazes(self) -> GlazeSet:
        return glaze_set(self.recipe)[0]

    @cached_property
    def grams(self) -> Array:
        """Grams (M,) of each material of ``glazes`` in the batch."""
        _, parts = glaze_set(self.recipe)
        return parts * self.batch_g / self.recipe.base_total

    def drawn(self) -> Array:
        """Grams (N_ANALYSES, M) as a scale lets them be: anywhere within half a step, and perhaps a
        slip."""
        size = (N_ANALYSES, len(self.grams))
        z = normals("weighing", size[0] * size[1]).reshape(size)
        off = self.scale_step_g * (rank_of(z) - 0.5)
        if self.slips:
            off = off + SLIP * self.grams * normals("slips", size[0] * size[1]).reshape(size)
        return np.where(self.grams > 0.0, np.maximum(self.grams + off, 0.0), 0.0)


#: Draws of which the peak that ripens them is looked for, which takes longest: enough for a spread.
_PEAKS = 2048


@dataclass(frozen=True, eq=False)
class Drawn:
    """Draws (N,), of ripening the first ``_PEAKS``; stress is None without a body."""

    alpha_1e6_per_k: Array
    stress_mpa: Array | None
    ripens_c: Array
    right: Mask


def each_source(weighing: WeighingPlan, at: Conditions) -> Mapping[str, Drawn]:
    """Each source of ``SOURCES`` drawn alone, all others in their middle, and “all” together."""
    known = _sources(at)
    return {source: _drawn(weighing, at, {source}) for source in known} | {
        "all": _drawn(weighing, at, known)
    }


def right_without(weighing: WeighingPlan, at: Conditions) -> Mapping[str, Mask]:
    """In which draws (N,) all that is asked is right when one source is in its middle."""
    known = _sources(at)
    return {source: _judged(weighing, at, known - {source}).right for source in known}


def _sources(at: Conditions) -> Set[str]:
    return SOURCES.keys() - (BODY_GROUPS.keys() if at.body_draws is None else set())


def _judged(weighing: WeighingPlan, at: Conditions, sources: Set[str]) -> Outcome:
    """All draws with only some sources in doubt."""
    grams = weighing.drawn()[None] if "weighing" in sources else None
    drawn = frozenset().union(*(GROUPS[g] for g in GROUPS.keys() & sources))
    how = Drawing(sources=drawn)
    glaze = draw_glazes(weighing.glazes, weighing.grams[None, :], at, how, grams)
    fits = None
    if at.body_draws is not None:
        fits = fit_draws(
            fired(glaze, at.when), at.body_draws.only(BODY_GROUPS.keys() & sources), at
        )
    return judge_draws(glaze, at, fits=fits)


def _drawn(weighing: WeighingPlan, at: Conditions, sources: Set[str]) -> Drawn:
    outcome = _judged(weighing, at, sources)
    glaze, fits = outcome.draws, outcome.fit
    return Drawn(
        alpha_1e6_per_k=glaze.alpha_1e6_per_k(np.full(glaze.n, 300.0)),
        stress_mpa=None if fits is None else fits.stress_mpa,
        ripens_c=peaks(glaze.some(_PEAKS), *history_of(at), at.criteria).matures_c,
        right=outcome.right,
    )
