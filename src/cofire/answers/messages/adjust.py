"""What an adjustment comes to, in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from cofire.answers.change.problem import Problem
from cofire.answers.change.targets import Wish
from cofire.arrays import Array
from cofire.findings import Finding
from cofire.model.glaze_set import Glance
from cofire.records import Firing
from cofire.words import percent

if TYPE_CHECKING:
    from cofire.answers.adjust import Proposal

#: What a recipe changes by less than this in every part is the same recipe.
_NOTHING = 0.05
#: Amounts that move by more are worth naming, parts per 100.
_MOVED = 0.5


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
#: Less clay than this does not keep a slurry up, per cent; common practice, no source.
_LEAST_CLAY = 8.0


def findings_of(
    best: Proposal, seen: Glance, clay: tuple[float, ...], firing: Firing | None
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
    found += settles(best.recipe.name, clay[0], clay[row], ", or wish for “clay at least 8 %”")
    return found


def settles(name: str, had: float, has: float, instead: str = "") -> list[Finding]:
    """The caution that a slurry which ``had`` clay enough, per cent, now ``has`` too little."""
    if has >= min(_LEAST_CLAY, had) - 0.2:
        return []
    return [
        Finding(
            "settles",
            "caution",
            f"clay falls from {had:.0f} to {has:.0f} %: the slurry will settle hard; "
            f"add 1 to 2 % bentonite{instead}.",
            "common practice, no source",
            name,
        )
    ]
