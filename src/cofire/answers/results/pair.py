"""Glazes in one firing, and what change of it would help."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar, NamedTuple

from cofire.answers.results.fit import FitAnswer
from cofire.findings import Finding
from cofire.model.conditions import Conditions
from cofire.model.interval import Interval
from cofire.model.outcome import Verdict
from cofire.model.overlap import Overlap
from cofire.model.survival import Survival
from cofire.record import Record
from cofire.records import Firing, Recipe


@dataclass(frozen=True, eq=False)
class FiringChange:
    """Another firing, what was changed in it, and the odds it gives."""

    firing: Firing
    words: str
    odds: float


class RipeOdds(NamedTuple):
    """They add up to 1."""

    under: float
    ripe: float
    runs: float


@dataclass(frozen=True)
class AtPull:
    """One glaze at one moment, how far it slid down the wall and ran past its edge, and what of its
    batch has not melted or dissolved."""

    moment: str
    at_min: float
    ware_peak_c: float
    odds: RipeOdds
    odds_sealed: float
    odds_smooth: float
    slide_mm: Interval
    run_mm: Interval
    unmelted_percent: Interval  # grains left, of the coat
    word: str
    dry_by: dict[str, float] | None = None  # of a matte: odds of what makes it dry


@dataclass(frozen=True, eq=False, repr=False)
class InFiring(Record):
    """One glaze in the firing. ``odds`` is the share of draws that are right in every respect."""

    recipe: Recipe
    layer: int  # 1 on the clay
    coat_fired_mm: float
    pulls: tuple[AtPull, ...]
    fit: FitAnswer | None
    odds_ripe: float
    odds: float
    verdict: Verdict
    json_also: ClassVar = ("recipe.name", "recipe.surface", "yes")
    json_hides: ClassVar = ("recipe",)

    @property
    def yes(self) -> bool:
        return self.verdict == "yes"


@dataclass(frozen=True, eq=False, repr=False)
class PairAnswer(Record):
    """``odds_together`` are those of all glazes being right at once, each where it lies alone; a
    yes needs overlaps that stay as well."""

    at: Conditions
    firing: Firing
    glazes: tuple[InFiring, ...]
    odds_together: float
    verdict: Verdict
    overlaps: tuple[Overlap, ...]
    odds_overlaps_stay: float | None  # that nothing runs where glazes overlap
    survival: Survival | None  # of the pot, if it is pulled red-hot
    sentence: str = ""
    change: FiringChange | None = None  # of the firing, that would make it yes
    change_words: str = ""
    findings: tuple[Finding, ...] = ()
    schema: ClassVar = "pair"
    json_also: ClassVar = ("yes", "firing.peak_c")
    json_spreads: ClassVar = ("at",)

    @property
    def odds(self) -> float:
        """Of all glazes being right at once."""
        return self.odds_together

    @property
    def yes(self) -> bool:
        return self.verdict == "yes"
