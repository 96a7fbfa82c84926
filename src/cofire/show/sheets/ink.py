"""Small drawings described once, for a page on the screen and for a PDF alike.

Lengths are in the drawing's own unit, y runs down. Paths speak a small part of SVG: M, L, C and Z,
all absolute.
"""

from __future__ import annotations

import html
import re
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Literal

INK, PAPER = "#2b2622", "#fffdf8"
#: Handle length of a quarter circle as one Bézier curve, per radius; theoretical, 4/3 (√2 - 1).
_QUARTER = 0.5523
_STEP = re.compile(r"([MLCZ])([^MLCZ]*)")


@dataclass(frozen=True)
class Path:
    """A filled or drawn outline."""

    d: str
    fill: str = ""
    stroke: str = ""
    width: float = 0.0


@dataclass(frozen=True)
class Words:
    """One line of text; ``size`` is the height of its font."""

    x: float
    y: float
    text: str
    size: float
    anchor: Literal["start", "middle", "end"] = "start"
    ink: str = INK


@dataclass(frozen=True)
class Picture:
    """A drawing and what it says to those who cannot see it."""

    width: float
    height: float
    marks: tuple[Path | Words, ...]
    says: str = ""


def polygon(points: Iterable[tuple[float, float]]) -> str:
    """A closed outline through points."""
    return "M" + "L".join(f"{x:g} {y:g}" for x, y in points) + "Z"


def line(points: Iterable[tuple[float, float]]) -> str:
    """An open line through points."""
    return "M" + "L".join(f"{x:.2f} {y:.2f}" for x, y in points)


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
    marks: list[Path | Words] = []
    across = down = 0
    for k, number in enumerate(numbers):
        x, y = 12.0 * (k % in_a_row), 12.0 * (k // in_a_row)
        across, down = max(across, k % in_a_row + 1), k // in_a_row + 1
        marks.append(Path(box(x + 0.7, y + 0.7, 10.0, 10.0), stroke=INK, width=1.3))
        marks.append(Words(x + 5.7, y + 7.9, number, 6.0, "middle", "#8d857b"))
    return Picture(12.0 * across, 12.0 * down, tuple(marks), "tick")


def tideline(width: float) -> Picture:
    """The house's rule under a name: two low waves, ``width`` long and 6 high."""
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


def to_svg(picture: Picture, width: str) -> str:
    """The drawing as an SVG element, ``width`` a CSS length."""
    out = [
        f'<svg viewBox="0 0 {picture.width:g} {picture.height:g}" style="width:{width}" '
        + (f'role="img" aria-label="{html.escape(picture.says)}">' if picture.says else ">")
    ]
    for mark in picture.marks:
        if isinstance(mark, Path):
            paint = f'fill="{mark.fill or "none"}"'
            if mark.stroke:
                paint += f' stroke="{mark.stroke}" stroke-width="{mark.width:g}"'
            out.append(f'<path d="{mark.d}" {paint}/>')
        elif mark.text:
            out.append(
                f'<text x="{mark.x:.2f}" y="{mark.y:.2f}" font-size="{mark.size:g}" '
                f'text-anchor="{mark.anchor}" fill="{mark.ink}">{html.escape(mark.text)}</text>'
            )
    return "".join(out) + "</svg>"


@lru_cache(maxsize=512)  # a box to tick stands on a page fifty times
def to_drawing(picture: Picture, width_pt: float, font: str) -> Any:
    """The drawing for a PDF, ``width_pt`` points wide; the same one wherever it is the same."""
    from reportlab.lib.colors import HexColor
    from reportlab.platypus import Flowable

    scale, high = width_pt / picture.width, picture.height
    outlines = [_outline(m, high) if isinstance(m, Path) else None for m in picture.marks]

    class Drawn(Flowable):  # type: ignore[misc]
        """Straight onto the canvas: reportlab's own shapes check every number they are given."""

        def draw(self) -> None:
            self.canv.saveState()
            self.canv.scale(scale, scale)
            for mark, outline in zip(picture.marks, outlines, strict=True):
                if isinstance(mark, Words):
                    _write(self.canv, mark, high, font, HexColor(mark.ink))
                else:
                    _paint(self.canv, mark, outline)
            self.canv.restoreState()

    made = Drawn()
    made.width, made.height = width_pt, scale * high
    return made


def _write(canvas: Any, mark: Words, high: float, font: str, ink: Any) -> None:
    canvas.setFont(font, mark.size)
    canvas.setFillColor(ink)
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
