"""Distance of cracks against time in air and in the bin, as SVG panels: soot on clay."""

from __future__ import annotations

import numpy as np

from cofire.model.crackle import Net
from cofire.model.crackle_curve import CrackleCurve, Handling

PANEL_HEIGHT = 300
_WIDTH, _GAP, _LEFT, _RIGHT, _TOP, _HEIGHT = 860, 60, 70, 40, 62, 170
_MM = (1.0, 2.0, 5.0, 10.0, 20.0, 50.0)
_RANGE = (0.7, 70.0)
#: Fewer draws than this crack: the spot is left out.
_RARE = 0.1


def _y(mm: float) -> float:
    low, high = np.log(_RANGE)
    share = (np.log(np.clip(mm, *_RANGE)) - low) / (high - low)
    return _TOP + _HEIGHT * (1.0 - float(share))


def crackle_panels(curve: CrackleCurve, top: float) -> str:
    """Two panels side by side, to be set into a picture 860 wide."""
    wide = (_WIDTH - _LEFT - _RIGHT - _GAP) / 2.0
    air = [(_time(h.smoke.air_s), h) for h in curve.air]
    bins = [(_time(60.0 * h.smoke.bin_min), h) for h in curve.bins]
    out = [
        f'<g transform="translate(0 {top:.0f})">',
        '<text class="big" x="40" y="22">How far apart the cracks stand</text>',
        '<text class="dim" x="40" y="42">mm; dark: black from the smoke, the darker the surer; '
        "pale: the whole net in the end; bands hold 80 % of what is likely</text>",
    ]
    for mm in _MM:
        out.append(
            f'<text class="dim" x="{_LEFT - 10}" y="{_y(mm) + 4:.1f}" text-anchor="end">'
            f"{mm:g}</text>"
            f'<line x1="{_LEFT}" x2="{_WIDTH - _RIGHT}" y1="{_y(mm):.1f}" y2="{_y(mm):.1f}" '
            'stroke="#e9e1d2"/>'
        )
    out.append(_panel(air, "held in air, then the bin as planned", _LEFT, wide))
    out.append(_panel(bins, "left in the bin, air as planned", _LEFT + wide + _GAP, wide))
    out.append("</g>")
    return "\n".join(out)


def _panel(points: list[tuple[str, Handling]], title: str, left: float, wide: float) -> str:
    step = wide / len(points)
    parts = []
    for k, (words, how) in enumerate(points):
        x = left + step * (k + 0.5)
        parts.append(_spot(how.whole, x + 0.16 * step, "#6fa8ad", 0.55 * how.whole.odds))
        parts.append(_spot(how.black, x - 0.12 * step, "#2b2622", how.black.odds))
        parts.append(
            f'<text x="{x:.1f}" y="{_TOP + _HEIGHT + 20}" text-anchor="middle">{words}</text>'
        )
    parts.append(
        f'<text class="dim" x="{left + wide / 2:.1f}" y="{_TOP + _HEIGHT + 42}" '
        f'text-anchor="middle">{title}</text>'
    )
    return "".join(parts)


def _spot(net: Net, x: float, ink: str, strength: float) -> str:
    if net.spacing_mm is None or net.odds < _RARE:
        return ""
    high, middle, low = (
        _y(v) for v in (net.spacing_mm.high, net.spacing_mm.value, net.spacing_mm.low)
    )
    return (
        f'<rect x="{x - 6:.1f}" y="{high:.1f}" width="12" height="{max(low - high, 2.0):.1f}" '
        f'rx="6" fill="{ink}" fill-opacity="{max(strength, 0.08):.2f}" stroke="{ink}" '
        f'stroke-opacity="0.4"/><circle cx="{x:.1f}" cy="{middle:.1f}" r="4" fill="#fffdf8" '
        f'stroke="{ink}"/>'
    )


def _time(seconds: float) -> str:
    return f"{seconds:g} s" if seconds < 60.0 else f"{seconds / 60.0:g} min"
