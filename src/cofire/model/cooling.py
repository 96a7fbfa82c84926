"""How ware cools: in its kiln, or pulled red-hot through air, smoke and water."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from cofire.arrays import Array
from cofire.errors import QuantityError
from cofire.firing.wall import Stay, WallPath, wall_path
from cofire.read.units import minutes, rate_c_per_h, show_temperature
from cofire.records import Firing, Shape, Smoke

#: Cooling of a closed small kiln through 600-500 °C when nothing is said; common practice,
#: no source.
ASSUMED_KILN_C_PER_H = 100.0
#: A pull is hot enough for any glaze to be soft; taken when no firing says from where.
_ASSUMED_PULL_C = 900.0
#: Long enough for any pot to get cold, s.
_COLD_S = 20_000.0
#: Heat that the inner face of a hollow pot loses in air, over that of the outer: some of it sees
#: out of the mouth; from memory. A tile has two outer faces.
INSIDE_OF_POT = 0.5
#: Where glazes set, °C, and one temperature to speak of.
_GRID_C = np.arange(300.0, 901.0, 15.0)
_SPOKEN_C = 555.0

EXAMPLE = "“100 C/h” for a kiln, or “20 s air, 30 min bin, water” for pulled ware"


@dataclass(frozen=True, eq=False)
class Cooling:
    """How fast ware cools while the glaze sets, K/s over the range (T,), and in words; pulled ware
    also has a path through its wall, and what was done with it."""

    c_per_s: Array
    t_c: Array
    words: str
    path: WallPath | None = None
    smoke: Smoke | None = None


@lru_cache(maxsize=64)
def pulled_path(wall_mm: float, from_c: float, smoke: Smoke, shape: Shape) -> WallPath:
    """A wall (mm) from the kiln to the room."""
    return wall_path(
        wall_mm,
        from_c,
        (
            Stay("air", smoke.air_s),
            Stay("bin", 60.0 * smoke.bin_min),
            Stay(smoke.then, _COLD_S),
        ),
        1.0 if shape == "tile" else INSIDE_OF_POT,
    )


def pulled(
    wall_mm: float,
    from_c: float,
    smoke: Smoke,
    shape: Shape = "pot",
    kiln_c_per_s: Array | float = ASSUMED_KILN_C_PER_H / 3600.0,
) -> Cooling:
    """Cooling of a pot pulled at ``from_c``; above that it cooled with its kiln."""
    path = pulled_path(wall_mm, from_c, smoke, shape)
    # a face that was chilled warms up again in the bin: what counts is when it is cold for good
    latest = np.maximum.accumulate(path.skin_c[::-1])[::-1]
    when = np.interp(-_GRID_C, -latest, path.time_s)
    rate = 1.0 / np.maximum(-np.gradient(when, _GRID_C), 1e-4)
    rate = np.where(from_c - 15.0 > _GRID_C, rate, kiln_c_per_s)
    speed = float(np.interp(_SPOKEN_C, _GRID_C, rate))
    what = f"pulled at {show_temperature(from_c)}, {smoke_words(smoke)}"
    if from_c > _SPOKEN_C + 15.0:
        what += f"; {speed:.1f} °C a second at {_SPOKEN_C:.0f} °C"
    return Cooling(rate, _GRID_C, what, path, smoke)


def lasting(seconds: float) -> str:
    """“45 s”, “2 min”, “6 h”."""
    if seconds < 60.0:
        return f"{seconds:g} s"
    return f"{seconds / 60.0:g} min" if seconds < 5400.0 else f"{seconds / 3600.0:.3g} h"


def smoke_words(smoke: Smoke) -> str:
    """“15 s in air, 30 min in the bin (assumed)”."""
    parts = []
    if smoke.air_s > 0.0:
        parts.append(f"{lasting(smoke.air_s)} in air")
    if smoke.bin_min > 0.0:
        parts.append(f"{lasting(60.0 * smoke.bin_min)} in the bin")
    if smoke.then == "water":
        parts.append("quenched in water")
    elif smoke.bin_min <= 0.0:
        parts = ["left in air"]
    return ", ".join(parts) + (" (assumed)" if smoke.assumed else "")


def kiln_cooling(c_per_h: float, words: str) -> Cooling:
    """An even rate."""
    return Cooling(np.full_like(_GRID_C, c_per_h / 3600.0), _GRID_C, words)


def from_c_of(firing: Firing) -> float:
    """At what temperature the first ware is pulled."""
    if not firing.pulls:
        return _ASSUMED_PULL_C
    first = min(firing.pulls, key=lambda pull: (pull.segment, pull.after_min))
    return firing.segments[first.segment - 1].target_c + firing.kiln.reads_off_c


def cooling(
    firing: Firing | None, wall_mm: float, how: Smoke | float | None = None, shape: Shape = "pot"
) -> Cooling:
    """Pulled ware cools in air, smoke and water, other ware with the kiln; ``how`` (as
    ``read_cooling`` gives it) comes before the firing's own. Assumed, and so called, when nothing
    is known."""
    if isinstance(how, float):
        return kiln_cooling(how, f"cools at {how:g} °C/h, as you said")
    if firing is None:
        if how is not None:
            return pulled(wall_mm, _ASSUMED_PULL_C, how, shape)
        return kiln_cooling(
            ASSUMED_KILN_C_PER_H,
            f"cooling assumed: in the kiln at {ASSUMED_KILN_C_PER_H:.0f} °C/h; name a --firing "
            "for your own",
        )
    half_time_s = 3600.0 * firing.kiln.cooling_half_time_h
    rate = np.log(2.0) / half_time_s * (_GRID_C - firing.ambient_c)
    if how is not None or firing.pulls:
        return pulled(wall_mm, from_c_of(firing), how or firing.smoke, shape, rate)
    speed = 3600.0 * float(np.interp(_SPOKEN_C, _GRID_C, rate))
    return Cooling(
        rate, _GRID_C, f"cools in the kiln (about {speed:.0f} °C/h at {_SPOKEN_C:.0f} °C)"
    )


_STAY = re.compile(r"(?P<time>.*?\S)\s+(?:in\s+)?(?:the\s+)?(?P<where>air|bin|smoke)\s*")


def read_cooling(text: str) -> Smoke | float:
    """“100 C/h”, or what happens to a pulled pot in its order: air, bin, then air or water.

    Raises QuantityError.
    """
    words = [w.strip().lower() for w in text.split(",")]
    if "/" in text:
        rate = rate_c_per_h(text)
        if not 1.0 <= rate <= 3000.0:
            raise QuantityError(
                f"ware does not cool in a kiln at {rate:g} °C/h.", hint=f"Write {EXAMPLE}."
            )
        return rate
    air_s, bin_min, then = 0.0, 0.0, None
    stage = 0
    for word in words:
        word = word.removeprefix("then ").strip()
        if word in ("water", "quench", "into water"):
            then, now = "water", 3
        elif word == "air":
            then, now = "air", 3
        else:
            found = _STAY.fullmatch(word)
            if not found:
                raise QuantityError(f"“{word}” is not a way to cool.", hint=f"Write {EXAMPLE}.")
            lasts = minutes(found["time"])
            now = 1 if found["where"] == "air" else 2
            if not 0.0 <= lasts <= 24.0 * 60.0:
                raise QuantityError(f"“{word}” is no time a pot waits.", hint=f"Write {EXAMPLE}.")
            if now == 1:
                air_s = 60.0 * lasts
            else:
                bin_min = lasts
        if now <= stage:
            raise QuantityError(
                f"“{text}” is not in order: first air, then the bin, then air or water.",
                hint=f"Write {EXAMPLE}.",
            )
        stage = now
    return Smoke(air_s, bin_min, "water" if then == "water" else "air", assumed=False)
