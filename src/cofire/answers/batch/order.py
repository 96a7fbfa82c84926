"""What is asked for of a batch: how much, how it is put on, what weighs it, and for whom."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from numbers import Integral
from typing import Literal, TypedDict

from cofire.answers.batch.pieces import (
    LOSS,
    PieceKind,
    Pieces,
    dry_g_per_m2,
    read_pieces,
    read_size,
)
from cofire.answers.batch.records import Method
from cofire.answers.batch.scale import Units, read_most, read_step
from cofire.answers.batch.water import densities
from cofire.errors import QuantityError, refusal
from cofire.files.library import Library
from cofire.model.conditions import Conditions
from cofire.most import MOST, some
from cofire.names import flaw
from cofire.read.coat import DEFAULT, Coat
from cofire.read.number import quantity_text
from cofire.read.units import GRAMS, WEIGHT, measured, millilitres, plain_unit, split
from cofire.records import Body, Material

#: What a scale reads to where that is not said, for little and for much; common practice, no
#: source.
_USUAL_STEP: dict[Units, tuple[str, str]] = {
    "g": ("0.1 g", "1 g"),
    "kg": ("1 g", "1 g"),
    "oz": ("0.01 oz", "0.1 oz"),
    "lb": ("0.001 lb", "0.01 lb"),
}
#: More than this goes on the coarser scale.
_MUCH_G, _MUCH_ML, _MUCH_ON_POTS_G = 2000, 3000.0, 10_000.0
#: Density of dry glaze to tell much from little by, g/cm³; from memory.
_SOLIDS = 2.6
#: How people put glaze on, where they do not say.
METHODS: tuple[Method, ...] = ("dip", "pour", "brush")


@dataclass(frozen=True, eq=False)
class Order:
    """How much is wanted (one of ``base_g``, ``slurry_ml``, ``pieces``), how it is put on, and
    what it is weighed with. Densities are g/ml; those in ``named`` were asked for."""

    densities: dict[Method, float]
    step_g: Decimal
    units: Units = "g"
    most_g: Decimal | None = None  # that the scale carries, if said
    base_g: Decimal | None = None
    slurry_ml: float | None = None
    pieces: Pieces | None = None
    shared: bool = False  # whether the glazes share the pieces
    coat: Coat = DEFAULT
    wall_mm: float = 6.0
    body: Body | None = None  # whose bisque it goes on
    buckets: int | None = None
    bucket_ml: float | None = None
    named: tuple[Method, ...] = ()
    words: str = ""  # how the amount was written

    @property
    def first(self) -> Method:
        """The way to put it on that volumes and losses are reckoned for."""
        return next(iter(self.densities))


@dataclass(frozen=True)
class School:
    """Who mixes: how many people, in how many teams, and whether they are a school's."""

    school: bool = False
    allowed: tuple[Material, ...] = ()
    people: int | None = None
    teams: int | None = None
    bins: int | None = None  # for the smoke of pulled pots
    hands: int = 2  # people who pull them
    title: str = ""
    date: str = ""


class AskedOfBatch(TypedDict, total=False):
    """A batch as people write it; weights and volumes also as numbers, under a name that ends in
    the unit."""

    dry: str | None
    dry_g: float | None
    bucket: str | None
    bucket_l: float | None
    pieces: str | None
    tile: str | None
    mug: str | None
    pot: str | None
    shared: bool
    methods: Sequence[Method]
    density: Sequence[str]
    scale: str | None
    scale_g: float | None
    scale_carries: str | None
    scale_carries_g: float | None
    units: Units | None
    buckets: int | None
    bucket_size: str | None
    bucket_size_l: float | None


def read_order(asked: AskedOfBatch, at: Conditions) -> Order:
    """An order from what people write. Raises QuantityError."""
    dry, bucket, scale, carries, bucket_size = (
        quantity_text(asked, name, unit)
        for name, unit in (
            ("dry", "g"), ("bucket", "l"), ("scale", "g"), ("scale_carries", "g"),
            ("bucket_size", "l"),
        )
    )  # fmt: skip
    pieces, shared = asked.get("pieces"), asked.get("shared", False)
    buckets = _count(asked, "buckets")
    _one_of({"dry": dry, "bucket": bucket, "pieces": pieces}, "each say how much to mix")
    _one_of({"buckets": buckets, "bucket_size": bucket_size}, "both split the glaze")
    if shared and pieces is None:
        raise refusal("shared-without-pieces")
    chosen: tuple[Method, ...] = tuple(asked.get("methods") or METHODS)
    usual, thick = densities((), chosen), densities(asked.get("density", ()), chosen)
    sizes: dict[PieceKind, str | None] = {
        "tile": asked.get("tile"),
        "mug": asked.get("mug"),
        "pot": asked.get("pot"),
    }
    sized = {kind: read_size(text, kind) for kind, text in sizes.items() if text}
    base_g = None if dry is None else measured(dry, WEIGHT)
    slurry_ml = None if bucket is None else millilitres(bucket)
    counted = None if pieces is None else read_pieces(pieces, sized)
    area_m2 = counted.area_m2 if counted else 0.0
    coats_g = LOSS[chosen[0]] * dry_g_per_m2(at.coat(0), _SOLIDS) * area_m2
    much = (base_g or 0) > _MUCH_G or (slurry_ml or 0.0) > _MUCH_ML or coats_g > _MUCH_ON_POTS_G
    step_g, units = _scale(scale, asked.get("units"), much)
    return Order(
        densities=thick,
        step_g=step_g,
        units=units,
        most_g=None if carries is None else read_most(carries, step_g),
        base_g=base_g,
        slurry_ml=slurry_ml,
        pieces=counted,
        shared=shared,
        coat=at.coat(0),
        wall_mm=at.wall_mm,
        body=at.body,
        buckets=buckets,
        bucket_ml=None if bucket_size is None else millilitres(bucket_size),
        named=tuple(m for m in chosen if thick[m] != usual[m]),
        words=(dry or bucket or "").strip(),
    )


class AskedOfGroup(TypedDict, total=False):
    """Who mixes, as people write it; ``even_with`` are materials that a school allows by name."""

    school: bool
    even_with: Sequence[str]
    people: int | None
    teams: int | None
    bins: int | None
    hands: int | None
    title: str
    date: str


def _count(asked: Mapping[str, object], name: str) -> int | None:
    count = asked.get(name)
    if count is None:
        return None
    if not isinstance(count, int | Integral):
        raise refusal("no-such-count", name=name, count=count, most=MOST[name])
    some(name, int(count))
    return int(count)


def read_group(library: Library, asked: AskedOfGroup) -> School:
    """A group from what people write. Raises CofireError."""
    return School(
        school=asked.get("school", False),
        allowed=tuple(library.material(name)[0] for name in asked.get("even_with", ())),
        people=_count(asked, "people"),
        teams=_count(asked, "teams"),
        bins=_count(asked, "bins"),
        hands=_count(asked, "hands") or School.hands,
        title=_one_line("title", asked.get("title", "")),
        date=_one_line("date", asked.get("date", "")),
    )


def read_names(text: str) -> tuple[str, ...]:
    """“Ines, Tomasz” -> names for slips; they go on paper only. Raises QuantityError."""
    names = [" ".join(name.split()) for name in text.replace(";", ",").split(",")]
    return tuple(_one_line("names", name) for name in names if name)


def _scale(scale: str | None, units: Units | None, much: bool) -> tuple[Decimal, Units]:
    """What the scale reads to and shows."""
    if scale is None:
        shown: Units = units or "g"
        return read_step(_USUAL_STEP[shown][much]), shown
    step = read_step(scale)
    if units:
        return step, units
    factor = GRAMS.get(plain_unit(split(scale, WEIGHT)[1]))
    return step, "oz" if factor == GRAMS["oz"] else "lb" if factor == GRAMS["lb"] else "g"


def _one_of(amounts: Mapping[str, object], do: str) -> None:
    """Raises QuantityError where several are given that do the same."""
    given = [f"--{name.replace('_', '-')}" for name, value in amounts.items() if value is not None]
    if len(given) > 1:
        raise QuantityError(f"{' and '.join(given)} {do}.", hint="Give one of them.")


def _one_line(name: Literal["title", "date", "names"], text: str) -> str:
    """What is printed as it is typed. Raises QuantityError where it cannot be."""
    text = " ".join(text.split())
    if wrong := flaw(text):
        raise refusal("cannot-be-printed", name=name, wrong=wrong)
    return text
