"""Sources of uncertainty: each drawn alone, and all together."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from cofire.arrays import Array, Mask
from cofire.model.conditions import Conditions
from cofire.model.fit import fit_draws
from cofire.model.glaze_draws import ALL_SOURCES, GROUPS, Drawing, draw_glazes
from cofire.model.glaze_set import GlazeSet, glaze_set
from cofire.model.melt_range import history_of, peaks
from cofire.model.outcome import judge_draws
from cofire.model.ripening import fired
from cofire.model.standard_draws import N_ANALYSES, N, normals, rank_of
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


@dataclass(frozen=True, eq=False)
class Drawn:
    """Draws (N,); stress is None without a body."""

    alpha_1e6_per_k: Array
    stress_mpa: Array | None
    ripens_c: Array
    right: Mask


def each_source(weighing: WeighingPlan, at: Conditions) -> Mapping[str, Drawn]:
    """Each source of ``SOURCES`` drawn alone, all others in their middle, and “all” together."""
    drawn = {
        "weighing": _drawn(weighing, at, Drawing(sources=frozenset()), weighed=True),
        **{
            group: _drawn(weighing, at, Drawing(sources=sources))
            for group, sources in GROUPS.items()
        },
        "all": _drawn(weighing, at, Drawing(sources=ALL_SOURCES), weighed=True, body_drawn=True),
    }
    if at.body_draws is not None:
        drawn["body"] = _drawn(weighing, at, Drawing(sources=frozenset()), body_drawn=True)
    return drawn


def _drawn(
    weighing: WeighingPlan,
    at: Conditions,
    how: Drawing,
    *,
    weighed: bool = False,
    body_drawn: bool = False,
) -> Drawn:
    grams = weighing.drawn()[None] if weighed else None
    glaze = draw_glazes(weighing.glazes, weighing.grams[None, :], at, how, grams)
    fits = None
    if at.body_draws is not None:
        fits = fit_draws(
            fired(glaze, at.when),
            at.body_draws if body_drawn else at.body_draws.middle.tiled(N),
            at,
        )
    return Drawn(
        alpha_1e6_per_k=glaze.alpha_1e6_per_k(np.full(how.n, 300.0)),
        stress_mpa=None if fits is None else fits.stress_mpa,
        ripens_c=peaks(glaze, *history_of(at), at.criteria).matures_c,
        right=judge_draws(glaze, at, fits=fits).right,
    )
