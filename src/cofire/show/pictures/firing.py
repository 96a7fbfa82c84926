"""A firing at one glance, as SVG: temperature over time like a hill, each glaze's ripeness as a
ribbon under it, and a drop for every opening of the lid."""

from __future__ import annotations

import html

import numpy as np

from cofire.answers.firing import FiringAnswer, Track
from cofire.arrays import Array
from cofire.read.units import fahrenheit

_WIDTH, _HILL, _RIBBON, _LEFT, _RIGHT, _TOP = 960, 360, 46, 64, 64, 54
#: Under, ripe, runs: told apart by hue, by lightness and by hatching.
_INK = {"under": "#d9c9a3", "ripe": "#2f6b4f", "runs": "#a63d2f"}

_STYLE = (
    "text{font:13px system-ui,sans-serif;fill:#2b2622}.big{font-size:20px;font-weight:600}"
    ".dim{fill:#6d645a}.grid{stroke:#e4dccf}.air{fill:none;stroke:#c9a06a;stroke-width:1.2}"
    ".ware{fill:none;stroke:#8a3b12;stroke-width:2.4}.under{fill:#f3e2cf;stroke:none}"
    ".drop{fill:#1f6f78}.edge{fill:none;stroke:#2b2622;stroke-width:.6}"
)


def firing_svg(answer: FiringAnswer) -> str:
    """The picture as a file of its own."""
    height = _TOP + _HILL + 60 + _RIBBON * len(answer.glazes) + (30 if answer.glazes else 0)
    end = answer.shown_min
    top_c = 100.0 * np.ceil((answer.air_c.max() + 20.0) / 100.0)

    def x(minutes: float) -> float:
        return _LEFT + (_WIDTH - _LEFT - _RIGHT) * minutes / end

    def y(celsius: float) -> float:
        return float(_TOP + _HILL * (1.0 - celsius / top_c))

    out = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_WIDTH} {height}" '
        f'width="{_WIDTH}" height="{height}" role="img">',
        f"<style>{_STYLE}</style>",
        '<defs><pattern id="h" width="6" height="6" patternUnits="userSpaceOnUse" '
        f'patternTransform="rotate(45)"><rect width="6" height="6" fill="{_INK["runs"]}"/>'
        '<rect width="2" height="6" fill="#fff" opacity=".55"/></pattern></defs>',
        f'<rect width="{_WIDTH}" height="{height}" fill="#fffdf8"/>',
        f'<text class="big" x="{_LEFT}" y="28">{html.escape(answer.firing.name)}</text>',
        f'<text class="dim" x="{_LEFT}" y="46">thick: ware, wall {answer.wall_mm:g} mm; thin: what '
        "the pyrometer shows; full drops: the lid is up, hollow ones: a pull</text>",
    ]
    for celsius in np.arange(0.0, top_c + 1.0, 200.0):
        out.append(
            f'<line class="grid" x1="{_LEFT}" x2="{_WIDTH - _RIGHT}" y1="{y(celsius):.1f}" '
            f'y2="{y(celsius):.1f}"/><text x="{_LEFT - 8}" y="{y(celsius) + 4:.1f}" '
            f'text-anchor="end">{celsius:.0f} °C</text><text x="{_WIDTH - _RIGHT + 8}" '
            f'y="{y(celsius) + 4:.1f}">{fahrenheit(celsius):.0f} °F</text>'
        )
    step = next(s for s in (15, 30, 60, 120, 240, 480) if end / s <= 12)
    for minutes in range(0, int(end) + 1, step):
        out.append(
            f'<text x="{x(minutes):.1f}" y="{_TOP + _HILL + 18}" text-anchor="middle">'
            f"{minutes // 60}:{minutes % 60:02d}</text>"
        )
    hill = _path(answer.time_s / 60.0, answer.ware_c, x, y)
    floor = f"L{x(end):.1f} {y(0.0):.1f}L{x(0.0):.1f} {y(0.0):.1f}Z"
    out.append(f'<path class="under" d="{hill}{floor}"/>')
    air = _path(answer.time_s / 60.0, answer.air_c, x, y)
    out.append(f'<path class="air" d="{air}"/><path class="ware" d="{hill}"/>')
    for opening in answer.openings:
        at = x(opening.at_min)
        over = y(float(np.interp(60.0 * opening.at_min, answer.time_s, answer.air_c))) - 12.0
        kind = "drop" if opening.open_s > 0.0 else "edge"
        out.append(
            f'<path class="{kind}" d="M{at:.1f} {over:.1f}c-5 -7 -5 -9 0 -14c5 5 5 7 0 14z">'
            f"<title>{html.escape(opening.name)}</title></path>"
        )
    base = _TOP + _HILL + 44.0
    for k, one in enumerate(answer.glazes):
        out.append(_ribbon(one, base + _RIBBON * k, x))
    if answer.glazes:
        under = base + _RIBBON * len(answer.glazes) + 18.0
        for k, (word, ink) in enumerate(_INK.items()):
            fill = "url(#h)" if word == "runs" else ink
            out.append(
                f'<rect x="{_LEFT + 110 * k}" y="{under - 10:.0f}" width="26" height="12" '
                f'fill="{fill}"/><text x="{_LEFT + 32 + 110 * k}" y="{under:.0f}">{word}</text>'
            )
    out.append("</svg>\n")
    return "\n".join(out)


def _path(minutes: Array, celsius: Array, x, y) -> str:  # type: ignore[no-untyped-def]
    keep = np.unique(np.linspace(0, len(minutes) - 1, 4000).astype(int))
    points = zip(minutes[keep], celsius[keep], strict=True)
    return "M" + "L".join(f"{x(m):.1f} {y(c):.1f}" for m, c in points)


def _ribbon(track: Track, top: float, x) -> str:  # type: ignore[no-untyped-def]
    """A glaze's odds over time: how much of the ribbon's height each takes."""
    height = _RIBBON - 22.0
    parts = [
        f'<text x="{_LEFT}" y="{top + 12:.0f}">{html.escape(track.recipe.name)}'
        f'<tspan class="dim" dx="8">{track.recipe.surface}</tspan></text>'
    ]
    low = np.zeros_like(track.under)
    for word in ("under", "ripe", "runs"):
        high = low + getattr(track, word)
        upper = [
            f"{x(m):.1f} {top + 18.0 + height * v:.1f}"
            for m, v in zip(track.time_min, low, strict=True)
        ]
        lower = [
            f"{x(m):.1f} {top + 18.0 + height * v:.1f}"
            for m, v in zip(track.time_min[::-1], high[::-1], strict=True)
        ]
        fill = "url(#h)" if word == "runs" else _INK[word]
        if upper:
            parts.append(f'<path d="M{"L".join(upper + lower)}Z" fill="{fill}"/>')
        low = high
    return "".join(parts)
