"""Where a glaze's doubt comes from: every source drawn alone, and all of them together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from cofire import glass
from cofire.arrays import Array, Mask
from cofire.chem.composition import fire, mol_from_wt
from cofire.chem.oxides import vector
from cofire.model.cooling import Cooling
from cofire.model.draws import (
    N_ANALYSES,
    BodyDraws,
    GlazeDraws,
    draw_body,
    draw_glaze,
    rng_for,
)
from cofire.model.fit import fit_draws
from cofire.model.glaze_set import draws_of, family_of
from cofire.model.ripe_peak import ripening
from cofire.model.ripening import all_ripe, stages_at
from cofire.model.schedule import Moment
from cofire.model.solids import mixture
from cofire.read.coat import Coat
from cofire.records import Body, Recipe
from cofire.ripeness.judge import DEFAULT as CRITERIA
from cofire.ripeness.stages import Melt

#: Draws of each source: 90 % half-widths are then known to about 4 per cent, as errors of the
#: glass models have heavy tails.
DRAWS = 4000
#: Weighings and analyses among them.
_ROWS = N_ANALYSES
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
class Bench:
    """What a glaze is shaken in: how it is weighed, what it lies on, how it is fired. ``time_s``
    and ``ware_c`` (T,) are what it ripens in, with or without a firing of its own."""

    recipe: Recipe
    batch_g: float  # of the base; additions come on top
    step_g: float
    slips: bool
    coat: Coat
    wall_mm: float
    spread_c: float
    body: Body | None
    cool: Cooling | None
    when: Sequence[Moment]
    time_s: Array
    ware_c: Array


@dataclass(frozen=True, eq=False)
class Outcome:
    """Draws (N,) of what is looked at; stress None without a body."""

    alpha_1e6_per_k: Array
    stress_mpa: Array | None
    ripens_c: Array
    right: Mask


def grams_of(recipe: Recipe, batch_g: float) -> Array:
    """Grams (M,) of each material of ``family_of`` in a batch of so much base."""
    _, parts = family_of(recipe)
    return parts * batch_g / recipe.base_total


def weighings(bench: Bench, rows: int) -> Array:
    """Grams (rows, M) as a scale lets them be: anywhere within half a step, and perhaps a slip."""
    grams = grams_of(bench.recipe, bench.batch_g)
    rng = rng_for("weighing", bench.recipe.id)
    off = bench.step_g * (rng.random((rows, len(grams))) - 0.5)
    if bench.slips:
        off += SLIP * grams * rng.standard_normal((rows, len(grams)))
    return np.asarray(np.where(grams > 0.0, np.maximum(grams + off, 0.0), 0.0))


def alone(bench: Bench, n: int = DRAWS) -> dict[str, Outcome]:
    """Each source of ``SOURCES`` drawn alone, all others in their middle, and “all” together."""
    recipe = bench.recipe
    family, _ = family_of(recipe)
    errors = draw_glaze(recipe, bench.coat, n, bench.spread_c)
    grams = np.tile(grams_of(recipe, bench.batch_g), (_ROWS, 1))
    weighed = weighings(bench, _ROWS)
    wt = np.array([vector(m.oxides_wt_percent) for m in family.materials])
    spread = np.array([vector(m.spread_wt_percent) for m in family.materials])
    rng = rng_for("analyses", recipe.id)
    drawn = np.maximum(wt + spread * rng.standard_normal((_ROWS, *wt.shape)), 0.0)
    exact = np.broadcast_to(wt, drawn.shape)
    still = _still(draws_of(family, grams[:1], coat=bench.coat), n)

    def of(glaze: GlazeDraws, parts: Array, analyses: Array, dissolving: bool) -> GlazeDraws:
        loi = np.array([m.loi_percent for m in family.materials])
        mol = mol_from_wt(fire(parts, analyses, loi, recipe.fluorine_kept)[0])
        luck = rng_for("solids", recipe.id) if dissolving else None
        solids = mixture(family.recipe, mol, luck, amounts=parts)
        melts = glass.prepare(solids.melt_mol)
        pick = np.arange(n) % _ROWS
        return replace(glaze, solids=solids, melts=melts, pick=pick, curve=glass.viscosity(melts))

    models = replace(
        still,
        viscosity_error=errors.viscosity_error,
        alpha_error=errors.alpha_error,
        youngs_gpa=errors.youngs_gpa,
        melt=errors.melt,
        toughness_mpa_m05=errors.toughness_mpa_m05,
    )
    glazes = {
        "weighing": of(still, weighed, exact, False),
        "analyses": of(still, grams, drawn, False),
        "models": of(models, grams, exact, True),
        "coat": replace(still, coat_mm=errors.coat_mm),
        "place": replace(still, kiln_offset_c=errors.kiln_offset_c),
        "all": of(errors, weighed, drawn, True),
    }
    clay = draw_body(bench.body, n) if bench.body else None
    middle = clay.middle.tiled(n) if clay else None
    found = {
        source: _outcome(bench, glaze, clay if source == "all" else middle)
        for source, glaze in glazes.items()
    }
    if clay is not None:
        found["body"] = _outcome(bench, still, clay)
    return found


def _still(middle: GlazeDraws, n: int) -> GlazeDraws:
    """``n`` copies of the one draw in the middle."""

    def same(values: Array) -> Array:
        return np.full(n, float(np.ravel(values)[0]))

    pull, weight = middle.melt.surface_tension_n_m, middle.melt.density_kg_m3
    return replace(
        middle,
        pick=np.zeros(n, dtype=np.intp),
        viscosity_error=np.zeros(n),
        kiln_offset_c=np.zeros(n),
        alpha_error=np.zeros(n),
        youngs_gpa=same(middle.youngs_gpa),
        poisson=same(middle.poisson),
        coat_mm=same(middle.coat_mm),
        melt=Melt(same(np.asarray(pull)), same(np.asarray(weight))),
        liquidus_c=same(middle.liquidus_c),
        toughness_mpa_m05=same(middle.toughness_mpa_m05),
    )


def _outcome(bench: Bench, glaze: GlazeDraws, clay: BodyDraws | None) -> Outcome:
    recipe = bench.recipe
    n = len(glaze.pick)
    right, stress = np.ones(n, bool), None
    if clay is not None and bench.cool is not None:
        fits = fit_draws(recipe, glaze, clay, bench.wall_mm, bench.cool)
        right, stress = fits.as_wanted, fits.stress_mpa
    if bench.when:
        right = right & all_ripe(recipe, stages_at(bench.when, recipe, glaze, CRITERIA), CRITERIA)
    return Outcome(
        alpha_1e6_per_k=glaze.alpha_1e6_per_k(np.full(n, 300.0)),
        stress_mpa=stress,
        ripens_c=ripening(glaze, recipe.surface, bench.time_s, bench.ware_c, CRITERIA)[0],
        right=right,
    )
