"""A blend: its points, cups and tiles."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, ClassVar

from cofire.answers.blend.additions import Addition
from cofire.answers.blend.points import Cup, Points
from cofire.answers.blend.tiles import Tiles
from cofire.arrays import Array
from cofire.findings import Finding
from cofire.model.conditions import Conditions
from cofire.model.evaluation import Evaluation
from cofire.model.outcome import Verdict
from cofire.record import Record
from cofire.records import Recipe, Surface


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
    json_hides: ClassVar = ("amounts",)


@dataclass(frozen=True, eq=False, repr=False)
class Blend(Record):
    """A blend's P points of K ingredients. ``words`` are “under”, “runs”, “ripe”, “sits”, “crazes”
    or “shivers”, and empty if neither firing nor body was named; then ``yes`` is None. ``changes``,
    ``tiles`` and ``surest`` count the points from 0."""

    recipes: tuple[Recipe, ...]
    additions: tuple[Addition, ...]
    points: Points
    ingredients: tuple[Ingredient, ...]
    shares: Array  # (P, K) by dry weight
    percent: Array | None  # (P, A) of each addition, of the base
    slurry_g_per_ml: Array | None  # (C,)
    surfaces: tuple[Surface, ...]
    seen: Evaluation
    draws: int  # at each point that is no recipe itself
    words: tuple[str, ...]
    changes: tuple[tuple[int, int], ...]  # neighbours between which the word changes
    cups: Cups | None
    tiles: Tiles | None
    at: Conditions
    verdict: Verdict | None  # of the best point; None if nothing was asked
    surest: int | None
    sentence: str = ""
    findings: tuple[Finding, ...] = ()
    schema: ClassVar = "blend"
    json_also: ClassVar = ("yes", "points.form", "points.steps", "rows")
    json_hides: ClassVar = ("recipes", "points", "shares", "percent", "surfaces", "seen", "words")
    json_spreads: ClassVar = ("at",)

    @property
    def yes(self) -> bool | None:
        """Whether some point is right in all that is asked; None if nothing is."""
        return None if self.verdict is None else self.verdict == "yes"

    @property
    def rows(self) -> list[dict[str, Any]]:
        """What is known of each point; only what was asked."""
        ids = [one.id for one in self.ingredients]
        held = {"share_by_dry_weight": (ids, self.shares)}
        if self.percent is not None:
            held["percent_of_base"] = ([a.material.id for a in self.additions], self.percent)
        if self.cups:
            units = zip(ids, self.cups.units, strict=True)
            held["cup"] = ([f"{key} ({unit})" for key, unit in units], self.cups.amounts)
        result = []
        for p, label in enumerate(self.points.labels):
            row: dict[str, Any] = {"label": label}
            for key, (names, values) in held.items():
                row[key] = dict(zip(names, values[p].tolist(), strict=True))
            row |= self.seen.row(p) | {"word": self.words[p], "judged_as": self.surfaces[p]}
            if self.yes is None:
                del row["odds_right"], row["word"]
            result.append(row)
        return result


@dataclass(frozen=True, eq=False)
class Plan:
    """What is mixed: two to four recipes, or one and additions to it, and the number of steps; by
    dry weight, or by volume of slurries of given densities (C,)."""

    recipes: Sequence[Recipe]
    additions: Sequence[Addition] = ()
    steps: int = 5
    slurry_g_per_ml: Array | None = None
