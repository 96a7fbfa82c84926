"""Rebuild the same fired glaze without a material, from the available ones."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import ClassVar

import numpy as np

from cofire import glass
from cofire.answers.change.available_materials import effort_to_get
from cofire.answers.findings.cautions import material_cautions
from cofire.answers.findings.recipe import composition_findings
from cofire.answers.messages.adjust import settling_findings
from cofire.arrays import Array
from cofire.chem.composition import unity
from cofire.chem.oxides import INDEX, MOLAR_MASS, OXIDES
from cofire.errors import CompositionError, refusal
from cofire.files.library import Library
from cofire.findings import Finding, sort_findings
from cofire.formulate.program import LinearConstraint
from cofire.formulate.rebuild import Rebuilt, WantedAmounts, rebuild
from cofire.material_kinds import (
    COLOURS,
    MOST_GEL,
    is_clay,
    is_colour,
    is_gel,
    is_soluble,
    is_twin,
    keeps_up,
    percent_of,
)
from cofire.model.analysis import analyse
from cofire.model.conditions import Conditions
from cofire.model.evaluation import evaluate_recipe
from cofire.model.glaze_set import GlazeSet, glaze_set
from cofire.model.outcome import OUTSIDE
from cofire.record import Record
from cofire.records import Material, Part, Recipe

#: New materials that may come in, at most.
_MOST_NEW = 3
#: One more has to lower the sum of misses by this, mole per cent; our choice.
_WORTH = 0.4
#: What a part moved costs beside a mole per cent missed: little, since the glaze comes first.
_PART_COST = 0.004
_NEW_COST = 0.01
#: One per cent of loss on ignition counts as this many mole per cent; our choice.
_LOI_WEIGHT = 0.05
#: And one per cent of clay, or of what counts as clay, which keeps the slurry up; our choice.
_CLAY_WEIGHT = 0.1
#: A rebuilt glaze is the same when it moves by no more than this; our choice: less than batches of
#: one supplier differ.
_SAME_1E6_PER_K, _SAME_C = 0.15, 10.0
#: Unity moles that differ by less are the same.
_SAME_MOLES = 0.01
#: Oxides that no model turns into a colour or a lustre have to stay within this share.
_SAME_SHARE = 0.1
#: Unity moles of oxides that clays and borates bring as dirt; from memory of their analyses.
_IMPURITY = {"Fe2O3": 0.01, "TiO2": 0.02, "MnO": 0.002}
#: Traces are not worth a line, parts per 100.
_TRACE = 0.2


@dataclass(frozen=True, eq=False, repr=False)
class Swapped(Record):
    """One way: the recipe, unity moles (n_oxides,), what it differs by (oxide -> moles), and how
    expansion (1e-6/K) and the temperature of 10^4 Pa·s move (°C)."""

    recipe: Recipe
    new: tuple[Material, ...]
    unity: Array
    unity_differs: dict[str, float]
    expansion_moves_1e6_per_k: float
    melting_moves_c: float
    loi_percent: float
    clay_percent: float
    soluble_percent: float
    outside: bool  # the measured data
    lost: tuple[str, ...]  # oxides of colour, cloud or metal that are not as they were
    json_also: ClassVar = ("same",)
    json_spreads: ClassVar = ("recipe",)

    @property
    def deviation(self) -> float:
        """How far its unity formula is, moles."""
        return sum(abs(d) for d in self.unity_differs.values())

    @property
    def same(self) -> bool:
        """Whether the difference is too small to see."""
        moves = abs(self.expansion_moves_1e6_per_k) <= _SAME_1E6_PER_K
        return moves and abs(self.melting_moves_c) <= _SAME_C and not self.lost


@dataclass(frozen=True, eq=False, repr=False)
class SwapAnswer(Record):
    recipe: Recipe
    without: Material
    unity_before: Array
    loi_percent_before: float
    ways: tuple[Swapped, ...]
    sentence: str
    yes: bool
    findings: tuple[Finding, ...]
    json_also: ClassVar = ("recipe.name",)
    json_hides: ClassVar = ("recipe",)


@dataclass(frozen=True, eq=False, repr=False)
class Failed(Record):
    """A recipe for which there is no way, and why."""

    name: str
    why: str


@dataclass(frozen=True, eq=False, repr=False)
class SwapAnswers(Record):
    """Recipes rebuilt without one material, and those that cannot be."""

    without: Material
    recipes: tuple[SwapAnswer, ...]
    failed: tuple[Failed, ...]
    schema: ClassVar = "swap"
    json_also: ClassVar = ("yes",)

    @property
    def yes(self) -> bool:
        """Whether every recipe stays the same glaze."""
        return bool(self.recipes) and not self.failed and all(a.yes for a in self.recipes)


def holding(library: Library, gone: Material) -> list[Recipe]:
    """All recipes that can be named and hold a material. Raises CompositionError for none."""
    seen: dict[str, Recipe] = {}
    for path, _ in library.files("recipes"):
        if path.stem not in seen:
            seen[path.stem] = library.recipe(path)
    found = [r for r in seen.values() if gone.id in {p.material.id for p in r.parts if p.amount}]
    if not found:
        raise refusal("nobody-holds-it", material=gone.name, id=gone.id)
    return found


def swap_all(
    library: Library,
    recipes: Sequence[Recipe],
    gone: Material,
    candidates: Sequence[Material],
    progress: Callable[[Sequence[Recipe]], Iterable[Recipe]] = iter,
) -> SwapAnswers:
    """As ``swap`` of each recipe; one recipe alone complains by itself."""
    answers: list[SwapAnswer] = []
    failed: list[Failed] = []
    for glaze in progress(recipes):
        try:
            answers.append(swap(library, glaze, gone, candidates))
        except CompositionError as error:
            if len(recipes) == 1:
                raise
            failed.append(Failed(glaze.name, error.message))
    return SwapAnswers(gone, tuple(answers), tuple(failed))


def swap(
    library: Library,
    recipe: Recipe,
    gone: Material,
    candidates: Sequence[Material],
    *,
    most_new: int = _MOST_NEW,
) -> SwapAnswer:
    """Rebuild a recipe without one of its materials.

    ``candidates`` are the available materials. Raises CompositionError if the recipe does not hold
    the material, or no glaze can be made without it.
    """
    if gone.id not in {p.material.id for p in recipe.parts if p.amount > 0.0}:
        raise refusal(
            "holds-none-of-it",
            recipe=recipe.name,
            material=gone.name,
            hint="It has " + ", ".join(p.material.name for p in recipe.parts) + ".",
        )
    have = {p.material.id for p in recipe.parts}
    glazes, now = glaze_set(recipe, [m for m in candidates if m.id not in have])
    ways: list[Swapped] = []
    for one in _rebuilt(glazes, recipe, now, gone, have, most_new):
        try:
            way = _way(recipe, glazes, one.parts, have)
        except CompositionError:  # the rest is not a glaze
            continue
        if not any(_amounts(way.recipe) == _amounts(other.recipe) for other in ways):
            ways.append(way)
    if not ways:
        raise refusal("nothing-stands-in", material=gone.name)
    # the simplest that is the same glaze, or else the nearest
    ways = sorted(ways, key=lambda w: (not w.same, 0.0 if w.same else w.deviation))
    before = analyse(recipe)
    best = ways[0]
    melt = glass.prepare(evaluate_recipe(best.recipe, Conditions(), 1).solids.melt_mol)
    return SwapAnswer(
        recipe=recipe,
        without=gone,
        unity_before=unity(before.mol),
        loi_percent_before=before.loi_percent,
        ways=tuple(ways[:3]),
        sentence=_sentence(gone, best),
        yes=best.same and not best.outside,
        findings=sort_findings(
            [
                *settling_findings(recipe, best.recipe),
                *composition_findings(best.recipe, analyse(best.recipe), melt),
                *material_cautions(library, [best.recipe]),
            ]
        ),
    )


def _rebuilt(
    glazes: GlazeSet, recipe: Recipe, now: Array, gone: Material, have: set[str], most_new: int
) -> list[Rebuilt]:
    """Parts of the glazes; additions and colours stay."""
    materials = glazes.materials
    added = {p.material.id for p in recipe.additions}
    only_added = added - {p.material.id for p in recipe.base}
    stays = np.array([(m.id in added or is_colour(m)) and m.id != gone.id for m in materials])
    fixed = np.where(stays, now, 0.0)
    moles = glazes.grams / MOLAR_MASS
    per_cent = 100.0 / float((now @ moles).sum())
    target = ((now - fixed) @ moles) * per_cent
    there = (target > 1e-9) | ((moles * per_cent).max(axis=0) > 0.02)
    loi = _LOI_WEIGHT * 100.0 * glazes.lost / now.sum()
    clay = _CLAY_WEIGHT * 100.0 * np.array([keeps_up(m) for m in materials]) / now.sum()
    matrix = np.vstack([(moles * per_cent)[:, there].T, loi, clay])
    rest = now - fixed
    amounts = np.concatenate([target[there], [float(loi @ rest), float(clay @ rest)]])
    cost = np.array([_cost(m, have) for m in materials])
    use = np.array([m.id in have and m.id != gone.id for m in materials]) & ~stays
    cost[stays | np.array([m.id == gone.id for m in materials])] = np.inf
    most_gel = max(MOST_GEL, percent_of(recipe, is_gel)) / 100.0
    gels = np.array([is_gel(m) - most_gel * (m.id not in only_added) for m in materials])
    no_jelly = LinearConstraint(gels, -np.inf, -float(gels @ fixed))
    adding = (moles * per_cent).sum(axis=1)
    twins = np.array([m.id != gone.id and is_twin(m, gone) for m in materials])
    wanted = WantedAmounts(matrix, amounts, adding, float(adding @ rest), no_jelly, twins)
    solutions = rebuild(wanted, now, cost, use, most_new, _WORTH)
    return [replace(one, parts=one.parts + fixed) for one in solutions]


def _cost(material: Material, have: set[str]) -> float:
    return _PART_COST if material.id in have else _NEW_COST * effort_to_get(material)


def _way(recipe: Recipe, glazes: GlazeSet, parts: Array, have: set[str]) -> Swapped:
    rebuilt = _recipe_of(recipe, glazes, parts)
    before, after = analyse(recipe), analyse(rebuilt)
    one, other = (evaluate_recipe(r, Conditions(), 1) for r in (recipe, rebuilt))
    change = unity(after.mol) - unity(before.mol)
    total = sum(p.amount for p in rebuilt.parts)
    shares = [
        100.0 * sum(p.amount for p in rebuilt.parts if test(p.material)) / total
        for test in (is_clay, is_soluble)
    ]
    return Swapped(
        recipe=rebuilt,
        new=tuple(p.material for p in rebuilt.parts if p.material.id not in have),
        unity=unity(after.mol),
        unity_differs={
            o: float(d) for o, d in zip(OXIDES, change, strict=True) if abs(d) >= _SAME_MOLES
        },
        expansion_moves_1e6_per_k=float(other.expansion_1e6_per_k[0] - one.expansion_1e6_per_k[0]),
        melting_moves_c=float(other.melts_c[0] - one.melts_c[0]),
        outside=bool(other.support.grade[0] >= OUTSIDE),
        loi_percent=after.loi_percent,
        clay_percent=shares[0],
        soluble_percent=shares[1],
        lost=tuple(
            o
            for o in COLOURS
            for old, new in [(unity(before.mol)[INDEX[o]], unity(after.mol)[INDEX[o]])]
            if abs(new - old) > _SAME_SHARE * old + _IMPURITY.get(o, 5e-4)
        ),
    )


def _amounts(recipe: Recipe) -> dict[str, float]:
    return {p.material.id: round(p.amount, 1) for p in recipe.parts}


def _recipe_of(recipe: Recipe, glazes: GlazeSet, parts: Array) -> Recipe:
    """Base of 100 to a tenth, and additions per 100 of it as they were meant. Raises
    CompositionError where no base is left."""
    added = {p.material.id for p in recipe.additions} - {p.material.id for p in recipe.base}
    has = {p.material.id for p in recipe.parts}
    pairs = [
        (part, float(amount))
        for part, amount in zip(glazes.recipe.parts, parts, strict=True)
        if amount > (1e-9 if part.material.id in has else _TRACE)
    ]
    base = [(p, a) for p, a in pairs if p.material.id not in added]
    total = sum(a for _, a in base)
    if total <= 0.0:
        raise refusal("no-base-left", recipe=recipe.name)

    def scaled(some: list[tuple[Part, float]]) -> tuple[Part, ...]:
        return tuple(replace(p, amount=round(100.0 * a / total, 3)) for p, a in some)

    ids = {p.material.id for p, _ in pairs}
    return replace(
        recipe,
        id=f"{recipe.id}-swapped",
        name=f"{recipe.name}, swapped",
        base=scaled(base),
        additions=scaled([(p, a) for p, a in pairs if p.material.id in added]),
        undissolved={k: v for k, v in recipe.undissolved.items() if k in ids},
        ambiguous=tuple(a for a in recipe.ambiguous if a[0].material.id in ids),
    )


def _sentence(gone: Material, best: Swapped) -> str:
    clash = any(m.name == gone.name for m in best.new)
    with_what = ", ".join(m.id if clash else m.name for m in best.new)
    with_what = with_what or "the recipe's own materials"
    moves = (
        f"expansion {best.expansion_moves_1e6_per_k:+.2f}e-6/K, "
        f"melting {best.melting_moves_c:+.0f} °C"
    )
    if best.same:
        stands = f"{with_what} can stand in for {gone.id if clash else gone.name} ({moves})"
        if best.outside:
            return (
                f"No, outside the data: by its oxides {stands}, but no measured glass "
                "is like it; fire a tile."
            )
        return f"Yes: {stands}."
    differs = best.unity_differs | {o: best.unity_differs.get(o, -0.0) for o in best.lost}
    short = ", ".join(o if abs(d) < 0.005 else f"{o} {d:+.2f}" for o, d in differs.items())
    return f"No: the nearest, with {with_what}, is another glaze ({moves}; unity {short})."
