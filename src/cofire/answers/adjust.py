"""From “this is wrong” to a recipe to weigh: the nearest one that meets what is wished."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from cofire.answers.change.evaluator import UNSURE, Setting, needs
from cofire.answers.change.linear_targets import straight_values
from cofire.answers.change.problem import Problem, problem_of
from cofire.answers.change.targets import Wish
from cofire.answers.findings.cautions import firing_cautions, material_cautions
from cofire.answers.formula import composition_findings
from cofire.answers.messages.adjust import findings_of, reason_of, sentence_of
from cofire.arrays import Array, Mask
from cofire.errors import CompositionError
from cofire.files.library import Library
from cofire.findings import Finding, sort_findings
from cofire.formulate.nearest import Nearest, nearest, straighten
from cofire.formulate.program import solve
from cofire.material_kinds import is_clay, is_soluble
from cofire.model.analysis import analyse
from cofire.model.cooling import cooling
from cofire.model.draws import KILN_SPREAD_C, draw_body, draw_glaze
from cofire.model.fit import fit_draws
from cofire.model.glaze_set import Glance
from cofire.model.ripening import all_ripe, stages_at
from cofire.model.schedule import moments, spread_c
from cofire.model.solids import mixture
from cofire.read.coat import DEFAULT, Coat
from cofire.records import Body, Firing, Material, Recipe, Shape, Surface
from cofire.ripeness.judge import DEFAULT as CRITERIA
from cofire.ripeness.judge import runs

#: A change of this distance with what is in the recipe already needs no other answer; our choice.
_SMALL = 10.0
#: Kinds of new material tried, most promising first.
_KINDS = 2
#: Share of the odds that may be missed: the rest is for rounding and for the search's few draws.
_SPARE = 0.9
#: Draws that the answer's odds rest on.
_DRAWS = 2000


@dataclass(frozen=True, eq=False)
class Met:
    """What became of one wish."""

    wish: Wish
    value: float
    met: bool
    value_before: float


@dataclass(frozen=True, eq=False)
class Odds:
    """Odds of one recipe, drawn as ``pair`` draws them; None where nobody asked."""

    fits: float | None
    crazes: float | None
    ripe: float | None
    runs: float | None
    together: float  # of what was asked


@dataclass(frozen=True, eq=False)
class Proposal:
    """A recipe, what it changes in a line, and what became of every wish. ``row`` is its place in
    the glance of the answer."""

    recipe: Recipe
    reason: str
    wishes: tuple[Met, ...]
    distance: float
    row: int
    odds: Odds

    @property
    def met(self) -> bool:
        return all(w.met for w in self.wishes)

    @property
    def missed(self) -> float:
        """By how many scales all wishes together are missed."""
        return sum(0.0 if w.met else max(w.wish.miss(w.value), 0.02) for w in self.wishes)


@dataclass(frozen=True, eq=False)
class AdjustAnswer:
    """Before (row 0 of ``glance``) and after; ``conflict`` are wishes that cannot all be met."""

    recipe: Recipe
    body: Body | None
    firing: Firing | None
    sure: float
    odds: Odds
    proposals: tuple[Proposal, ...]
    conflict: tuple[Wish, ...]
    glance: Glance
    clay_percent: tuple[float, ...]
    soluble_percent: tuple[float, ...]
    sentence: str
    yes: bool
    findings: tuple[Finding, ...]


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
    prices: Mapping[str, float] | None = None,
) -> AdjustAnswer:
    """The nearest recipes that meet the wishes: with what they have, and with one or two more.

    ``candidates`` are materials at hand, ``prices`` what a kg of them costs by id. Raises
    CompositionError when nothing is wished, or a wish needs a body, firing, material or price that
    was not named.
    """
    if surface is not None:
        recipe = replace(recipe, surface=surface)
    if not wishes and not without:
        raise CompositionError(
            "nothing is wished.", hint="Say --want “expansion 7.2”, or name a --body or --firing."
        )
    setting = _setting(wishes, body, firing, coat, wall_mm, shape, cooled, odds)
    problem = problem_of(recipe, wishes, candidates, setting, keep, without, prices or {})
    found = _solve(problem, problem.start)
    unsure = any(w.kind in UNSURE for w in wishes)
    for _ in range(2 if unsure else 0):
        # few draws while searching, and wishes that fail in different draws: ask for more where
        # all of them together are not as sure as asked
        best = min(found, key=lambda one: (one.missed, one.distance))
        if not best.met:
            break
        together = _odds(problem, problem.rounded(best.parts), wishes).together
        if together >= odds:
            break
        surer = min(setting.sure + 0.8 * (odds - together) + 0.01, 0.995)
        setting = replace(setting, sure=surer)
        problem = replace(problem, sight=replace(problem.sight, setting=setting))
        has = problem.own | (best.parts > 0.0)
        near = [_nearest(problem, at, has) for at in (problem.start, best.parts)]
        found = near if any(one.met for one in near) else _solve(problem, best.parts)
    answer = _answer(problem, body, firing, found, odds)
    after = answer.proposals[0].recipe
    findings = [*answer.findings, *material_cautions(library, [after])]
    try:
        mixed = mixture(after, analyse(after).mol[None, :])
        findings += composition_findings(after, analyse(after), mixed)
    except CompositionError:
        pass  # where no glaze is in reach the nearest may be none
    if firing is not None:
        findings += firing_cautions(library, firing)
    return replace(answer, findings=sort_findings(findings))


def _setting(
    wishes: Sequence[Wish],
    body: Body | None,
    firing: Firing | None,
    coat: Coat,
    wall_mm: float,
    shape: Shape,
    cooled: str | None,
    odds: float,
) -> Setting:
    wants_body, wants_firing = needs(wishes)
    if (wants_body and body is None) or (wants_firing and firing is None):
        missing = "a --body" if wants_body and body is None else "a --firing"
        raise CompositionError(f"one of the wishes needs {missing}.", hint="Name it.")
    cool = cooling(firing, wall_mm, cooled, shape) if body else None
    if any(w.kind == "black" for w in wishes) and (cool is None or cool.path is None):
        raise CompositionError(
            "cracks turn black only on ware that is pulled hot and smoked.",
            hint="Name such a --firing, or say --cooling “20 s air, 30 min bin”.",
        )
    unsure = sum(w.kind in UNSURE for w in wishes)
    return Setting(
        body=draw_body(body) if body else None,
        cool=cool,
        when=tuple(moments(firing, wall_mm)) if firing else (),
        coat=coat,
        wall_mm=wall_mm,
        shape=shape,
        spread_c=spread_c(firing) if firing else KILN_SPREAD_C,
        # each surer than asked, so that all together are
        sure=1.0 - _SPARE * (1.0 - odds) / max(unsure, 1),
    )


def _solve(problem: Problem, start: Array, again: bool = True) -> list[Nearest]:
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
        gain = solve([*problem.rows, *laid], problem.kept, problem.low, held, problem.adding).gain
    except ValueError:
        return found
    tried: set[str] = set()
    for j in np.argsort(gain, kind="stable"):
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


def _nearest(problem: Problem, start: Array, may: Mask) -> Nearest:
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
            problem.adding,
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
    problem: Problem,
    body: Body | None,
    firing: Firing | None,
    found: list[Nearest],
    odds: float,
) -> AdjustAnswer:
    parts = [problem.rounded(one.parts) for one in found]
    # the same recipe found twice is one answer
    kept = [k for k in range(len(parts)) if not any(_same(parts[k], parts[j]) for j in range(k))]
    rows = np.array([problem.start, *(parts[k] for k in kept)])
    wishes = problem.wishes
    values = _values(problem, rows)
    chances = [_odds(problem, row, wishes) for row in rows]
    found_all = [
        Proposal(
            problem.recipe_of(parts[k]),
            reason_of(problem, parts[k]),
            tuple(
                Met(w, values[q, i], _is_met(w, values[q, i], chances[i], odds), values[q, 0])
                for q, w in enumerate(wishes)
            ),
            problem.kept.distance(parts[k]),
            i,
            chances[i],
        )
        for i, k in enumerate(kept, start=1)
    ]
    proposals = sorted(found_all, key=lambda p: (round(p.missed, 2), p.distance))
    yes = [p for p in proposals if p.met and p.odds.together >= odds]
    proposals = yes or proposals
    best = found[kept[proposals[0].row - 1]]
    conflict = () if proposals[0].met else _conflict(problem, best, wishes)
    seen = problem.sight.glance(rows, 1)
    share = 100.0 * rows / rows.sum(axis=1, keepdims=True)
    clay, soluble = (
        tuple(float(v) for v in share @ np.array([float(test(m)) for m in problem.sight.materials]))
        for test in (is_clay, is_soluble)
    )
    return AdjustAnswer(
        recipe=problem.recipe,
        body=body,
        firing=firing,
        sure=odds,
        odds=chances[0],
        proposals=tuple(proposals[:3]),
        conflict=conflict,
        glance=seen,
        clay_percent=clay,
        soluble_percent=soluble,
        sentence=sentence_of(proposals[0], conflict, odds),
        yes=bool(yes),
        findings=tuple(findings_of(proposals[0], seen, problem.recipe, firing)),
    )


def _odds(problem: Problem, parts: Array, wishes: Sequence[Wish]) -> Odds:
    """Odds of a rounded recipe, with the spread of its materials and everything else drawn."""
    at, recipe = problem.sight.setting, problem.recipe_of(parts)
    nothing = Odds(None, None, None, None, 1.0)
    if at.body is None and not at.when:
        return nothing
    try:
        draws = draw_glaze(recipe, at.coat, _DRAWS, at.spread_c)
    except CompositionError:
        return replace(nothing, together=0.0)
    kinds = {w.kind for w in wishes}
    right = np.ones(_DRAWS, bool)
    fits = crazes = ripe = ran = None
    if at.body is not None and at.cool is not None:
        fitted = fit_draws(recipe, draws, at.body.some(_DRAWS), at.wall_mm, at.cool, at.shape)
        fits, crazes = float(fitted.as_wanted.mean()), float(fitted.crazes_now.mean())
        if "fits" in kinds:
            right &= fitted.as_wanted
    if at.when:
        done = stages_at(at.when, recipe, draws, CRITERIA)
        good = all_ripe(recipe, done, CRITERIA)
        ripe, ran = float(good.mean()), float(runs(done[-1], CRITERIA).mean())
        if "ripe" in kinds:
            right &= good
    return Odds(fits, crazes, ripe, ran, float(right.mean()))


def _same(one: Array, other: Array) -> bool:
    return bool(np.abs(one - other).max() < 0.5)


def _values(problem: Problem, rows: Array) -> Array:
    """What each wish has come to (W, P)."""
    sight = problem.sight
    curved = sight.values(rows)
    by_wish = dict(zip(map(id, sight.wishes), curved, strict=True))
    values = []
    for wish in problem.wishes:
        if id(wish) in by_wish:
            values.append(by_wish[id(wish)])
        else:
            values.append(straight_values(wish, sight, rows))
    return np.array(values)


def _is_met(wish: Wish, value: float, chance: Odds, odds: float) -> bool:
    """As sure as asked; or within what rounding to 0.1 of a part and the search allow."""
    share = {"fits": chance.fits, "ripe": chance.ripe}.get(wish.kind)
    if share is not None:
        return share >= odds
    slack = 0.06 * wish.scale
    return bool(wish.low - slack <= value <= wish.high + slack)


def _conflict(problem: Problem, best: Nearest, wishes: Sequence[Wish]) -> tuple[Wish, ...]:
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
        solved = solve(chosen, problem.kept, problem.low, problem.high, problem.adding)
        return all(row.miss(solved.parts) < 0.02 for row in chosen)

    needed = list(wishes)
    if possible(needed):
        return ()
    for wish in list(needed):
        fewer = [w for w in needed if w is not wish]
        if not possible(fewer):
            needed = fewer
    return tuple(needed)
