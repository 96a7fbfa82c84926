"""Blends of two, three or four glazes, or of additions to one: what every point is like."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from cofire import glass
from cofire.answers.batch.slurry import dry_g_per_ml
from cofire.answers.blend.additions import Addition
from cofire.answers.blend.points import (
    Cup,
    Points,
    dry_shares,
    into_cups,
    points,
    weighed,
)
from cofire.answers.blend.tiles import Tiles, choose, covariance_of
from cofire.answers.messages.blend import blend_findings, sentence
from cofire.arrays import Array
from cofire.errors import CompositionError, QuantityError
from cofire.files.library import Library
from cofire.findings import Finding, sort_findings
from cofire.model.analysis import analyse
from cofire.model.cooling import Cooling, cooling
from cofire.model.draws import KILN_SPREAD_C, BodyDraws, draw_body
from cofire.model.fit import fit_draws
from cofire.model.glaze_set import Family, Glance, draws_of, family_of, glance
from cofire.model.ripening import fluidity_up_to, needed_for
from cofire.model.schedule import Moment, moments, spread_c
from cofire.model.solids import mixture
from cofire.read.coat import DEFAULT, Coat
from cofire.records import Body, Firing, Part, Recipe, Surface
from cofire.ripeness.judge import DEFAULT as CRITERIA

#: Draws over all points together: at least 100 for each, more where there are few.
_DRAWS, _LEAST_DRAWS, _MOST_DRAWS = 20_000, 100, 2_000
#: Margins of ripeness beyond so many decades teach nothing; our choice.
_FAR_DECADES = 6.0


@dataclass(frozen=True, eq=False)
class Ingredient:
    """What is weighed or poured into cups: a corner's glaze, the base, or an addition."""

    id: str
    name: str


@dataclass(frozen=True, eq=False)
class Cups:
    """What goes into each cup (P, K), in the unit of each ingredient, whole ``steps`` of its
    scale; ``totals`` (K,) of all cups, and the dry grams (K,) in them."""

    cup: Cup
    amounts: Array
    units: tuple[str, ...]
    steps: tuple[float, ...]
    totals: Array
    dry_g: Array


@dataclass(frozen=True, eq=False)
class Blend:
    """A blend's P points of K ingredients. ``words`` are “under”, “runs”, “ripe”, “sits”, “crazes”
    or “shivers”, and empty where neither firing nor body was named; then ``yes`` is None."""

    recipes: tuple[Recipe, ...]
    additions: tuple[Addition, ...]
    points: Points
    ingredients: tuple[Ingredient, ...]
    shares: Array  # (P, K) by dry weight
    percent: Array | None  # (P, A) of each addition, of the base
    slurry_g_per_ml: Array | None  # (C,)
    surfaces: tuple[Surface, ...]
    seen: Glance
    support: glass.Support
    words: tuple[str, ...]
    changes: tuple[tuple[int, int], ...]  # neighbours between which the word changes
    cups: Cups | None
    tiles: Tiles | None
    firing: Firing | None
    body: Body | None
    coat: Coat
    wall_mm: float
    cooling: str
    odds_asked: float
    yes: bool | None
    sentence: str
    findings: tuple[Finding, ...]

    @property
    def right(self) -> Array:
        """Odds (P,) of everything that was asked."""
        assert self.seen.right is not None
        return self.seen.right


def blend(
    library: Library,
    recipes: Sequence[Recipe],
    additions: Sequence[Addition] = (),
    *,
    steps: int = 5,
    firing: Firing | None = None,
    body: Body | None = None,
    coat: Coat = DEFAULT,
    wall_mm: float = 6.0,
    odds: float = 0.8,
    cooled: str | None = None,
    slurry_g_per_ml: Array | None = None,
    cup: Cup | None = None,
    tiles: int | None = None,
) -> Blend:
    """Predict every point of a blend; with ``tiles``, say which of them to fire.

    Corners mix by dry weight, or by volume of slurries of given densities (C,). Raises
    CompositionError and QuantityError for blends that are none.
    """
    corners = _checked(recipes, additions)
    at = points(corners, steps)
    family, rows = _family(recipes, additions)
    percent = None
    if additions:
        percent = _percent(at, additions)
        held = sum(p.amount for p in recipes[0].parts) / recipes[0].base_total
        cupful = np.column_stack([np.full(len(percent), 100.0 * held), percent])
        shares = cupful / cupful.sum(axis=1, keepdims=True)
    elif slurry_g_per_ml is not None:
        shares = dry_shares(at.shares, slurry_g_per_ml)
    else:
        shares = at.shares
    parts = shares @ rows
    surfaces = _surfaces(recipes, shares, bool(additions))
    when = moments(firing, wall_mm) if firing else []
    cool = cooling(firing, wall_mm, cooled) if body else None
    n = int(np.clip(_DRAWS // len(parts), _LEAST_DRAWS, _MOST_DRAWS))
    how = _How(
        draw_body(body) if body else None,
        cool,
        when,
        coat,
        wall_mm,
        n,
        spread_c(firing) if firing else KILN_SPREAD_C,
    )
    seen = _look(family, parts, surfaces, how)
    asked = bool(firing or body)
    words = words_of(seen, ripeness=bool(firing), fit=bool(body))
    changes = tuple((int(p), int(q)) for p, q in at.neighbours if words[p] != words[q])
    chosen = None
    if tiles is not None:
        if not asked:
            raise QuantityError(
                "a tile is worth what it tells about ripeness or fit.",
                hint="Name a --firing or a --body as well.",
            )
        chosen = choose(covariance_of(_margins(family, parts, surfaces, how)), tiles)
    support = glass.support(seen.solids.melt_mol)
    assert seen.right is not None
    yes = bool((seen.right >= odds).any()) if asked else None
    answer = Blend(
        recipes=tuple(recipes),
        additions=tuple(additions),
        points=at,
        ingredients=_ingredients(recipes, additions),
        shares=shares,
        percent=percent,
        slurry_g_per_ml=slurry_g_per_ml,
        surfaces=surfaces,
        seen=seen,
        support=support,
        words=words,
        changes=changes,
        cups=None if cup is None else _cups(at, shares, percent, recipes, slurry_g_per_ml, cup),
        tiles=chosen,
        firing=firing,
        body=body,
        coat=coat,
        wall_mm=wall_mm,
        cooling=cool.words if cool else "",
        odds_asked=odds,
        yes=yes,
        sentence="",
        findings=(),
    )
    return replace(
        answer,
        sentence=sentence(answer),
        findings=sort_findings(blend_findings(library, answer, family.recipe)),
    )


def _checked(recipes: Sequence[Recipe], additions: Sequence[Addition]) -> int:
    """How many corners there are; raises what is no blend."""
    for recipe in recipes:
        analyse(recipe)
    if additions:
        if len(recipes) != 1:
            raise CompositionError(
                "additions go to one recipe, not to several.",
                hint="Name one recipe with --add, or two to four without it.",
            )
        if len(additions) > 2:
            raise CompositionError(
                "a grid has room for two additions.", hint="Write --add once or twice."
            )
        if len({a.material.id for a in additions}) < len(additions):
            raise CompositionError(
                f"“{additions[0].material.name}” is added twice.",
                hint="One --add is enough: it gives a line.",
            )
        return 2 * len(additions)
    if not 2 <= len(recipes) <= 4:
        raise CompositionError(
            f"{len(recipes)} recipe{'s' * (len(recipes) != 1)} give no blend.",
            hint="Name two to four recipes, or one and --add “copper carbonate 0-5”.",
        )
    for k, one in enumerate(recipes):
        for other in recipes[:k]:
            if _batch(one) == _batch(other):
                raise CompositionError(
                    f"“{other.name}” and “{one.name}” are the same batch: there is nothing to "
                    "blend.",
                    hint="Name different recipes.",
                )
    return len(recipes)


def _batch(recipe: Recipe) -> dict[str, float]:
    """Per cent of each material in the dry batch, additions and all."""
    whole = sum(p.amount for p in recipe.parts)
    found: dict[str, float] = {}
    for part in recipe.parts:
        found[part.material.id] = found.get(part.material.id, 0.0) + 100.0 * part.amount / whole
    return {key: round(percent, 9) for key, percent in found.items() if percent > 0.0}


def _family(recipes: Sequence[Recipe], additions: Sequence[Addition]) -> tuple[Family, Array]:
    """All corners' materials together, and what 100 dry grams of each ingredient hold (K, M)."""
    first = recipes[0]
    added = tuple(Part(a.material.name, 0.0, a.material) for a in additions)
    same = all(r.crystals == first.crystals for r in recipes)
    whole = replace(
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
    family, _ = family_of(whole)
    column = {m.id: k for k, m in enumerate(family.materials)}
    held = [_batch(r) for r in recipes] + [{a.material.id: 100.0} for a in additions]
    rows = np.zeros((len(held), len(column)))
    for k, amounts in enumerate(held):
        for key, percent in amounts.items():
            rows[k, column[key]] = percent
    return family, rows


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
    """Each point is judged as the corner it holds most of; of equals, the first."""
    if additions:
        return (recipes[0].surface,) * len(shares)
    most = np.argmax(shares.round(9), axis=1)
    return tuple(recipes[k].surface for k in most)


@dataclass(frozen=True, eq=False)
class _How:
    """All that is common to the points."""

    body: BodyDraws | None
    cool: Cooling | None
    when: Sequence[Moment]
    coat: Coat
    wall_mm: float
    n: int
    spread_c: float


def _by_surface(
    family: Family, surfaces: tuple[Surface, ...]
) -> list[tuple[NDArray[np.intp], Family]]:
    """Rows of each surface, and the family judged as it."""
    found = []
    for surface in dict.fromkeys(surfaces):
        rows = np.flatnonzero([s == surface for s in surfaces])
        found.append((rows, replace(family, recipe=replace(family.recipe, surface=surface))))
    return found


def _look(family: Family, parts: Array, surfaces: tuple[Surface, ...], how: _How) -> Glance:
    pieces = [
        (
            rows,
            glance(
                one,
                parts[rows],
                body=how.body,
                cool=how.cool,
                when=how.when,
                coat=how.coat,
                wall_mm=how.wall_mm,
                n=how.n,
                spread_c=how.spread_c,
            ),
        )
        for rows, one in _by_surface(family, surfaces)
    ]

    def whole(name: str) -> Array | None:
        first = getattr(pieces[0][1], name)
        if first is None:
            return None
        out = np.empty((len(parts), *first.shape[1:]))
        for rows, piece in pieces:
            out[rows] = getattr(piece, name)
        return out

    values: dict[str, Any] = {f.name: whole(f.name) for f in fields(Glance) if f.name != "solids"}
    return Glance(**values, solids=mixture(family.recipe, values["mol"], amounts=parts))


def words_of(seen: Glance, *, ripeness: bool, fit: bool) -> tuple[str, ...]:
    """One word for each point: the likeliest of under, ripe and runs; for what is ripe, or where no
    firing was named, the likeliest of shivers, sits and crazes (within months)."""
    words = np.full(len(seen.mol), "ripe" if ripeness else "", dtype=object)
    if fit:
        assert seen.shivers is not None and seen.crazes_later is not None
        odds = [1.0 - seen.shivers - seen.crazes_later, seen.crazes_later, seen.shivers]
        words = np.array(["sits", "crazes", "shivers"], dtype=object)[np.argmax(odds, axis=0)]
    if ripeness:
        assert seen.ripe is not None and seen.runs is not None
        odds = [seen.runs, seen.ripe, 1.0 - seen.runs - seen.ripe]
        found = np.array(["runs", "ripe", "under"], dtype=object)[np.argmax(odds, axis=0)]
        words = np.where(found == "ripe", words, found)
    return tuple(words.tolist())


def _margins(family: Family, parts: Array, surfaces: tuple[Surface, ...], how: _How) -> list[Array]:
    """What a tile would tell, drawn (P, n): how far each point is from ripe, in decades, and from
    crazing, in MPa."""
    decades, mpa = (np.zeros((len(parts), how.n)) for _ in range(2))
    for rows, one in _by_surface(family, surfaces):
        draws = draws_of(one, parts[rows], coat=how.coat, n=how.n, spread_c=how.spread_c)
        if how.when:
            known = fluidity_up_to(max(float(m.ware_c.max()) for m in how.when), draws)
            needed = needed_for(one.recipe.surface, draws, CRITERIA)
            with np.errstate(divide="ignore"):
                over = np.log10(known.through(how.when[0]) / needed)
            decades[rows] = np.clip(over, -_FAR_DECADES, _FAR_DECADES).reshape(len(rows), how.n)
        if how.body is not None and how.cool is not None:
            clay = how.body.some(how.n).tiled(len(rows))
            fits = fit_draws(one.recipe, draws, clay, how.wall_mm, how.cool)
            mpa[rows] = (fits.pull_mpa - fits.critical_mpa).reshape(len(rows), how.n)
    return [decades] * bool(how.when) + [mpa] * (how.body is not None)


def _cups(
    at: Points,
    shares: Array,
    percent: Array | None,
    recipes: Sequence[Recipe],
    slurry: Array | None,
    cup: Cup,
) -> Cups:
    if cup.unit == "g":
        amounts = into_cups(shares, cup)
        units, dry = ("g",) * shares.shape[1], np.ones(shares.shape[1])
    elif slurry is None:
        raise QuantityError(
            "a cup in millilitres holds slurry of an unknown density.",
            hint="Say what a millilitre weighs, for example --slurry “1.45”, or write the cup in "
            "grams of dry glaze.",
        )
    elif percent is None:
        amounts = into_cups(at.shares, cup)
        units, dry = ("ml",) * shares.shape[1], dry_g_per_ml(slurry)
    else:
        recipe = recipes[0]
        base = recipe.base_total / sum(p.amount for p in recipe.parts)
        per_ml = float(dry_g_per_ml(slurry)[0])
        grams = weighed(percent / 100.0 * base * per_ml * cup.size, cup)
        amounts = np.column_stack([np.full(len(percent), cup.size), grams])
        units = ("ml", *("g",) * percent.shape[1])
        dry = np.array([per_ml, *(1.0,) * percent.shape[1]])
    totals = amounts.sum(axis=0).round(9)
    steps = tuple(cup.scale if unit == cup.unit else cup.scale_g for unit in units)
    return Cups(cup, amounts, units, steps, totals, totals * dry)
