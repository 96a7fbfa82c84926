"""The printed sheets as PDF: pages that are set, measured, and drawn; no system package needed."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Any, BinaryIO

from cofire.answers.batch.records import Pack
from cofire.errors import refusal
from cofire.show.drawing import divider, tick_boxes
from cofire.show.sheets import pages as p
from cofire.show.sheets import words
from cofire.show.sheets.font_fallback import (
    drawable,
    lacking,
    stand_ins,
    with_missing_letters,
    with_stand_ins,
)
from cofire.show.sheets.qr import code_mm
from cofire.show.sheets.typesetter import MM, Typesetter, draw_page, paged, tall

#: From large to small type, until a page holds its glaze; our choice.
_NORMAL = (1.2, 1.12, 1.05, 1.0, 0.94, 0.88, 0.82, 0.76, 0.7, 0.64, 0.6)
_COVER, _COVER_LARGE = (1.1, 1.0, 0.93, 0.86), (1.3, 1.2, 1.1, 1.0)
_LARGE = (1.45, 1.38, 1.3, 1.2, 1.1, 1.0, 0.9, 0.8)


#: Room below a block, mm.
_BELOW = {p.Blanks: 2.0, p.SheetTable: 2.3, p.Band: 1.5, p.Sides: 2.0, p.Figure: 1.0, p.Signs: 1.0}


def pack_pdf(
    pack: Pack, out: BinaryIO, *, paper: p.Paper = "A4", large: bool = False, labels: bool = False
) -> None:
    """Write all pages of a pack: cover, glazes (one page each, at most two in ``large`` type),
    firing, labels. The same pack gives the same bytes."""
    pack, names = with_missing_letters(pack), stand_ins(pack)
    wide, high = (side * MM for side in p.PAPERS[paper])
    inner = (wide - 2 * p.MARGIN_MM * MM, high - (p.MARGIN_MM + p.FOOT_MM) * MM)

    def fit(blocks: Sequence[p.Block], scales: tuple[float, ...], most: int = 1) -> list[list[Any]]:
        return _fit(blocks, inner, scales, most, names)

    pages: list[tuple[list[Any], str]] = []
    if words.has_cover(pack):
        scales = _COVER_LARGE if large else _COVER
        made, needed = p.cover(pack), p.shopping(pack)
        both = fit([*made, *needed], scales)
        if len(both) == 1:
            pages.append((both[0], "what we make and need"))
        else:
            pages += [(page, "what we make") for page in fit(made, scales)]
            pages += [(page, "what we need") for page in fit(needed, scales)]
    for k, sheet in enumerate(pack.sheets, 1):
        foot = f"{sheet.code}, glaze {k} of {len(pack.sheets)}"
        blocks = p.glaze(pack, sheet, large)
        fitted = fit(blocks, _LARGE, 2) if large else fit(blocks, _NORMAL)
        pages += [(page, foot) for page in fitted]
    for answer, load in words.firings_of(pack):
        fitted = fit(p.firing(pack, answer, load), _NORMAL[2:])
        pages += [(page, "firing and pull plan") for page in fitted]
    ready: list[tuple[list[Any], str] | p.Slips] = [*pages]
    ready += p.labels(pack, paper) if labels else []
    start = with_stand_ins(" · ".join(filter(None, (pack.title, pack.date))), names)
    _draw(out, ready, (wide, high), f"{pack.title}, batch sheets", start, names)


def booklet_pdf(booklet: p.Booklet, out: BinaryIO, *, paper: p.Paper = "A4") -> None:
    """Write a booklet. Raises DataFileError where a name has letters that the PDF lacks."""
    if missing := lacking(_texts(booklet)):
        raise refusal("letters-not-in-pdf", said=missing)
    wide, high = (side * MM for side in p.PAPERS[paper])
    if booklet.landscape:
        wide, high = high, wide
    inner = (wide - 2 * p.MARGIN_MM * MM, high - (p.MARGIN_MM + p.FOOT_MM) * MM)
    ready: list[tuple[list[Any], str] | p.Slips] = []
    for leaf in booklet.pages:
        if isinstance(leaf, p.Slips):
            ready.append(leaf)
            continue
        scales = _NORMAL if leaf.shrinks else (1.0,)
        ready += [(page, leaf.foot) for page in _fit(leaf.blocks, inner, scales, 1, {})]
    _draw(out, ready, (wide, high), booklet.title, booklet.start, {})


def _texts(booklet: p.Booklet) -> Iterable[str]:
    """All words of a booklet, as they would be read from its blocks."""
    yield booklet.start
    cells = (leaf.cells if isinstance(leaf, p.Slips) else [leaf.blocks] for leaf in booklet.pages)
    for block in (block for page in cells for cell in page for block in cell):
        if isinstance(block, p.Head):
            yield block.name
        elif isinstance(block, p.SheetTable):
            yield from (cell.text for row in block.rows for cell in row)
        elif isinstance(block, p.Text | p.Heading | p.Band):
            yield block.text


def _draw(
    out: BinaryIO,
    pages: Sequence[tuple[list[Any], str] | p.Slips],
    size: tuple[float, float],
    title: str,
    start: str,
    names: dict[str, str],
) -> None:
    """Draw pages that are set, and slips."""
    from reportlab.pdfgen.canvas import Canvas

    canvas = Canvas(out, pagesize=size, invariant=1, lang="en")
    canvas.setTitle(title)
    canvas.setCreator("cofire")
    for k, page in enumerate(pages, 1):
        if isinstance(page, p.Slips):
            s = Typesetter(1.0, (page.size[0] - 5.0) * MM, names)
            _draw_labels(canvas, [_set(s, cell) for cell in page.cells], page.size, size[1])
        else:
            footer = (drawable(start), page[1], f"page {k} of {len(pages)}")
            draw_page(canvas, page[0], p.MARGIN_MM * MM, p.FOOT_MM * MM, footer)
    canvas.save()


def _fit(
    blocks: Sequence[p.Block],
    inner: tuple[float, float],
    scales: tuple[float, ...],
    most: int,
    names: dict[str, str],
) -> list[list[Any]]:
    """Pages in the largest type that needs no more than ``most`` of them; if none does, as many as
    the smallest needs."""
    result: list[list[Any]] = []
    needs = 0.0
    least, above = 0, len(scales)
    while least < above:  # in smaller type a page holds more, so halve what is left to try
        tried = (least + above) // 2
        s = Typesetter(scales[tried], inner[0], names)
        story = _set(s, blocks, s.gap)
        needs = tall(story, *inner) / inner[1]  # of the smallest type, once all are too large
        pages = paged(story, *inner) if needs <= most else []
        if 0 < len(pages) <= most:
            result, above = pages, tried
        else:
            least = tried + 1
    return result or _fit(blocks, inner, scales, max(most + 1, math.ceil(needs)), names)


def _set(s: Typesetter, blocks: Sequence[p.Block], gap: Any = None) -> list[Any]:
    """Blocks as flowables of reportlab, with the space below each."""
    story: list[Any] = []
    for block in blocks:
        story += _block(s, block)
        if gap and (below := _BELOW.get(type(block), 0.0)):
            story.append(gap(below))
    return story


def _block(s: Typesetter, block: p.Block) -> list[Any]:
    match block:
        case p.Head():
            return _head(s, block)
        case p.Blanks():
            return [s.blanks(*block.lines, size=block.size)]
        case p.Text():
            return [s.paragraph(block)]
        case p.Heading():
            return [s.head(block.text)]
        case p.Band():
            return [s.band(block.text, 10)]
        case p.SheetTable():
            return [_table(s, block)]
        case p.Sides():
            left, right = ([_block(s, b)[0] for b in side] for side in (block.left, block.right))
            return [s.grid([[left, right]], [0.62, 0.38], pad=0, gap=4)]
        case p.Signs():
            return _signs(s, block)
        case p.Care():
            return [s.caution(block.severity, f"{block.by}: " if block.by else "", block.text)]
        case p.Figure():
            return [s.picture(block.picture, s.width)]
        case p.Ticks():
            ticks = s.picture(tick_boxes(block.boxes), 17 * MM)
            row = [[s.text(block.text, 8), ticks]]
            return [s.grid(row, [10 * MM, 18 * MM], pad=0, left=True, middle=True)]


def _head(s: Typesetter, head: p.Head) -> list[Any]:
    size = 27 if len(head.name) < 24 else 22 if len(head.name) < 40 else 17
    block = [s.text(head.name, size, bold=True), s.gap(1), s.text(head.about, 10.5)]
    if head.scan is not None:
        wide = code_mm(head.scan) * MM
        right = [s.picture(head.scan, wide), s.text(head.code, 13, bold=True, align="center")]
        right += [s.text(head.note, 7 / s.k, align="center")] if head.note else []
        block = [s.grid([[block, "", right]], [None, 3 * MM, wide + 2 * MM], pad=0)]
    return [*block, s.gap(1), s.picture(divider(s.width / (1.4 * s.k)), s.width), s.gap(1.5)]


def _signs(s: Typesetter, signs: p.Signs) -> list[Any]:
    marks = [s.diamond(name, signs.mm) for name in signs.diamonds]
    large = signs.plates[: int(signs.large)]
    plates = [s.plates(large, 12.5)] if large else []
    plates += [s.plates(signs.plates[len(large) :])] if signs.plates[len(large) :] else []
    widths = [(signs.mm + 1.0) * MM * s.k] * len(marks)
    if not marks and not plates:
        return []
    row = [[*marks, *([plates] if plates else [])]]
    return [s.grid(row, [*widths, *([None] if plates else [])], pad=0, middle=True, left=True)]


def _table(s: Typesetter, table: p.SheetTable) -> Any:
    ends = [cell.right for cell in table.rows[0]] if table.rows else []
    rows: list[list[Any]] = [
        [s.small(head, "right" if end else "left") for head, end in zip(
            table.heads, ends, strict=False)]
    ] * bool(table.heads)  # fmt: skip
    widths = [s.wide(*w) if isinstance(w, tuple) else w for w in table.widths]
    for k, cell in enumerate(table.rows[0] if table.rows else ()):
        width = widths[k]
        if cell.boxes and not cell.text and width is not None:  # boxes grow with the type
            side = cell.box_mm * MM * s.k * tick_boxes(cell.boxes).width / 12.0
            widths[k] = max(width * s.width if width <= 1.0 else width, side + 6.0)
    for row in table.rows:
        rows.append([_cell(s, cell, w) for cell, w in zip(row, table.widths, strict=True)])
    top = int(bool(table.heads))
    return s.ruled(
        rows,
        widths,
        heads=top,
        parts=[(k + top, said) for k, said in table.parts],
        lots=table.ruled == "last",
        grid=table.ruled == "all",
        least=table.least_mm,
        part_size=table.part_size,
    )


def _cell(s: Typesetter, cell: p.Cell, width: Any) -> Any:
    align = "right" if cell.right else "left"
    contents: list[Any] = []
    if cell.text:
        contents.append(s.text(cell.text, cell.size, bold=cell.bold, align=align, badge=cell.badge))
    if cell.under:
        contents.append(s.text(cell.under, 0.7 * cell.size, align=align, grey=True))
    if not cell.boxes:
        return contents or ""
    ticks = tick_boxes(cell.boxes)
    side = cell.box_mm * MM * s.k * ticks.width / 12.0
    box = s.picture(ticks, side)
    return (
        s.grid([[box, contents]], [side + 2, None], pad=0, within=width or 1.0) if contents else box
    )


def _draw_labels(
    canvas: Any, cells: list[list[Any]], size: tuple[float, float, int], page_high: float
) -> None:
    """Labels from the upper left, dashed where to cut; what is too long for one is shrunk."""
    from reportlab.platypus import KeepInFrame

    wide, high, across = size[0] * MM, size[1] * MM, size[2]
    pad, margin = 2.5 * MM, p.MARGIN_MM * MM
    for k, contents in enumerate(cells):
        x = margin + wide * (k % across)
        top = page_high - margin - high * (k // across)
        canvas.setDash(2, 2)
        canvas.setLineWidth(0.4)
        canvas.rect(x, top - high, wide, high)
        canvas.setDash()
        held = KeepInFrame(wide - 2 * pad, high - 1.4 * pad, contents, mode="shrink", hAlign="LEFT")
        _, needs = held.wrapOn(canvas, wide - 2 * pad, high - 1.4 * pad)
        held.drawOn(canvas, x + pad, top - 0.7 * pad - needs)
    canvas.showPage()
