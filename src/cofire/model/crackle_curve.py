"""Crack patterns of a pulled pot by time in air and in the bin."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import ClassVar

from cofire.firing.wall import WallPath
from cofire.model.conditions import Conditions
from cofire.model.cooling import Way, along, pulled_paths
from cofire.model.crackle import CrackPattern, crack_patterns
from cofire.model.fit import FitDraws, set_points_c
from cofire.model.glaze_draws import GlazeDraws
from cofire.model.ripening import fired
from cofire.model.smoke import Walls, pulled_stress, walls
from cofire.records import Smoke

#: Times in air (s) and in the bin (min) that a potter chooses from.
_AIR_S = (0.0, 15.0, 30.0, 60.0, 120.0, 240.0)
_BIN_MIN = (5.0, 10.0, 15.0, 20.0, 30.0, 60.0)
#: Draws for each of them, the same for all so that they change smoothly.
_SOME = 1024


@dataclass(frozen=True, eq=False)
class Handling:
    """One way to treat a pulled pot, the net that is black from it, and the whole net."""

    smoke: Smoke
    black: CrackPattern
    whole: CrackPattern
    json_spreads: ClassVar = ("smoke",)


@dataclass(frozen=True, eq=False)
class CrackleCurve:
    """Nets against time in air (the bin as planned), and in the bin (the air as planned)."""

    air: tuple[Handling, ...]
    bin: tuple[Handling, ...]


def crackle_curve(glaze: GlazeDraws, fits: FitDraws, at: Conditions) -> CrackleCurve:
    """Other times in air and in the bin for the same pulled pot; ``fits`` is of the planned ones.

    Raises ValueError for ware that is not smoked.
    """
    path, planned, body_draws = at.cooling_curve.path, at.cooling_curve.smoke, at.body_draws
    if path is None or planned is None or body_draws is None:
        raise ValueError("only pulled and smoked ware on a body has a crackle curve")
    from_c = float(path.skin_c[0])
    glaze, body = fired(glaze.some(_SOME), at.when), body_draws.some(_SOME)
    rows = glaze.eta_rows(at.cooling_curve.t_c)

    in_air = tuple(replace(planned, air_s=t) for t in _AIR_S)
    in_bin = tuple(replace(planned, bin_min=t) for t in _BIN_MIN)

    def handled(smoke: Smoke, middle: WallPath, of: Walls) -> Handling:
        set_c = set_points_c(glaze, along(middle[0], smoke), rows)
        after = pulled_stress(glaze, body, set_c, smoke, of, at.wall_mm, at.shape)
        _, black, whole = crack_patterns(after, fits)
        return Handling(smoke, black, whole)

    ways = tuple(Way(from_c, smoke) for smoke in in_air + in_bin)
    middles = pulled_paths(ways, at.wall_mm, at.shape)
    each = walls(ways, at.wall_mm, at.shape, body)
    all_ = tuple(handled(*one) for one in zip(in_air + in_bin, middles, each, strict=True))
    return CrackleCurve(air=all_[: len(in_air)], bin=all_[len(in_air) :])
