"""A blend as SVG: a pavement of cells, coloured by their word, a gutter where the word changes."""

from __future__ import annotations

import html
import math

import numpy as np

from cofire.answers.blend.blend import Blend
from cofire.arrays import Array
from cofire.show.blend import short
from cofire.words import percent

_WIDTH, _SIDE, _TOP = 900, 60, 116
#: A cell is at most so wide, so that few points do not become huge.
_MOST = 92.0
#: Letters that fit above the figure.
_TITLE = 70
#: Told apart by hue and lightness; the word stands in every cell.
_FILL = {
    "under": "#dccba2", "runs": "#b5574a", "ripe": "#5d9478", "sits": "#8fb89b",
    "crazes": "#9cc7d4", "shivers": "#b58ead", "": "#e9e1d2",
}  # fmt: skip
_STYLE = (
    "text{font:13px system-ui,sans-serif;fill:#2b2622}.big{font-size:19px;font-weight:600}"
    ".dim{fill:#6d645a}.name{font-weight:600}.gutter{stroke:#2b2622;stroke-width:3.4;"
    "stroke-linecap:round}.tile{fill:none;stroke:#8a3b12;stroke-width:2.6;stroke-dasharray:5 3}"
)


def blend_svg(answer: Blend) -> str:
    """The figure as a file of its own."""
    at, n = answer.points, answer.points.steps
    pitch = min(_MOST, (_WIDTH - 2 * _SIDE) / (n + 1))
    x, y = _middles(answer, pitch)
    bottom = float(y.max()) + pitch / 2.0
    bottom += pitch * 0.08 if at.form == "triangle" else 0.0
    height = round(bottom + (48 if at.form == "line" or answer.additions else 74) + 26)
    asked = answer.yes is not None
    said = "colour and word: the likeliest" if asked else "number: expansion, 1e-6/K"
    if asked:
        said += "; number: odds of all that was asked, %; CAPITALS: as sure as asked"
    where = ", ".join(part.name for part in (answer.firing, answer.body) if part is not None)
    out = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_WIDTH} {height}" '
        f'width="{_WIDTH}" height="{height}" role="img">',
        f"<style>{_STYLE}</style>",
        f'<rect width="{_WIDTH}" height="{height}" fill="#fffdf8"/>',
        f'<text class="big" x="{_SIDE}" y="32">{html.escape(_title(answer))}</text>',
        f'<text class="dim" x="{_SIDE}" y="53">{html.escape(where)}</text>',
        f'<text class="dim" x="{_SIDE}" y="72">{said}</text>',
    ]
    out += [_cell(answer, p, float(x[p]), float(y[p]), pitch) for p in range(len(x))]
    for p, q in answer.changes:
        out.append(_gutter(x[[p, q]], y[[p, q]], pitch, at.form == "triangle"))
    out += _names(answer, x, y, pitch)
    out.append(_key(answer, height - 18))
    out.append("</svg>\n")
    return "\n".join(out)


def _title(answer: Blend) -> str:
    if answer.additions:
        added = " and ".join(a.material.name for a in answer.additions)
        return f"{answer.recipes[0].name} with {added}"
    names = " · ".join(r.name for r in answer.recipes)
    return names if len(names) <= _TITLE else f"{len(answer.recipes)} glazes"


def _middles(answer: Blend, pitch: float) -> tuple[Array, Array]:
    """Where the cells lie; those of a triangle nestle, so its rows are closer."""
    at = answer.points
    x, y = at.column.astype(float) * pitch, at.row.astype(float) * pitch
    if at.form == "triangle":
        x, y = x - at.row * pitch / 2.0 + at.steps * pitch / 2.0, y * math.sqrt(0.75)
    left = (_WIDTH - pitch * (at.steps + 1)) / 2.0 + pitch / 2.0
    return np.asarray(x + left), np.asarray(y + _TOP + pitch / 2.0)


def _cell(answer: Blend, p: int, x: float, y: float, pitch: float) -> str:
    """A square, or a hexagon in a triangle, paler the less sure it is."""
    word, label = answer.words[p], answer.points.labels[p]
    outline = _outline(x, y, pitch, answer.points.form == "triangle")
    right = float(answer.right[p])
    faint = 0.45 + 0.55 * right if word else 1.0
    parts = [
        f'<polygon points="{outline}" fill="{_FILL[word]}" fill-opacity="{faint:.2f}" '
        'stroke="#fffdf8" stroke-width="1.5">'
        f"<title>{html.escape(_told(answer, p))}</title></polygon>"
    ]
    size = max(7.0, min(14.0, pitch / 4.6))
    if answer.tiles is not None and p in answer.tiles.chosen:
        parts.append(f'<circle class="tile" cx="{x:.1f}" cy="{y:.1f}" r="{0.41 * pitch:.1f}"/>')
    second = short(answer, p)
    if word and pitch >= 44.0:
        second += f" {percent(right, cell=True)}"
    parts.append(
        f'<text x="{x:.1f}" y="{y - 0.12 * size:.1f}" text-anchor="middle" '
        f'style="font-size:{size:.1f}px;font-weight:600">{label}</text>'
        f'<text x="{x:.1f}" y="{y + 1.05 * size:.1f}" text-anchor="middle" '
        f'style="font-size:{0.92 * size:.1f}px">{html.escape(second)}</text>'
    )
    return "".join(parts)


def _outline(x: float, y: float, pitch: float, hexagon: bool) -> str:
    if hexagon:
        reach = pitch / math.sqrt(3.0)
        corners = [
            (x + reach * math.sin(k * math.pi / 3.0), y + reach * math.cos(k * math.pi / 3.0))
            for k in range(6)
        ]
    else:
        h = pitch / 2.0
        corners = [(x - h, y - h), (x + h, y - h), (x + h, y + h), (x - h, y + h)]
    return " ".join(f"{a:.1f},{b:.1f}" for a, b in corners)


def _told(answer: Blend, p: int) -> str:
    """A point in full, for whoever rests the pointer on it."""
    if answer.percent is None:
        held = [f"{100 * v:.0f} % {i.name}" for v, i in zip(answer.shares[p], answer.ingredients,
                                                              strict=True) if v > 0.0]  # fmt: skip
    else:
        held = [
            f"{v:.3g} % {a.material.name}"
            for v, a in zip(answer.percent[p], answer.additions, strict=True)
        ]
    alpha = f"expansion {answer.seen.alpha_1e6_per_k[p]:.2f}e-6/K"
    return "; ".join([answer.points.labels[p], *held, alpha, answer.words[p]]).rstrip("; ")


def _gutter(x: Array, y: Array, pitch: float, hexagon: bool) -> str:
    """The edge that two neighbours share."""
    middle = np.array([x.mean(), y.mean()])
    along = np.array([y[0] - y[1], x[1] - x[0]]) / pitch
    half = pitch / (2.0 * math.sqrt(3.0)) if hexagon else pitch / 2.0
    a, b = middle - half * along, middle + half * along
    return f'<line class="gutter" x1="{a[0]:.1f}" y1="{a[1]:.1f}" x2="{b[0]:.1f}" y2="{b[1]:.1f}"/>'


def _names(answer: Blend, x: Array, y: Array, pitch: float) -> list[str]:
    """Corners by name beside them, or the amounts of additions along the edges."""
    at = answer.points
    left, right = float(x.min()) - pitch / 2.0, float(x.max()) + pitch / 2.0
    above, below = float(y.min()) - pitch / 2.0 - 8.0, float(y.max()) + pitch / 2.0 + 22.0
    if answer.additions:
        return _scales(answer, x, y, pitch, below)
    names = [r.name for r in answer.recipes]
    if at.form == "triangle":
        below += pitch * 0.1
        spots = [
            ((left + right) / 2.0, above - pitch * 0.08, "middle"),
            (left, below, "start"),
            (right, below, "end"),
        ]
    else:
        spots = [(left, above, "start"), (right, above, "end")]
        spots += [(left, below, "start"), (right, below, "end")] if at.form == "grid" else []
    return [
        f'<text class="name" x="{a:.1f}" y="{b:.1f}" text-anchor="{anchor}">'
        f"{html.escape(name)}</text>"
        for (a, b, anchor), name in zip(spots, names, strict=True)
    ]


def _scales(answer: Blend, x: Array, y: Array, pitch: float, below: float) -> list[str]:
    at, percent = answer.points, answer.percent
    assert percent is not None
    out = []
    for p in np.flatnonzero(at.row == 0):
        out.append(
            f'<text class="dim" x="{x[p]:.1f}" y="{_TOP - 6}" text-anchor="middle">'
            f"{percent[p, 0]:.3g}</text>"
        )
    said = f"→ {answer.additions[0].material.name}, % of the base"
    if len(answer.additions) == 2:
        for p in np.flatnonzero(at.column == 0):
            out.append(
                f'<text class="dim" x="{x[p] - pitch / 2.0 - 6:.1f}" y="{y[p] + 4:.1f}" '
                f'text-anchor="end">{percent[p, 1]:.3g}</text>'
            )
        said += f"; ↓ {answer.additions[1].material.name}, % of the base"
    out.append(
        f'<text class="name" x="{float(x.min()) - pitch / 2.0:.1f}" y="{below:.1f}">'
        f"{html.escape(said)}</text>"
    )
    return out


def _key(answer: Blend, y: float) -> str:
    """The words that occur, and what the lines mean."""
    parts, at = [], float(_SIDE)
    for word in dict.fromkeys(answer.words):
        if word:
            parts.append(
                f'<rect x="{at:.0f}" y="{y - 11:.0f}" width="22" height="13" fill="{_FILL[word]}"/>'
                f'<text x="{at + 28:.0f}" y="{y:.0f}">{word}</text>'
            )
            at += 100.0
    if answer.changes:
        parts.append(
            f'<line class="gutter" x1="{at:.0f}" x2="{at + 22:.0f}" y1="{y - 4:.0f}" '
            f'y2="{y - 4:.0f}"/><text x="{at + 30:.0f}" y="{y:.0f}">here it changes</text>'
        )
        at += 160.0
    if answer.tiles is not None:
        parts.append(
            f'<circle class="tile" cx="{at + 8:.0f}" cy="{y - 5:.0f}" r="8"/>'
            f'<text x="{at + 24:.0f}" y="{y:.0f}">tiles to fire</text>'
        )
    return "".join(parts)
