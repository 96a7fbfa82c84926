"""Drawings as marks, for pages, SVG files and PDF.

Lengths are in the drawing's own unit, y runs down. Paths speak a small part of SVG: M, L, C and Z,
all absolute. A PDF shows no opacity, dashes or hatching.
"""

from __future__ import annotations

import html
import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Literal

import numpy as np

from cofire.arrays import Array

INK, PAPER, GREY, RUST, PALE = "#2b2622", "#fffdf8", "#6d645a", "#8a3b12", "#e9e1d2"
#: Handle length of a quarter circle as one Bézier curve, per radius; theoretical, 4/3 (√2 - 1).
_QUARTER = 0.5523
_STEP = re.compile(r"([MLCZ])([^MLCZ]*)")
_HATCHING = (
    '<defs><pattern id="hatching" width="8" height="8" patternUnits="userSpaceOnUse" '
    f'patternTransform="rotate(45)"><rect width="1.8" height="8" fill="{INK}" opacity=".45"/>'
    f'<rect x="4" width="1.8" height="8" fill="{PAPER}" opacity=".55"/></pattern></defs>'
)


@dataclass(frozen=True)
class Path:
    """A filled or drawn outline; ``says`` is its tooltip, ``kind`` is its
    class."""

    d: str
    fill: str = ""
    stroke: str = ""
    width: float = 1.0
    opacity: float = 1.0
    dash: str = ""
    hatched: bool = False
    says: str = ""
    kind: str = ""


@dataclass(frozen=True)
class Words:
    """One line of text; ``size`` is the height of its font, ``halo`` is a light edge around it."""

    x: float
    y: float
    text: str
    size: float = 13.0
    anchor: Literal["start", "middle", "end"] = "start"
    colour: str = INK
    bold: bool = False
    halo: bool = False


Mark = Path | Words


@dataclass(frozen=True)
class Picture:
    """A drawing and its description in words."""

    width: float
    height: float
    marks: tuple[Mark, ...]
    says: str = ""


@dataclass(frozen=True)
class Axis:
    """Values from ``low`` to ``high`` laid out from ``start`` to ``end``; values beyond are put at
    the end."""

    low: float
    high: float
    start: float
    end: float

    def __call__(self, value: Array | float) -> Any:
        """A place for each value: a number for a number."""
        per_unit = (self.end - self.start) / max(self.high - self.low, 1e-300)
        if isinstance(value, np.ndarray):
            return self.start + per_unit * (np.clip(value, self.low, self.high) - self.low)
        return float(self.start + per_unit * (min(max(value, self.low), self.high) - self.low))


def points(x: Array, y: Array) -> list[tuple[float, float]]:
    """Places as they are drawn through."""
    return list(zip(np.asarray(x).tolist(), np.asarray(y).tolist(), strict=True))


def polygon(corners: Iterable[tuple[float, float]]) -> str:
    """A closed outline through points."""
    return line(corners) + "Z"


def line(corners: Iterable[tuple[float, float]]) -> str:
    """An open line through points."""
    return lines([list(corners)])


def lines(many: Sequence[Sequence[tuple[float, float]]]) -> str:
    """Open lines as one path; a net has hundreds, so all numbers are written at once."""
    numbers = [n for one in many for point in one for n in point]
    form = "".join("M%.2f %.2f" + "L%.2f %.2f" * (len(one) - 1) for one in many if one)
    return form % tuple(numbers)


def level(x0: float, x1: float, y: float) -> str:
    """A line from left to right."""
    return line(((x0, y), (x1, y)))


def upright(x: float, y0: float, y1: float) -> str:
    """A line from top to bottom."""
    return line(((x, y0), (x, y1)))


def ellipse(x: float, y: float, rx: float, ry: float | None = None) -> str:
    """An ellipse, or a circle."""
    ry = rx if ry is None else ry
    a, b = rx * _QUARTER, ry * _QUARTER
    curves = (
        (x + rx, y + b, x + a, y + ry, x, y + ry),
        (x - a, y + ry, x - rx, y + b, x - rx, y),
        (x - rx, y - b, x - a, y - ry, x, y - ry),
        (x + a, y - ry, x + rx, y - b, x + rx, y),
    )
    bent = "".join("C" + " ".join(f"{n:.2f}" for n in c) for c in curves)
    return f"M{x + rx:g} {y:g}{bent}Z"


def box(x: float, y: float, width: float, height: float) -> str:
    """A rectangle."""
    return polygon(((x, y), (x + width, y), (x + width, y + height), (x, y + height)))


def tick_boxes(numbers: Iterable[str], in_a_row: int = 5) -> Picture:
    """Boxes to tick, one for each number; 10 wide, 12 apart."""
    marks: list[Mark] = []
    across = down = 0
    for k, number in enumerate(numbers):
        x, y = 12.0 * (k % in_a_row), 12.0 * (k // in_a_row)
        across, down = max(across, k % in_a_row + 1), k // in_a_row + 1
        marks.append(Path(box(x + 0.7, y + 0.7, 10.0, 10.0), stroke=INK, width=1.3))
        marks.append(Words(x + 5.7, y + 7.9, number, 6.0, "middle", "#8d857b"))
    return Picture(12.0 * across, 12.0 * down, tuple(marks), "tick")


def divider(width: float) -> Picture:
    """A line under a name: two low waves, ``width`` long and 6 high."""
    crests = max(2, round(width / 24.0))
    step = width / crests
    marks = []
    for y, rise, thick in ((2.4, 4.2, 1.2), (4.6, 3.2, 0.6)):
        bends = [
            f"C{(k + 0.35) * step:.2f} {y - rise:.2f} {(k + 0.65) * step:.2f} {y + rise:.2f} "
            f"{(k + 1) * step:.2f} {y:.2f}"
            for k in range(crests)
        ]
        marks.append(Path(f"M0 {y}{''.join(bends)}", stroke=INK, width=thick))
    return Picture(width, 6.0, tuple(marks))


def head(x: float, y: float, title: str, *lines: str) -> list[Mark]:
    """A title whose foot stands at ``y``, and grey lines below it."""
    below = [Words(x, y + 20.0 * k, text, colour=GREY) for k, text in enumerate(lines, 1)]
    return [Words(x, y, title, 19.0, bold=True), *below]


def along(
    scale: Axis, y: float, ticks: Sequence[tuple[float, str]], size: float = 13.0, colour: str = INK
) -> list[Mark]:
    """Words for values from left to right, their feet at ``y``."""
    return [Words(scale(value), y, words, size, "middle", colour) for value, words in ticks]


def beside(
    scale: Axis,
    x: float,
    ticks: Sequence[tuple[float, str]],
    size: float = 13.0,
    grid: float = 0.0,
    colour: str = INK,
) -> list[Mark]:
    """Words for values from bottom to top, left of ``x``; and a line to ``grid`` for each."""
    out: list[Mark] = []
    for value, words in ticks:
        y = scale(value)
        if grid:
            out.append(Path(level(x, grid, y), stroke="#e4dccf", width=size / 13.0))
        out.append(Words(x - 0.6 * size, y + 0.32 * size, words, size, "end", colour))
    return out


Sign = Callable[[float, float], Path]


def key(x: float, y: float, items: Iterable[tuple[str, Sign]], step: float) -> list[Mark]:
    """Signs, each drawn from its lower left corner, and what they mean, side by side."""
    out: list[Mark] = []
    for k, (words, sign) in enumerate(items):
        out += [sign(x + step * k, y), Words(x + step * k + 29.0, y, words)]
    return out


def swatch(fill: str, hatched: bool = False) -> Sign:
    """A sign for an area."""
    return lambda x, y: Path(box(x, y - 11.0, 22.0, 13.0), fill=fill, hatched=hatched)


def to_svg(picture: Picture, width: str) -> str:
    """The drawing as an SVG element, ``width`` a CSS length."""
    says = f' role="img" aria-label="{html.escape(picture.says)}"' if picture.says else ""
    return (
        f'<svg viewBox="0 0 {picture.width:g} {picture.height:g}" style="width:{width}"{says}>'
        + "".join(map(_element, picture.marks))
        + "</svg>"
    )


def elements(picture: Picture) -> str:
    """What stands inside an SVG element that a page has itself."""
    return "\n".join([_HATCHING, *map(_element, picture.marks)])


def svg_file(picture: Picture) -> str:
    """The drawing as a complete file, on paper."""
    size = f'width="{picture.width:g}" height="{picture.height:g}"'
    ground = Path(box(0.0, 0.0, picture.width, picture.height), fill=PAPER)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {picture.width:g} '
        f'{picture.height:g}" {size} role="img" aria-label="{html.escape(picture.says)}" '
        'font-family="system-ui,sans-serif" stroke-linejoin="round">'
        + "\n".join([_HATCHING, *map(_element, (ground, *picture.marks))])
        + "\n</svg>\n"
    )


def _element(mark: Mark) -> str:
    if isinstance(mark, Words):
        if not mark.text:
            return ""
        style = ' font-weight="600"' if mark.bold else ""
        if mark.halo:
            style += f' stroke="{PAPER}" stroke-width="4" paint-order="stroke"'
        return (
            f'<text x="{mark.x:.2f}" y="{mark.y:.2f}" font-size="{mark.size:g}" '
            f'text-anchor="{mark.anchor}" fill="{mark.colour}"{style}>'
            f"{html.escape(mark.text)}</text>"
        )
    paint = f'fill="{mark.fill or "none"}"'
    if mark.stroke:
        paint += f' stroke="{mark.stroke}" stroke-width="{mark.width:g}"'
    for name, value in (("opacity", mark.opacity), ("stroke-dasharray", mark.dash),
                        ("class", mark.kind)):  # fmt: skip
        if value not in ("", 1.0):
            paint += f' {name}="{value if isinstance(value, str) else round(value, 2)}"'
    if mark.fill:
        paint += ' fill-rule="evenodd"' if mark.d.count("M") > 1 else ""
    says = f"<title>{html.escape(mark.says)}</title></path>" if mark.says else ""
    drawn = f'<path d="{mark.d}" {paint}' + (f">{says}" if says else "/>")
    return drawn + (f'<path d="{mark.d}" fill="url(#hatching)"/>' if mark.hatched else "")


@lru_cache(maxsize=512)  # a box to tick stands on a page fifty times
def to_drawing(picture: Picture, width_pt: float, font: str) -> Any:
    """The drawing for a PDF, ``width_pt`` points wide; the same one wherever it is the same."""
    from reportlab.lib.colors import HexColor
    from reportlab.platypus import Flowable

    scale, high = width_pt / picture.width, picture.height
    outlines = [_outline(m, high) if isinstance(m, Path) else None for m in picture.marks]

    class Drawn(Flowable):  # type: ignore[misc]
        """Draws directly on the canvas, because reportlab's shapes check every number."""

        def draw(self) -> None:
            self.canv.saveState()
            self.canv.scale(scale, scale)
            for mark, outline in zip(picture.marks, outlines, strict=True):
                if isinstance(mark, Words):
                    _write(self.canv, mark, high, font, HexColor(mark.colour))
                else:
                    _paint(self.canv, mark, outline)
            self.canv.restoreState()

    made = Drawn()
    made.width, made.height = width_pt, scale * high
    return made


def _write(canvas: Any, mark: Words, high: float, font: str, colour: Any) -> None:
    canvas.setFont(font, mark.size)
    canvas.setFillColor(colour)
    by = {"start": canvas.drawString, "middle": canvas.drawCentredString,
          "end": canvas.drawRightString}  # fmt: skip
    by[mark.anchor](mark.x, high - mark.y, mark.text)


def _outline(mark: Path, high: float) -> Any:
    from reportlab.pdfgen.pathobject import PDFPathObject

    outline = PDFPathObject()
    draw = {"M": outline.moveTo, "L": outline.lineTo, "C": outline.curveTo, "Z": outline.close}
    for letter, numbers in _STEP.findall(mark.d):
        at = [float(n) for n in numbers.split()]
        at[1::2] = [high - y for y in at[1::2]]
        draw[letter](*at)
    return outline


def _paint(canvas: Any, mark: Path, outline: Any) -> None:
    from reportlab.lib.colors import HexColor

    if mark.fill:
        canvas.setFillColor(HexColor(mark.fill))
    if mark.stroke:
        canvas.setStrokeColor(HexColor(mark.stroke))
        canvas.setLineWidth(mark.width)
    canvas.drawPath(outline, stroke=bool(mark.stroke), fill=bool(mark.fill))
