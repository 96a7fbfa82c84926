"""How ware cools: in its kiln, or pulled red-hot through air, smoke and water."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np

from cofire.arrays import Array
from cofire.firing.wall import INSIDE_OF_POT, Stay, WallPath, wall_path
from cofire.read.units import show_temperature
from cofire.records import Bed, Firing, Shape, Smoke

#: Cooling of a closed small kiln through 600-500 °C by default; common practice,
#: no source.
ASSUMED_KILN_C_PER_H = 100.0
#: A pull is hot enough for any glaze to be soft; taken when no firing says from where.
_ASSUMED_PULL_C = 900.0
#: Long enough for any pot to get cold, s.
_COLD_S = 20_000.0
#: Where glazes set, °C, and one temperature to speak of.
_GRID_C = np.arange(300.0, 901.0, 15.0)
_SPOKEN_C = 555.0


class Way(NamedTuple):
    """What is done with a pulled pot, and how hot it is when it leaves the kiln, °C."""

    from_c: float
    smoke: Smoke


#: Paths that were followed lately, and how many are kept: a search for another firing needs some
#: tens.
_KNOWN: dict[tuple[Way, float, Shape, tuple[tuple[float, float], ...]], WallPath] = {}
_MOST_KNOWN = 128


@dataclass(frozen=True, eq=False)
class Cooling:
    """How fast ware cools while the glaze sets, K/s over the range (T,), and in words; pulled ware
    also has a path through its wall, and what was done with it."""

    c_per_s: Array
    t_c: Array
    words: str
    path: WallPath | None = None
    smoke: Smoke | None = None


def pulled_paths(
    ways: Sequence[Way],
    wall_mm: float,
    shape: Shape,
    heat: tuple[tuple[float, float], ...] = ((1.0, 1.0),),
) -> list[WallPath]:
    """Walls (K, ...) from the kiln to the room, for each of some ways. Their ends are those of air,
    of the bin, and cold; each wall loses its ``heat`` (K) in air and in the bin over that of the
    middle one. What was followed lately is known, and many at once cost little more than one."""
    keys = [(way, wall_mm, shape, heat) for way in ways]
    found = {key: _KNOWN[key] for key in keys if key in _KNOWN}
    new = [key for key in dict.fromkeys(keys) if key not in found]
    kinds = {(way.smoke.bed, way.smoke.then) for way, *_ in new}
    for kind in kinds:
        some = [key for key in new if (key[0].smoke.bed, key[0].smoke.then) == kind]
        each = [way for way, *_ in some for _ in heat]
        whole = _whole(each, wall_mm, shape, *np.tile(np.array(heat).T, len(some)))
        rows = np.arange(len(each)).reshape(len(some), len(heat))
        found |= {key: whole[row] for key, row in zip(some, rows, strict=True)}
    if len(_KNOWN) + len(new) > _MOST_KNOWN:
        _KNOWN.clear()
    _KNOWN.update(found)
    return [found[key] for key in keys]


def other_walls(walls_mm: tuple[float, ...], way: Way, shape: Shape) -> list[WallPath]:
    """The middle paths of walls of other thickness."""
    whole = _whole([way] * len(walls_mm), np.array(walls_mm), shape)
    return [whole[k] for k in range(len(walls_mm))]


def _whole(
    ways: Sequence[Way],
    wall_mm: Array | float,
    shape: Shape,
    air: Array | float = 1.0,
    bin_: Array | float = 1.0,
) -> WallPath:
    """Each way (K,) of one kind of bin and one end, in its own wall with its own losses."""
    ((bed, then),) = {(way.smoke.bed, way.smoke.then) for way in ways}

    def lasts(name: str) -> Array:
        return np.array([getattr(way.smoke, name) for way in ways])

    treated = lasts("fan_s") + lasts("spray_s") + lasts("bin_min") > 0.0
    air_s = np.where(treated | (then == "water"), lasts("air_s"), 0.0)  # else air to the end
    whole = wall_path(
        wall_mm,
        np.array([way.from_c for way in ways]),
        (
            Stay("air", air_s, air),
            Stay("fan", lasts("fan_s"), air),
            Stay("spray", lasts("spray_s"), air),
            Stay(bed, 60.0 * lasts("bin_min"), bin_),
            Stay(then, _COLD_S, 1.0 if then == "water" else air),
        ),
        1.0 if shape == "tile" else INSIDE_OF_POT,
    )
    return replace(whole, ends=whole.ends[2:])


def pulled_path(wall_mm: float, from_c: float, smoke: Smoke, shape: Shape) -> WallPath:
    """The middle wall (mm) from the kiln to the room."""
    (path,) = pulled_paths([Way(from_c, smoke)], wall_mm, shape)
    return path[0]


def pulled(
    wall_mm: float,
    from_c: float,
    smoke: Smoke,
    shape: Shape = "pot",
    kiln_c_per_s: Array | float = ASSUMED_KILN_C_PER_H / 3600.0,
) -> Cooling:
    """Cooling of a pot pulled at ``from_c``; above that it cooled with its kiln."""
    return along(pulled_path(wall_mm, from_c, smoke, shape), smoke, kiln_c_per_s)


def along(
    path: WallPath, smoke: Smoke, kiln_c_per_s: Array | float = ASSUMED_KILN_C_PER_H / 3600.0
) -> Cooling:
    """The same for a path that is known."""
    from_c = float(path.skin_c[0])
    # a chilled face warms up again in the bin: the last time at each temperature counts
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


#: Where a pot smokes, in words.
BED_WORDS: dict[Bed, str] = {
    "bin": "in the bin",
    "sawdust": "in sawdust",
    "buried": "buried in sawdust",
}


def smoke_words(smoke: Smoke) -> str:
    """“15 s in air, 30 min in the bin (assumed)”."""
    parts = []
    if smoke.air_s > 0.0:
        parts.append(f"{lasting(smoke.air_s)} in air")
    if smoke.fan_s > 0.0:
        parts.append(f"{lasting(smoke.fan_s)} before a fan")
    if smoke.spray_s > 0.0:
        parts.append(f"{lasting(smoke.spray_s)} under a spray")
    if smoke.bin_min > 0.0:
        parts.append(f"{lasting(60.0 * smoke.bin_min)} {BED_WORDS[smoke.bed]}")
    if smoke.then == "water":
        parts.append("quenched in water")
    elif smoke.bin_min <= 0.0:
        parts = [*parts[1:], "left in air"] if smoke.air_s > 0.0 else [*parts, "left in air"]
    return ", ".join(parts) + (" (assumed)" if smoke.assumed else "")


def kiln_cooling(c_per_h: float, words: str) -> Cooling:
    """An even rate."""
    return Cooling(np.full_like(_GRID_C, c_per_h / 3600.0), _GRID_C, words)


def pull_c(firing: Firing) -> float:
    """At what temperature the first ware is pulled."""
    if not firing.pulls:
        return _ASSUMED_PULL_C
    first = min(firing.pulls, key=lambda pull: (pull.segment, pull.after_min))
    return firing.segments[first.segment - 1].target_c + firing.kiln.reads_off_c


def cooling_of(
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
        return pulled(wall_mm, pull_c(firing), how or firing.smoke, shape, rate)
    speed = 3600.0 * float(np.interp(_SPOKEN_C, _GRID_C, rate))
    return Cooling(
        rate, _GRID_C, f"cools in the kiln (about {speed:.0f} °C/h at {_SPOKEN_C:.0f} °C)"
    )
