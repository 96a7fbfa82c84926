"""What people want of a glaze, in words -> numbers to be met."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from cofire.chem.oxides import OXIDES
from cofire.errors import UnknownNameError, did_you_mean, refusal
from cofire.files.library import Library
from cofire.material_kinds import is_clay, is_soluble
from cofire.names import plain
from cofire.read.number import NUMBER, number, short
from cofire.read.units import millimetres, temperature_c
from cofire.records import Material, Recipe
from cofire.words import plain_digits

EXAMPLES = (
    "“expansion 7.2”, “crackle 8 mm”, “fits”, “ripe”, “ripe at 920 C”, “40 C lower”, "
    "“SiO2 at least 3”, “SiO2 +0.2”, “SiO2:Al2O3 8”, “kaolin at least 8 %”, “soluble at most 5 %”, "
    "“shivers at most 5 %”"
)
#: What a glaze may do with odds of its own: “shivers at most 5 %”.
MAY = ("shivers", "crazes")
#: Sums of oxides that the trade has a word for.
_SUMS = {"knao": ("K2O", "Na2O"), "r2o": ("Li2O", "Na2O", "K2O")}
#: Properties by name -> kind of target.
_PLAIN = {"expansion": "expansion", "stress": "stress", "crackle": "crackle",
          "black crackle": "black", "ripe": "ripe at", "ripe at": "ripe at",
          "shivers": "shivers", "crazes": "crazes", "liquidus": "liquidus", "loi": "loi",
          "cost": "cost"}  # fmt: skip
_OXIDE = {o.lower(): o for o in OXIDES}
#: Where a glaze may be asked to ripen or to be all molten, °C: far wider than kilns of low-fire
#: ware go; our choice.
COLDEST_C, HOTTEST_C = 300.0, 1600.0


#: What rounding to 0.1 of a part moves, as a share of what counts as a miss; our choice.
SLACK = 0.06


@dataclass(frozen=True, eq=False)
class Target:
    """A quantity and the range it should lie in. A miss of ``scale`` is as bad as any other's.

    ``kind`` is amount, share (of several materials), unity, ratio, weight, loi, cost, expansion,
    stress, crackle, black, ripe at, liquidus, fits, ripe, shivers or crazes. ``names`` are
    material ids or oxides.
    """

    text: str
    kind: str
    low: float
    high: float
    scale: float
    asked: str  # “at least 3”, “6 to 8 mm”
    names: tuple[str, ...] = ()
    below: tuple[str, ...] = ()  # oxides under the line of a ratio
    about: bool = False  # a number alone, met from a little below to a little above
    json_inside: ClassVar = "text"

    def miss(self, value: float) -> float:
        """By how many scales (at least 0) a value misses it; one if unknown."""
        if not np.isfinite(value):
            return 1.0
        return max(self.low - value, value - self.high, 0.0) / self.scale

    @property
    def _width(self) -> tuple[float, float]:
        """The tolerance beyond both ends, and how far inside them a search aims: a number alone is
        met about, an end not at all, and rounding to 0.1 of a part moves every value."""
        slack = SLACK * self.scale
        if self.high - self.low <= 2.0 * slack:
            return slack, 0.0
        return 1e-9 * self.scale, 0.0 if self.kind == "amount" else slack

    @property
    def aim(self) -> tuple[float, float]:
        """The range that a search aims at."""
        return self.low + self._width[1], self.high - self._width[1]

    def met_by(self, value: float) -> bool:
        return bool(self.low - self._width[0] <= value <= self.high + self._width[0])

    @property
    def what(self) -> str:
        """“expansion”, “SiO2:Al2O3”."""
        return self.text.removesuffix(self.asked).strip(" :=")


#: A number alone means it to about this (in the unit of its kind; crackle and ratios as a share).
_NEAR = {"expansion": 0.03, "stress": 2.0, "unity": 0.0005, "weight": 0.02, "ripe at": 2.0,
         "liquidus": 5.0, "amount": 0.0, "share": 0.0, "loi": 0.1,
         "cost": 0.005}  # fmt: skip
#: A distance of cracks alone means a net from half as coarse to twice as coarse: what people tell
#: apart at a glance, and about what one pot varies by. Our choice; logarithm.
_NET_WIDTH = float(np.log(2.0))
#: What counts as one miss, likewise; our choice: what a potter would notice.
_SCALE = {"expansion": 0.3, "stress": 15.0, "unity": 0.1, "weight": 2.0, "ripe at": 15.0,
          "liquidus": 30.0, "amount": 3.0, "share": 3.0, "loi": 2.0, "cost": 0.1,
          "shivers": 15.0, "crazes": 15.0}  # fmt: skip

_PATTERN = re.compile(
    rf"(?P<what>.+?)\s*(?P<how>at least|at most|about|near|between|from|at|[≥≤<>=]=?)?\s*"
    rf"(?P<first>{NUMBER})\s*(?P<unit1>[%°a-zA-Z/]*(?:e-6/K)?)"
    rf"(?:\s*(?:to|and|-|–)\s*(?P<second>{NUMBER})\s*(?P<unit2>[%°a-zA-Z/]*))?"
)


def at_peak(to_c: float) -> Target:
    """The target to be ripe at a peak, °C."""
    asked = f"at {to_c:.0f} C"
    return Target(f"ripe {asked}", "ripe at", to_c, to_c, _SCALE["ripe at"], asked)


def read_absolute(text: str, library: Library, recipe: Recipe) -> Target:
    """One target that does not depend on what the glaze is like now. Raises QuantityError for words
    it cannot read, UnknownNameError for names."""
    words = " ".join(plain_digits(short(text)).split())
    bare = words.lower()
    if bare in ("fits", "sits", "crackles", "stays"):
        return Target(words, "fits", 0.0, np.inf, 15.0, "")
    if bare == "ripe":
        return Target(words, "ripe", 0.0, np.inf, 0.3, "")
    match = _PATTERN.fullmatch(words)
    if not match:
        raise refusal("unreadable-target", text=text, examples=EXAMPLES)
    what, how = match["what"].strip().rstrip(":=").strip(), (match["how"] or "").strip()
    kind, names, below = subject(what, library, recipe, match["unit1"])
    read = _reader(kind, text)
    first = read(match["first"], match["unit1"] or (match["unit2"] or ""))
    if match["second"]:
        low, high = sorted((first, read(match["second"], match["unit2"] or match["unit1"])))
    elif how in ("at least", "≥", ">=", ">"):
        low, high = first, np.inf
    elif how in ("at most", "≤", "<=", "<"):
        low, high = -np.inf, first
    else:
        low, high = _about(kind, first)
    if kind in ("amount", "share", "weight", "loi") and not (low <= 100.0 and high >= 0.0):
        raise refusal("share-beyond-100", text=text, hint=EXAMPLES)
    if kind in MAY and not (low == -np.inf and np.isfinite(high)):
        raise refusal("odds-in-per-cent", text=text, what=kind)
    scale = _SCALE.get(kind, 0.15)
    if kind == "ratio":
        scale = max(0.1 * max(abs(v) for v in (low, high) if np.isfinite(v)), 0.1)
    asked = words[len(match["what"]) :].strip(" :=")
    about = not match["second"] and np.isfinite(high - low)
    return Target(words, kind, low, high, scale, asked, names, below, bool(about))


def _about(kind: str, value: float) -> tuple[float, float]:
    if kind in MAY:
        return value, value
    if kind in ("crackle", "black"):  # as a logarithm: from half as far apart to twice
        return value - _NET_WIDTH, value + _NET_WIDTH
    if kind == "ratio":
        return value, value
    near = _NEAR[kind]
    return value - near, value + near


def _reader(kind: str, text: str) -> Callable[[str, str], float]:
    def read(said: str, unit: str) -> float:
        if kind in ("crackle", "black"):
            mm = millimetres(f"{said} {unit}")
            if not 0.3 <= mm <= 100.0:
                raise refusal("no-net-of-cracks", text=text, mm=mm)
            return float(np.log(mm))
        if kind in ("ripe at", "liquidus"):
            celsius = temperature_c(f"{said} {unit}")
            if not COLDEST_C <= celsius <= HOTTEST_C:
                raise refusal("no-kiln-so-hot", text=text, least=COLDEST_C, most=HOTTEST_C)
            return celsius
        value = float(number(said))
        if kind in MAY:
            if unit != "%" or not 0.1 <= value <= 99.0:
                raise refusal("odds-in-per-cent", text=text, what=kind)
            return 0.01 * value
        if kind == "expansion":
            value = 1e6 * value if abs(value) < 0.1 else value
            if not 1.0 <= value <= 20.0:
                raise refusal("impossible-expansion-of-glaze", text=text)
        if kind == "stress" and unit.lower() not in ("", "mpa"):
            raise refusal("stress-in-mpa", text=text)
        if kind in ("amount", "share", "weight", "loi") and unit not in ("", "%"):
            raise refusal("target-in-per-cent", text=text, hint=EXAMPLES)
        if kind == "cost" and (unit not in ("", "/") or value < 0.0):
            raise refusal("target-in-money", text=text)
        if kind in ("unity", "ratio") and (unit or value < 0.0):
            raise refusal("target-in-moles", text=text, hint=EXAMPLES)
        return value

    return read


def subject(
    what: str, library: Library, recipe: Recipe, unit: str
) -> tuple[str, tuple[str, ...], tuple[str, ...]]:
    """The kind of a target, its names, and the names in the denominator."""
    word = what.lower()
    if word in _PLAIN:
        return _PLAIN[word], (), ()
    if word in ("clay", "soluble"):
        chosen = is_clay if word == "clay" else is_soluble
        return "share", tuple(m.id for m in library.materials.values() if chosen(m)), ()
    if ":" in word:
        top, bottom = (_oxides(side) for side in word.split(":", 1))
        if top and bottom:
            return "ratio", top, bottom
    parts = _oxides(word)
    if parts:
        return ("weight" if unit == "%" else "unity"), parts, ()
    return "amount", (material_meant(what, library, recipe).id,), ()


def _oxides(word: str) -> tuple[str, ...]:
    """“na2o+k2o”, “knao” -> oxides; nothing for other words."""
    word = word.strip()
    parts = _SUMS.get(word) or tuple(_OXIDE.get(w.strip(), "") for w in word.split("+"))
    return parts if all(parts) else ()


def material_meant(name: str, library: Library, recipe: Recipe) -> Material:
    """The recipe's own material of that name, or else the library's. Raises UnknownNameError."""
    for part in recipe.parts:
        if plain(name) in (plain(n) for n in (part.written, part.material.id)):
            return part.material
    try:
        material, _ = library.material(name)
    except UnknownNameError as error:
        raise refusal(
            "no-such-property",
            called=name,
            hint=did_you_mean(name, (*_PLAIN, "clay", "soluble")) or error.hint or EXAMPLES,
        ) from None
    return material
