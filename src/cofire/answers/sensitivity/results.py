"""What an answer depends on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar, NamedTuple

from cofire.answers.sensitivity.amount_effects import Baseline, Effect
from cofire.answers.sensitivity.next_tile import NextTile
from cofire.answers.sensitivity.sources import WeighingPlan
from cofire.findings import Finding
from cofire.model.conditions import Conditions
from cofire.model.outcome import Verdict
from cofire.record import Record
from cofire.records import Recipe


@dataclass(frozen=True)
class Doubt:
    """Half-widths that hold 90 %: of expansion, stress and the peak that ripens it."""

    source: str
    expansion_1e6_per_k: float
    stress_mpa: float | None
    ripens_c: float


class Without(NamedTuple):
    """The odds of the answer if one source of doubt were in its middle for certain, and the share
    of draws in which that changes the answer."""

    source: str
    odds: float
    changes: float


@dataclass(frozen=True, eq=False, repr=False)
class SensitivityAnswer(Record):
    """``own`` is the recipe as written; odds of all that was asked are None if nothing was."""

    weighing: WeighingPlan
    at: Conditions
    conditions: tuple[str, ...]
    own: Baseline
    materials: tuple[Effect, ...]
    half_widths_90_percent: tuple[Doubt, ...]
    squares_added: Doubt  # the square root of the sum of their squares
    all_drawn: Doubt  # all at once
    odds_as_weighed_and_bought: float | None
    odds_without: tuple[Without, ...]  # one doubt each, what changes the answer most first
    next_tile: NextTile | None
    verdict: Verdict | None  # of both odds; None if nothing was asked
    careful: Effect | None
    findings: tuple[Finding, ...]
    verdict_changes: tuple[str, ...] = ()  # what turns a yes into a no
    sentence: str = ""
    schema: ClassVar = "shake"
    json_also: ClassVar = ("yes", "weigh_most_carefully")
    json_hides: ClassVar = ("careful",)
    json_spreads: ClassVar = ("at", "weighing", "own")

    @property
    def recipe(self) -> Recipe:
        return self.weighing.recipe

    @property
    def yes(self) -> bool:
        return self.verdict in (None, "yes")

    @property
    def weigh_most_carefully(self) -> str | None:
        return None if self.careful is None else self.careful.written
