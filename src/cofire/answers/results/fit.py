"""What one glaze does on one body."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, ClassVar, NamedTuple

from cofire.findings import Finding
from cofire.model.conditions import Conditions
from cofire.model.cooling_stress import CoolingStress, Through
from cofire.model.crackle import CrackPattern
from cofire.model.crackle_curve import CrackleCurve
from cofire.model.interval import Interval
from cofire.model.outcome import Verdict, verdict_of
from cofire.model.strip import Strip
from cofire.model.survival import Survival
from cofire.model.trials import Trial
from cofire.record import Record
from cofire.records import Body, Recipe


class FitOdds(NamedTuple):
    """Odds on a body; ``sits`` is neither crazing by the horizon nor shivering."""

    crazes_at_once: float
    crazes_within_months: float  # three
    crazes_by_horizon: float
    sits: float
    sits_fresh: float  # as it comes from the kiln
    shivers: float
    edges_could_shiver: float


class Crazed(NamedTuple):
    """Odds that it has crazed after some years."""

    years: float
    odds: float


@dataclass(frozen=True, eq=False, repr=False)
class FitAnswer(Record):
    """One glaze on one body. Stress: tension positive. ``wanted`` is “crazes”, “sits” or “stays”,
    and ``odds_wanted`` are its odds; ``odds_right`` are those of all that is asked, ripeness at
    every pull among it where a firing is named."""

    recipe: Recipe
    body: Body
    at: Conditions  # with this glaze's coat alone
    layer: int  # 1 on the clay
    set_c: Interval
    alpha_glaze: Interval
    alpha_body: Interval
    stress_mpa: Interval  # cold
    most_on_the_way_mpa: Interval  # most tension on the way there
    odds: FitOdds
    crackle_mm: Interval | None  # distance of cracks where it crazes at once
    crackle: str  # the same in words
    wanted: str
    odds_wanted: float
    odds_ripe: float | None
    odds_right: float
    verdict: Verdict
    strip_mpa: Strip
    crazed_with_the_years: tuple[Crazed, ...]
    tests: tuple[Trial, ...]  # what they would say of fresh ware
    nets: tuple[CrackPattern, ...]  # of pulled ware: cracks by when they open
    draws: int  # behind the odds
    sentence: str = ""
    findings: tuple[Finding, ...] = ()
    way_down: CoolingStress | None = None
    through_mpa: Through | None = None
    air_and_smoke: CrackleCurve | None = None
    survival: Survival | None = None
    schema: ClassVar = "fit"
    json_also: ClassVar = ("recipe.name", "yes")
    json_hides: ClassVar = ("recipe",)
    json_spreads: ClassVar = ("at",)

    @property
    def yes(self) -> bool:
        return self.verdict == "yes"

    def to_dict(self) -> dict[str, Any]:
        """As that of several glazes."""
        return FitAnswers((self,)).to_dict()

    @property
    def fits(self) -> bool:
        """Whether what its surface wants is sure enough, ripeness apart."""
        return verdict_of(self.odds_wanted, self.at.odds) == "yes"


@dataclass(frozen=True, eq=False, repr=False)
class FitAnswers(Record):
    """Glazes on one body; the keys of one alone also stand beside “glazes”."""

    glazes: Sequence[FitAnswer]
    schema: ClassVar = "fit"
    json_also: ClassVar = ("yes",)
    json_spreads: ClassVar = ("alone",)

    @property
    def yes(self) -> bool:
        return all(answer.yes for answer in self.glazes)

    @property
    def alone(self) -> FitAnswer | None:
        return self.glazes[0] if len(self.glazes) == 1 else None
