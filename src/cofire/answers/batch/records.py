"""The facts of a batch sheet, without layout.

Weights are exact decimals in grams, whole steps of the scale, and costs exact decimals in whole
hundredths, so that printed numbers add up to the last digit.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from itertools import groupby
from typing import ClassVar, Literal, NamedTuple

from cofire.answers.batch.scale import Units, pounds_and_ounces, shown_words
from cofire.findings import Finding
from cofire.record import Record
from cofire.records import Caution, Firing, Part, Recipe

Method = Literal["dip", "pour", "brush", "spray"]
Audience = Literal["adults", "school"]


@dataclass(frozen=True, eq=False)
class Weighing:
    """One line of a bucket: what to weigh, into which bowl on the scale, what the scale then shows,
    and what the bucket holds in all once the bowl is emptied into it."""

    part: Part
    addition: bool
    exact_g: float
    weigh_g: Decimal
    running_g: Decimal
    bowl: int = 1
    json_also: ClassVar = ("part.material", "part.material.name")
    json_hides: ClassVar = ("part",)


@dataclass(frozen=True, eq=False)
class Water:
    """Water for one way to apply the glaze, and the volume of the slurry."""

    method: Method
    density_g_per_ml: float
    water_ml: float
    slurry_ml: float
    note: str


@dataclass(frozen=True, eq=False)
class Bucket:
    """One bucket, counted from 1."""

    number: int
    weighings: tuple[Weighing, ...]
    total_g: Decimal
    waters: tuple[Water, ...]

    @property
    def bowls(self) -> int:
        """How often the scale is filled."""
        return self.weighings[-1].bowl

    @property
    def additions_from(self) -> int | None:
        """The first line of additions that go in after all of the base; None if there are none."""
        after = 1 + max(k for k, w in enumerate(self.weighings) if not w.addition)
        return after if after < len(self.weighings) else None


@dataclass(frozen=True, eq=False)
class Rounding:
    """What rounding to the scale's steps does to the glaze; ``worst`` is the line it changes most,
    by ``worst_percent`` of its amount. ``matters`` says whether it is noticeable."""

    worst: Weighing
    worst_percent: float
    moves_1e6_per_k: float
    moves_c: float
    matters: bool
    advice: str


@dataclass(frozen=True, eq=False)
class Need:
    """One material of the whole order: grams needed, in stock, to buy, and the cost; None if not
    given."""

    part: Part
    need_g: Decimal
    have_g: float | None
    buy_g: float | None
    price_per_kg: float | None
    cost: Decimal | None
    json_also: ClassVar = ("part.material", "part.material.name")
    json_hides: ClassVar = ("part",)


class Brought(NamedTuple):
    """A caution, and the names of the materials that bring it."""

    caution: Caution
    materials: tuple[str, ...]


class Load(NamedTuple):
    """Some of a class's pots in one firing: the number of its first pot, the bin of each, and the
    firing with a pull for each."""

    first: int
    load_kg: float
    in_bin: tuple[int, ...]
    firing: Firing

    @property
    def last(self) -> int:
        """The number of its last pot."""
        return self.first + len(self.in_bin) - 1


@dataclass(frozen=True)
class Ware:
    """Pots that are pulled hot, shared evenly by firings, the larger loads first; ``hands`` are the
    people who pull."""

    pots: int
    hands: int
    loads: tuple[Load, ...]
    json_also: ClassVar = ("firings", "each", "load_kg", "in_bin")

    @property
    def firings(self) -> int:
        """How many there are."""
        return len(self.loads)

    @property
    def each(self) -> int:
        """The most pots in one firing."""
        return len(self.in_bin)

    @property
    def load_kg(self) -> float:
        """Pots and shelves of the first firing."""
        return self.loads[0].load_kg

    @property
    def in_bin(self) -> tuple[int, ...]:
        """The bin of each pot of the first firing."""
        return self.loads[0].in_bin

    @property
    def bins(self) -> int:
        """Bins in use."""
        return max(self.in_bin)


class Assignment(NamedTuple):
    """Who makes what."""

    who: str
    what: str


@dataclass(frozen=True, eq=False)
class Sheet:
    """All about one glaze: one page."""

    recipe: Recipe
    code: str  # names this very version of the recipe
    asked: str  # in words: “14 × 5 tiles and 2 pots”, “a bucket of 10 l”
    dry_g: Decimal  # base and additions of all buckets
    base_g: Decimal
    scale_g: Decimal
    buckets: tuple[Bucket, ...]
    rounding: Rounding
    cost: Decimal | None
    cost_per_100_g: float | None
    cost_per_piece: float | None
    currency: str
    mixing: tuple[str, ...]  # what to do, in order, in whole sentences
    keeping: tuple[str, ...]  # shelf life, crystals, settling
    left_over: tuple[str, ...]  # where waste and washing water go
    cautions: tuple[Brought, ...]
    teacher_only: tuple[str, ...]  # materials that pupils do not handle
    findings: tuple[Finding, ...]
    units: Units = "g"  # that the scale shows
    piece: str = ""  # whose cost it is: “pot of 12 × 15 cm”
    json_also: ClassVar = ("recipe.id", "recipe.name", "recipe.surface", "printed")
    json_hides: ClassVar = ("recipe",)

    def shown(self, bucket: Bucket) -> tuple[list[str], list[str]]:
        """Each line of a bucket as the scale shows it: alone, and with all that is in its bowl."""
        weights: list[str] = []
        running: list[str] = []
        for _, lines in groupby(bucket.weighings, lambda w: w.bowl):
            some = shown_words([w.weigh_g for w in lines], self.units, self.scale_g)
            weights += some[0]
            running += some[1]
        return weights, running

    @property
    def printed(self) -> tuple[tuple[str, ...], ...]:
        """Each line of each bucket as the scale shows it, exact to its last digit: “12.50 oz”."""
        unit = f" {self.shown_unit}".rstrip()
        return tuple(
            tuple(f"{weight}{unit}" for weight in self.shown(bucket)[0]) for bucket in self.buckets
        )

    @property
    def shown_unit(self) -> str:
        """What stands over a column of weights; nothing where each has its own units."""
        return "" if pounds_and_ounces(self.units, self.scale_g) else self.units


@dataclass(frozen=True, eq=False, repr=False)
class Pack(Record):
    """Sheets for a class or a studio day, with what they need together."""

    title: str
    date: str
    audience: Audience
    people: int | None
    sheets: tuple[Sheet, ...]
    needs: tuple[Need, ...]
    cost: Decimal | None  # of all the sheets, not of what to buy
    currency: str
    firing: Firing | None
    cautions: tuple[Caution, ...]  # of the process: dust, firing, pulling, smoke, kiln
    assignments: tuple[Assignment, ...]
    ware: Ware | None = None  # pots of the firing
    schema: ClassVar = "batch"
