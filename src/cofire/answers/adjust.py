"""The nearest recipe that meets the targets."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from cofire import glass
from cofire.answers.change.evaluator import (
    BY_MIDDLE,
    PROBABILISTIC,
    margins_of,
    needs,
    surely,
    with_offsets,
)
from cofire.answers.change.linear_targets import linear_values
from cofire.answers.change.problem import Allowed, Problem, problem_of
from cofire.answers.change.targets import MAY, Target
from cofire.answers.findings.cautions import firing_cautions, material_cautions
from cofire.answers.findings.recipe import composition_findings
from cofire.answers.findings.texts import finding
from cofire.answers.messages.adjust import findings_of, reason_of, sentence_of
from cofire.answers.results.adjust import AdjustAnswer, Met, Proposal
from cofire.arrays import Array, Mask
from cofire.errors import CompositionError, refusal
from cofire.files.library import Library
from cofire.findings import sort_findings
from cofire.formulate.nearest import Nearest, linearise, nearest
from cofire.formulate.program import solve
from cofire.material_kinds import is_clay, is_soluble
from cofire.model.analysis import analyse
from cofire.model.conditions import Conditions
from cofire.model.evaluation import Evaluation, Margins, evaluate
from cofire.model.glaze_set import GlazeSet, glaze_set
from cofire.model.outcome import OUTSIDE, Verdict, verdict_of
from cofire.model.standard_draws import N
from cofire.records import Material, Recipe

#: A change of this distance with what is in the recipe already needs no other answer; our choice.
_SMALL = 10.0
#: Kinds of new material tried, most promising first, and own materials left out in turn where
#: nothing else does.
_KINDS, _LEFT_OUT = 2, 4
#: Times that few draws while searching are corrected by all draws; our choice, as above and below.
_ROUNDS = 3


def adjust(
    library: Library,
    recipe: Recipe,
    targets: Sequence[Target],
    at: Conditions,
    allowed: Allowed = Allowed(),  # noqa: B008 - frozen
) -> AdjustAnswer:
    """The nearest recipes that meet the targets: with what they have, and with one or two more.

    With a body the recipe also has to do what its surface wants, and with a firing to be ripe in
    it: a yes here is the yes that ``pair`` and ``fit`` give the recipe. Raises CompositionError if
    there is no target, or one needs a body, firing, material or price that was not named.
    """
    targets = _with_implied(targets, at)
    if not targets and not allowed.left_out:
        raise refusal("no-target")
    _must_be_named(targets, at.for_glazes(1))
    asked = sum(w.kind in PROBABILISTIC and w.kind not in (*MAY, *BY_MIDDLE) for w in targets)
    # each surer than asked, so that all together are
    sure = 1.0 - (1.0 - surely(at.odds)) / max(asked, 1)
    search = _Search(problem_of(recipe, targets, allowed, at, sure), at)
    solutions = search.run()
    answer = _answer(search, solutions)
    after = answer.proposals[0]
    findings = [*answer.findings, *material_cautions(library, [after.recipe])]
    if after.seen is not None:
        melt = glass.prepare(after.seen.solids.melt_mol)
        findings += composition_findings(after.recipe, analyse(after.recipe), melt)
    if at.firing is not None:
        findings.append(finding("gradual-melting"))
        findings += firing_cautions(library, at.firing)
    return replace(answer, findings=sort_findings(findings))


def _with_implied(targets: Sequence[Target], at: Conditions) -> list[Target]:
    """The targets, with those that a body and a firing bring along."""
    kinds = {w.kind for w in targets}
    every = list(targets)
    if at.body is not None and "fits" not in kinds:
        every.append(Target("fits", "fits", 0.0, np.inf, 15.0, ""))
    if at.firing is not None and "ripe" not in kinds:
        every.append(Target("ripe", "ripe", 0.0, np.inf, 0.3, ""))
    return every


def _must_be_named(targets: Sequence[Target], at: Conditions) -> None:
    wants_body, wants_firing = needs(targets)
    if (wants_body and at.body is None) or (wants_firing and at.firing is None):
        missing = "a --body" if wants_body and at.body is None else "a --firing"
        raise refusal("target-needs", missing=missing)
    if any(w.kind == "black" for w in targets) and at.cooling_curve.path is None:
        raise refusal("black-cracks-without-smoke")


@dataclass(frozen=True, eq=False)
class _Evaluated:
    """A recipe with all draws, as ``pair`` sees it."""

    evaluation: Evaluation
    margins: Margins
    glazes: GlazeSet
    parts: Array


class _Search:
    """Searches recipes that meet a problem's targets, and caches what was tried."""

    def __init__(self, problem: Problem, judged: Conditions) -> None:
        self.problem = problem
        self.judged = judged
        self.tried: list[Material] = []
        self._seen: dict[tuple[tuple[str, float], ...], _Evaluated] = {}

    def evaluate(self, recipe: Recipe) -> _Evaluated:
        """All draws of a recipe. Raises CompositionError if it is not a glaze."""
        key = tuple((p.material.id, p.amount) for p in recipe.parts)
        if key not in self._seen:
            analyse(recipe)
            glazes, parts = glaze_set(recipe)
            evaluated = evaluate(glazes, parts[None, :], self.judged, N)
            self._seen[key] = _Evaluated(*evaluated, glazes, parts[None, :])
        return self._seen[key]

    def run(self) -> list[Nearest]:
        """Search with few draws and correct with all draws, until the best recipe is confirmed."""
        problem = self.problem
        solutions = self._solve(problem.start)
        if not any(w.kind in (*PROBABILISTIC, "stress") for w in problem.targets):
            return solutions
        for _ in range(_ROUNDS):
            best = min(solutions, key=lambda one: (one.missed, one.distance))
            rounded = problem.rounded(best.parts)
            if not best.met or self._keeps(rounded):
                break
            true = self.nonlinear_values(problem.recipe_of(rounded))
            corrected = with_offsets(problem.evaluator, rounded, true)
            short = self._short(rounded)
            corrected = replace(corrected, sure=min(corrected.sure + short, 0.9995))
            self.problem = problem = replace(problem, evaluator=corrected)
            has = problem.own | (best.parts > 0.0)
            near = [self._nearest(at, has) for at in (problem.start, best.parts)]
            solutions = near if any(one.met for one in near) else [*near, *self._solve(best.parts)]
        return solutions

    def _keeps(self, parts: Array) -> bool:
        proposal = propose(self, self.problem.recipe_of(parts), parts)
        return proposal.meets_all and proposal.verdict in ("yes", "outside the data")

    def _short(self, parts: Array) -> float:
        """How far the odds of all targets together are below the odds asked."""
        odds = propose(self, self.problem.recipe_of(parts), parts).odds_right
        return max(0.8 * (surely(self.judged.odds) - odds), 0.0)

    def nonlinear_values(self, recipe: Recipe) -> Array:
        """Values (Q,) of the nonlinear targets with all draws; NaN if it is not a glaze."""
        evaluator = self.problem.evaluator
        try:
            evaluated = self.evaluate(recipe)
        except CompositionError:
            return np.full(len(evaluator.targets), np.nan)
        return np.array(
            [
                float(
                    evaluator.value(
                        w,
                        evaluated.evaluation,
                        evaluated.margins,
                        evaluated.glazes,
                        evaluated.parts,
                    )[0]
                )
                for w in evaluator.targets
            ]
        )

    def _solve(self, start: Array) -> list[Nearest]:
        """With what the recipe has; with one more material, of those with the lowest reduced costs;
        with two; and without some of its own."""
        problem = self.problem
        first = self._nearest(np.clip(start, problem.low, problem.high), problem.own)
        solutions = [first]
        if first.met and first.distance <= _SMALL:
            return solutions
        one_more = self._one_more(first, problem.own)
        solutions += one_more
        if not any(one.met for one in solutions):
            # one new material is not enough: the best of them and one more
            best = min(solutions, key=lambda one: one.missed)
            solutions += self._one_more(best, problem.own | (best.parts > 0.0))
        if not any(one.met for one in solutions):
            solutions += self._without_one(problem.own)
        return solutions

    def _one_more(self, near: Nearest, has: Mask) -> list[Nearest]:
        problem = self.problem
        # how each new material would move every target, seen from the best without any
        values, slopes = problem.evaluator(near.parts, np.ones(len(has), bool))
        linear = linearise(problem.evaluator.nonlinear(), near.parts, values, slopes)
        held = np.where(has, problem.high, 0.0)
        rows = [*problem.rows, *linear]
        try:
            reduced_cost = solve(
                rows, problem.closeness, problem.low, held, problem.adding
            ).reduced_cost
        except ValueError:
            return []
        kinds: set[str] = set()
        solutions = []
        for j in np.argsort(reduced_cost, kind="stable"):
            if has[j] or reduced_cost[j] > -1e-6 or problem.high[j] <= 0.0:
                continue
            material = problem.evaluator.materials[j]
            if _kind(material) in kinds:
                continue
            kinds.add(_kind(material))
            self.tried.append(material)
            also = has.copy()
            also[j] = True
            solutions.append(self._nearest(near.parts, also))
            if len(kinds) >= _KINDS:
                break
        return solutions

    def _without_one(self, has: Mask) -> list[Nearest]:
        """From recipes without one of their own materials, to leave local minima."""
        problem, solutions = self.problem, []
        start = problem.start
        free = np.flatnonzero(problem.in_base & (problem.low <= 0.0) & (start > 0.0))
        for j in free[np.argsort(-start[free], kind="stable")][:_LEFT_OUT]:
            other = start.copy()
            other[j] = 0.0
            rest = [k for k in free if k != j]
            if not rest:
                continue
            other[rest] *= 1.0 + start[j] / start[rest].sum()
            solutions.append(self._nearest(np.clip(other, problem.low, problem.high), has))
        return solutions

    def _nearest(self, start: Array, may: Mask) -> Nearest:
        try:
            return nearest(start, self.problem.evaluator, self.problem.task, may)
        except ValueError:
            raise refusal("nothing-left-to-change") from None


def _kind(material: Material) -> str:
    """The category of a material: the file it is written in."""
    return material.place.file.stem if material.place else material.id


def propose(search: _Search, recipe: Recipe, parts: Array) -> Proposal:
    """A recipe of ``parts`` (V,), judged with all draws."""
    problem = search.problem
    share = parts / parts.sum()
    clay, soluble = (
        100.0 * float(share @ np.array([float(test(m)) for m in problem.materials]))
        for test in (is_clay, is_soluble)
    )
    try:
        evaluated = search.evaluate(recipe)
    except CompositionError:
        evaluated = None
    return Proposal(
        recipe,
        reason_of(problem, parts),
        tuple(_met(search, target, evaluated, parts) for target in problem.targets),
        problem.closeness.distance(parts),
        _verdict(search.judged, evaluated),
        evaluated.evaluation if evaluated else None,
        clay,
        soluble,
    )


def _verdict(judged: Conditions, evaluated: _Evaluated | None) -> Verdict:
    if evaluated is None:
        return "no"
    evaluation = evaluated.evaluation
    asked = judged.body_draws is not None or bool(judged.when)
    odds = float(evaluation.odds_right[0]) if asked else 1.0
    return verdict_of(odds, judged.odds, bool(evaluation.support.grade[0] >= OUTSIDE))


def _met(search: _Search, target: Target, evaluated: _Evaluated | None, parts: Array) -> Met:
    evaluator = search.problem.evaluator
    if not any(target is w for w in evaluator.targets):
        value = float(linear_values(target, evaluator, parts[None, :])[0])
        return Met(target, value, None, target.met_by(value), target.miss(value))
    if evaluated is None:
        return Met(target, float("nan"), None, False, 1.0)
    evaluation, margins = evaluated.evaluation, evaluated.margins
    value = float(
        evaluator.value(target, evaluation, margins, evaluated.glazes, evaluated.parts)[0]
    )
    if target.kind not in PROBABILISTIC:
        return Met(target, value, None, target.met_by(value), target.miss(value))
    known = {"fits": evaluation.odds_fits, "ripe": evaluation.odds_ripe_at_every_pull}.get(
        target.kind
    )
    odds = float((margins_of(target, margins) > 0.0).mean()) if known is None else float(known[0])
    spacing = {
        "crackle": evaluation.crack_spacing_mm,
        "black": evaluation.black_crack_spacing_mm,
    }.get(target.kind)
    shown = value if spacing is None else float(spacing[0])
    if target.kind in BY_MIDDLE:
        return Met(target, shown, odds, value > 0.0, max(-value, 0.0))
    asked = search.judged.odds if target.kind not in MAY else 1.0 - target.high
    good = verdict_of(odds, asked) == "yes"
    if target.kind in MAY:  # said as the odds of what it may do
        return Met(target, 1.0 - odds, 1.0 - odds, good, max(asked - odds, 0.0))
    return Met(target, shown, odds, good, max(asked - odds, 0.0))


def _answer(search: _Search, solutions: Sequence[Nearest]) -> AdjustAnswer:
    problem = search.problem
    now = propose(search, problem.recipe, problem.start)
    if now.yes and problem.allows(problem.start):
        rows, proposals = [problem.start], [now]
    else:
        rows = []
        for one in solutions:  # the same recipe found twice is one answer
            parts = problem.rounded(one.parts)
            if not any(_same(parts, other) for other in rows):
                rows.append(parts)
        proposals = [propose(search, problem.recipe_of(parts), parts) for parts in rows]
    order = sorted(
        range(len(rows)),
        key=lambda k: (
            proposals[k].seen is None,
            round(proposals[k].missed, 2),
            proposals[k].distance_parts,
        ),
    )
    order = [k for k in order if proposals[k].yes] or order
    best = proposals[order[0]]
    answer = AdjustAnswer(
        recipe=problem.recipe,
        at=search.judged,
        now=now,
        proposals=tuple(proposals[k] for k in order[:3]),
        cannot_be_met_together=() if best.meets_all else _conflict(problem, rows[order[0]]),
        tried=tuple(dict.fromkeys(m.name for m in search.tried)),
    )
    return replace(answer, sentence=sentence_of(answer), findings=tuple(findings_of(answer)))


def _same(one: Array, other: Array) -> bool:
    return bool(np.abs(one - other).max() < 0.5)


def _conflict(problem: Problem, parts: Array) -> tuple[Target, ...]:
    """A smallest set of targets that contradict each other, judged by linear constraints near the
    best recipe."""
    evaluator = problem.evaluator
    values, slopes = evaluator(parts, np.ones(len(parts), bool))
    linear = linearise(evaluator.nonlinear(), parts, values, slopes)
    rows = [
        *zip(problem.rows, problem.row_targets, strict=True),
        *zip(linear, evaluator.targets, strict=True),
    ]

    def possible(some: list[Target]) -> bool:
        chosen = [row for row, target in rows if any(target is w for w in some)]
        solved = solve(chosen, problem.closeness, problem.low, problem.high, problem.adding)
        return all(row.miss(solved.parts) < 0.02 for row in chosen)

    needed = list(problem.targets)
    if possible(needed):
        return ()
    for target in list(needed):
        fewer = [w for w in needed if w is not target]
        if not possible(fewer):
            needed = fewer
    return tuple(needed)
