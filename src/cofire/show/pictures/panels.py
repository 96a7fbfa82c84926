"""Panels below the strip of one glaze: stress while cooling, and cracks against time."""

from __future__ import annotations

import numpy as np

from cofire.model.cooling import lasting
from cofire.model.cooling_stress import CoolingStress
from cofire.model.crackle import CrackPattern
from cofire.model.crackle_curve import CrackleCurve, Handling
from cofire.model.strip import Strip
from cofire.show import drawing as draw
from cofire.show.drawing import GREY, INK, PAPER, RUST, Mark, Path, Words
from cofire.show.terminal import signed

WIDTH, _LEFT, _RIGHT = 860.0, 70.0, 820.0
WAY_HEIGHT, CRACKLE_HEIGHT = 270.0, 300.0
_MM = (1.0, 2.0, 5.0, 10.0, 20.0, 50.0)
#: Fewer draws than this crack: the spot is left out.
_RARE = 0.1


def cooling_panel(way: CoolingStress, strip: Strip, top: float) -> list[Mark]:
    """Hot on the left, tension upwards, with the stresses from which it crazes by the horizon and
    at once."""
    later, now = strip.crazes_by_horizon_from, strip.crazes_at_once_from
    low = min(float(way.stress_low_mpa.min()), later, 0.0) - 8.0
    high = max(float(way.stress_high_mpa.max()), now) + 8.0
    hot = float(way.temperature_c[-1])
    x = draw.Axis(20.0, max(hot, 21.0), _RIGHT, _LEFT)
    y = draw.Axis(low, high, top + 212.0, top + 62.0)
    marks = draw.head(
        40, top + 22, "On the way down",
        "stress in the coat, MPa, hot to cold; band: 90 % of what is likely; dashed: crazes at "
        "once, dotted: by the horizon",
    )  # fmt: skip
    mpa = np.arange(np.ceil(low / 50.0) * 50.0, high, 50.0).tolist()
    marks += draw.beside(y, _LEFT, [(v, signed(v)) for v in mpa], grid=_RIGHT, colour=GREY)
    marks.append(Path(draw.level(_LEFT, _RIGHT, y(0.0)), stroke=INK))
    at = x(way.temperature_c)
    low_mpa, middle_mpa, high_mpa = (
        draw.points(at, y(v)) for v in (way.stress_low_mpa, way.stress_mpa, way.stress_high_mpa)
    )
    marks.append(Path(draw.polygon([*low_mpa, *high_mpa[::-1]]), "#d9a583", opacity=0.45))
    marks.append(Path(draw.line(middle_mpa), stroke=RUST, width=3.0))
    for value, dash in ((now, "9 5"), (later, "2 4")):
        marks.append(
            Path(draw.level(_LEFT, _RIGHT, y(value)), stroke="#2f6f75", width=2.0, dash=dash)
        )
    ticks = [(t, f"{t:.0f} °C") for t in np.arange(100.0, hot, 100.0).tolist()]
    return marks + draw.along(x, top + 234.0, ticks, colour=GREY)


def crackle_panels(curve: CrackleCurve, top: float) -> list[Mark]:
    """How far cracks are apart, against time in air and against time in the bin."""
    low, high = np.log((0.7, 70.0)).tolist()
    y = draw.Axis(low, high, top + 232.0, top + 62.0)
    marks = draw.head(
        40, top + 22, "How far apart the cracks stand",
        "mm; dark: black from the smoke, the darker the surer; pale: the whole net in the end; "
        "bands hold 80 % of what is likely",
    )  # fmt: skip
    marks += draw.beside(y, _LEFT, [(np.log(v), f"{v:g}") for v in _MM], grid=_RIGHT, colour=GREY)
    wide = (_RIGHT - _LEFT - 60.0) / 2.0
    air = [(lasting(h.smoke.air_s), h) for h in curve.air]
    bins = [(lasting(60.0 * h.smoke.bin_min), h) for h in curve.bin]
    for panel, title, left in (
        (air, "held in air, then the bin as planned", _LEFT),
        (bins, "left in the bin, air as planned", _RIGHT - wide),
    ):
        marks += _panel(panel, y, left, wide)
        middle = left + wide / 2.0
        marks.append(Words(middle, top + 274.0, title, anchor="middle", colour=GREY))
    return marks


def _panel(
    handled: list[tuple[str, Handling]], y: draw.Axis, left: float, wide: float
) -> list[Mark]:
    step = wide / len(handled)
    marks: list[Mark] = []
    for k, (words, how) in enumerate(handled):
        x = left + step * (k + 0.5)
        marks += _spot(how.whole, x + 0.16 * step, y, "#6fa8ad", 0.55 * how.whole.odds)
        marks += _spot(how.black, x - 0.12 * step, y, INK, how.black.odds)
        marks.append(Words(x, y.start + 20.0, words, anchor="middle"))
    return marks


def _spot(
    pattern: CrackPattern, x: float, y: draw.Axis, colour: str, strength: float
) -> list[Mark]:
    if pattern.spacing_mm is None or pattern.odds < _RARE:
        return []
    spacing = (pattern.spacing_mm.high, pattern.spacing_mm.value, pattern.spacing_mm.low)
    high, middle, low = (y(float(np.log(mm))) for mm in spacing)
    bar = draw.box(x - 6.0, high, 12.0, max(low - high, 2.0))
    return [
        Path(bar, colour, colour, opacity=max(strength, 0.08)),
        Path(draw.ellipse(x, middle, 4.0), PAPER, colour),
    ]
