"""Blends of two, three or four glazes, or of additions to one: properties and odds of every
point."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from cofire.answers.blend.additions import Addition
from cofire.answers.blend.findings import blend_findings
from cofire.answers.blend.messages import sentence
from cofire.answers.blend.points import Cup, Points, dry_shares, into_cups, points, weighed
from cofire.answers.blend.results import Blend, Cups, Ingredient, Plan
from cofire.answers.blend.tiles import choose, covariance_of
from cofire.arrays import Array
from cofire.errors import refusal
from cofire.files.library import Library
from cofire.findings import sort_findings
from cofire.model.analysis import analyse
from cofire.model.conditions import Conditions
from cofire.model.evaluation import Evaluation, evaluate, evaluate_recipe, merged, with_row
from cofire.model.fit import fit_draws
from cofire.model.glaze_draws import Drawing, draw_glazes
from cofire.model.glaze_set import GlazeSet, glaze_set
from cofire.model.outcome import OUTSIDE, VERDICTS, Verdict, verdict_of
from cofire.model.ripening import fired, fluidity_up_to, hottest_c, needed_to_ripen
from cofire.model.slurry import dry_g_per_ml
from cofire.model.standard_draws import N
from cofire.records import Part, Recipe, Surface

#: Draws over all points together, and at least for each: few points get all draws.
_DRAWS, _LEAST_DRAWS = 50_000, 256
#: Points inside the data that are looked at again with all draws, the surest first.
_LOOKED_AT_AGAIN = 3
#: A point this near to a corner (share) is that corner.
_SAME = 1e-9
#: Margins of ripeness are cut at this many decades; our choice.
_FAR_DECADES = 6.0


def blend(
    library: Library,
    plan: Plan,
    at: Conditions,
    *,
    cup: Cup | None = None,
    tiles: int | None = None,
) -> Blend:
    """Predict every point of a blend; with ``tiles``, say which of them to fire.

    Raises CompositionError and QuantityError for impossible blends.
    """
    at.for_glazes(1)
    recipes, additions = plan.recipes, plan.additions
    corners = _checked(recipes, additions)
    spread_out = points(corners, plan.steps)
    glazes, rows = _whole(recipes, additions)
    percent = None
    if additions:
        percent = _percent(spread_out, additions)
        held = sum(p.amount for p in recipes[0].parts) / recipes[0].base_total
        cupful = np.column_stack([np.full(len(percent), 100.0 * held), percent])
        shares = cupful / cupful.sum(axis=1, keepdims=True)
    elif plan.slurry_g_per_ml is not None:
        shares = dry_shares(spread_out.shares, plan.slurry_g_per_ml)
    else:
        shares = spread_out.shares
    parts = shares @ rows
    surfaces = _surfaces(recipes, shares, bool(additions))
    asked = bool(at.firing or at.body)
    if tiles is not None and not asked:
        raise refusal("tiles-of-nothing")
    n = int(np.clip(_DRAWS // len(parts), _LEAST_DRAWS, N)) if asked else 1
    seen = _look(glazes, parts, surfaces, at, n)
    verdict = surest = None
    if asked:
        seen, known = _recipes_in_full(seen, recipes, shares, at)
        seen, verdict, surest = _best(glazes, parts, surfaces, at, seen, known)
    words = words_of(seen, ripeness=bool(at.firing), fit=bool(at.body))
    chosen = None
    if tiles is not None:
        chosen = choose(covariance_of(_margins(glazes, parts, surfaces, at, n)), tiles)
    answer = Blend(
        recipes=tuple(recipes),
        additions=tuple(additions),
        points=spread_out,
        ingredients=_ingredients(recipes, additions),
        shares=shares,
        percent=percent,
        slurry_g_per_ml=plan.slurry_g_per_ml,
        surfaces=surfaces,
        seen=seen,
        draws=n,
        words=words,
        changes=tuple((int(p), int(q)) for p, q in spread_out.neighbours if words[p] != words[q]),
        cups=None if cup is None else _cups(spread_out, shares, percent, plan, cup),
        tiles=chosen,
        at=at,
        verdict=verdict,
        surest=surest,
    )
    return replace(
        answer, sentence=sentence(answer), findings=sort_findings(blend_findings(library, answer))
    )


def recipe_at(answer: Blend, p: int) -> Recipe:
    """A point as a recipe of its own, per 100 of the dry batch."""
    glazes, rows = _whole(answer.recipes, answer.additions)
    amounts = answer.shares[p] @ rows
    parts = tuple(
        replace(part, amount=float(amount))
        for part, amount in zip(glazes.recipe.parts, amounts, strict=True)
        if amount > 0.0
    )
    return replace(
        glazes.recipe, name=f"{glazes.recipe.name}, {answer.points.labels[p]}", base=parts,
        surface=answer.surfaces[p],
    )  # fmt: skip


def _recipes_in_full(
    seen: Evaluation, recipes: Sequence[Recipe], shares: Array, at: Conditions
) -> tuple[Evaluation, set[int]]:
    """The points that are one of the recipes, with all draws, as in ``pair``."""
    known = set()
    for k, recipe in enumerate(recipes):
        for p in np.flatnonzero(shares[:, k] >= 1.0 - _SAME):
            seen = with_row(seen, int(p), evaluate_recipe(recipe, at))
            known.add(int(p))
    return seen, known


def _best(
    glazes: GlazeSet,
    parts: Array,
    surfaces: tuple[Surface, ...],
    at: Conditions,
    seen: Evaluation,
    known: set[int],
) -> tuple[Evaluation, Verdict, int]:
    """The blend, its best point's verdict, and its index: among those ``known`` with all draws, and
    the surest inside and outside the data, which are evaluated again."""
    outside = seen.support.grade >= OUTSIDE
    order = np.lexsort((-seen.odds_right, outside))
    again = {int(p) for p in (*order[:_LOOKED_AT_AGAIN], *order[outside[order]][:1])}
    for p in again - known:
        one = evaluate(_as(glazes, surfaces[p]), parts[p][None, :], at, N)[0]
        seen = with_row(seen, p, one)

    def merit(p: int) -> tuple[int, float]:
        verdict = verdict_of(float(seen.odds_right[p]), at.odds, bool(outside[p]))
        return VERDICTS.index(verdict), float(seen.odds_right[p])

    best = max(sorted(again | known), key=merit)
    return seen, VERDICTS[merit(best)[0]], best


def _checked(recipes: Sequence[Recipe], additions: Sequence[Addition]) -> int:
    """The number of corners; raises CompositionError if there can be no blend."""
    for recipe in recipes:
        analyse(recipe)
    if additions:
        if len(recipes) != 1:
            raise refusal("additions-to-several")
        if len(additions) > 2:
            raise refusal("more-than-two-additions")
        if len({a.material.id for a in additions}) < len(additions):
            raise refusal("added-twice", material=additions[0].material.name)
        return 2 * len(additions)
    if not 2 <= len(recipes) <= 4:
        raise refusal("blend-of-too-few", count=len(recipes), s="s" * (len(recipes) != 1))
    for k, one in enumerate(recipes):
        for other in recipes[:k]:
            if _batch(one) == _batch(other):
                raise refusal("same-batch", other=other.name, one=one.name)
    return len(recipes)


def _batch(recipe: Recipe) -> dict[str, float]:
    """Per cent of each material in the dry batch, additions and all."""
    total = sum(p.amount for p in recipe.parts)
    amounts: dict[str, float] = {}
    for part in recipe.parts:
        amounts[part.material.id] = amounts.get(part.material.id, 0.0) + 100.0 * part.amount / total
    return {key: round(percent, 9) for key, percent in amounts.items() if percent > 0.0}


def _whole(recipes: Sequence[Recipe], additions: Sequence[Addition]) -> tuple[GlazeSet, Array]:
    """All corners' materials together, and what 100 dry grams of each ingredient hold (K, M)."""
    first = recipes[0]
    added = tuple(Part(a.material.name, 0.0, a.material) for a in additions)
    same = all(r.crystals == first.crystals for r in recipes)
    total = replace(
        first,
        id="+".join([*(r.id for r in recipes), *(a.material.id for a in additions)]),
        name=" + ".join([*(r.name for r in recipes), *(a.material.name for a in additions)]),
        base=(*(p for r in recipes for p in r.parts), *added),
        additions=(),
        undissolved={k: v for r in reversed(recipes) for k, v in r.undissolved.items()},
        crystals=first.crystals if same else {},
        fluorine_kept=float(np.mean([r.fluorine_kept for r in recipes])),
        ambiguous=(),
    )
    glazes, _ = glaze_set(total)
    column = {m.id: k for k, m in enumerate(glazes.materials)}
    held = [_batch(r) for r in recipes] + [{a.material.id: 100.0} for a in additions]
    rows = np.zeros((len(held), len(column)))
    for k, amounts in enumerate(held):
        for key, percent in amounts.items():
            rows[k, column[key]] = percent
    return glazes, rows


def _percent(at: Points, additions: Sequence[Addition]) -> Array:
    """Per cent of the base (P, A): the first addition grows to the right, the second downwards."""
    along = [at.column, at.row]
    return np.column_stack(
        [a.low + (a.high - a.low) * k / at.steps for a, k in zip(additions, along, strict=False)]
    )


def _ingredients(
    recipes: Sequence[Recipe], additions: Sequence[Addition]
) -> tuple[Ingredient, ...]:
    return (
        *(Ingredient(r.id, r.name) for r in recipes),
        *(Ingredient(a.material.id, a.material.name) for a in additions),
    )


def _surfaces(recipes: Sequence[Recipe], shares: Array, additions: bool) -> tuple[Surface, ...]:
    """The surface of each point: that of its largest corner; of equals, the first."""
    if additions:
        return (recipes[0].surface,) * len(shares)
    most = np.argmax(shares.round(9), axis=1)
    return tuple(recipes[k].surface for k in most)


def _as(glazes: GlazeSet, surface: Surface) -> GlazeSet:
    """The same glazes, judged as a surface."""
    return replace(glazes, recipe=replace(glazes.recipe, surface=surface))


def _by_surface(
    glazes: GlazeSet, surfaces: tuple[Surface, ...]
) -> list[tuple[NDArray[np.intp], GlazeSet]]:
    """Rows of each surface, and the glazes judged as it."""
    return [
        (np.flatnonzero([s == surface for s in surfaces]), _as(glazes, surface))
        for surface in dict.fromkeys(surfaces)
    ]


def _look(
    glazes: GlazeSet, parts: Array, surfaces: tuple[Surface, ...], at: Conditions, n: int
) -> Evaluation:
    pieces = [
        (rows, evaluate(one, parts[rows], at, n)[0]) for rows, one in _by_surface(glazes, surfaces)
    ]
    return merged(pieces, glazes, parts)


def words_of(seen: Evaluation, *, ripeness: bool, fit: bool) -> tuple[str, ...]:
    """One word for each point: the likeliest of under, ripe and runs; for ripe ones, or without a
    firing, the likeliest of shivers, sits and crazes (by the horizon)."""
    words = np.full(len(seen.mol), "ripe" if ripeness else "", dtype=object)
    if fit and seen.odds_shivers is not None and seen.odds_crazes_by_horizon is not None:
        odds = [
            1.0 - seen.odds_shivers - seen.odds_crazes_by_horizon,
            seen.odds_crazes_by_horizon,
            seen.odds_shivers,
        ]
        words = np.array(["sits", "crazes", "shivers"], dtype=object)[np.argmax(odds, axis=0)]
    if (
        ripeness
        and seen.odds_ripe_at_every_pull is not None
        and seen.odds_runs_at_last_pull is not None
    ):
        odds = [
            seen.odds_runs_at_last_pull,
            seen.odds_ripe_at_every_pull,
            1.0 - seen.odds_runs_at_last_pull - seen.odds_ripe_at_every_pull,
        ]
        likeliest = np.array(["runs", "ripe", "under"], dtype=object)[np.argmax(odds, axis=0)]
        words = np.where(likeliest == "ripe", words, likeliest)
    return tuple(words.tolist())


def _margins(
    glazes: GlazeSet, parts: Array, surfaces: tuple[Surface, ...], at: Conditions, n: int
) -> list[Array]:
    """Draws (P, n) of what a tile would show: how far each point is from ripe, in decades, and from
    crazing, in MPa."""
    decades, mpa = (np.zeros((len(parts), n)) for _ in range(2))
    for rows, one in _by_surface(glazes, surfaces):
        draws = draw_glazes(one, parts[rows], at, Drawing(n))
        if at.when:
            known = fluidity_up_to(hottest_c(at.when), draws)
            with np.errstate(divide="ignore"):
                over = np.log10(known.through(at.when[0]) / needed_to_ripen(draws, at.criteria))
            decades[rows] = draws.by_glaze(np.clip(over, -_FAR_DECADES, _FAR_DECADES))
        if at.body_draws is not None:
            fits = fit_draws(fired(draws, at.when), at.body_draws.some(n).tiled(len(rows)), at)
            mpa[rows] = draws.by_glaze(fits.max_tension_mpa - fits.critical_mpa)
    return [decades] * bool(at.when) + [mpa] * (at.body_draws is not None)


def _cups(at: Points, shares: Array, percent: Array | None, plan: Plan, cup: Cup) -> Cups:
    slurry = plan.slurry_g_per_ml
    if cup.unit == "g":
        amounts = into_cups(shares, cup)
        units, dry = ("g",) * shares.shape[1], np.ones(shares.shape[1])
    elif slurry is None:
        raise refusal("cup-without-density")
    elif percent is None:
        amounts = into_cups(at.shares, cup)
        units, dry = ("ml",) * shares.shape[1], dry_g_per_ml(slurry)
    else:
        recipe = plan.recipes[0]
        base = recipe.base_total / sum(p.amount for p in recipe.parts)
        per_ml = float(dry_g_per_ml(slurry)[0])
        grams = weighed(percent / 100.0 * base * per_ml * cup.size, cup)
        amounts = np.column_stack([np.full(len(percent), cup.size), grams])
        units = ("ml", *("g",) * percent.shape[1])
        dry = np.array([per_ml, *(1.0,) * percent.shape[1]])
    totals = amounts.sum(axis=0).round(9)
    steps = tuple(cup.scale if unit == cup.unit else cup.scale_g for unit in units)
    return Cups(cup, amounts, units, steps, totals, totals * dry)
