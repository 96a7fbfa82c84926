"""Glazes on one clay between shivering and crazing, as SVG: a tideline with a float for each."""

from __future__ import annotations

import html

from cofire.answers.fit import FitAnswer
from cofire.show.pictures.crackle import PANEL_HEIGHT, crackle_panels
from cofire.show.pictures.way import PANEL_HEIGHT as WAY_HEIGHT
from cofire.show.pictures.way import way_panel
from cofire.show.terminal import signed

_WIDTH, _LEFT, _RIGHT, _TOP, _ROW = 860, 40, 40, 66, 78
_SPAN_MPA = 180.0
_ZONES = (
    ("edges could shiver", "#b48ead"),
    ("sits", "#e9e1d2"),
    ("crazes within months", "#b9d7d9"),
    ("crazes at once", "#6fa8ad"),
)
_STYLE = (
    "text{font:13px system-ui,sans-serif;fill:#2b2622}.big{font-size:19px;font-weight:600}"
    ".dim{fill:#6d645a}.float{stroke:#8a3b12;stroke-width:7;stroke-linecap:round}"
    ".middle{fill:#fffdf8;stroke:#8a3b12;stroke-width:3}.mark{stroke:#2b2622;stroke-width:1.5}"
)


def strip_svg(answers: list[FitAnswer]) -> str:
    """One row for each glaze; the axis is stress in the coat, tension to the right."""
    height = _TOP + _ROW * len(answers) + 84
    panels: list[str] = []
    if len(answers) == 1:
        one = answers[0]
        if one.way_down is not None and len(one.way_down.t_c) > 3:
            panels.append(way_panel(one.way_down, one.strip.later_mpa, one.strip.now_mpa, height))
            height += WAY_HEIGHT
        if one.curve is not None:
            panels.append(crackle_panels(one.curve, height))
            height += PANEL_HEIGHT
    body = html.escape(answers[0].body.name)
    out = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_WIDTH} {height}" '
        f'width="{_WIDTH}" height="{height}" role="img">',
        f"<style>{_STYLE}</style>",
        f'<rect width="{_WIDTH}" height="{height}" fill="#fffdf8"/>',
        f'<text class="big" x="{_LEFT}" y="28">On {body}</text>',
        f'<text class="dim" x="{_LEFT}" y="48">stress in the coat, MPa, + is tension; bar: 90 % of '
        "what is likely; ticks: published expansions, and nets by mm; uncalibrated</text>",
    ]
    for k, answer in enumerate(answers):
        out.append(_row(answer, _TOP + _ROW * k))
    base = _TOP + _ROW * len(answers) + 14
    for mpa in range(-150, 151, 50):
        out.append(
            f'<text class="dim" x="{_x(mpa):.1f}" y="{base}" text-anchor="middle">'
            f"{signed(mpa)}</text>"
        )
    for k, (words, ink) in enumerate(_ZONES):
        at = _LEFT + 195 * k
        out.append(
            f'<rect x="{at}" y="{base + 22}" width="22" height="12" fill="{ink}"/>'
            f'<text x="{at + 28}" y="{base + 33}">{words}</text>'
        )
    out += panels
    out.append("</svg>\n")
    return "\n".join(out)


def _x(mpa: float) -> float:
    share = max(-1.0, min(1.0, mpa / _SPAN_MPA))
    return _LEFT + (_WIDTH - _LEFT - _RIGHT) * 0.5 * (1.0 + share)


def _row(answer: FitAnswer, top: int) -> str:
    strip = answer.strip
    edges = [-_SPAN_MPA, strip.edge_mpa, strip.later_mpa, strip.now_mpa, _SPAN_MPA]
    parts = [
        f'<text x="{_LEFT}" y="{top + 12}">{html.escape(answer.recipe.name)}'
        f'<tspan class="dim" dx="8">{answer.recipe.surface}</tspan></text>'
    ]
    for (_, ink), low, high in zip(_ZONES, edges[:-1], edges[1:], strict=True):
        parts.append(
            f'<rect x="{_x(low):.1f}" y="{top + 20}" width="{max(_x(high) - _x(low), 0.0):.1f}" '
            f'height="26" fill="{ink}"/>'
        )
    room = 0.0
    for mm, mpa in strip.nets:
        if mpa < _SPAN_MPA and _x(mpa) >= room:
            room = _x(mpa) + 40.0
            parts.append(
                f'<text x="{_x(mpa):.1f}" y="{top + 60}" text-anchor="middle" font-size="11">'
                f"{mm:g} mm</text>"
                f'<line class="mark" x1="{_x(mpa):.1f}" x2="{_x(mpa):.1f}" y1="{top + 40}" '
                f'y2="{top + 48}"/>'
            )
    for name, mpa in strip.tables:
        parts.append(
            f'<line class="mark" x1="{_x(mpa):.1f}" x2="{_x(mpa):.1f}" y1="{top + 20}" '
            f'y2="{top + 27}"><title>{html.escape(name)}</title></line>'
        )
    parts.append(
        f'<line class="float" x1="{_x(strip.low_mpa):.1f}" x2="{_x(strip.high_mpa):.1f}" '
        f'y1="{top + 34}" y2="{top + 34}"/>'
        f'<circle class="middle" cx="{_x(strip.middle_mpa):.1f}" cy="{top + 34}" r="6"/>'
    )
    return "".join(parts)
