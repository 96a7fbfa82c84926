"""A family map as SVG: shoals and deeps of one quantity, with the recipe as a float on them."""

from __future__ import annotations

import html
import textwrap

import numpy as np

from cofire.answers.map.contours import areas_above, carried_on, contour_lines, finer
from cofire.answers.map.family_map import COARSE, MapAnswer
from cofire.arrays import Array, Mask
from cofire.show.family_map import axis_words, level_words, ticks_of

_WIDTH, _LEFT, _TOP, _WIDE, _HIGH, _GAUGE = 860, 76, 84, 590, 500, 712
_PAPER, _INK, _RUST = "#fffdf8", "#2b2622", "#8a3b12"
#: From shoal to deep, as the strip's inks run; told apart by lightness alone.
_DEPTHS = ("#f3ecdf", "#e9e1d2", "#b9d7d9", "#6fa8ad", "#2f7f88", "#124a52")
_STYLE = (
    f"text{{font:13px system-ui,sans-serif;fill:{_INK}}}.big{{font-size:19px;font-weight:600}}"
    ".dim{fill:#6d645a}.line{fill:none;stroke:#2b2622;stroke-width:.9;stroke-opacity:.6}"
    f".decides{{fill:none;stroke:{_RUST};stroke-width:2.6}}"
    f".number{{font-size:12px;font-weight:600;stroke:{_PAPER};stroke-width:4;stroke-linejoin:round;"
    f"paint-order:stroke}}.float{{fill:{_PAPER};stroke:{_RUST};stroke-width:3}}"
    f".tick{{stroke:{_INK};stroke-width:1}}"
)
#: Two numbers on the map stand no nearer to each other than this, in pixels; our choice.
_APART = 64.0
#: Steps that curved lines take between the points of a coarse table; our choice.
_FINER = 4


def map_svg(answer: MapAnswer) -> str:
    """The picture as a file of its own."""
    said, conditions = (
        textwrap.wrap(words, 112) for words in (answer.sentence, "; ".join(answer.conditions))
    )
    bottom = _TOP + _HIGH + 66
    height = bottom + 19 * (len(said) + len(conditions)) + 6
    aside = ", ".join(filter(None, (answer.shown.words, answer.shown.unit)))
    out = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_WIDTH} {height}" '
        f'width="{_WIDTH}" height="{height}" role="img">',
        f"<style>{_STYLE}</style>",
        '<defs><pattern id="thin" width="8" height="8" patternUnits="userSpaceOnUse" '
        f'patternTransform="rotate(45)"><rect width="1.6" height="8" fill="{_INK}" '
        f'opacity=".45"/></pattern><clipPath id="sheet"><rect x="{_LEFT}" y="{_TOP}" '
        f'width="{_WIDE}" height="{_HIGH}"/></clipPath></defs>',
        f'<rect width="{_WIDTH}" height="{height}" fill="{_PAPER}"/>',
        f'<text class="big" x="{_LEFT}" y="34">{html.escape(answer.recipe.name)}</text>',
        f'<text class="dim" x="{_LEFT}" y="56">{html.escape(aside)}</text>',
        f'<g clip-path="url(#sheet)">{"".join(_sheet(answer))}</g>',
        f'<rect x="{_LEFT}" y="{_TOP}" width="{_WIDE}" height="{_HIGH}" fill="none" '
        f'stroke="{_INK}"/>',
        *_axes(answer),
        *_floats(answer),
        *_gauge(answer),
    ]
    for k, (words, ink) in enumerate([*((w, "") for w in said), *((w, "dim") for w in conditions)]):
        out.append(
            f'<text class="{ink}" x="{_LEFT}" y="{bottom + 19 * k}">{html.escape(words)}</text>'
        )
    out.append("</svg>\n")
    return "\n".join(out)


def _x(answer: MapAnswer, value: Array | float) -> Array:
    axis = answer.across
    return np.asarray(_LEFT + _WIDE * (value - axis.low) / (axis.high - axis.low))


def _y(answer: MapAnswer, value: Array | float) -> Array:
    axis = answer.up
    return np.asarray(_TOP + _HIGH * (axis.high - value) / (axis.high - axis.low))


def _path(answer: MapAnswer, lines: tuple[Array, ...]) -> str:
    """Lines on the map as the data of an SVG path."""
    drawn = []
    for line in lines:
        points = zip(_x(answer, line[:, 0]), _y(answer, line[:, 1]), strict=True)
        drawn.append("M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in points))
    return "".join(drawn)


def _depth(answer: MapAnswer, band: int) -> str:
    """The ink of one band between lines, spread over all depths."""
    most = max(len(answer.levels), 1)
    share = band / most * (len(_DEPTHS) - 1)
    low = min(int(share), len(_DEPTHS) - 2)
    ends = [[int(_DEPTHS[k][i : i + 2], 16) for i in (1, 3, 5)] for k in (low, low + 1)]
    mixed = [round(a + (share - low) * (b - a)) for a, b in zip(*ends, strict=True)]
    return "#" + "".join(f"{v:02x}" for v in mixed)


def _sheet(answer: MapAnswer) -> list[str]:
    """All bands, lines and hatching; what cannot be is covered with paper."""
    field = carried_on(answer.field)
    # few points make crooked lines
    field = finer(field, _FINER if len(answer.x) == COARSE else 1)
    x, y = (
        np.linspace(axis.low, axis.high, count)
        for axis, count in ((answer.across, field.shape[1]), (answer.up, field.shape[0]))
    )
    out = [
        f'<rect x="{_LEFT}" y="{_TOP}" width="{_WIDE}" height="{_HIGH}" '
        f'fill="{_depth(answer, 0)}"/>'
    ]
    for k, level in enumerate(answer.levels):
        area = _path(answer, areas_above(x, y, field, float(answer.scaled(level))))
        out.append(f'<path d="{area}" fill="{_depth(answer, k + 1)}" fill-rule="evenodd"/>')
    grade = carried_on(answer.grade)
    thin = _path(answer, areas_above(answer.x, answer.y, grade, 1.0))
    out.append(f'<path d="{thin}" fill="url(#thin)" fill-rule="evenodd"/>')
    labels = _Labels(answer)
    for level in sorted(answer.levels, key=lambda v: v != answer.level):
        lines = contour_lines(x, y, field, float(answer.scaled(level)))
        name = "decides" if level == answer.level else "line"
        out.append(f'<path class="{name}" d="{_path(answer, lines)}"/>')
        labels.add(lines, level_words(answer, level))
    gone = _path(answer, areas_above(answer.x, answer.y, -answer.room, 1e-9))
    out.append(
        f'<path d="{gone}" fill="{_PAPER}" fill-rule="evenodd" stroke="{_INK}" '
        'stroke-width=".9" stroke-dasharray="5 4"/>'
    )
    if (no_value := ~np.isfinite(field)).any():
        nowhere = _path(answer, areas_above(x, y, no_value.astype(float), 0.5))
        out.append(f'<path d="{nowhere}" fill="{_PAPER}" fill-rule="evenodd"/>')
    return [*out, *labels.drawn]


class _Labels:
    """Numbers on lines, each as far as it can be from the others and from the recipe."""

    def __init__(self, answer: MapAnswer) -> None:
        self.answer = answer
        spots = [s for s in (answer.own, answer.nearest) if s is not None]
        self.taken = [(float(_x(answer, s.x)), float(_y(answer, s.y))) for s in spots]
        self.drawn: list[str] = []

    def add(self, lines: tuple[Array, ...], words: str) -> None:
        if not lines:
            return
        points = np.concatenate(lines)
        x, y = _x(self.answer, points[:, 0]), _y(self.answer, points[:, 1])
        inside = (x > _LEFT + 26) & (x < _LEFT + _WIDE - 26)
        inside &= (y > _TOP + 14) & (y < _TOP + _HIGH - 14) & self._exists(points)
        if not inside.any():
            return
        away = np.min([np.hypot(x - a, y - b) for a, b in self.taken], axis=0)
        best = int(np.argmax(np.where(inside, away, -1.0)))
        if away[best] < _APART:
            return
        self.taken.append((float(x[best]), float(y[best])))
        self.drawn.append(
            f'<text class="number" x="{x[best]:.1f}" y="{y[best] + 4:.1f}" '
            f'text-anchor="middle">{html.escape(words)}</text>'
        )

    def _exists(self, points: Array) -> Mask:
        """Whether a glaze is possible at the nearest point of the table."""
        i = np.abs(self.answer.x[:, None] - points[:, 0]).argmin(axis=0)
        j = np.abs(self.answer.y[:, None] - points[:, 1]).argmin(axis=0)
        return np.asarray(np.isfinite(self.answer.values[j, i]))


def _axes(answer: MapAnswer) -> list[str]:
    out = []
    base = _TOP + _HIGH
    for value in ticks_of(answer.across, 9):
        x = float(_x(answer, value))
        out.append(
            f'<line class="tick" x1="{x:.1f}" x2="{x:.1f}" y1="{base}" y2="{base + 6}"/>'
            f'<text x="{x:.1f}" y="{base + 20}" text-anchor="middle">{value:g}</text>'
        )
    for value in ticks_of(answer.up, 9):
        y = float(_y(answer, value))
        out.append(
            f'<line class="tick" x1="{_LEFT - 6}" x2="{_LEFT}" y1="{y:.1f}" y2="{y:.1f}"/>'
            f'<text x="{_LEFT - 10}" y="{y + 4:.1f}" text-anchor="end">{value:g}</text>'
        )
    out.append(
        f'<text x="{_LEFT + _WIDE}" y="{base + 40}" text-anchor="end">'
        f"{html.escape(axis_words(answer.across))} →</text>"
        f'<text x="{_LEFT}" y="{_TOP - 9}">↑ {html.escape(axis_words(answer.up))}</text>'
    )
    return out


def _floats(answer: MapAnswer) -> list[str]:
    out = []
    if answer.nearest is not None:
        x, y = float(_x(answer, answer.nearest.x)), float(_y(answer, answer.nearest.y))
        if answer.holds_own:
            own_x, own_y = float(_x(answer, answer.own.x)), float(_y(answer, answer.own.y))
            out.append(
                f'<line x1="{own_x:.1f}" y1="{own_y:.1f}" x2="{x:.1f}" y2="{y:.1f}" '
                f'stroke="{_RUST}" stroke-width="2" stroke-dasharray="2 4"/>'
            )
        out.append(_diamond(x, y))
    if answer.holds_own:
        x, y = float(_x(answer, answer.own.x)), float(_y(answer, answer.own.y))
        out.append(f'<circle class="float" cx="{x:.1f}" cy="{y:.1f}" r="7"/>')
    return out


def _diamond(x: float, y: float) -> str:
    return (
        f'<path class="float" d="M{x:.1f} {y - 8:.1f}L{x + 8:.1f} {y:.1f}L{x:.1f} {y + 8:.1f}'
        f'L{x - 8:.1f} {y:.1f}Z"/>'
    )


def _gauge(answer: MapAnswer) -> list[str]:
    """A pole beside the map, as deep as the bands, and what the signs mean."""
    out = []
    high = min(34.0, 330.0 / (len(answer.levels) + 1))
    foot = _TOP + high * (len(answer.levels) + 1)
    for band in range(len(answer.levels) + 1):
        top = foot - high * (band + 1)
        out.append(
            f'<rect x="{_GAUGE}" y="{top:.1f}" width="30" height="{high:.1f}" '
            f'fill="{_depth(answer, band)}" stroke="{_INK}" stroke-width=".5"/>'
        )
    for band, level in enumerate(answer.levels):
        y = foot - high * (band + 1)
        decides = level == answer.level
        out.append(
            f'<line x1="{_GAUGE}" x2="{_GAUGE + 36}" y1="{y:.1f}" y2="{y:.1f}" '
            f'stroke="{_RUST if decides else _INK}" stroke-width="{2.6 if decides else 0.9}"/>'
            f'<text x="{_GAUGE + 42}" y="{y + 4:.1f}">{html.escape(level_words(answer, level))}'
            f"{' asked' if decides and answer.shown.kind == 'odds' else ''}</text>"
        )
    if answer.shown.kind == "distance" and np.isinf(answer.values).any():
        out.append(f'<text class="dim" x="{_GAUGE + 42}" y="{_TOP + 12}">or none</text>')
    y = foot + 36.0
    signs = [(f'<circle class="float" cx="{_GAUGE + 10}" cy="{y:.0f}" r="7"/>', "your recipe")]
    if answer.nearest is not None:
        signs.append((_diamond(_GAUGE + 10, y + 28), "sure enough"))
    if answer.outside.any():
        box = f'x="{_GAUGE}" y="{y + 28 * len(signs) - 8:.0f}" width="20" height="16"'
        signs.append(
            (f'<rect {box} fill="#e9e1d2"/><rect {box} fill="url(#thin)"/>', "nothing like it")
        )
    for k, (sign, words) in enumerate(signs):
        out.append(f'{sign}<text x="{_GAUGE + 28}" y="{y + 28 * k + 4:.0f}">{words}</text>')
    if answer.outside.any():
        at = y + 28 * len(signs) - 8
        out.append(f'<text x="{_GAUGE + 28}" y="{at:.0f}">was measured</text>')
    return out
