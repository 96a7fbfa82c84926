"""Pots and tiles: the dry glaze on them, and how much to mix for it."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, replace
from typing import Literal

from cofire.answers.batch.records import Method
from cofire.errors import refusal
from cofire.read.coat import FIRED_PER_DRY, Coat
from cofire.read.number import NUMBER, items, short, whole_number
from cofire.read.size import read_sides
from cofire.words import listed

PieceKind = Literal["tile", "mug", "pot"]
#: Share of a dry coat's volume that is solid; a secondary source's planning figure, and slip cast
#: clay packs alike (from memory).
PACKING = 0.5
#: What has to be mixed over what sits on the pots: the rest drips, is wiped off feet and stays in
#: the bucket; of a sprayed glaze much flies past (a planning figure of industry lands 82 % with
#: machines). Common practice, no source.
LOSS: dict[Method, float] = {"dip": 1.25, "pour": 1.3, "brush": 1.15, "spray": 1.6}
#: Room around a pot in the bucket that it is dipped in, mm; common practice, no source.
_ROUND_MM = 30.0
_WORDS: dict[str, PieceKind] = {
    "tile": "tile", "tiles": "tile", "test tile": "tile", "test tiles": "tile", "mug": "mug",
    "mugs": "mug", "cup": "mug", "cups": "mug", "pot": "pot", "pots": "pot",
}  # fmt: skip
_PEOPLE = r"(?:students?|pupils?|people|persons?|potters?|children|participants?)"
EXAMPLE = "“14 students x 5 tiles and 2 pots”, or “20 tiles and 3 mugs”"


@dataclass(frozen=True)
class Size:
    """A tile's sides, or a pot's diameter and height, in mm; ``faces`` that are glazed."""

    kind: PieceKind
    across_mm: float
    high_mm: float
    faces: Literal["one", "both", "outside", "inside"]

    @property
    def area_m2(self) -> float:
        """Glazed area; a pot is a thin cylinder with a floor inside and a bare foot."""
        if self.kind == "tile":
            return 1e-6 * self.across_mm * self.high_mm * (2.0 if self.faces == "both" else 1.0)
        wall = math.pi * self.across_mm * self.high_mm
        floor = math.pi * self.across_mm**2 / 4.0
        inside = 0.0 if self.faces == "outside" else wall + floor
        outside = 0.0 if self.faces == "inside" else wall
        return 1e-6 * (inside + outside)

    @property
    def words(self) -> str:
        sides = f"{self.kind} of {self.across_mm / 10:g} × {self.high_mm / 10:g} cm"
        names = {"one": "one face", "both": "both faces" if self.kind == "tile" else ""}
        face = names.get(self.faces, f"{self.faces} only")
        return f"{sides}, {face}" if face else sides

    @property
    def to_dip_ml(self) -> float:
        """Slurry to dip it upside down and full of air, in the smallest bucket for it."""
        if self.kind == "tile":
            return 1e-3 * (self.across_mm + _ROUND_MM) * _ROUND_MM * self.high_mm
        ring = (self.across_mm + _ROUND_MM) ** 2 - self.across_mm**2
        return 1e-3 * math.pi / 4.0 * ring * self.high_mm


#: Sizes by default; our choice.
SIZES: dict[PieceKind, Size] = {
    "tile": Size("tile", 100.0, 100.0, "one"),
    "mug": Size("mug", 80.0, 100.0, "both"),
    "pot": Size("pot", 120.0, 150.0, "both"),
}


@dataclass(frozen=True)
class Pieces:
    """Counts by kind and size, and the words for them; ``people`` if given."""

    counts: tuple[tuple[int, Size], ...]
    words: str
    people: int | None

    @property
    def area_m2(self) -> float:
        return sum(count * size.area_m2 for count, size in self.counts)

    @property
    def total(self) -> int:
        return sum(count for count, _ in self.counts)

    @property
    def largest(self) -> Size:
        return max((size for _, size in self.counts), key=lambda size: size.area_m2)

    def shared_by(self, glazes: int) -> Pieces:
        """The pieces for one of ``glazes`` glazes, rounded up."""
        if glazes == 1:
            return self
        counts = tuple((math.ceil(count / glazes), size) for count, size in self.counts)
        return replace(self, counts=counts, words=f"{self.words}, shared by {glazes} glazes")


def dry_coat_mm(coat: Coat) -> float:
    """Thickness of the dry coat before firing."""
    return coat.fired_mm / FIRED_PER_DRY


def dry_g_per_m2(coat: Coat, solids_g_per_cm3: float) -> float:
    """Dry glaze on a square metre: 0.4 mm of powder of 2.6 g/cm³ are 520 g (theoretical)."""
    return 1000.0 * dry_coat_mm(coat) * PACKING * solids_g_per_cm3


def read_size(text: str, kind: PieceKind) -> Size:
    """“12 x 15 cm”, “8 x 10 cm outside”, “10 x 10 cm both” -> a size. Raises QuantityError."""
    what = "its sides" if kind == "tile" else "diameter and height"
    example = "“10 x 10 cm”" if kind == "tile" else "“12 x 15 cm” or “12 x 15 cm outside”"
    hint = f"Write {what}: {example}."
    sides, _, words = text.strip().rpartition(" ")
    if words not in ("one", "both", "outside", "inside"):
        sides, words = text, ""
    across, high = read_sides(sides, f"a {kind}", hint)
    if not all(10.0 <= side <= 2000.0 for side in (across, high)):
        raise refusal("impossible-piece", kind=kind, text=text)
    faces = words or SIZES[kind].faces
    if (faces in ("outside", "inside")) == (kind == "tile") and faces != "both":
        raise refusal("no-such-face", kind=kind, faces=faces, hint=hint)
    return Size(kind, across, high, faces)  # type: ignore[arg-type]


def read_pieces(text: str, sizes: dict[PieceKind, Size] | None = None) -> Pieces:
    """“14 students x 5 tiles and 2 pots” -> 70 tiles and 28 pots; “14 x 5 tiles + 2 pots” -> 70
    tiles and 2 pots: a number of people multiplies all that follows it, up to a plus.

    Raises QuantityError.
    """
    known = SIZES | (sizes or {})
    totals: dict[PieceKind, int] = {}
    people: int | None = None
    parts: list[str] = []
    for group in short(text).lower().split("+"):
        times, rest = 1, group.strip()
        if match := re.fullmatch(rf"({NUMBER})\s*({_PEOPLE})?\s*(?:x|×|each|with|by)\s*(.+)", rest):
            times, rest = whole_number(match[1]), match[3]
            people = times if people is None else max(people, times)
        each: list[str] = []
        for item in items(re.sub(r"\band\b|&", ";", rest)):
            number = re.fullmatch(rf"({NUMBER})\s+([a-z ]+?)(?:\s+each)?", item)
            kind = _WORDS.get(number[2]) if number else None
            if number is None or kind is None:
                raise refusal("no-count-of-pieces", item=item or text, example=EXAMPLE)
            count = whole_number(number[1])
            totals[kind] = totals.get(kind, 0) + times * count
            each.append(_many(count, kind))
        parts.append(listed(each) if times == 1 else f"{times} × ({listed(each)})")
    counts = tuple((count, known[kind]) for kind, count in totals.items() if count > 0)
    total = sum(count for count, _ in counts)
    least = min(totals.values())
    total = least if least < 0 else total
    if not 1 <= total <= 100_000:
        much = "too many" if total > 100_000 else "too few"
        raise refusal("impossible-count", total=total, much=much, example=EXAMPLE)
    return Pieces(counts, " + ".join(parts), people)


def counted(counts: tuple[tuple[int, Size], ...]) -> str:
    """“70 tiles and 28 pots”"""
    return listed([_many(count, size.kind) for count, size in counts])


def _many(count: int, kind: str) -> str:
    return f"{count} {kind}{'s' * (count != 1)}"
