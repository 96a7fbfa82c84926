"""Stress in the coat from setting down to the room, as an SVG panel: a line in its band."""

from __future__ import annotations

import numpy as np

from cofire.arrays import Array
from cofire.model.cooling_stress import WayDown
from cofire.show.terminal import signed

PANEL_HEIGHT = 270
_WIDTH, _LEFT, _RIGHT, _TOP, _HEIGHT = 860, 70, 40, 62, 150


def way_panel(way: WayDown, later_mpa: float, now_mpa: float, top: float) -> str:
    """To be set into a picture 860 wide; hot on the left, tension upwards, with the stresses from
    which it crazes within months and at once."""
    hot = float(way.t_c[-1])
    low = min(float(way.low_mpa.min()), 0.0) - 8.0
    high = max(float(way.high_mpa.max()), now_mpa) + 8.0

    def x(t_c: Array | float) -> Array:
        share = (hot - np.asarray(t_c)) / max(hot - 20.0, 1.0)
        return np.asarray(_LEFT + share * (_WIDTH - _LEFT - _RIGHT))

    def y(mpa: Array | float) -> Array:
        return np.asarray(_TOP + _HEIGHT * (high - np.asarray(mpa)) / (high - low))

    def points(t_c: Array, mpa: Array) -> str:
        return " ".join(f"{a:.1f},{b:.1f}" for a, b in zip(x(t_c), y(mpa), strict=True))

    band = points(
        np.concatenate([way.t_c, way.t_c[::-1]]), np.concatenate([way.low_mpa, way.high_mpa[::-1]])
    )
    out = [
        f'<g transform="translate(0 {top:.0f})">',
        '<text class="big" x="40" y="22">On the way down</text>',
        '<text class="dim" x="40" y="42">stress in the coat, MPa, hot to cold; band: 90 % of what '
        "is likely; dashed: crazes at once, dotted: within months</text>",
    ]
    for mpa in np.arange(np.ceil(low / 50.0) * 50.0, high, 50.0):
        out.append(
            f'<text class="dim" x="{_LEFT - 8}" y="{y(mpa) + 4:.1f}" text-anchor="end">'
            f"{signed(float(mpa))}</text>"
            f'<line x1="{_LEFT}" x2="{_WIDTH - _RIGHT}" y1="{y(mpa):.1f}" y2="{y(mpa):.1f}" '
            f'stroke="{"#2b2622" if mpa == 0.0 else "#e9e1d2"}"/>'
        )
    out.append(f'<polygon points="{band}" fill="#d9a583" fill-opacity="0.45"/>')
    line = points(way.t_c, way.middle_mpa)
    out.append(f'<polyline points="{line}" fill="none" stroke="#8a3b12" stroke-width="3"/>')
    for mpa, dash in ((now_mpa, "9 5"), (later_mpa, "2 4")):
        out.append(
            f'<line x1="{_LEFT}" x2="{_WIDTH - _RIGHT}" y1="{y(mpa):.1f}" y2="{y(mpa):.1f}" '
            f'stroke="#2f6f75" stroke-width="2" stroke-dasharray="{dash}"/>'
        )
    for t_c in np.arange(100.0, hot, 100.0):
        out.append(
            f'<text class="dim" x="{x(t_c):.1f}" y="{_TOP + _HEIGHT + 22}" text-anchor="middle">'
            f"{t_c:.0f} °C</text>"
        )
    out.append("</g>")
    return "\n".join(out)
