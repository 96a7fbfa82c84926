"""How coarse the net of cracks is, which of it is black, and how air and smoke move that."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from cofire.arrays import Array
from cofire.fit.crackle import net_words, spacing_mm
from cofire.fit.setting import set_temperature_c
from cofire.model.cooling import Cooling, pulled
from cofire.model.draws import BodyDraws, GlazeDraws
from cofire.model.interval import Interval, quantiles
from cofire.model.smoke import Pulled, pulled_stress
from cofire.records import Shape, Smoke

#: With fewer draws than this crazing, a spacing is not worth a number.
_ENOUGH_CRAZE = 0.02
#: Times in air (s) and in the bin (min) that a potter chooses from.
_AIR_S = (0.0, 15.0, 30.0, 60.0, 120.0, 240.0)
_BIN_MIN = (5.0, 10.0, 15.0, 20.0, 30.0, 60.0)
#: Draws for each of them.
_SOME = 600


@dataclass(frozen=True, eq=False)
class Net:
    """A net of cracks: odds that there is one, and how far apart they then stand (mm)."""

    when: str
    odds: float
    spacing_mm: Interval | None
    words: str


@dataclass(frozen=True, eq=False)
class Handling:
    """One way to treat a pulled pot, the net that is black from it, and the whole net."""

    smoke: Smoke
    black: Net
    whole: Net


@dataclass(frozen=True, eq=False)
class CrackleCurve:
    """Nets against time in air (the bin as planned), and in the bin (the air as planned)."""

    air: tuple[Handling, ...]
    bins: tuple[Handling, ...]


def net_of(spacing: Array, when: str = "") -> Net:
    """From the spacing of each draw (N,), inf where it has no cracks."""
    cracked = np.isfinite(spacing)
    odds = float(cracked.mean())
    if odds < _ENOUGH_CRAZE:
        return Net(when, odds, None, "no net to speak of")
    apart = Interval(*quantiles(spacing[cracked], 0.8), 0.8, "mm")
    low, high = net_words(apart.low), net_words(apart.high)
    return Net(when, odds, apart, low if low == high else f"{low} to {high}")


def nets(
    after: Pulled, critical: Array, z: Array, coat_mm: Array, flaws_per_mm: float | None
) -> tuple[Net, ...]:
    """Cracks of pulled ware by when they open: in air, by the end of the smoke, ever."""
    return tuple(
        net_of(spacing_mm(stress, critical, coat_mm, z, flaws_per_mm), when)
        for when, stress in (
            ("before the bin", after.air_mpa),
            ("black, open in the smoke", after.smoke_mpa),
            ("in the end, pale ones too", after.ever_mpa),
        )
    )


def crackle_curve(
    glaze: GlazeDraws,
    body: BodyDraws,
    critical: Array,
    z: Array,
    cool: Cooling,
    wall_mm: float,
    shape: Shape,
    planned_nets: tuple[Net, ...],
) -> CrackleCurve:
    """Other times in air and in the bin for the same pulled pot."""
    assert cool.path is not None and cool.smoke is not None
    from_c, planned = float(cool.path.skin_c[0]), cool.smoke
    glaze, body, critical, z = glaze.some(_SOME), body.some(_SOME), critical[:_SOME], z[:_SOME]
    shear = glaze.youngs_gpa / (2.0 * (1.0 + glaze.poisson))
    eta = glaze.log10_eta(cool.t_c)

    def handled(smoke: Smoke) -> Handling:
        if smoke == planned:
            return Handling(smoke, planned_nets[1], planned_nets[2])
        how = pulled(wall_mm, from_c, smoke, shape)
        set_c = set_temperature_c(how.t_c, eta, how.c_per_s, shear)
        set_c = np.where(np.isfinite(set_c), set_c, np.nanmedian(set_c))
        after = pulled_stress(glaze, body, set_c, how, wall_mm, shape)
        flaws = body.body.flaws_per_mm
        _, black, whole = nets(after, critical, z, glaze.coat_mm, flaws)
        return Handling(smoke, black, whole)

    return CrackleCurve(
        air=tuple(handled(replace(planned, air_s=t)) for t in _AIR_S),
        bins=tuple(handled(replace(planned, bin_min=t)) for t in _BIN_MIN),
    )
