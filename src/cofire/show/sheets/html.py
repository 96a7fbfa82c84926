"""The printed sheets as one HTML file: opens anywhere offline, prints a glaze on a page."""

from __future__ import annotations

import html
import math
from collections.abc import Iterable
from typing import Literal

from cofire.answers.batch.records import Bucket, Pack, Sheet
from cofire.answers.firing import FiringAnswer
from cofire.records import Caution
from cofire.show.drawing import tick_boxes, tideline, to_svg
from cofire.show.sheets import words
from cofire.show.sheets.pictograms import pictogram
from cofire.show.sheets.qr import NAME_ONLY, code_mm, qr, recipe_words
from cofire.show.sheets.style import sheet_style

#: Room inside the margins, mm: wide, high.
_ROOM = {"A4": (184.0, 268.0), "Letter": (190.0, 250.0)}
#: From large to small type; our choice.
_NORMAL = (1.2, 1.12, 1.05, 1.0, 0.94, 0.88, 0.82, 0.76, 0.7, 0.64, 0.6)
_LARGE = (1.35, 1.25, 1.15, 1.05, 0.95, 0.88, 0.82)
_BLANK = '<i class="blank"></i>'


def pack_html(
    pack: Pack,
    *,
    paper: Literal["A4", "Letter"] = "A4",
    large: bool = False,
    labels: bool = False,
) -> str:
    """All sheets of a pack in one file: no scripts, no links, nothing to load. One glaze is one
    page on ``paper``; in ``large`` type it may take two."""
    pages = _front(pack, paper, large) if words.has_cover(pack) else []
    for k, sheet in enumerate(pack.sheets):
        scale = page_scale(pack, sheet, paper, large)
        pages.append(_glaze(pack, sheet, k, scale, large))
    answer = words.firing_of(pack)
    if answer is not None:
        pages.append(_firing(pack, answer, paper))
    if labels:
        pages += _labels(pack, paper)
    return (
        '<!doctype html><html lang="en"><head><meta charset="utf-8"/>'
        '<meta name="viewport" content="width=device-width"/>'
        f"<title>{_e(pack.title)}: batch sheets</title><style>{sheet_style(paper)}</style></head>"
        f"<body>{''.join(pages)}</body></html>\n"
    )


def _e(text: object) -> str:
    return html.escape(str(text))


def page_scale(pack: Pack, sheet: Sheet, paper: str, large: bool = False) -> float:
    """How large the type may be for the glaze to fill a page (two, if ``large``), by counting
    lines. A browser has fonts that nobody here can measure: letters are taken as wide as in the
    widest usual ones.
    """
    wide, high = _ROOM[paper]
    scales = _LARGE if large else _NORMAL
    pages = [_page_count(_blocks_mm(pack, sheet, wide, k, large), high) for k in scales]
    # what fits no page in the smallest type fills the next one in larger
    most = max(2 if large else 1, min(pages))
    return next(k for k, count in zip(scales, pages, strict=True) if count <= most)


def _page_count(blocks: list[float], high: float) -> int:
    """Pages that blocks take when each goes whole to the next page where it does not fit."""
    pages, left = 1, high
    for block in blocks:
        if left < block < high:
            pages, left = pages + 1, high
        left -= block
        while left < 0.0:
            pages, left = pages + 1, left + high
    return pages


def _blocks_mm(pack: Pack, sheet: Sheet, wide: float, k: float, large: bool) -> list[float]:
    """Millimetres that the parts of a glaze take which are not torn apart: head, tables, what to
    do, and the rest; an estimate, rather too much than too little."""

    def lines(text: str, points: float, room: float) -> int:
        # a letter is 0.58 of its height wide, a point 0.353 mm
        return max(1, math.ceil(len(text) * 0.58 * 0.353 * points * k / room))

    # a header is as high as its code, whose size is fixed
    said, _ = recipe_words(sheet, pack.date)
    code = code_mm(qr(said))
    total = code + 13.0 + 10.0 * k * lines(sheet.recipe.name, 27, wide - code - 7) + 12.0 * k
    total += 11.0 * k * bool(sheet.teacher_only)
    total += sum(5.2 * k * lines(r, 9.5, wide) for r in words.remarks(sheet))
    blocks = [total]
    for table in words.weighups(sheet, 2 if large else 3):
        total = 15.0 * k
        columns = len(table.numbers)
        ticks = 10.0 * min(columns, 5) * k if table.alike else 0.0
        room = wide - ticks - (76.0 * k if table.alike else 46.0 * columns * k)
        for line in table.lines:
            name = lines(line.part.material.name + "  TEACHER" * line.teacher, 13, max(room, 30))
            boxes = 6.6 * math.ceil(columns / 5) if table.alike else 10.5
            total += k * (max(boxes, 5.6 * name) + 2.4)
        blocks.append(total)
    blocks.append(sum(10.2 if w.note else 7.4 for w in sheet.buckets[0].waters) * k + 9.0 * k)
    steps = sum(4.7 * k * lines(t, 10, 0.58 * wide) for t in sheet.mixing)
    kept = sum(4.4 * k * lines(t, 8.5, 0.36 * wide) for t in sheet.keeping)
    blocks.append(max(steps, kept) + 8.0 * k)
    total = 30.0 * k
    small = max(7.0, 8.0 * k) / k
    for caution, names in words.sheet_cautions(pack, sheet):
        total += 1.4 * small * 0.353 * k * lines(
            f"{caution.severity} {', '.join(names)} {caution.text}", small, wide)  # fmt: skip
    total += sum(1.3 * small * 0.353 * k * lines(d, small, wide) for d in words.doubts(sheet))
    return [*blocks, total]


def _head(name: str, about: str, right: str = "") -> str:
    size = "" if len(name) < 24 else " long" if len(name) < 40 else " longest"
    return (
        f'<header><div class="name{size}"><h1>{_e(name)}</h1><p>{_e(about)}</p></div>{right}'
        f"</header>{to_svg(tideline(400.0), '100%')}"
    )


def _blanks(*said: str) -> str:
    return '<p class="blanks">' + "".join(f"<span>{_e(w)}{_BLANK}</span>" for w in said) + "</p>"


def _row(cells: Iterable[str], kinds: str = "", tag: str = "td") -> str:
    """Table cells, already escaped; the letters of ``kinds`` become their classes."""
    out = []
    for k, cell in enumerate(cells):
        kind = f' class="{kinds[k]}"' if k < len(kinds) and kinds[k] != " " else ""
        out.append(f"<{tag}{kind}>{cell}</{tag}>")
    return f"<tr>{''.join(out)}</tr>"


def _table(kind: str, heads: Iterable[str], rows: Iterable[str], kinds: str = "") -> str:
    top = _row(map(_e, heads), kinds, "th")
    return f'<table class="{kind}"><thead>{top}</thead><tbody>{"".join(rows)}</tbody></table>'


def _tick(width: str = "1.6em") -> str:
    return to_svg(tick_boxes([""]), width)


def _glaze(pack: Pack, sheet: Sheet, k: int, scale: float, large: bool) -> str:
    said, whole = recipe_words(sheet, pack.date)
    code = qr(said)
    drawn = to_svg(code, f"{code_mm(code):.1f}mm")
    only = "" if whole else f"<small>{NAME_ONLY}</small>"
    right = f'<div class="code">{drawn}<b>{_e(sheet.code)}</b>{only}</div>'
    out = [
        f'<section class="page" style="--k:{scale:g}">',
        _head(sheet.recipe.name, words.about(sheet), right),
        _blanks("made by", "date", "checked by"),
    ]
    if sheet.teacher_only:
        listed = _e(", ".join(sheet.teacher_only))
        out.append(f'<p class="band">ONLY THE TEACHER HANDLES: {listed}</p>')
    out += [f'<p class="remark">Mind: {_e(note)}</p>' for note in words.remarks(sheet)]
    out += [_weighup(sheet, t, large) for t in words.weighups(sheet, 2 if large else 3)]
    out.append(_water(sheet))
    steps = "".join(f"<li>{_e(step)}</li>" for step in sheet.mixing)
    kept = "".join(f"<li>{_e(line)}</li>" for line in sheet.keeping)
    out.append('<div class="acts">')
    out.append(f"<div><h2>do</h2><ol>{steps}</ol></div>" if steps else "")
    out.append(f'<div class="keep"><h2>keep</h2><ul>{kept}</ul></div>' if kept else "")
    out.append("</div>")
    out.append(_mind(words.sheet_cautions(pack, sheet), words.not_for_food(sheet)))
    out += [f'<p class="doubt">{_e(doubt)}</p>' for doubt in words.doubts(sheet)]
    last = [words.costs(sheet)]
    if not words.has_cover(pack):
        last.append(words.short_of(pack))
    foot = f"{sheet.code}, glaze {k + 1} of {len(pack.sheets)}"
    out.append(f'<p class="dim">{_e("; ".join(filter(None, last)))}</p>')
    return "".join(out) + _foot(pack, foot) + "</section>"


def _foot(pack: Pack, said: str) -> str:
    start = " · ".join(filter(None, (pack.title, pack.date)))
    return f"<footer><span>{_e(start)}</span><span>{_e(said)}</span></footer>"


def _weighup(sheet: Sheet, weighup: words.Weighup, large: bool) -> str:
    numbers = [str(n) for n in weighup.numbers]
    single = len(weighup.lines[0].weights) == 1
    spare = len(numbers) <= 3 and not large
    if single:
        heads = ["", weighup.heading, f"weigh, {sheet.units}", f"holds, {sheet.units}"]
        kinds = "tmwr"
    else:
        heads = [weighup.heading, *(f"bucket {n}, {sheet.units}" for n in numbers)]
        kinds = "m" + "b" * len(numbers)
    if single and spare:
        heads, kinds = [*heads, "lot"], kinds + "l"
    ticks = tick_boxes(numbers if len(numbers) > 1 else [""])
    boxes = to_svg(ticks, f"{1.75 * ticks.width / 12:.2f}em")
    rows = []
    added = False
    for line in weighup.lines:
        if line.addition and not added:
            rows.append(
                f'<tr class="additions"><td colspan="{len(heads)}">additions, after all of the '
                "base</td></tr>"
            )
            added = True
        badge = ' <span class="badge">TEACHER</span>' if line.teacher else ""
        name = _e(line.part.material.name) + badge
        if single:
            cells = [boxes, name, line.weights[0], line.running[0], *([""] * spare)]
        else:
            pairs = zip(line.weights, line.running, strict=True)
            cells = [name, *(f"{_tick()}<b>{w}</b><small>holds {r}</small>" for w, r in pairs)]
        rows.append(_row(cells, kinds))
    return _table("weigh", heads, rows, kinds)


def _water(sheet: Sheet) -> str:
    found = words.waters(sheet)
    if not found:
        return ""
    alike = len(found[0][1]) == 1
    each = "" if len(sheet.buckets) == 1 else ", each bucket"
    heads = ["water", "a litre weighs"]
    heads += [f"water{each}", "gives"] if alike else [f"bucket {b.number}" for b in sheet.buckets]
    rows = []
    for water, amounts, slurries in found:
        cells = [
            f"<b>{words.METHODS[water.method]}</b>",
            f"{1000 * water.density_g_per_ml:.0f} g ({words.density(water)})"
            f"<small>{_e(water.note)}</small>",
            *(f"<b>{a}</b>" for a in amounts),
            *(slurries[:1] if alike else ()),
            "",
        ]
        rows.append(_row(cells, " " * (len(cells) - 1) + "l"))
    return _table("water", [*heads, "measured"], rows)


def _mind(cautions: list[tuple[Caution, tuple[str, ...]]], food: bool = False) -> str:
    if not cautions:
        return ""
    codes = [c for c, _ in cautions]
    marks = "".join(to_svg(pictogram(n), "calc(13mm*var(--k))") for n in words.diamonds(codes))
    plates = f'<b class="plate big">{words.NOT_FOR_FOOD}</b>' if food else ""
    plates += "".join(f'<b class="plate">{_e(sign)}</b>' for sign in words.signs(codes))
    told = []
    for caution, names in cautions:
        by = f"<b>{_e(', '.join(names))}:</b> " if names else ""
        told.append(f"<li><b>{caution.severity}</b> {by}{_e(caution.text)}</li>")
    return (
        f'<div class="mind"><h2>mind</h2><div class="signs">{marks}<div>{plates}</div></div>'
        f"<ul>{''.join(told)}<li>{_e(words.SDS)}</li></ul></div>"
    )


def _front(pack: Pack, paper: str, large: bool) -> list[str]:
    """Cover and shopping list on one page, or on one each."""
    start, foot = '<section class="page cover" style="--k:{:.3g}">', "</section>"
    scale = _cover_scale(pack) * _ROOM[paper][1] / _ROOM["A4"][1]
    if scale >= (1.0 if large else 0.86):
        both = _cover(pack) + _shopping(pack) + _foot(pack, "what we make and need")
        return [start.format(scale) + both + foot]
    start = start.format(1.15 if large else 1.0)
    made = _cover(pack) + _foot(pack, "what we make")
    return [start + made + foot, start + _shopping(pack) + _foot(pack, "what we need") + foot]


def _cover(pack: Pack) -> str:
    out = [_head(pack.title, words.pack_line(pack))]
    if pack.assignments:
        pairs = "".join(
            f"<p><b>{_e(who)}</b> <span>{_e(what)}</span></p>" for who, what in pack.assignments
        )
        out.append(f'<h2>who makes what</h2><div class="who">{pairs}</div>')
    rows = []
    for sheet in pack.sheets:
        cost = "–" if sheet.cost is None else words.money(sheet.cost, sheet.currency)
        cells = (
            sheet.recipe.name, sheet.code, sheet.recipe.surface,
            words.weight(sheet.dry_g, sheet), len(sheet.buckets), cost,
        )  # fmt: skip
        rows.append(_row([_tick("1.3em"), *map(_e, cells)], "tmcnrrr"))
    heads = ("", "glaze", "code", "surface", "dry", "buckets", "cost")
    out.append("<h2>glazes</h2>" + _table("plain", heads, rows, "tmcnrrr"))
    return "".join(out) + _mind([(c, ()) for c in pack.cautions])


def _shopping(pack: Pack) -> str:
    price = f"{pack.currency} a kg".strip()
    heads = ("", "material", "need", "have", "buy", price, pack.currency or "cost")
    rows = [_row([_tick("1.3em"), *map(_e, r)], "t rrwrr") for r in words.shopping(pack)]
    out = "<h2>all materials, and what to buy</h2>"
    out += _table("plain buy", heads, rows, "t rrrrr")
    if total := words.total_cost(pack):
        out += f'<p class="total">{_e(total)}</p>'
    return out


def _cover_scale(pack: Pack) -> float:
    """From the number of lines; found by printing."""
    rows = -(-len(pack.assignments) // 2) + len(pack.sheets) + len(pack.needs)
    return min(1.05, (1.36 - 0.0132 * (rows + 2 * len(pack.cautions))))


def _firing(pack: Pack, answer: FiringAnswer, paper: str) -> str:
    count = len(answer.openings)
    scale = max(0.6, 1.0 - 0.03 * max(0, count - 13)) * _ROOM[paper][1] / _ROOM["A4"][1]
    out = [
        f'<section class="page firing" style="--k:{scale:.3g}">',
        _head(answer.firing.name, words.firing_line(answer)),
        _blanks("fired by", "date", "started at"),
        "<h2>to key in</h2>",
        _table("key", words.KEYED_HEADS, (_row(map(_e, r)) for r in words.keyed_in(answer))),
        to_svg(words.firing_hill(answer), "100%"),
    ]
    pulled = bool(answer.openings)
    heads = words.PULL_HEADS if pulled else words.LOG_HEADS
    told = words.pulls(answer) if pulled else words.log_rows(answer)
    rows = []
    for cells in told:
        shown = [_tick("1.4em"), *map(_e, cells)]
        blank = [""] * (len(heads) + 1 - len(shown))
        rows.append(_row([*shown, *blank], "tmm"))
    out.append(f"<h2>{'pull plan' if pulled else 'log'}</h2>" + _table("log", ("", *heads), rows))
    out.append(f"<p>{_e(words.after_words(answer))}</p>")
    out += [f'<p class="dim">{_e(doubt)}</p>' for doubt in words.firing_doubts(answer)]
    out.append(_mind([(c, ()) for c in words.firing_cautions(pack)]))
    return "".join(out) + _foot(pack, "firing and pull plan") + "</section>"


def _labels(pack: Pack, paper: str) -> list[str]:
    buckets = [_bucket_label(sheet, b) for sheet in pack.sheets for b in sheet.buckets]
    tiles = [_tile_label(sheet) for sheet in pack.sheets for _ in range(words.tile_count(pack))]
    pages = []
    for cells, kind, most in (
        (buckets, "buckets", 8),
        (tiles, "tiles", 4 * int(_ROOM[paper][1] // 24)),
    ):
        for k in range(0, len(cells), most):
            inner = "".join(cells[k : k + most])
            pages.append(f'<section class="page labels {kind}" style="--k:1">{inner}</section>')
    return pages


def _bucket_label(sheet: Sheet, bucket: Bucket) -> str:
    codes = [c for c, _ in sheet.cautions]
    number = f", bucket {bucket.number} of {len(sheet.buckets)}" if len(sheet.buckets) > 1 else ""
    marks = "".join(to_svg(pictogram(name), "10.5mm") for name in words.diamonds(codes))
    water = "".join(
        f"<p>{words.METHODS[w.method]}: {words.volume(w.water_ml)} water, a litre weighs "
        f"{1000 * w.density_g_per_ml:.0f} g</p>"
        for w in bucket.waters
    )
    food = f'<b class="plate">{words.NOT_FOR_FOOD}</b>' if words.not_for_food(sheet) else ""
    short = f"{words.in_short(codes)}; see the supplier's safety data sheet"
    long = " long" if len(sheet.recipe.name) >= 20 else ""
    return (
        f'<div class="label{long}"><h3>{_e(sheet.recipe.name)}</h3><h4>{_e(sheet.code)}</h4>'
        f"<p>{_e(sheet.recipe.surface)}{number}</p>"
        f"<p><b>{words.weight(bucket.total_g, sheet)} dry</b></p>{water}"
        f'<div class="signs">{marks}{food}</div><p class="short">{_e(short)}</p>'
        f"{_blanks('mixed', 'by')}</div>"
    )


def _tile_label(sheet: Sheet) -> str:
    boxes = to_svg(tick_boxes("123"), "13mm")
    return (
        f'<div class="label"><h4>{_e(sheet.code)}</h4><p>{_e(sheet.recipe.name)}</p>'
        f'<p class="coats">coats {boxes}</p>{_blanks("body", "date")}</div>'
    )
