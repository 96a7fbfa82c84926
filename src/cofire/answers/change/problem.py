"""A recipe and its targets as a problem for the solver: unknowns, bounds, constraints."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from cofire.answers.change.evaluator import NONLINEAR, RecipeEvaluator
from cofire.answers.change.linear_targets import brings_nothing, rows_of
from cofire.answers.change.targets import Target
from cofire.arrays import Array, Mask
from cofire.chem.oxides import MOLAR_MASS
from cofire.errors import refusal
from cofire.formulate.nearest import RecipeTask
from cofire.formulate.program import ClosenessObjective, LinearConstraint
from cofire.material_kinds import MOST_GEL, is_colour, is_gel, is_soluble, is_twin
from cofire.model.conditions import Conditions
from cofire.model.fit import wanted_of
from cofire.model.glaze_set import glaze_set
from cofire.records import Material, Part, Recipe
from cofire.round_numbers import share_out

#: What moving a mole per cent of an oxide costs, in parts of a material moved; our choice.
_OXIDE_COST = 0.5
#: A material that is not in the recipe costs this much more per part: people weigh what they know.
_NEW_COST = 1.3
#: And one that dissolves in the bucket far more; our choice.
_SOLUBLE_COST = 6.0
#: Without a firing a glaze may melt hotter by this and still count as low-fire, °C; our choice.
_HOTTER_C = 100.0
#: Amounts are rounded to these steps per 100, of the base and of additions.
_STEP, _FINE_STEP = 0.1, 0.01
#: What shrank to less than this is not worth its line, nor is so little of something new.
_TRACE, _WORTH_BUYING = 0.25, 1.0


@dataclass(frozen=True, eq=False)
class Allowed:
    """Materials that may be added, that keep their amount, and that must go; ``prices`` are what a
    kg of each costs, by id."""

    candidates: Sequence[Material] = ()
    kept: Sequence[Material] = ()
    left_out: Sequence[Material] = ()
    prices: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True, eq=False)
class Problem:
    """Unknowns (V,): parts of the base, then additions, then new materials."""

    recipe: Recipe
    evaluator: RecipeEvaluator
    rows: tuple[LinearConstraint, ...]
    row_targets: tuple[Target, ...]
    targets: tuple[Target, ...]  # all, with those that go without saying
    closeness: ClosenessObjective
    start: Array
    low: Array
    high: Array
    own: Mask
    in_base: Mask

    @property
    def materials(self) -> tuple[Material, ...]:
        """Of the unknowns (V,)."""
        return self.evaluator.materials

    @property
    def task(self) -> RecipeTask:
        """The task in the form of the solver."""
        return RecipeTask(
            self.rows, self.evaluator.nonlinear(), self.closeness, self.low, self.high, self.adding
        )

    @property
    def adding(self) -> Array:
        """What counts towards the 100 of the base (V,)."""
        return self.in_base.astype(float)

    def rounded(self, parts: Array) -> Array:
        """Amounts to a tenth that still make a base of 100, additions to a hundredth; what is held
        stays to the digit, and traces of what may change are dropped."""
        fixed = self.low >= self.high
        least = np.where(self.own, np.minimum(_TRACE, 0.5 * self.start), _WORTH_BUYING)
        kept = np.where((parts < least) & ~fixed, 0.0, parts)
        free = self.in_base & ~fixed
        out = np.where(free, 0.0, np.round(kept / _FINE_STEP) * _FINE_STEP)
        out[fixed] = parts[fixed]
        room = 100.0 - out[self.in_base].sum()
        if not kept[free].sum() > 0.0:
            return out
        shares = np.where(free, kept, 0.0)
        out += _STEP * np.array(share_out(int(room / _STEP + 1e-6), shares.tolist()))
        out[int(np.argmax(shares))] += 100.0 - out[self.in_base].sum()
        return np.asarray(out)

    def allows(self, parts: Array) -> bool:
        """Whether parts (V,) lie within their bounds."""
        return bool((self.low <= parts + 1e-9).all() and (parts <= self.high + 1e-9).all())

    def recipe_of(self, parts: Array) -> Recipe:
        """The recipe of these parts, with names as written."""
        written = {p.material.id: p.written for p in self.recipe.parts}

        def section(inside: Mask) -> tuple[Part, ...]:
            return tuple(
                Part(written.get(m.id, m.id), round(float(amount), 2), m)
                for amount, m, here in zip(parts, self.evaluator.materials, inside, strict=True)
                if here and amount > 1e-9
            )

        base, additions = section(self.in_base), section(~self.in_base)
        ids = {p.material.id for p in (*base, *additions)}
        return replace(
            self.recipe,
            id=f"{self.recipe.id}-adjusted",
            name=f"{self.recipe.name}, adjusted",
            base=base,
            additions=additions,
            undissolved={k: v for k, v in self.recipe.undissolved.items() if k in ids},
            ambiguous=tuple(a for a in self.recipe.ambiguous if a[0].material.id in ids),
        )


def problem_of(
    recipe: Recipe, targets: Sequence[Target], allowed: Allowed, at: Conditions, sure: float
) -> Problem:
    """Raises CompositionError for targets that contradict the recipe's surface, ask for an oxide
    that no available material brings, or keep a material that is not there."""
    _words_suit(recipe, targets)
    out = {m.id for m in allowed.left_out}
    both = [m.name for m in allowed.kept if m.id in out]
    if both:
        raise refusal("kept-and-left-out", both=both[0])
    new = _new_materials(recipe, targets, allowed)
    glazes, _ = glaze_set(recipe, new)
    ids = [m.id for m in glazes.materials]
    scale = 100.0 / recipe.base_total
    unknowns = [
        *((p.material, scale * p.amount, True) for p in recipe.base),
        *((p.material, scale * p.amount, False) for p in recipe.additions),
        *((m, 0.0, True) for m in new),
    ]
    materials = tuple(m for m, _, _ in unknowns)
    incidence = np.zeros((len(unknowns), len(ids)))
    incidence[np.arange(len(unknowns)), [ids.index(m.id) for m in materials]] = 1.0
    start = np.array([amount for _, amount, _ in unknowns])
    in_base = np.array([base for _, _, base in unknowns])
    own = np.arange(len(unknowns)) < len(recipe.parts)
    low, high = _bounds(recipe, materials, start, in_base, targets, allowed)
    every = list(targets)
    evaluator = RecipeEvaluator(glazes, incidence, materials, at, sure, (), allowed.prices)
    if at.firing is None:
        every.append(_still_melts(evaluator, start))
    nonlinear = tuple(w for w in every if w.kind in NONLINEAR)
    evaluator = replace(evaluator, targets=nonlinear)
    for target in every:
        missing = brings_nothing(target, evaluator, high > 0.0)
        if missing:
            raise refusal("nothing-brings-it", text=target.text, missing=missing)
    linear = [w for w in every if w.kind not in NONLINEAR]
    rows = [(row, w) for w in linear for row in rows_of(w, evaluator, start)]
    return Problem(
        recipe,
        evaluator,
        tuple(row for row, _ in rows),
        tuple(w for _, w in rows),
        tuple(every),
        _kept(evaluator, start, own),
        start,
        low,
        high,
        own,
        in_base,
    )


def _new_materials(recipe: Recipe, targets: Sequence[Target], allowed: Allowed) -> list[Material]:
    """The new materials allowed: none that is left out, nor an equal of a limited one."""
    candidates = list({m.id: m for m in allowed.candidates}.values())
    if any(w.kind == "cost" for w in targets):
        candidates = [m for m in candidates if m.id in allowed.prices]
        unpriced = [p.material.name for p in recipe.parts if p.material.id not in allowed.prices]
        if unpriced:
            raise refusal("price-missing", unpriced=", ".join(unpriced))
    limited = _limited(targets, recipe, candidates)
    named = {m.id for m in limited}
    shunned = [*allowed.left_out, *limited]
    out = {p.material.id for p in recipe.parts} | {m.id for m in allowed.left_out}
    return [
        m
        for m in candidates
        if m.id not in out and (m.id in named or not any(is_twin(m, other) for other in shunned))
    ]


#: What each word for a fit asks of a coat, which surface is meant to do it, and what that is.
_MEANS = {"crackles": "crazes", "sits": "sits", "stays": "stays"}
_SURFACE_FOR = {"crazes": "crackle", "sits": "gloss", "stays": "lustre"}
_MEANT_TO = {"crazes": "crackle", "sits": "sit", "stays": "stay on"}


def _words_suit(recipe: Recipe, targets: Sequence[Target]) -> None:
    for target in targets:
        meant, wanted = _MEANS.get(target.text.lower()), wanted_of(recipe.surface)
        if target.kind == "fits" and meant and meant != wanted:
            raise refusal(
                "against-its-surface",
                recipe=recipe.name,
                surface=recipe.surface,
                meant_to=_MEANT_TO[wanted],
                text=target.text,
                surface_for=_SURFACE_FOR[meant],
            )


def _limited(
    targets: Sequence[Target], recipe: Recipe, candidates: Sequence[Material]
) -> list[Material]:
    """Materials whose amount is limited: an equal material would get round the target."""
    names = {n for w in targets if w.kind == "amount" and np.isfinite(w.high) for n in w.names}
    limited = [p.material for p in recipe.parts if p.material.id in names]
    return [*limited, *(m for m in candidates if m.id in names)]


def _bounds(
    recipe: Recipe,
    materials: tuple[Material, ...],
    start: Array,
    in_base: Array,
    targets: Sequence[Target],
    allowed: Allowed,
) -> tuple[Array, Array]:
    """Least and most of each unknown. Additions and colours stay unless a target is about them."""
    kept = {m.id for m in allowed.kept}
    out = {m.id for m in allowed.left_out}
    missing = kept - {p.material.id for p in recipe.parts}
    if missing:
        name = next(m.name for m in allowed.kept if m.id in missing)
        raise refusal("kept-but-not-there", called=name, recipe=recipe.name)
    low, high = np.zeros(len(start)), np.full(len(start), 100.0)
    for k, material in enumerate(materials):
        held = (not in_base[k] or is_colour(material)) and not _meant(material, targets)
        if material.id in out:
            high[k] = 0.0
        elif held or material.id in kept:
            low[k] = high[k] = start[k]
        elif is_gel(material):
            high[k] = max(start[k], MOST_GEL)
    return low, high


def _meant(material: Material, targets: Sequence[Target]) -> bool:
    """Whether a target is about this very material, or an oxide that it is there to bring."""
    for target in targets:
        if target.kind == "amount" and material.id in target.names:
            return True
        oxides = target.names if target.kind in ("unity", "weight", "ratio") else ()
        if is_colour(material) and any(
            material.oxides_wt_percent.get(o, 0.0) > 25.0 for o in oxides
        ):
            return True
    return False


def _still_melts(evaluator: RecipeEvaluator, start: Array) -> Target:
    """An implied target: it stays a low-fire glaze."""
    now = float(evaluator.middle(start[None, :]).melts_c[0])
    return Target("it still melts in low fire", "melts", -np.inf, now + _HOTTER_C, 30.0, "")


def _kept(evaluator: RecipeEvaluator, start: Array, own: Mask) -> ClosenessObjective:
    """Parts and mole per cents to stay close to; traces are dropped."""
    moles = evaluator.incidence @ (evaluator.glazes.grams / MOLAR_MASS)
    now = start @ moles
    per_mol_percent = 100.0 / now.sum()
    there = now * per_mol_percent > 0.3
    matrix = (moles * per_mol_percent)[:, there].T
    soluble = np.array([is_soluble(m) for m in evaluator.materials])
    cost = np.where(own, 1.0, np.where(soluble, _SOLUBLE_COST, _NEW_COST))
    return ClosenessObjective(start, cost, matrix, matrix @ start, _OXIDE_COST)
