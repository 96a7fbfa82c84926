"""Where glazes are used: body, firing, pot, coats, and how sure an answer has to be.

Read and checked here once, for the command line and for Python alike.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any, ClassVar, TypedDict, Unpack, get_args

from cofire.errors import refusal
from cofire.files.library import Library, Named
from cofire.firing.supply import supplied
from cofire.model.body_draws import BodyDraws, draw_body
from cofire.model.clay import fired_to
from cofire.model.cooling import Cooling, cooling_of
from cofire.model.schedule import Moment, moments
from cofire.most import at_most
from cofire.read.coat import DEFAULT as ASSUMED_COAT
from cofire.read.coat import Coat, read_coats
from cofire.read.cooling import read_cooling
from cofire.read.number import quantity_text
from cofire.read.steam import read_steam
from cofire.read.units import amperes, cable, grams, millimetres, volts
from cofire.records import Body, Firing, Kiln, Shape, Smoke, Steam
from cofire.ripeness.judge import DEFAULT as CRITERIA
from cofire.ripeness.judge import Criteria

STEAM = Steam()
#: Error of a thermocouple and its meter, 1 sd, °C: a type K of class 2 may be off by 0.75 % of the
#: reading (IEC 60584-1), 7 °C at 930 °C.
PYROMETER_SD_C = 7.0
#: Top and bottom of a kiln are this many standard deviations apart, and °C where no kiln is named;
#: common practice, no source.
_TOP_TO_BOTTOM_SD, _TOP_TO_BOTTOM_C = 4.0, 16.0
#: Walls that a pot may have, mm; our choice, as all limits here without a source.
_WALL_MM = (0.5, 60.0)
#: How sure a yes may have to be.
_ODDS = (0.5, 0.999)
#: Ages to which the growth of clay in moist air is known (``fit.stress.grown``).
_HORIZON_YEARS = (0.1, 58.0)
#: Weight that a studio kiln may hold, kg, and prices of a kWh that are believed.
MOST_LOAD_KG, _MOST_PRICE = 2000.0, 1000.0
#: Volts, amperes of a circuit, metres and mm² of a cable that are believed.
_SUPPLY = ((80.0, 500.0), (5.0, 200.0), (0.0, 300.0), (0.5, 50.0))


# Conditions as people write them. Quantities are text, or numbers under a name with the unit.


class KilnOptions(TypedDict, total=False):
    """What changes a firing."""

    kiln: Named | Kiln | None
    load: str | None
    load_kg: float | None
    volts: str | None
    volts_v: float | None
    amps: str | None
    amps_a: float | None
    cable: str | None


class WallOptions(TypedDict, total=False):
    wall: str | None
    wall_mm: float | None


class CoatOptions(TypedDict, total=False):
    coat: str | None
    coat_mm: float | None  # fired


class CoolingOptions(TypedDict, total=False):
    shape: Shape
    cooling: str | None
    cooling_c_per_h: float | None


class PulledOptions(KilnOptions, WallOptions, total=False):
    """Of ware that is pulled."""

    after: Sequence[Named | Firing]


class FiringOptions(PulledOptions, CoatOptions, total=False):
    """Of a firing over time."""

    price_per_kwh: float | None


class TileOptions(PulledOptions, CoolingOptions, total=False):
    """Of fired tiles, whose coats are their own."""


class JudgedOptions(TileOptions, CoatOptions, total=False):
    """By which glazes are judged, beside body and firing."""

    odds: float
    horizon_years: float


class FitOptions(JudgedOptions, total=False):
    steam: str | None


class PairOptions(JudgedOptions, total=False):
    clear_foot: str | None
    clear_foot_mm: float | None
    ripple: str | None
    ripple_mm: float | None
    grain: str | None
    grain_mm: float | None


class PlacedOptions(JudgedOptions, total=False):
    """The same with body and firing, which are named as recipes are."""

    body: Named | Body | None
    firing: Named | Firing | None


class Asked(PlacedOptions, FitOptions, PairOptions, FiringOptions, total=False):
    """All of them."""


#: Conditions that are quantities: the unit in which they can be numbers, and one as text.
_QUANTITIES = {
    "load": ("kg", "12 kg"), "wall": ("mm", "6 mm"), "cooling": ("C/h", "100 C/h"),
    "coat": ("mm", "0.25 mm fired"), "clear_foot": ("mm", "6 mm"), "ripple": ("mm", "2.5 mm"),
    "grain": ("mm", "0.025 mm"), "volts": ("V", "207 V"), "amps": ("A", "16 A"),
}  # fmt: skip


@dataclass(frozen=True, eq=False)
class Conditions:
    """``coats`` holds one coat for all glazes, or one for each in the order of layers, the first on
    the clay. ``cooling_asked`` is °C/h in a kiln, or what a pulled pot goes through; it comes
    before the firing's own. ``horizon_years`` is how long a glaze has to stay whole.
    ``steam`` is a test to foretell. ``earlier`` are the firings that the pot has been through, in
    their order.

    Raises QuantityError for what no pot, coat or person can have.
    """

    body: Body | None = None
    firing: Firing | None = None
    wall_mm: float = 6.0
    shape: Shape = "pot"
    cooling_asked: Smoke | float | None = None
    coats: tuple[Coat, ...] = (ASSUMED_COAT,)
    odds: float = 0.8
    horizon_years: float = 1.0
    steam: Steam = STEAM
    criteria: Criteria = CRITERIA
    earlier: tuple[Firing, ...] = ()
    json_also: ClassVar = ("odds_asked", "coat_fired_mm", "coat_reading", "cooling")
    json_hides: ClassVar = ("cooling_asked", "coats", "odds", "criteria", "steam")

    def __post_init__(self) -> None:
        thickest_mm = max((coat.fired_mm for coat in self.coats), default=0.0)
        by = self.criteria
        for possible, name in (  # NaN is refused too
            (_ODDS[0] <= self.odds <= _ODDS[1], "odds-asked"),
            (_HORIZON_YEARS[0] <= self.horizon_years <= _HORIZON_YEARS[1], "horizon"),
            (self.shape in get_args(Shape), "shape"),
            (_WALL_MM[0] <= self.wall_mm <= _WALL_MM[1], "wall"),
            (self.coats, "no-coat"),
            (thickest_mm <= self.wall_mm, "coat-thicker-than-wall"),
            (0.1 <= by.run_limit_mm <= 100.0, "clear-foot"),
            (0.2 <= by.ripple_mm <= 30.0 and 0.5 <= by.grain_radius_um <= 500.0, "ripple-or-grain"),
        ):
            if not possible:
                shapes = ", ".join(get_args(Shape))
                raise refusal(name, at=self, coat_mm=thickest_mm, shapes=shapes)

    @classmethod
    def read(cls, library: Library, **asked: Unpack[Asked]) -> Conditions:
        """Conditions from what people write. Raises CofireError where one of them is wrong."""
        _only_known(asked)
        body, shape = asked.get("body"), asked.get("shape", cls.shape)
        texts = {
            name: quantity_text(asked, name, unit, example)
            for name, (unit, example) in _QUANTITIES.items()
        }
        wall, cooling_text, coat = texts["wall"], texts["cooling"], texts["coat"]
        if asked.get("coat_mm") is not None:
            coat = f"{coat} fired"
        return cls(
            body=None if body is None else library.body(body),
            firing=_supplied(_firing(library, asked, texts["load"]), asked, texts),
            wall_mm=cls.wall_mm if wall is None else millimetres(wall),
            shape=shape,
            cooling_asked=None if cooling_text is None else read_cooling(cooling_text),
            coats=cls.coats if coat is None else read_coats(coat),
            odds=_number(asked.get("odds", cls.odds), "odds", "0.8"),
            horizon_years=_number(
                asked.get("horizon_years", cls.horizon_years), "horizon_years", "1"
            ),
            steam=cls.steam if asked.get("steam") is None else read_steam(str(asked["steam"])),
            criteria=_criteria(texts),
            earlier=_earlier(library, asked),
        )

    def coat(self, layer: int) -> Coat:
        """The coat of a layer, counted from 0 on the clay."""
        return self.coats[layer if len(self.coats) > 1 else 0]

    @property
    def odds_asked(self) -> float:
        return self.odds

    @property
    def coat_fired_mm(self) -> float:
        """Of the first glaze."""
        return self.coats[0].fired_mm

    @property
    def coat_reading(self) -> str:
        """How the first glaze's coat was understood."""
        return self.coats[0].reading

    @property
    def cooling(self) -> str | None:
        """How ware cools, where there is a body to cool."""
        return self.cooling_curve.words if self.body else None

    def for_glazes(self, count: int) -> Conditions:
        """The same; raises QuantityError unless there is one coat, or one for each of ``count``
        glazes."""
        if len(self.coats) not in (1, count):
            raise refusal("coats-and-glazes", coats=len(self.coats), glazes=count)
        return self

    @property
    def place_sd_c(self) -> float:
        """How unsure the temperature of one place in the kiln is, 1 sd, °C."""
        top_to_bottom_c = self.firing.kiln.top_to_bottom_c if self.firing else _TOP_TO_BOTTOM_C
        return top_to_bottom_c / _TOP_TO_BOTTOM_SD

    @cached_property
    def when(self) -> tuple[Moment, ...]:
        """The first and the last load; nothing without a firing."""
        return tuple(moments(self.firing, self.wall_mm, self.earlier)) if self.firing else ()

    @cached_property
    def cooling_curve(self) -> Cooling:
        """How ware cools while its glaze sets."""
        return cooling_of(self.firing, self.wall_mm, self.cooling_asked, self.shape)

    @cached_property
    def body_draws(self) -> BodyDraws | None:
        """Draws of the body, as it is after all its firings."""
        return draw_body(self._fired_body) if self._fired_body else None

    @property
    def _fired_body(self) -> Body | None:
        firings = (*self.earlier, self.firing) if self.firing else self.earlier
        if self.body is None or not firings:
            return self.body
        return fired_to(self.body, max(one.peak_c + one.kiln.reads_off_c for one in firings))

    def in_firing(self, firing: Firing) -> Conditions:
        """The same in another firing."""
        there = self._with(("body_draws",), firing=firing)
        before, after = self._fired_body, there._fired_body
        if before and after and before.bisque_c != after.bisque_c:
            there.__dict__.pop("body_draws", None)
        return there

    def with_coat(self, coat: Coat) -> Conditions:
        """The same under another coat."""
        return self._with(("body_draws", "when", "cooling_curve"), coats=(coat,))

    def with_wall(self, wall_mm: float) -> Conditions:
        """The same in another wall."""
        return self._with(("body_draws",), wall_mm=wall_mm)

    def with_cooling(self, how: Smoke) -> Conditions:
        """The same, but that pulled ware goes through this."""
        return self._with(("body_draws", "when"), cooling_asked=how)

    def with_body(self, body: Body) -> Conditions:
        """The same on another body."""
        return self._with(("when", "cooling_curve"), body=body)

    def with_draws(self, body_draws: BodyDraws | None) -> Conditions:
        """The same with other draws of the body, such as a few of them."""
        same = replace(self)
        same.__dict__.update(
            when=self.when, cooling_curve=self.cooling_curve, body_draws=body_draws
        )
        return same

    def only(self, *, fit: bool, ripeness: bool) -> Conditions:
        """The same, but that fit or ripeness are not asked; ware still cools as it would."""
        kept = self._with(("cooling_curve", "when", "body_draws"), body=self.body if fit else None)
        kept.__dict__.update(
            {"cooling_curve": self.cooling_curve} | ({} if ripeness else {"when": ()})
        )
        if not fit:
            kept.__dict__["body_draws"] = None
        return kept

    def _with(self, known: tuple[str, ...], **changes: Any) -> Conditions:
        """The same with changes; what is ``known`` already and does not depend on them is kept."""
        changed = replace(self, **changes)
        changed.__dict__.update({k: v for k, v in self.__dict__.items() if k in known})
        return changed


def _only_known(asked: Mapping[str, object]) -> None:
    known = Asked.__annotations__
    for name in asked:
        if name not in known:
            raise refusal("unknown-condition", name=name, known=", ".join(known))


def _number(value: object, what: str, example: str) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise refusal("not-a-number", what=what, example=example)
    return float(value)


def _firing(library: Library, asked: Asked, load: str | None) -> Firing | None:
    """The firing named, perhaps in another kiln, with another load or price of a kWh."""
    named, kiln, price = asked.get("firing"), asked.get("kiln"), asked.get("price_per_kwh")
    if named is None:
        if kiln is not None or load is not None:
            raise refusal("kiln-without-firing")
        return None
    firing = library.firing(named)
    load_kg = firing.load_kg if load is None else grams(load) / 1000.0
    if not 0.0 <= load_kg <= MOST_LOAD_KG:
        raise refusal("load", load_kg=load_kg)
    if price is not None and not 0.0 <= _number(price, "price_per_kwh", "0.30") <= _MOST_PRICE:
        raise refusal("price-of-kwh", price=price)
    return replace(
        firing,
        kiln=firing.kiln if kiln is None else library.kiln(kiln),
        load_kg=load_kg,
        price_per_kwh=firing.price_per_kwh if price is None else float(price),
    )


def _earlier(library: Library, asked: Asked) -> tuple[Firing, ...]:
    """Firings before the one that is asked about."""
    named = asked.get("after", ())
    if named and asked.get("firing") is None:
        raise refusal("after-without-firing")
    at_most("firings of one pot", len(named))
    return tuple(library.firing(one) for one in named)


def _supplied(
    firing: Firing | None, asked: Asked, texts: Mapping[str, str | None]
) -> Firing | None:
    """The firing on other volts, another circuit or behind a cable."""
    said, of, behind = texts["volts"], texts["amps"], asked.get("cable")
    if said is None and of is None and behind is None:
        return firing
    if firing is None:
        raise refusal("kiln-without-firing")
    kiln = firing.kiln
    length_m, mm2 = (0.0, 1.0) if behind is None else cable(behind)
    # the option is called by its unit, so that the number alone says it all
    on = None if said is None else volts(f"{said} V" if said[-1:].isdigit() else said)
    circuit_a = None if of is None else amperes(f"{of} A" if of[-1:].isdigit() else of)
    for value, (least, most) in zip((on, circuit_a, length_m, mm2), _SUPPLY, strict=True):
        if value is not None and not least <= value <= most:
            raise refusal(
                "supply-beyond", volts=on or 0.0, amps=circuit_a or 0.0, length_m=length_m, mm2=mm2
            )
    if kiln.fuel != "electricity" or kiln.power_kw is None or kiln.volts is None:
        why = "it burns gas" if kiln.fuel == "gas" else "its power or its volts are not known"
        raise refusal("supply-unknown", kiln=kiln.name, why=why)
    got = supplied(kiln.power_kw, kiln.volts, kiln.wear, on, circuit_a, length_m, mm2)
    lacks = 1.0 - got.power_kw / kiln.power_kw
    return replace(firing, kiln=replace(kiln, wear=lacks), supply=got)


def _criteria(texts: Mapping[str, str | None]) -> Criteria:
    changed = {
        field: factor * millimetres(text)
        for field, factor, text in (
            ("run_limit_mm", 1.0, texts["clear_foot"]),
            ("ripple_mm", 1.0, texts["ripple"]),
            ("grain_radius_um", 1000.0, texts["grain"]),
        )
        if text is not None
    }
    return replace(CRITERIA, **changed)
