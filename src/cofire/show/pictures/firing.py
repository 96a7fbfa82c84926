"""A firing as SVG: temperature over time, each glaze's ripeness as a ribbon under it, and a mark
for every opening of the lid."""

from __future__ import annotations

import numpy as np

from cofire.answers.firing import FiringAnswer, Track
from cofire.read.units import fahrenheit
from cofire.show import drawing as draw
from cofire.show.drawing import INK, RUST, Mark, Path, Words
from cofire.show.terminal import clock

_WIDTH, _CHART, _RIBBON, _LEFT, _TOP = 960.0, 360.0, 46.0, 64.0, 54.0
#: Under, ripe, runs: different in hue, lightness and hatching.
FILL = {"under": "#d9c9a3", "ripe": "#2f6b4f", "runs": "#a63d2f"}


def firing_svg(answer: FiringAnswer) -> str:
    """The picture as a complete file."""
    top_c = 100.0 * float(np.ceil((answer.air_c.max() + 20.0) / 100.0))
    x = draw.Axis(0.0, answer.shown_min, _LEFT, _WIDTH - _LEFT)
    y = draw.Axis(0.0, top_c, _TOP + _CHART, _TOP)
    marks = draw.head(
        _LEFT, 26, answer.firing.name,
        f"thick: ware, wall {answer.wall_mm:g} mm; thin: what the pyrometer shows; full drops: the "
        "lid is up, hollow ones: a pull",
    )  # fmt: skip
    marks += temperature_chart(answer, x, y, 13.0)
    for celsius in range(0, int(top_c) + 1, 200):
        marks.append(Words(x.end + 8.0, y(celsius) + 4.0, f"{fahrenheit(celsius):.0f} °F"))
    base = y.start + 44.0
    for k, track in enumerate(answer.glazes):
        marks += _ribbon(track, base + _RIBBON * k, x)
    height = base + 16.0
    if answer.glazes:
        height += _RIBBON * len(answer.glazes) + 30.0
        signs = [(word, draw.swatch(colour, word == "runs")) for word, colour in FILL.items()]
        marks += draw.key(_LEFT, height - 28.0, signs, 110)
    return draw.svg_file(draw.Picture(_WIDTH, height, tuple(marks), "temperature over time"))


def temperature_chart(answer: FiringAnswer, x: draw.Axis, y: draw.Axis, size: float) -> list[Mark]:
    """Ware and air over time with an axis, and a mark for every opening; letters are ``size`` high
    and everything scales with them."""
    unit, end = size / 13.0, x.high
    every = next(s for s in (15, 30, 60, 120, 240, 480, 960, 1920) if end / s <= 14)
    hours = [(float(m), clock(m)) for m in range(0, int(end) + 1, every)]
    levels = [(float(c), f"{c} °C") for c in range(0, int(y.high) + 1, 200)]
    kept = np.unique(np.linspace(0, len(answer.time_s) - 1, 4000).astype(int))
    at = x(answer.time_s[kept] / 60.0)
    ware = draw.points(at, y(answer.ware_c[kept]))
    air = draw.points(at, y(answer.air_c[kept]))
    marks: list[Mark] = [
        Path(draw.polygon([*ware, (x.end, y.start), (x.start, y.start)]), fill="#f3e2cf"),
        *draw.beside(y, x.start, levels, size, grid=x.end),
        *draw.along(x, y.start + 18.0 * unit, hours, size),
        Path(draw.line(air), stroke="#c9a06a", width=1.2 * unit),
        Path(draw.line(ware), stroke=RUST, width=2.4 * unit),
    ]
    for opening in answer.openings:
        celsius = float(np.interp(60.0 * opening.at_min, answer.time_s, answer.air_c))
        marks.append(
            _drop(x(opening.at_min), y(celsius) - 12.0 * unit, unit, opening.open_s > 0.0,
                  opening.name)
        )  # fmt: skip
    return marks


def _drop(x: float, y: float, unit: float, full: bool, says: str) -> Path:
    """A drop-shaped mark with its point at x, y."""
    at = [(0, 0), (-5, -7), (-5, -9), (0, -14), (5, -9), (5, -7), (0, 0)]
    start, *bends = (f"{x + unit * a:.2f} {y + unit * b:.2f}" for a, b in at)
    outline = f"M{start}C{' '.join(bends[:3])}C{' '.join(bends[3:])}Z"
    return Path(outline, "#1f6f78" if full else "", INK, 0.6 * unit, says=says)


def _ribbon(track: Track, top: float, x: draw.Axis) -> list[Mark]:
    """A glaze's odds over time: how much of the ribbon's height each takes."""
    marks: list[Mark] = [Words(_LEFT, top + 12.0, f"{track.recipe.name}, {track.recipe.surface}")]
    at, y = x(track.time_min), draw.Axis(0.0, 1.0, top + 18.0, top + _RIBBON - 4.0)
    low = np.zeros_like(track.under)
    for word, fill in FILL.items():
        high = low + getattr(track, word)
        if len(at):
            area = draw.polygon([*draw.points(at, y(low)), *draw.points(at, y(high))[::-1]])
            marks.append(Path(area, fill, hatched=word == "runs"))
        low = high
    return marks
