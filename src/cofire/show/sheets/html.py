"""The printed sheets as one HTML file: opens anywhere offline and flows over as many pages as it
needs, a glaze beginning each on a new one. What has to fit a page is the PDF."""

from __future__ import annotations

import html
from collections.abc import Sequence

from cofire.answers.batch.records import Pack
from cofire.show.drawing import divider, tick_boxes, to_svg
from cofire.show.sheets import pages as p
from cofire.show.sheets import words
from cofire.show.sheets.pictograms import pictogram
from cofire.show.sheets.qr import code_mm
from cofire.show.sheets.style import sheet_style


def pack_html(
    pack: Pack, *, paper: p.Paper = "A4", large: bool = False, labels: bool = False
) -> str:
    """All sheets of a pack in one file: no scripts, no links, nothing to load."""
    sections = []
    start = " · ".join(filter(None, (pack.title, pack.date)))
    if words.has_cover(pack):
        sections.append(section(p.cover(pack), start, "what we make", "cover"))
        sections.append(section(p.shopping(pack), start, "what we need"))
    for k, sheet in enumerate(pack.sheets, 1):
        foot = f"{sheet.code}, glaze {k} of {len(pack.sheets)}"
        sections.append(section(p.glaze(pack, sheet, large), start, foot))
    for answer, load in words.firings_of(pack):
        sections.append(section(p.firing(pack, answer, load), start, "firing and pull plan"))
    if labels:
        sections += [labels_section(slips) for slips in p.labels(pack, paper)]
    return page(f"{pack.title}: batch sheets", sections, paper, large)


def booklet_html(booklet: p.Booklet, paper: p.Paper = "A4") -> str:
    """A booklet as one file."""
    sections = [
        labels_section(one, "label slip")
        if isinstance(one, p.Slips)
        else section(one.blocks, booklet.start, one.foot, one.kind)
        for one in booklet.pages
    ]
    return page(booklet.title, sections, paper)


def page(title: str, sections: Sequence[str], paper: p.Paper = "A4", large: bool = False) -> str:
    """A whole file."""
    return (
        '<!doctype html><html lang="en"><head><meta charset="utf-8"/>'
        '<meta name="viewport" content="width=device-width"/>'
        f"<title>{_e(title)}</title><style>{sheet_style(paper, large)}</style></head>"
        f"<body>{''.join(sections)}</body></html>\n"
    )


def labels_section(slips: p.Slips, kind: str = "label") -> str:
    """Labels side by side, to be cut."""
    wide, high, across = slips.size
    inner = "".join(f'<div class="{kind}">{_blocks(cell)}</div>' for cell in slips.cells)
    grid = f"grid-template-columns:repeat({across},{wide:g}mm);grid-auto-rows:{high:g}mm"
    return f'<section class="page labels" style="{grid}">{inner}</section>'


def section(blocks: Sequence[p.Block], start: str, foot: str, kind: str = "") -> str:
    """What begins on a new page, with words at its foot."""
    return (
        f'<section class="page {kind}">{_blocks(blocks)}<footer><span>{_e(start)}</span>'
        f"<span>{_e(foot)}</span></footer></section>"
    )


def _e(text: str) -> str:
    return html.escape(text)


def _blocks(blocks: Sequence[p.Block]) -> str:
    return "".join(map(_block, blocks))


def _block(block: p.Block) -> str:
    match block:
        case p.Head():
            return _head(block)
        case p.Blanks():
            lines = "".join(
                f'<span style="flex:{share}">{_e(w)}<i></i></span>' for w, share in block.lines
            )
            return f'<p class="blanks"{_style(block.size)}>{lines}</p>'
        case p.Text():
            kinds = {n: getattr(block, n) for n in ("bold", "italic", "grey", "right")}
            hang = f"padding-left:{block.hang}mm;text-indent:-{block.hang}mm" if block.hang else ""
            return _tag("p", kinds, _e(block.text), _style(block.size, hang))
        case p.Heading():
            return f"<h2>{_e(block.text)}</h2>"
        case p.Band():
            return f'<p class="band">{_e(block.text)}</p>'
        case p.SheetTable():
            return _table(block)
        case p.Sides():
            left, right = _blocks(block.left), _blocks(block.right)
            return f'<div class="sides"><div>{left}</div><div>{right}</div></div>'
        case p.Signs():
            marks = "".join(to_svg(pictogram(n), f"{block.mm}mm") for n in block.diamonds)
            plates = "".join(f'<b class="plate">{_e(word)}</b>' for word in block.plates)
            large = " large" * block.large
            return f'<div class="signs{large}">{marks}<div>{plates}</div></div>'
        case p.Care():
            by = f"<b>{_e(block.by)}:</b> " if block.by else ""
            grave = f"<b>{block.severity}</b> " if block.severity else ""
            return f'<p class="care">{grave}{by}{_e(block.text)}</p>'
        case p.Figure():
            return to_svg(block.picture, "100%")
        case p.Ticks():
            boxes = to_svg(tick_boxes(block.boxes), "17mm")
            return f'<p class="ticks">{_e(block.text)} {boxes}</p>'


def _style(size: float, more: str = "") -> str:
    return f' style="font-size:max(8pt,{size / 10.0:g}em);{more}"'


def _head(head: p.Head) -> str:
    size = 27.0 if len(head.name) < 24 else 22.0 if len(head.name) < 40 else 17.0
    scan = ""
    if head.scan is not None:
        note = f"<small>{head.note}</small>" if head.note else ""
        drawn = to_svg(head.scan, f"{code_mm(head.scan):.1f}mm")
        scan = f'<div class="code">{drawn}<b>{_e(head.code)}</b>{note}</div>'
    return (
        f"<header><div><h1{_style(size)}>{_e(head.name)}</h1><p>{_e(head.about)}</p></div>{scan}"
        f"</header>{to_svg(divider(400.0), '100%')}"
    )


def _table(table: p.SheetTable) -> str:
    columns = "".join(
        f'<col style="width:{100.0 * w:g}%"/>' if isinstance(w, float) else "<col/>"
        for w in table.widths
    )
    fit = [isinstance(width, tuple) for width in table.widths]
    ends = [cell.right for cell in table.rows[0]] if table.rows else []
    heads = "".join(
        _tag("th", {"right": end}, _e(head)) for head, end in zip(table.heads, ends, strict=False)
    )
    rows = []
    parts = dict(table.parts)
    for k, row in enumerate(table.rows):
        if k in parts:
            said = f'<td colspan="{len(row)}"{_style(table.part_size)}>{_e(parts[k])}</td>'
            rows.append(f'<tr class="part">{said}</tr>')
        cells = (_cell(cell, whole) for cell, whole in zip(row, fit, strict=True))
        rows.append(f"<tr>{''.join(cells)}</tr>")
    least = f' style="--least:{table.least_mm}mm"' if table.least_mm else ""
    return (
        f'<table class="{table.ruled}"{least}><colgroup>{columns}</colgroup>'
        + (f"<thead><tr>{heads}</tr></thead>" if heads else "")
        + f"<tbody>{''.join(rows)}</tbody></table>"
    )


def _tag(name: str, kinds: dict[str, bool], inner: str, style: str = "") -> str:
    text = " ".join(kind for kind, is_so in kinds.items() if is_so)
    return f"<{name}" + (f' class="{text}"' if text else "") + f"{style}>{inner}</{name}>"


def _cell(cell: p.Cell, whole: bool) -> str:
    """A cell; a ``whole`` one never breaks its words."""
    inner = _e(cell.text)
    if cell.boxes:
        ticks = tick_boxes(cell.boxes)
        inner = to_svg(ticks, f"{cell.box_mm * ticks.width / 12.0:.1f}mm") + inner
    inner += f' <span class="badge">{cell.badge}</span>' if cell.badge else ""
    inner += f"<small>{_e(cell.under)}</small>" if cell.under else ""
    kinds = {"bold": cell.bold, "right": cell.right, "whole": whole}
    return _tag("td", kinds, inner, _style(cell.size) if cell.text else "")
