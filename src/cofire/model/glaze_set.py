"""Many glazes of the same materials at once: what each amount does, on one clay, in one firing.

Blends, maps and adjustments all look at glazes that differ only in how much of each material they
hold. Errors of the models are drawn once for all of them, so that neighbours differ by what is in
them and not by chance.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np

from cofire import glass
from cofire.arrays import Array, Mask
from cofire.chem.composition import fire, mol_from_wt
from cofire.chem.oxides import OXIDES, vector
from cofire.fit.cracking import TOUGHNESS_MPA_M05, TOUGHNESS_SPREAD
from cofire.model.cooling import Cooling
from cofire.model.draws import KILN_SPREAD_C, LEAST_TENSION_MN_M, BodyDraws, GlazeDraws, rng_for
from cofire.model.fit import FitDraws, fit_draws
from cofire.model.melting import WORKING_C
from cofire.model.ripening import all_ripe, fluidity_up_to, needed_for, stages_at
from cofire.model.schedule import Moment
from cofire.model.solids import Mixture, mixture
from cofire.read.coat import DEFAULT, SPREAD, Coat
from cofire.records import Material, Part, Recipe, Shape
from cofire.ripeness.judge import DEFAULT as CRITERIA
from cofire.ripeness.judge import Criteria, ripe_enough, runs
from cofire.ripeness.stages import Melt, fluidity_for_run


@dataclass(frozen=True, eq=False)
class Family:
    """Glazes of M materials. ``recipe`` names them in its parts, in this order, and says what is
    common to all: surface, what stays undissolved, fluorine."""

    recipe: Recipe
    grams: Array  # (M, n_oxides) fired oxides of one part of each
    lost: Array  # (M,) what one part loses in the fire

    @property
    def materials(self) -> tuple[Material, ...]:
        return tuple(p.material for p in self.recipe.parts)

    def mol(self, parts: Array) -> Array:
        """Mole fractions (P, n_oxides) of glazes of ``parts`` (P, M)."""
        return mol_from_wt(parts @ self.grams)


def family_of(recipe: Recipe, more: Sequence[Material] = ()) -> tuple[Family, Array]:
    """A recipe's family, perhaps with more materials, and the recipe's own parts (M,) in it.

    A material that is named twice has one column.
    """
    amounts: dict[str, float] = {}
    first: dict[str, Part] = {}
    for part in recipe.parts:
        first.setdefault(part.material.id, part)
        amounts[part.material.id] = amounts.get(part.material.id, 0.0) + part.amount
    for material in more:
        first.setdefault(material.id, Part(material.id, 0.0, material))
        amounts.setdefault(material.id, 0.0)
    parts = tuple(Part(p.written, amounts[key], p.material, p.place) for key, p in first.items())
    wt = np.array([vector(p.material.oxides_wt_percent) for p in parts]).reshape(-1, len(OXIDES))
    loi = np.array([p.material.loi_percent for p in parts])
    grams, lost = fire(np.eye(len(parts)), wt, loi, recipe.fluorine_kept)
    whole = Recipe(
        id=recipe.id,
        name=recipe.name,
        base=parts,
        additions=(),
        surface=recipe.surface,
        fluorine_kept=recipe.fluorine_kept,
        undissolved=recipe.undissolved,
        crystals=recipe.crystals,
        place=recipe.place,
    )
    return Family(whole, grams, lost), np.array([amounts[key] for key in first])


@cache
def _normal_table() -> tuple[Array, Array]:
    """Probabilities and the normal deviates that they belong to."""
    z = np.linspace(-6.0, 6.0, 12001)
    density = np.exp(-0.5 * z**2)
    below = np.concatenate([[0.0], np.cumsum(0.5 * (density[1:] + density[:-1]))])
    return below / below[-1], z


def _normal(rank: Array) -> Array:
    """Normal deviates (...,) at ranks (...,) from 0 to 1."""
    return np.interp(rank, *_normal_table())


def draws_of(
    family: Family,
    parts: Array,
    *,
    coat: Coat = DEFAULT,
    n: int = 1,
    spread_c: float = KILN_SPREAD_C,
) -> GlazeDraws:
    """``n`` draws of each of P glazes, glaze by glaze (P n,); with one, the middle of each.

    Every source of doubt is drawn once from each of ``n`` equal ranks (a Latin hypercube: McKay,
    Beckman & Conover, Technometrics 21 (1979) 239), so that few draws tell as much as many.
    """
    mol = family.mol(parts)
    solids = mixture(family.recipe, mol, amounts=parts)
    melts = glass.prepare(solids.melt_mol)
    pick = np.repeat(np.arange(len(parts)), n)
    rng = rng_for("family", family.recipe.id)
    ranks = np.array([rng.permutation(n) + 0.5 for _ in range(8)]) / n
    z = _normal(ranks)
    tile = len(parts)
    curve = glass.viscosity(melts)
    modulus, liquidus = glass.youngs_modulus(melts), glass.liquidus(melts)
    gamma = glass.surface_tension(solids.melt_mol, WORKING_C)
    tension = (gamma.value[:, None] + gamma.sd[:, None] * z[3]).ravel()
    off = liquidus.sd[:, None] * z[4]
    errors = glass.expansion_errors(melts, ranks[6])
    return GlazeDraws(
        solids=solids,
        melts=melts,
        pick=pick,
        curve=curve,
        viscosity_error=np.tile(curve.error_factors(ranks[7]), tile),
        kiln_offset_c=np.tile(spread_c * z[0], tile),
        alpha_error=errors.ravel(),
        youngs_gpa=np.maximum((modulus.value[:, None] + modulus.sd[:, None] * z[1]).ravel(), 20.0),
        poisson=glass.poisson_ratio(melts)[pick],
        coat_mm=np.tile(coat.fired_mm * np.exp(SPREAD * z[2]), tile),
        melt=Melt(
            1e-3 * np.maximum(tension, LEAST_TENSION_MN_M),
            glass.melt_density(melts)[pick],
        ),
        liquidus_c=(liquidus.value[:, None] + off - spread_c * z[0]).ravel(),
        toughness_mpa_m05=np.tile(TOUGHNESS_MPA_M05 + TOUGHNESS_SPREAD * z[5], tile),
    )


#: Isokom by which the melting of glazes is compared.
_LEVELS_LOG10_ETA = 4.0


@dataclass(frozen=True, eq=False)
class Glance:
    """What P glazes are like: the middle (P,) of each quantity, and odds (P,) where draws were
    made; None what nobody asked for."""

    mol: Array
    alpha_1e6_per_k: Array  # 20-300 °C, with solids
    half_width_1e6_per_k: Array  # 90 %
    liquidus_c: Array
    flows_c: Array  # at 10^4 Pa·s, where coats level within minutes
    loi_percent: Array
    solids: Mixture
    stress_mpa: Array | None = None
    crazes: Array | None = None  # odds, at once
    crazes_later: Array | None = None
    shivers: Array | None = None
    fits: Array | None = None  # odds of what its surface wants
    spacing_mm: Array | None = None  # inf where it does not craze
    black_mm: Array | None = None
    under: Array | None = None  # odds at the first pull
    ripe: Array | None = None  # odds at every pull, not running
    runs: Array | None = None  # odds at the last pull
    ripe_by_decades: Array | None = None  # of fluidity, more than is needed at the first pull
    safe_by_decades: Array | None = None  # of fluidity, to the limit of running at the last pull
    over: Array | None = None  # worst tension over the critical one, less 1
    fit_margin_mpa: Array | None = None  # that so many draws as asked have at least
    ripe_margin: Array | None = None  # decades, likewise, to either side
    right: Array | None = None  # odds of all that was asked


def glance(
    family: Family,
    parts: Array,
    *,
    body: BodyDraws | None = None,
    cool: Cooling | None = None,
    when: Sequence[Moment] = (),
    coat: Coat = DEFAULT,
    wall_mm: float = 6.0,
    shape: Shape = "pot",
    n: int = 1,
    spread_c: float = KILN_SPREAD_C,
    by: Criteria = CRITERIA,
    sure: float = 0.8,
) -> Glance:
    """Look at P glazes of ``parts`` (P, M): on a body if one is named, at moments of a firing.

    With ``n`` draws each (the body's first n), odds; with one, what the middle of everything does,
    and odds are 0 or 1. Raises CompositionError for solids that lock a glaze.
    """
    draws = draws_of(family, parts, coat=coat, n=n, spread_c=spread_c)
    count = len(parts)
    of_glass = glass.expansion(draws.melts)
    youngs, poisson = glass.youngs_modulus(draws.melts).value, glass.poisson_ratio(draws.melts)
    alpha = draws.solids.expansion(of_glass.value, youngs, poisson)

    def odds(true: Mask) -> Array:
        return np.asarray(np.reshape(true, (count, n)).mean(axis=1))

    found: dict[str, Array] = {}
    right = np.ones(count * n, bool)
    if body is not None and cool is not None:
        clay = (body.middle if n == 1 else body.spread(n)).tiled(count)
        fits = fit_draws(family.recipe, draws, clay, wall_mm, cool, shape)
        right &= fits.as_wanted
        found |= _fitted(fits, count, n, sure)
    if when:
        ripened, ripe = _ripened(family, draws, parts, when, by, n, sure)
        found |= ripened
        right &= ripe
    return Glance(
        mol=family.mol(parts),
        alpha_1e6_per_k=alpha,
        half_width_1e6_per_k=of_glass.high - of_glass.value,
        liquidus_c=glass.liquidus(draws.melts).value,
        flows_c=draws.curve.isokom(_LEVELS_LOG10_ETA),
        loi_percent=100.0 * (parts @ family.lost) / parts.sum(axis=1),
        solids=draws.solids,
        right=odds(right),
        **found,
    )


def _fitted(fits: FitDraws, count: int, n: int, sure: float) -> dict[str, Array]:
    def odds(true: Mask) -> Array:
        return np.asarray(np.reshape(true, (count, n)).mean(axis=1))

    def middle(values: Array) -> Array:
        return np.asarray(np.median(np.reshape(values, (count, n)), axis=1))

    margins = np.reshape(fits.margin_mpa, (count, n))
    found = {
        "over": middle(fits.pull_mpa / fits.critical_mpa - 1.0),
        "fit_margin_mpa": np.quantile(margins, 1.0 - sure, axis=1),
        "stress_mpa": middle(fits.stress_mpa),
        "crazes": odds(fits.crazes_now),
        "crazes_later": odds(fits.crazes),
        "shivers": odds(fits.shivers),
        "fits": odds(fits.as_wanted),
        "spacing_mm": middle(fits.spacing_mm),
    }
    if fits.black_mm is not None:
        found["black_mm"] = middle(fits.black_mm)
    return found


def _ripened(
    family: Family,
    draws: GlazeDraws,
    parts: Array,
    when: Sequence[Moment],
    by: Criteria,
    n: int,
    sure: float,
) -> tuple[dict[str, Array], Mask]:
    fired = parts * (1.0 - np.array([m.loi_percent for m in family.materials]) / 100.0)
    melts_c = np.array([m.melts_c for m in family.materials])

    def liquid(t_c: float) -> Array:
        return np.repeat((fired * (melts_c <= t_c)).sum(axis=1) / fired.sum(axis=1), n)

    known = fluidity_up_to(max(float(m.ware_c.max()) for m in when), draws)
    done = stages_at(when, family.recipe, draws, by, known, liquid)
    ripe = all_ripe(family.recipe, done, by)
    needed = needed_for(family.recipe.surface, draws, by)
    too_much = fluidity_for_run(by.run_limit_mm, draws.coat_mm, draws.melt)
    flows = [known.through(moment) for moment in (when[0], when[-1])]

    def by_glaze(values: Array | Mask) -> Array:
        return np.reshape(values, (len(parts), n)).astype(float)

    ran = [runs(d, by) for d in done]
    ripe_by, safe_by = np.log10(flows[0] / needed), np.log10(too_much / flows[1])
    return {
        "under": by_glaze(~ripe_enough(done[0], family.recipe.surface, by) & ~ran[0]).mean(axis=1),
        "ripe": by_glaze(ripe).mean(axis=1),
        "runs": by_glaze(ran[-1]).mean(axis=1),
        "ripe_by_decades": np.median(by_glaze(ripe_by), axis=1),
        "safe_by_decades": np.median(by_glaze(safe_by), axis=1),
        "ripe_margin": np.quantile(by_glaze(np.minimum(ripe_by, safe_by)), 1.0 - sure, axis=1),
    }, ripe
