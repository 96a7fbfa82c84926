"""The things a studio has: materials, recipes, bodies, firings. Plain facts, already read.

Units are in the names; wt % means per 100 g of raw material.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import ClassVar, Literal

from cofire.arrays import Array
from cofire.errors import Place
from cofire.findings import Severity
from cofire.record import Facts, Record

Surface = Literal["gloss", "satin", "matte", "dry matte", "crackle", "lustre"]
SURFACES: tuple[Surface, ...] = ("gloss", "satin", "matte", "dry matte", "crackle", "lustre")
Fuel = Literal["electricity", "gas"]
Shape = Literal["pot", "both-sides", "tile"]
End = Literal["air", "water"]
Bed = Literal["bin", "sawdust", "buried"]
#: What becomes of a coat: it cracked, its cracks turned black, it did not, or it came off.
Seen = Literal["crazed", "black", "whole", "shivered"]
#: Said by the file; taken from a material of a like analysis; that of a glass; not known at all.
Melting = Literal["stated", "alike", "glass", "unknown"]
Dissolves = Literal["no", "slightly", "yes"]
#: Pictograms of the UN GHS that glaze materials come with, gravest first.
GHS = ("skull", "health-hazard", "corrosion", "oxidiser", "exclamation", "environment")
#: What a plate on a sheet asks of whoever handles a material: to wear, or to leave it to others.
SIGNS = ("respirator", "gloves", "goggles", "pregnant")


@dataclass(frozen=True, eq=False, repr=False)
class Material(Record):
    """One studio material, with the analysis that every answer uses."""

    id: str
    names: tuple[str, ...]
    oxides_wt_percent: dict[str, float]
    loi_percent: float
    source: str
    formula: str | None = None
    spread_wt_percent: dict[str, float] = field(default_factory=dict)
    dissolves: Dissolves = "no"
    melts_c: float = float("inf")  # turns liquid by itself; -inf for what is glass already
    melting: Melting = "stated"  # how ``melts_c`` is known
    melts_like: str = ""  # id of the material whose melting was taken, if it is “alike”
    grain: str = ""  # the kind of crystal it consists of, if it may stay undissolved
    d50_um: float | None = None  # half of its grains by weight are finer
    sieve_mesh: float | None = None  # the sieve it was ground to pass, meshes to the inch
    cautions: tuple[str, ...] = ()
    note: str = ""
    supplier: str = ""
    date: str = ""
    default_for: tuple[str, ...] = ()
    rare: bool = False  # hardly a potter has it on the shelf
    place: Place | None = None
    own: bool = False  # from the person's studio rather than shipped
    json_also: ClassVar = ("melts",)
    json_hides: ClassVar = ("melts_c", "place")
    json_inside: ClassVar = "id"

    def __post_init__(self) -> None:
        object.__setattr__(self, "oxides_wt_percent", Facts(self.oxides_wt_percent))
        object.__setattr__(self, "spread_wt_percent", Facts(self.spread_wt_percent))

    @property
    def melts(self) -> str | None:
        """“glass”, or “743 C”; None for what does not melt by itself, or not that anybody knows."""
        if self.melts_c == float("-inf"):
            return "glass"
        return None if self.melts_c == float("inf") else f"{self.melts_c:g} C"

    @property
    def name(self) -> str:
        return self.names[0]


@dataclass(frozen=True, eq=False)
class Part:
    """One line of a recipe: what the user wrote and the material it was read as."""

    written: str
    amount: float
    material: Material
    place: Place | None = None
    json_hides: ClassVar = ("place",)


@dataclass(frozen=True, eq=False, repr=False)
class Recipe(Record):
    """Base parts of any total, and additions per the same total."""

    id: str
    name: str
    base: tuple[Part, ...]
    additions: tuple[Part, ...]
    surface: Surface
    notes: str = ""
    fluorine_kept: float = 0.5
    undissolved: dict[str, float] = field(default_factory=dict)  # material id -> per cent of it
    crystals: dict[str, float] = field(default_factory=dict)  # kind -> weight per cent of the glaze
    ambiguous: tuple[tuple[Part, tuple[Material, ...]], ...] = ()
    upon: tuple[Recipe, ...] = ()  # recipes that it is made of
    place: Place | None = None
    known: ClassVar = True  # whether anybody knows what is in it
    json_hides: ClassVar[tuple[str, ...]] = ("ambiguous", "upon", "place")
    json_inside: ClassVar = "name"

    @property
    def parts(self) -> tuple[Part, ...]:
        return self.base + self.additions

    @property
    def base_total(self) -> float:
        return sum(p.amount for p in self.base)

    def percent(self, part: Part) -> float:
        """Per cent of the base total, for base and additions alike."""
        return 100.0 * part.amount / self.base_total


@dataclass(frozen=True, eq=False, repr=False)
class Body(Record):
    """A clay body; pairs are the 5 % and 95 % ends.

    ``alpha_1e6_per_k`` is the mean between ``range_c``; free silica, or its steps at 226 °C
    (cristobalite) and 573 °C (quartz) where they were measured, say how the strain runs within and
    beyond. With ``curve``, temperatures (°C, rising) and strains from 20 °C from a dilatometer,
    none of that counts.
    """

    id: str
    name: str
    names: tuple[str, ...]
    alpha_1e6_per_k: tuple[float, float]
    range_c: tuple[float, float]
    youngs_modulus_gpa: tuple[float, float]
    poisson: tuple[float, float]
    source: str
    cristobalite_step_percent: tuple[float, float] = (0.0, 0.0)
    quartz_step_percent: tuple[float, float] = (0.0, 0.0)
    curve: tuple[Array, Array] | None = None
    curve_error_percent: float = 3.0
    open_porosity_percent: tuple[float, float] | None = None
    moisture_expansion_percent: tuple[float, float] | None = None
    toughness_mpa_m05: tuple[float, float] = (0.5, 1.0)
    work_ratio: tuple[float, float] = (1.3, 3.0)  # work of breaking through over that of starting
    free_quartz_percent: tuple[float, float] = (5.0, 25.0)
    free_cristobalite_percent: tuple[float, float] = (0.0, 0.0)
    silica_added_percent: float = 0.0  # of the dry clay, by the potter; likewise grog
    grog_added_percent: float = 0.0
    bisque_c: float | None = None  # where it is not that of its kind
    kind_bisque_c: float = 1000.0  # for which the ranges stand
    flaws_per_mm: float | None = None  # that start cracks in a coat on it, if known from tiles
    onset_factor: tuple[float, float] | None = None  # on the stress that starts cracks; from tiles
    scatter_mpa: float = 8.0  # between pots that are made alike, 1 sd
    note: str = ""
    place: Place | None = None
    json_hides: ClassVar = ("place",)
    json_inside: ClassVar = "name"


@dataclass(frozen=True, eq=False)
class Segment:
    """One ramp and its hold; a rate of None means as fast as the kiln can."""

    rate_c_per_h: float | None
    target_c: float
    hold_min: float


@dataclass(frozen=True, eq=False)
class Pull:
    """``count`` moments at which ware leaves the kiln, the first ``after_min`` after the ramp of a
    segment ends; the lid is open for ``open_s`` each time."""

    name: str
    segment: int  # counts from 1
    after_min: float
    count: int = 1
    every_min: float = 0.0
    open_s: float = 0.0


@dataclass(frozen=True)
class Smoke:
    """What happens to a pot between the pull and the room: a time in still air, before a fan and
    under a mist of water, a time in a closed bin of paper or straw (or on and under sawdust, or
    buried in it), then left in air or quenched in water. The defaults are common practice."""

    air_s: float = 20.0
    bin_min: float = 30.0
    then: End = "air"
    assumed: bool = True
    fan_s: float = 0.0
    spray_s: float = 0.0
    bed: Bed = "bin"

    @property
    def before_bin_s(self) -> float:
        """How long the pot is out of kiln and bin."""
        return self.air_s + self.fan_s + self.spray_s


@dataclass(frozen=True)
class Steam:
    """A test in steam: bar above the air's pressure, and hours. The default is that of tiles (ISO
    10545-11, from memory)."""

    bar: float = 5.0
    hours: float = 2.0


@dataclass(frozen=True, eq=False, repr=False)
class Kiln(Record):
    """The kiln's speed, until it is learned from a log.

    Rates are those of the empty kiln with new elements; the lid's numbers are what the
    thermocouple shows.
    """

    name: str
    heating_c_per_h: float
    heating_at_top_c_per_h: float
    top_c: float
    cooling_half_time_h: float
    source: str
    fuel: Fuel = "electricity"
    power_kw: float | None = None
    volts: float | None = None  # at which it has that power
    wear: float = 0.0  # share of the power that old elements have lost
    lid_drop_c: float = 80.0
    lid_drop_s: float = 10.0
    lid_recovery_s: float = 60.0
    reads_off_c: float = 0.0  # ware less what the pyrometer shows
    top_to_bottom_c: float = 16.0
    json_inside: ClassVar = "name"


@dataclass(frozen=True)
class Supply:
    """What a kiln gets from its plug, and the circuit that it is on (None if not said) and needs
    (None if it is more than any)."""

    volts_at_kiln: float
    amps: float
    power_kw: float
    rated_kw: float
    rated_volts: float
    wear: float  # of the elements
    circuit_a: float | None
    needs_circuit_a: int | None


@dataclass(frozen=True, eq=False, repr=False)
class Firing(Record):
    """A whole firing with its pulls; without pulls the ware cools in the kiln."""

    id: str
    name: str
    segments: tuple[Segment, ...]
    pulls: tuple[Pull, ...]
    kiln: Kiln
    source: str
    ambient_c: float = 20.0
    load_kg: float = 0.0
    price_per_kwh: float | None = None
    smoke: Smoke = Smoke()
    notes: str = ""
    supply: Supply | None = None  # where it is not the rated one
    place: Place | None = None
    json_hides: ClassVar = ("place",)
    json_inside: ClassVar = "name"

    @property
    def peak_c(self) -> float:
        return max(s.target_c for s in self.segments)


@dataclass(frozen=True, eq=False)
class Caution:
    """A hazard: when it occurs, and what to do."""

    code: str
    severity: Severity
    act: tuple[str, ...]
    text: str
    source: str
    place: Path | None = None
    ghs: tuple[str, ...] = ()  # of GHS: what the supplier's label would show
    hazards: tuple[str, ...] = ()  # H statements, “H350i”
    unsettled: tuple[str, ...] = ()  # H statements that are notified or advised only
    signs: tuple[str, ...] = ()  # of SIGNS
    at_kiln: str = ""  # what to say at the kiln, where ``text`` speaks of powder
    short: str = ""  # for a label

    @property
    def called(self) -> str:
        return self.short or self.code.replace("-", " ")

    @property
    def whole(self) -> str:
        """All there is to say, where mixing and firing are not apart."""
        return f"{self.text} {self.at_kiln}".strip()

    @property
    def happens_at_kiln(self) -> bool:
        return bool({"firing", "lustre"} & set(self.act))

    @property
    def only_at_kiln(self) -> bool:
        return set(self.act) <= {"firing", "lustre"}

    json_hides: ClassVar = ("place",)
