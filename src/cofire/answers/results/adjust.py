"""Proposals, and how they meet the targets."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, ClassVar

from cofire.answers.change.targets import Target
from cofire.arrays import Array
from cofire.chem.composition import unity
from cofire.findings import Finding
from cofire.model.conditions import Conditions
from cofire.model.evaluation import Evaluation
from cofire.model.outcome import Verdict
from cofire.record import Record
from cofire.records import Recipe


@dataclass(frozen=True, eq=False)
class Met:
    """How one target is met: its value (mm for crack spacing, NaN if unknown), its odds where it is
    met with odds, and by how many scales it is missed."""

    target: Target
    value: float
    odds: float | None
    met: bool
    missed: float


@dataclass(frozen=True, eq=False, repr=False)
class Proposal(Record):
    """A recipe, its changes in one line, and how it meets every target. ``seen`` is its evaluation
    with all draws; None if it is not a glaze."""

    recipe: Recipe
    reason: str
    targets: tuple[Met, ...]
    distance_parts: float
    verdict: Verdict  # of the recipe under the conditions, without other targets
    seen: Evaluation | None
    clay_percent: float
    soluble_percent: float
    json_also: ClassVar = ("meets_all", "yes", "base", "additions", "unity")
    json_hides: ClassVar = ("recipe", "seen")
    json_spreads: ClassVar = ("predicted",)

    @property
    def meets_all(self) -> bool:
        """Whether every target is met."""
        return all(w.met for w in self.targets)

    @property
    def yes(self) -> bool:
        """Whether every target is met and the recipe is right under the conditions."""
        return self.meets_all and self.verdict == "yes"

    @property
    def odds_right(self) -> float:
        """Odds of all that the conditions ask; None if it is not a glaze."""
        return 0.0 if self.seen is None else float(self.seen.odds_right[0])

    @property
    def predicted(self) -> dict[str, Any] | None:
        return None if self.seen is None else self.seen.row(0)

    @property
    def unity(self) -> Array | None:
        return None if self.seen is None else unity(self.seen.mol[0])

    @property
    def base(self) -> dict[str, float]:
        """Per cent of the base, by material id."""
        return {p.material.id: self.recipe.percent(p) for p in self.recipe.base}

    @property
    def additions(self) -> dict[str, float]:
        """The same of what comes on top."""
        return {p.material.id: self.recipe.percent(p) for p in self.recipe.additions}

    @property
    def missed(self) -> float:
        """By how many scales all targets together are missed."""
        return sum(0.0 if w.met else max(w.missed, 0.02) for w in self.targets)


@dataclass(frozen=True, eq=False, repr=False)
class AdjustAnswer(Record):
    """The recipe as it is, and proposals; ``tried`` are the new materials that were tried."""

    recipe: Recipe
    at: Conditions
    now: Proposal
    proposals: tuple[Proposal, ...]
    cannot_be_met_together: tuple[Target, ...]
    tried: tuple[str, ...]
    sentence: str = ""
    findings: tuple[Finding, ...] = ()
    schema: ClassVar = "adjust"
    json_also: ClassVar = ("recipe.name", "yes", "verdict")
    json_hides: ClassVar = ("recipe",)
    json_spreads: ClassVar = ("at",)

    @property
    def yes(self) -> bool:
        return self.proposals[0].yes

    @property
    def verdict(self) -> Verdict:
        """Of the first proposal; “no” if a target is missed."""
        best = self.proposals[0]
        return best.verdict if best.meets_all else "no"
