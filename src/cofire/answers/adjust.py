"""From “this is wrong” to a recipe to weigh: the nearest one that meets what is wished."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from cofire.answers.analysis import analyse
from cofire.answers.cautions import firing_cautions, material_cautions
from cofire.answers.coat import DEFAULT, Coat
from cofire.answers.cooling import cooling
from cofire.answers.draws import KILN_SPREAD_C, draw_body
from cofire.answers.family import Glance, family_of
from cofire.answers.fit_words import percent
from cofire.answers.formula import composition_findings
from cofire.answers.schedule import moments, spread_c
from cofire.answers.sight import CURVED, UNSURE, Setting, Sight, needs
from cofire.answers.solids import mixture
from cofire.answers.straight import rows_of, straight_values
from cofire.answers.wishes import Wish, is_clay, is_soluble
from cofire.arrays import Array, Mask
from cofire.chem.oxides import MOLAR_MASS
from cofire.errors import CompositionError
from cofire.files.library import Library
from cofire.findings import Finding, sort_findings
from cofire.formulate.nearest import Nearest, nearest, straighten
from cofire.formulate.program import Kept, Row, solve
from cofire.records import Body, Firing, Material, Part, Recipe, Shape, Surface

#: What moving a mole per cent of an oxide costs, in parts of a material moved; our choice.
_OXIDE_COST = 0.5
#: A material that is not in the recipe costs so much more per part: people weigh what they know.
_NEW_COST = 1.3
#: And one that dissolves in the bucket far more; our choice.
_SOLUBLE_COST = 6.0
#: A change of this distance with what is in the recipe already needs no other answer; our choice.
_SMALL = 10.0
#: Kinds of new material tried, most promising first.
_KINDS = 2
#: Share of the odds that may be missed: the rest is for rounding and for the search's few draws.
_SPARE = 0.9
#: Draws that the answer's odds rest on.
_DRAWS = 1500
#: Amounts are told to this many parts per 100.
_STEP = 0.1
#: Less than this of a material is not worth its line in a recipe, parts per 100.
_TRACE = 0.25
_WORTH_BUYING = 1.0


@dataclass(frozen=True, eq=False)
class Met:
    """What became of one wish."""

    wish: Wish
    value: float
    met: bool
    value_before: float


@dataclass(frozen=True, eq=False)
class Proposal:
    """A recipe, what it changes in a line, and what became of every wish. ``row`` is its place in
    the glance of the answer."""

    recipe: Recipe
    reason: str
    wishes: tuple[Met, ...]
    distance: float
    row: int

    @property
    def met(self) -> bool:
        return all(w.met for w in self.wishes)

    @property
    def missed(self) -> float:
        """By how many scales all wishes together are missed."""
        return sum(0.0 if w.met else w.wish.miss(w.value) for w in self.wishes)


@dataclass(frozen=True, eq=False)
class AdjustAnswer:
    """Before (row 0 of ``glance``) and after; ``conflict`` are wishes that cannot all be met."""

    recipe: Recipe
    body: Body | None
    firing: Firing | None
    sure: float
    proposals: tuple[Proposal, ...]
    conflict: tuple[Wish, ...]
    glance: Glance
    clay_percent: tuple[float, ...]
    soluble_percent: tuple[float, ...]
    sentence: str
    yes: bool
    findings: tuple[Finding, ...]


@dataclass(frozen=True, eq=False)
class _Problem:
    sight: Sight
    rows: tuple[Row, ...]
    row_wishes: tuple[Wish, ...]
    kept: Kept
    start: Array
    low: Array
    high: Array
    own: Mask


def adjust(
    library: Library,
    recipe: Recipe,
    wishes: Sequence[Wish],
    candidates: Sequence[Material] = (),
    *,
    body: Body | None = None,
    firing: Firing | None = None,
    coat: Coat = DEFAULT,
    wall_mm: float = 6.0,
    shape: Shape = "pot",
    cooled: str | None = None,
    odds: float = 0.8,
    keep: Sequence[Material] = (),
    without: Sequence[Material] = (),
    surface: Surface | None = None,
) -> AdjustAnswer:
    """The nearest recipes that meet the wishes: with the materials it has, and with one more.

    ``candidates`` are materials at hand. Raises CompositionError when nothing is wished, or a wish
    needs a body or firing that was not named.
    """
    if surface is not None:
        recipe = replace(recipe, surface=surface)
    if not wishes:
        raise CompositionError(
            "nothing is wished.", hint="Say --want “expansion 7.2”, or name a --body or --firing."
        )
    wants_body, wants_firing = needs(wishes)
    if (wants_body and body is None) or (wants_firing and firing is None):
        missing = "a --body" if wants_body and body is None else "a --firing"
        raise CompositionError(f"one of the wishes needs {missing}.", hint="Name it.")
    unsure = sum(w.kind in UNSURE for w in wishes)
    setting = Setting(
        body=draw_body(body) if body else None,
        cool=cooling(firing, wall_mm, cooled, shape) if body else None,
        when=tuple(moments(firing, wall_mm)) if firing else (),
        coat=coat,
        wall_mm=wall_mm,
        shape=shape,
        spread_c=spread_c(firing) if firing else KILN_SPREAD_C,
        # each surer than asked, so that all together are
        sure=1.0 - _SPARE * (1.0 - odds) / max(unsure, 1),
    )
    problem = _problem(recipe, wishes, candidates, setting, keep, without)
    found = _solve(problem, problem.start)
    for _ in range(2 if unsure else 0):
        # few draws while searching, and wishes that fail in different draws: ask for more where
        # all of them together are not as sure as asked
        best = min(found, key=lambda one: (one.missed, one.distance))
        together = _together(problem.sight.glance(best.parts[None, :], _DRAWS), wishes)
        if not best.met or together >= odds:
            break
        surer = min(setting.sure + 0.8 * (odds - together) + 0.01, 0.995)
        setting = replace(setting, sure=surer)
        problem = replace(problem, sight=replace(problem.sight, setting=setting))
        has = problem.own | (best.parts > 0.0)
        near = _nearest(problem, best.parts, has)
        found = [near] if near.met else _solve(problem, best.parts)
    answer = _answer(recipe, body, firing, problem, wishes, found, odds)
    after = answer.proposals[0].recipe
    mixed = mixture(after, analyse(after).mol[None, :])
    findings = [
        *answer.findings,
        *composition_findings(after, analyse(after), mixed),
        *material_cautions(library, [after]),
    ]
    if firing is not None:
        findings += firing_cautions(library, firing)
    return replace(answer, findings=sort_findings(findings))


def _problem(
    recipe: Recipe,
    wishes: Sequence[Wish],
    candidates: Sequence[Material],
    setting: Setting,
    keep: Sequence[Material],
    without: Sequence[Material],
) -> _Problem:
    own_ids = dict.fromkeys(p.material.id for p in recipe.base)
    out = {m.id for m in without}
    new = [m for m in candidates if m.id not in own_ids and m.id not in out]
    family, _ = family_of(recipe, new)
    ids = [m.id for m in family.materials]
    variables = [*own_ids, *dict.fromkeys(m.id for m in new)]
    columns = np.array([ids.index(v) for v in variables])
    scale = 100.0 / recipe.base_total
    start = np.zeros(len(variables))
    additions = np.zeros(len(ids))
    for part in recipe.base:
        start[variables.index(part.material.id)] += scale * part.amount
    for part in recipe.additions:
        additions[ids.index(part.material.id)] += scale * part.amount
    own = np.arange(len(variables)) < len(own_ids)
    low, high = np.zeros(len(variables)), np.full(len(variables), 100.0)
    for material in keep:
        if material.id not in own_ids:
            raise CompositionError(
                f"“{material.name}” is not in “{recipe.name}”, so it cannot be kept.",
                hint="Wish for it instead, e.g. --want “kaolin at least 8 %”.",
            )
        k = variables.index(material.id)
        low[k] = high[k] = start[k]
    for k, name in enumerate(variables):
        if name in out:
            low[k] = high[k] = 0.0
    sight = Sight(family, columns, additions, setting, tuple(w for w in wishes if w.kind in CURVED))
    straight = tuple(w for w in wishes if w.kind not in CURVED)
    rows = [(row, w) for w in straight for row in rows_of(w, sight, start)]
    return _Problem(
        sight,
        tuple(row for row, _ in rows),
        tuple(w for _, w in rows),
        _kept(sight, start, own),
        start,
        low,
        high,
        own,
    )


def _kept(sight: Sight, start: Array, own: Mask) -> Kept:
    """Parts and mole per cents as they are; oxides that hardly occur are let go."""
    moles = sight.family.grams / MOLAR_MASS
    now = sight.whole(start) @ moles
    per_mol_percent = 100.0 / now.sum()
    there = now * per_mol_percent > 0.3
    matrix = (moles[sight.columns.astype(int)] * per_mol_percent)[:, there].T
    soluble = np.array([is_soluble(m) for m in sight.materials])
    cost = np.where(own, 1.0, np.where(soluble, _SOLUBLE_COST, _NEW_COST))
    return Kept(start, cost, matrix, matrix @ start, _OXIDE_COST)


def _solve(problem: _Problem, start: Array, again: bool = True) -> list[Nearest]:
    """With what the recipe has; then with one more material, of the kinds that promise most, and
    with two where one does not do."""
    start = np.clip(start, problem.low, problem.high)
    first = _nearest(problem, start, problem.own)
    found = [first]
    if first.met and first.distance <= _SMALL:
        return found
    # how each new material would move every wish, seen from the best without any
    may = np.ones(len(start), bool)
    values, slopes = problem.sight(first.parts, may)
    laid = straighten(problem.sight.curved(), first.parts, values, slopes)
    held = np.where(problem.own, problem.high, 0.0)
    try:
        gain = solve([*problem.rows, *laid], problem.kept, problem.low, held).gain
    except ValueError:
        return found
    tried: set[str] = set()
    order = np.argsort(gain, kind="stable")
    for j in order:
        if problem.own[j] or gain[j] > -1e-6 or problem.high[j] <= 0.0:
            continue
        kind = _kind(problem.sight.materials[j])
        if kind in tried:
            continue
        tried.add(kind)
        also = problem.own.copy()
        also[j] = True
        found.append(_nearest(problem, first.parts, also))
        if len(tried) >= _KINDS:
            break
    if again and not any(one.met for one in found):
        # one new material is not enough: the best of them and one more
        best = min(found, key=lambda one: one.missed)
        has = problem.own | (best.parts > 0.0)
        return [*found, *_solve(replace(problem, own=has), best.parts, again=False)]
    return found


def _nearest(problem: _Problem, start: Array, may: Mask) -> Nearest:
    try:
        return nearest(
            start,
            problem.sight,
            problem.rows,
            problem.sight.curved(),
            problem.kept,
            problem.low,
            problem.high,
            may,
        )
    except ValueError:
        raise CompositionError(
            "what is kept and what is left out leave no recipe that adds up to 100.",
            hint="Keep fewer amounts, or leave out fewer materials.",
        ) from None


def _kind(material: Material) -> str:
    """The shelf a material stands on: the file it is written in."""
    return material.place.file.stem if material.place else material.id


def _answer(
    recipe: Recipe,
    body: Body | None,
    firing: Firing | None,
    problem: _Problem,
    wishes: Sequence[Wish],
    found: list[Nearest],
    odds: float,
) -> AdjustAnswer:
    parts = [_rounded(one.parts, problem) for one in found]
    # the same recipe found twice is one answer
    kept = [k for k in range(len(parts)) if not any(_same(parts[k], parts[j]) for j in range(k))]
    rows = np.array([problem.start, *(parts[k] for k in kept)])
    values = _values(problem, wishes, rows)
    found_all = [
        Proposal(
            _recipe_of(recipe, problem, parts[k]),
            _reason(problem, parts[k]),
            tuple(
                Met(w, values[q, i], _is_met(w, values[q, i]), values[q, 0])
                for q, w in enumerate(wishes)
            ),
            problem.kept.distance(parts[k]),
            i,
        )
        for i, k in enumerate(kept, start=1)
    ]
    proposals = sorted(found_all, key=lambda p: (round(p.missed, 2), p.distance))
    if proposals[0].met:
        proposals = [p for p in proposals if p.met]
    seen = problem.sight.glance(rows, _DRAWS)
    best = found[kept[proposals[0].row - 1]]
    conflict = () if proposals[0].met else _conflict(problem, best, wishes)
    together = _together(seen, wishes, proposals[0].row)
    yes = proposals[0].met and together >= odds - 0.005
    materials = problem.sight.family.materials
    whole = problem.sight.whole(rows)
    share = 100.0 * whole / whole.sum(axis=1, keepdims=True)
    clay, soluble = (
        tuple(float(v) for v in share @ np.array([float(test(m)) for m in materials]))
        for test in (is_clay, is_soluble)
    )
    return AdjustAnswer(
        recipe=recipe,
        body=body,
        firing=firing,
        sure=odds,
        proposals=tuple(proposals[:3]),
        conflict=conflict,
        glance=seen,
        clay_percent=clay,
        soluble_percent=soluble,
        sentence=_sentence(proposals, conflict, together, odds),
        yes=yes,
        findings=tuple(_findings(proposals, seen, clay)),
    )


def _together(seen: Glance, wishes: Sequence[Wish], row: int = 0) -> float:
    """Odds of all the unsure wishes at once."""
    kinds = {w.kind for w in wishes}
    if {"fits", "ripe"} <= kinds and seen.right is not None:
        return float(seen.right[row])
    odds = {"fits": seen.fits, "ripe": seen.ripe}
    known = [v for kind, v in odds.items() if kind in kinds and v is not None]
    return float(known[0][row]) if known else 1.0


def _same(one: Array, other: Array) -> bool:
    return bool(np.abs(one - other).max() < 0.5)


def _rounded(parts: Array, problem: _Problem) -> Array:
    """Amounts to 0.1 that still add up to 100; traces of what may change are dropped."""
    fixed = problem.low >= problem.high
    least = np.where(problem.own, _TRACE, _WORTH_BUYING)
    kept = np.where((parts < least) & ~fixed, 0.0, parts)
    kept = kept * 100.0 / kept.sum()
    steps = np.floor(kept / _STEP + 1e-9)
    rest = round(100.0 / _STEP - steps.sum())
    largest = np.argsort(-(kept / _STEP - steps), kind="stable")
    steps[largest[:rest]] += 1.0
    return np.asarray(steps * _STEP)


def _values(problem: _Problem, wishes: Sequence[Wish], rows: Array) -> Array:
    """What each wish has come to (W, P)."""
    sight = problem.sight
    none = np.zeros(rows.shape[1], bool)
    curved = np.array([sight(row, none)[0] for row in rows]).T.reshape(len(sight.wishes), len(rows))
    by_wish = dict(zip(map(id, sight.wishes), curved, strict=True))
    values = []
    for wish in wishes:
        if id(wish) in by_wish:
            values.append(by_wish[id(wish)])
        else:
            values.append(straight_values(wish, sight, rows))
    return np.array(values)


def _is_met(wish: Wish, value: float) -> bool:
    """Within what rounding to 0.1 of a part and the search allow."""
    slack = 0.06 * wish.scale
    return bool(wish.low - slack <= value <= wish.high + slack)


def _recipe_of(recipe: Recipe, problem: _Problem, parts: Array) -> Recipe:
    written = {p.material.id: p.written for p in recipe.base}
    materials = problem.sight.family.materials
    base = []
    for amount, column in zip(parts, problem.sight.columns, strict=True):
        material = materials[int(column)]
        if amount > 0.0:
            name = written.get(material.id, material.id)
            base.append(Part(name, round(float(amount), 1), material))
    scale = 100.0 / recipe.base_total
    additions = tuple(replace(p, amount=scale * p.amount) for p in recipe.additions)
    ids = {p.material.id for p in (*base, *additions)}
    return replace(
        recipe,
        id=f"{recipe.id}-adjusted",
        name=f"{recipe.name}, adjusted",
        base=tuple(base),
        additions=additions,
        undissolved={k: v for k, v in recipe.undissolved.items() if k in ids},
        ambiguous=tuple(a for a in recipe.ambiguous if a[0].material.id in ids),
    )


def _reason(problem: _Problem, parts: Array) -> str:
    """“more silica, less soda frit”; “brings in talc for whiting”."""
    change = parts - problem.start
    names = [m.name for m in problem.sight.materials]
    order = np.argsort(-np.abs(change), kind="stable")
    moved = [k for k in order if abs(change[k]) >= 0.5][:4]
    if not moved:
        return "it is as wished already" if problem.start.any() else ""
    came = [names[k] for k in moved if problem.start[k] == 0.0]
    more = [names[k] for k in moved if change[k] > 0.0 and problem.start[k] > 0.0]
    left = [names[k] for k in moved if parts[k] == 0.0 and problem.start[k] > 0.0]
    less = [names[k] for k in moved if change[k] < 0.0 and parts[k] > 0.0]
    said = [
        f"{word} {' and '.join(found)}"
        for word, found in (("add", came), ("more", more), ("less", less), ("without", left))
        if found
    ]
    return ", ".join(said)


def _conflict(problem: _Problem, best: Nearest, wishes: Sequence[Wish]) -> tuple[Wish, ...]:
    """Wishes of which no one can be left out without the rest becoming possible, as far as straight
    lines near the best recipe tell."""
    sight = problem.sight
    values, slopes = sight(best.parts, np.ones(len(best.parts), bool))
    laid = straighten(sight.curved(), best.parts, values, slopes)
    rows = [
        *zip(problem.rows, problem.row_wishes, strict=True),
        *zip(laid, sight.wishes, strict=True),
    ]

    def possible(some: list[Wish]) -> bool:
        chosen = [row for row, wish in rows if any(wish is w for w in some)]
        solved = solve(chosen, problem.kept, problem.low, problem.high)
        return all(row.miss(solved.parts) < 0.02 for row in chosen)

    needed = list(wishes)
    if possible(needed):
        return ()
    for wish in list(needed):
        fewer = [w for w in needed if w is not wish]
        if not possible(fewer):
            needed = fewer
    return tuple(needed)


def _sentence(
    proposals: list[Proposal], conflict: tuple[Wish, ...], together: float, odds: float
) -> str:
    best = proposals[0]
    if best.met and together >= odds - 0.005:
        return f"Yes: {best.reason}."
    if best.met:
        return (
            f"No: as sure as that ({percent(odds)}) is out of reach of these materials, the "
            f"nearest has {percent(together)}: {best.reason}."
        )
    missed = [m.wish.text for m in best.wishes if not m.met]
    if len(conflict) > 1:
        fight = " and ".join(f"“{w.text}”" for w in conflict)
        return f"No: {fight} cannot be met together; the nearest: {best.reason}."
    quoted = " and ".join(f"“{text}”" for text in missed)
    verb = "are" if len(missed) > 1 else "is"
    return f"No: {quoted} {verb} out of reach of these materials; the nearest: {best.reason}."


#: A change of melting that a firing has to be named for, °C; our choice.
_MELTS_ELSEWHERE_C = 25.0
#: Less clay than this does not keep a slurry up, per cent; common practice, no source.
_LEAST_CLAY = 8.0


def _findings(
    proposals: list[Proposal],
    seen: Glance,
    clay: tuple[float, ...],
) -> list[Finding]:
    """What the best proposal costs."""
    found, row = [], proposals[0].row
    hotter = float(seen.flows_c[row] - seen.flows_c[0])
    if seen.ripe is None and abs(hotter) > _MELTS_ELSEWHERE_C:
        found.append(
            Finding(
                "melts-elsewhere",
                "caution",
                f"it now melts about {abs(hotter):.0f} °C {'hotter' if hotter > 0 else 'colder'}: "
                "name your --firing, so that it stays ripe there.",
                "isokom of 10^4 Pa·s",
                proposals[0].recipe.name,
            )
        )
    if clay[row] < min(_LEAST_CLAY, clay[0]) - 0.2:
        found.append(
            Finding(
                "settles",
                "caution",
                f"clay falls from {clay[0]:.0f} to {clay[row]:.0f} %: the slurry will settle hard; "
                "add 1 to 2 % bentonite, or wish for “clay at least 8 %”.",
                "common practice, no source",
                proposals[0].recipe.name,
            )
        )
    return found
