"""A map of one quantity over two amounts."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, ClassVar, Literal, NamedTuple

import numpy as np

from cofire.answers.map.axes import Axis
from cofire.answers.map.contours import contour_lines
from cofire.arrays import Array, Mask
from cofire.findings import Finding
from cofire.model.conditions import Conditions
from cofire.model.crackle import NO_CRACKS_MM
from cofire.model.evaluation import Evaluation
from cofire.record import Record
from cofire.records import Recipe

QuantityKind = Literal["value", "odds", "distance"]


@dataclass(frozen=True)
class Shown:
    """A quantity that can be mapped: its name, its sentence with braces for the value, and whether
    more is better (``good`` 1), less (-1), or neither; ``of`` is the field of an evaluation that
    holds it."""

    words: str
    said: str
    kind: QuantityKind
    of: str
    unit: str = ""
    needs: tuple[str, ...] = ()
    good: int = 0

    @property
    def drawn(self) -> bool:
        """Whether it needs draws."""
        return bool(self.needs) or self.kind == "odds"

    def read(self, evaluation: Evaluation) -> Array:
        """Its values (P,)."""
        values = getattr(evaluation, self.of)
        return np.full(len(evaluation.mol), np.nan) if values is None else np.asarray(values)


class Weighed(NamedTuple):
    """What to weigh of a material."""

    written: str
    per_100_of_base: float


@dataclass(frozen=True, eq=False)
class Spot:
    """A place on the map, its value, and what to weigh there; nothing for oxides."""

    x: float
    y: float
    value: float
    parts: tuple[Weighed, ...]


@dataclass(frozen=True, eq=False, repr=False)
class MapAnswer(Record):
    """``values`` (ny, nx) stand at ``x`` (nx,) and ``y`` (ny,); NaN where there is no glaze.

    ``room`` (ny, nx) is below zero where the axes add up to more than 100, and ``outside_the_data``
    marks values outside the measured glasses. ``level`` is the line that decides: the odds asked
    for, or none to spare.
    """

    recipe: Recipe
    show: str  # a key of ``SHOWN``
    shown: Shown
    at: Conditions
    across: Axis
    up: Axis
    x: Array
    y: Array
    values: Array
    room: Array
    outside_the_data: Mask
    grade: Array
    own: Spot
    own_outside: bool
    best: Spot | None
    nearest: Spot | None  # good enough, and nearest to the recipe
    levels: tuple[float, ...]
    level: float | None
    conditions: tuple[str, ...]
    sentence: str = ""
    findings: tuple[Finding, ...] = ()
    schema: ClassVar = "map"
    json_also: ClassVar = ("shown.words", "shown.unit", "shown.kind", "contours")
    json_hides: ClassVar = ("shown", "room", "grade", "own_outside", "levels", "level")
    json_spreads: ClassVar = ("at",)

    @property
    def contours(self) -> list[dict[str, Any]]:
        return [{"level": level, "lines": self.lines(level)} for level in self.levels]

    @property
    def field(self) -> Array:
        """The values in the scale in which their lines are even: distances in decades."""
        return on_scale(self.shown.kind, self.values)

    def lines(self, level: float) -> tuple[Array, ...]:
        """Contour lines of one level, arrays (k, 2) in the units of the axes."""
        return contour_lines(self.x, self.y, self.field, float(self.scaled(level)))

    def scaled(self, level: float | Array) -> Array:
        """Levels in the scale of ``field``."""
        return on_scale(self.shown.kind, np.asarray(level, dtype=float))

    @property
    def holds_own(self) -> bool:
        """Whether the recipe lies within the map."""
        return all(a.low <= a.own <= a.high for a in (self.across, self.up))


def on_scale(kind: QuantityKind, values: Array) -> Array:
    """Distances in decades; no cracks count as very far ones."""
    if kind != "distance":
        return values
    return np.asarray(np.log10(np.clip(values, 0.1, NO_CRACKS_MM)))
