"""Sentences of an adjustment."""

from __future__ import annotations

import numpy as np

from cofire.answers.change.problem import Problem
from cofire.answers.findings.texts import finding
from cofire.answers.results.adjust import AdjustAnswer, Met
from cofire.arrays import Array
from cofire.findings import Finding
from cofire.material_kinds import bentonite_missing, keeps_up, percent_of, settles
from cofire.records import Recipe
from cofire.words import percent

#: What a recipe changes by less than this in every part is the same recipe.
_NOTHING = 0.05
#: Amounts that move by more are worth naming, parts per 100.
_MOVED = 0.5
#: Clay that does not matter, per cent; our choice.
_SAME_CLAY = 0.2


def reason_of(problem: Problem, parts: Array) -> str:
    """“more silica, less soda frit”; “add talc, without whiting”; empty if nothing changed."""
    change = parts - problem.start
    names = [m.name for m in problem.evaluator.materials]
    own = [
        m.name
        for m, has in zip(problem.evaluator.materials, problem.start > 0.0, strict=True)
        if has
    ]
    for k, material in enumerate(problem.evaluator.materials):
        if problem.start[k] == 0.0 and material.name in own:
            names[k] = material.id  # another material with the same name
    if np.abs(change).max() < _NOTHING:
        return ""
    order = np.argsort(-np.abs(change), kind="stable")
    moved = [k for k in order if abs(change[k]) >= _MOVED][:4] or [int(order[0])]
    came = [names[k] for k in moved if problem.start[k] == 0.0]
    more = [names[k] for k in moved if change[k] > 0.0 and problem.start[k] > 0.0]
    left = [names[k] for k in moved if parts[k] == 0.0 and problem.start[k] > 0.0]
    less = [names[k] for k in moved if change[k] < 0.0 and parts[k] > 0.0]
    phrases = [
        f"{word} {' and '.join(some)}"
        for word, some in (("add", came), ("more", more), ("less", less), ("without", left))
        if some
    ]
    return ", ".join(phrases)


def sentence_of(answer: AdjustAnswer) -> str:
    """The answer in a sentence."""
    best, asked = answer.proposals[0], answer.at.odds
    if best.yes:
        return (
            f"Yes: {best.reason}." if best.reason else "Yes: the recipe already meets the targets."
        )
    nearest = (
        f"the nearest: {best.reason}" if best.reason else "no recipe that was tried comes closer"
    )
    if best.meets_all and best.verdict == "outside the data":
        return (
            f"No, outside the data: by the numbers all targets are met "
            f"({best.reason or 'as it is'}), but no measured glass is like it; fire a tile."
        )
    tried = _tried(answer)
    if best.meets_all:
        close = ", too close to call" if best.verdict == "too close to call" else ""
        return (
            f"No{close}: {percent(best.odds_right, asked)} odds are the best found, "
            f"{percent(asked)} asked; {nearest}. {tried}"
        )
    missed = [_missed(met, asked) for met in best.targets if not met.met]
    if len(answer.cannot_be_met_together) > 1:
        fight = " and ".join(f"“{w.text}”" for w in answer.cannot_be_met_together)
        return f"No: {fight} cannot be met together; {nearest}. {tried}"
    # a search of steps can miss one, so nothing is said of what there may be
    return f"No: no recipe was found that meets {' and '.join(missed)}; {nearest}. {tried}"


def _missed(met: Met, asked: float) -> str:
    odds = "" if met.odds is None else f" ({percent(met.odds, asked)}, {percent(asked)} asked)"
    return f"“{met.target.text}”{odds}"


def _tried(answer: AdjustAnswer) -> str:
    if not answer.tried:
        return "Tried: the recipe's own materials."
    *most, last = answer.tried
    new = f"{', '.join(most)} and {last}" if most else last
    return f"Tried: the recipe's own materials, and with {new}, one or two of them."


#: A change of melting that a firing has to be named for, °C; our choice.
_MELTS_ELSEWHERE_C = 25.0


def findings_of(answer: AdjustAnswer) -> list[Finding]:
    """What the best proposal costs."""
    best, now = answer.proposals[0], answer.now
    findings = []
    if answer.at.firing is None and best.seen is not None and now.seen is not None:
        hotter = float(best.seen.melts_c[0] - now.seen.melts_c[0])
        if abs(hotter) > _MELTS_ELSEWHERE_C:
            findings.append(
                finding(
                    "melts-elsewhere",
                    best.recipe.name,
                    by_c=abs(hotter),
                    hotter="hotter" if hotter > 0 else "colder",
                )
            )
    instead = ", or add the target “clay at least 8 %”"
    return findings + settling_findings(answer.recipe, best.recipe, instead)


def settling_findings(before: Recipe, after: Recipe, instead: str = "") -> list[Finding]:
    """The caution that a slurry now settles hard because it lost clay."""
    had, has = (percent_of(recipe, keeps_up) for recipe in (before, after))
    if not settles(after) or has > had - _SAME_CLAY:
        return []
    bentonite = bentonite_missing(after)
    return [finding("settles", after.name, had=had, has=has, bentonite=bentonite, instead=instead)]
