"""What an adjustment comes to, in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from cofire.answers.change.problem import Problem
from cofire.answers.change.targets import Wish
from cofire.arrays import Array
from cofire.findings import Finding
from cofire.material_kinds import bentonite_missing, keeps_up, percent_of, settles
from cofire.model.glaze_set import Glance
from cofire.records import Firing, Recipe
from cofire.words import percent

if TYPE_CHECKING:
    from cofire.answers.adjust import Proposal

#: What a recipe changes by less than this in every part is the same recipe.
_NOTHING = 0.05
#: Amounts that move by more are worth naming, parts per 100.
_MOVED = 0.5
#: Clay that nobody misses, per cent; our choice.
_SAME_CLAY = 0.2


def reason_of(problem: Problem, parts: Array) -> str:
    """“more silica, less soda frit”; “add talc, without whiting”; nothing where nothing changed."""
    change = parts - problem.start
    names = [m.name for m in problem.sight.materials]
    own = [
        m.name for m, has in zip(problem.sight.materials, problem.start > 0.0, strict=True) if has
    ]
    for k, material in enumerate(problem.sight.materials):
        if problem.start[k] == 0.0 and material.name in own:
            names[k] = material.id  # a twin of what is there
    if np.abs(change).max() < _NOTHING:
        return ""
    order = np.argsort(-np.abs(change), kind="stable")
    moved = [k for k in order if abs(change[k]) >= _MOVED][:4] or [int(order[0])]
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


def sentence_of(best: Proposal, conflict: tuple[Wish, ...], odds: float) -> str:
    """The answer in a sentence."""
    if best.met and best.odds.together >= odds:
        return f"Yes: {best.reason}." if best.reason else "Yes: it is as wished already."
    nearest = f"the nearest: {best.reason}" if best.reason else "nothing is nearer than your recipe"
    if best.met:
        return (
            f"No: as sure as that ({percent(odds)}) is out of reach of these materials, "
            f"{percent(best.odds.together, odds)} is the most; {nearest}."
        )
    missed = [m.wish.text for m in best.wishes if not m.met]
    if len(conflict) > 1:
        fight = " and ".join(f"“{w.text}”" for w in conflict)
        return f"No: {fight} cannot be met together; {nearest}."
    quoted = " and ".join(f"“{text}”" for text in missed)
    verb = "are" if len(missed) > 1 else "is"
    return f"No: {quoted} {verb} out of reach of these materials; {nearest}."


#: A change of melting that a firing has to be named for, °C; our choice.
_MELTS_ELSEWHERE_C = 25.0


def findings_of(
    best: Proposal, seen: Glance, before: Recipe, firing: Firing | None
) -> list[Finding]:
    """What the best proposal costs."""
    found, row = [], best.row
    hotter = float(seen.flows_c[row] - seen.flows_c[0])
    if firing is None and abs(hotter) > _MELTS_ELSEWHERE_C:
        found.append(
            Finding(
                "melts-elsewhere",
                "caution",
                f"it now melts about {abs(hotter):.0f} °C {'hotter' if hotter > 0 else 'colder'}: "
                "name your --firing, so that it stays ripe there.",
                "isokom of 10^4 Pa·s",
                best.recipe.name,
            )
        )
    wish = ", or wish for “clay at least 8 %”"
    return found + settling_findings(before, best.recipe, wish)


def settling_findings(before: Recipe, after: Recipe, instead: str = "") -> list[Finding]:
    """The caution that a slurry settles hard which held more clay before."""
    had, has = (percent_of(recipe, keeps_up) for recipe in (before, after))
    if not settles(after) or has > had - _SAME_CLAY:
        return []
    return [
        Finding(
            "settles",
            "caution",
            f"what keeps the slurry up falls from {had:.0f} to {has:.0f} % (as clay; bentonite "
            f"counts five times): it will settle hard. Add {bentonite_missing(after):g} % of "
            f"bentonite{instead}.",
            "common practice, no source",
            after.name,
        )
    ]
