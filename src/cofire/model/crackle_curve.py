"""Crack patterns of a pulled pot by time in air and in the bin."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import ClassVar

from cofire.model.conditions import Conditions
from cofire.model.cooling import pulled
from cofire.model.crackle import CrackPattern, crack_patterns
from cofire.model.fit import FitDraws, set_points_c
from cofire.model.glaze_draws import GlazeDraws
from cofire.model.smoke import pulled_stress
from cofire.records import Smoke

#: Times in air (s) and in the bin (min) that a potter chooses from.
_AIR_S = (0.0, 15.0, 30.0, 60.0, 120.0, 240.0)
_BIN_MIN = (5.0, 10.0, 15.0, 20.0, 30.0, 60.0)
#: Draws for each of them.
_SOME = 600


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
    glaze, body = glaze.some(_SOME), body_draws.some(_SOME)
    rows = glaze.eta_rows(at.cooling_curve.t_c)

    def handled(smoke: Smoke) -> Handling:
        if smoke == planned:
            return Handling(smoke, fits.crack_patterns[1], fits.crack_patterns[2])
        how = pulled(at.wall_mm, from_c, smoke, at.shape)
        set_c = set_points_c(glaze, how, rows)
        after = pulled_stress(glaze, body, set_c, how, at.wall_mm, at.shape)
        _, black, whole = crack_patterns(after, fits)
        return Handling(smoke, black, whole)

    return CrackleCurve(
        air=tuple(handled(replace(planned, air_s=t)) for t in _AIR_S),
        bin=tuple(handled(replace(planned, bin_min=t)) for t in _BIN_MIN),
    )
