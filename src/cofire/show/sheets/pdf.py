"""The printed sheets as PDF: pages that are set, measured, and drawn; no system package needed."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, BinaryIO, Literal

from cofire.answers.batch.records import Bucket, Pack, Sheet
from cofire.answers.firing import FiringAnswer
from cofire.records import Caution
from cofire.show.drawing import tick_boxes, tideline
from cofire.show.sheets import words
from cofire.show.sheets.letters import drawable, stand_ins, with_lost_letters, with_stand_ins
from cofire.show.sheets.qr import NAME_ONLY, code_mm, qr, recipe_words
from cofire.show.sheets.setting import GREY, MM, Setting, draw_page, paged, tall

Paper = Literal["A4", "Letter"]
#: Sheets of paper, mm; ISO 216 and ANSI Y14.1.
PAPERS: dict[Paper, tuple[float, float]] = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
_MARGIN, _FOOT = 13.0, 16.0
#: From large to small type, until a page holds its glaze; our choice.
_NORMAL = (1.2, 1.12, 1.05, 1.0, 0.94, 0.88, 0.82, 0.76, 0.7, 0.64, 0.6)
_COVER, _COVER_LARGE = (1.1, 1.0, 0.93, 0.86), (1.3, 1.2, 1.1, 1.0)
_LARGE = (1.45, 1.38, 1.3, 1.2, 1.1, 1.0, 0.9, 0.8)
_PULLS: list[float | None] = [0.05, 0.1, 0.09, 0.2, 0.11, None, 0.13, 0.18]
_LOG: list[float | None] = [0.05, 0.14, 0.22, 0.22, None]
_COLUMN = 0.235  # of the page, for one of several buckets that differ
#: Labels, mm: wide, high, in a row; eight on a page, and tiles as small as a hand can write on.
_BUCKET_LABEL, _TILE_LABEL = (91.0, 62.0, 2), (45.0, 24.0, 4)


def pack_pdf(
    pack: Pack,
    out: BinaryIO,
    *,
    paper: Paper = "A4",
    large: bool = False,
    labels: bool = False,
) -> None:
    """Write all pages of a pack: cover, glazes (one page each, at most two in ``large`` type),
    firing, labels. The same pack gives the same bytes."""
    from reportlab.pdfgen.canvas import Canvas

    pack, names = with_lost_letters(pack), stand_ins(pack)
    wide, high = (side * MM for side in PAPERS[paper])
    inner = (wide - 2 * _MARGIN * MM, high - (_MARGIN + _FOOT) * MM)
    pages: list[tuple[list[Any], str]] = []
    if words.has_cover(pack):
        pages += _front(pack, inner, _COVER_LARGE if large else _COVER, names)
    for k, sheet in enumerate(pack.sheets):
        foot = f"{sheet.code}, glaze {k + 1} of {len(pack.sheets)}"
        fitted = _fit(
            lambda s, sheet=sheet: _glaze(s, pack, sheet, large),  # type: ignore[misc]
            inner,
            _LARGE if large else _NORMAL,
            2 if large else 1,
            names,
        )
        pages += [(page, foot) for page in fitted]
    answer = words.firing_of(pack)
    if answer is not None:
        fitted = _fit(lambda s: _firing(s, pack, answer), inner, _NORMAL[2:], 1, names)
        pages += [(page, "firing and pull plan") for page in fitted]
    sheets_of_labels = _label_sheets(pack, inner, names) if labels else []
    canvas = Canvas(out, pagesize=(wide, high), invariant=1, lang="en")
    canvas.setTitle(f"{pack.title}, batch sheets")
    canvas.setCreator("cofire")
    total = len(pages) + len(sheets_of_labels)
    start = drawable(with_stand_ins(" · ".join(filter(None, (pack.title, pack.date))), names))
    for k, (page, foot) in enumerate(pages):
        draw_page(canvas, page, _MARGIN * MM, _FOOT * MM, (start, foot, f"page {k + 1} of {total}"))
    for cells, size in sheets_of_labels:
        _draw_labels(canvas, cells, size, high)
    canvas.save()


def _fit(
    build: Callable[[Setting], list[Any]],
    inner: tuple[float, float],
    scales: tuple[float, ...],
    most: int,
    names: dict[str, str],
) -> list[list[Any]]:
    """Pages in the largest type that needs no more than ``most`` of them; if none does, one more
    page."""
    found: list[list[Any]] = []
    least, above = 0, len(scales)
    while least < above:  # in smaller type a page holds more, so halve what is left to try
        tried = (least + above) // 2
        story = build(Setting(scales[tried], inner[0], names))
        pages = paged(story, *inner) if tall(story, *inner) <= most * inner[1] else []
        if 0 < len(pages) <= most:
            found, above = pages, tried
        else:
            least = tried + 1
    return found or _fit(build, inner, scales, most + 1, names)


def _head(s: Setting, name: str, about: str, right: list[Any] | None = None) -> list[Any]:
    size = 27 if len(name) < 24 else 22 if len(name) < 40 else 17
    left = [s.text(name, size, bold=True), s.gap(1), s.text(about, 10.5)]
    side = None if right is None else right[0].width + 2 * MM
    block = left if right is None else [s.grid([[left, "", right]], [None, 3 * MM, side], pad=0)]
    return [*block, s.gap(1), s.picture(tideline(s.width / (1.4 * s.k)), s.width), s.gap(1.5)]


def _glaze(s: Setting, pack: Pack, sheet: Sheet, large: bool) -> list[Any]:
    said, whole = recipe_words(sheet, pack.date)
    code = qr(said)
    right = [s.picture(code, code_mm(code) * MM)]
    right.append(s.text(sheet.code, 13, bold=True, align="center"))
    if not whole:
        right.append(s.text(NAME_ONLY, 7 / s.k, align="center"))
    story = _head(s, sheet.recipe.name, words.about(sheet), right)
    story.append(s.blanks(("made by", 3), ("date", 2), ("checked by", 2)))
    story.append(s.gap(2))
    if sheet.teacher_only:
        listed = ", ".join(sheet.teacher_only)
        story += [s.band(f"ONLY THE TEACHER HANDLES: {listed}", 10), s.gap(1.5)]
    for note in words.remarks(sheet):
        story += [s.text(f"Mind: {note}", 9.5, italic=True), s.gap(1)]
    for weighup in words.weighups(sheet, 2 if large else 3):
        story += [_weighup(s, sheet, weighup, lots=not large), s.gap(2.5)]
    story += [_water(s, sheet), s.gap(2)]
    steps = [s.text(f"{k + 1}. {step}", 9.5, hang=4.4) for k, step in enumerate(sheet.mixing)]
    kept = [s.text(f"– {line}", 8.5, hang=3) for line in sheet.keeping]
    if steps and kept:
        story.append(
            s.grid([[[s.head("do"), *steps], [s.head("keep"), *kept]]], [0.62, 0.38], pad=0, gap=4)
        )
    else:
        story += [s.head("do" if steps else "keep"), *steps, *kept] if steps or kept else []
    story.append(s.gap(2))
    story += _mind(s, words.sheet_cautions(pack, sheet), words.not_for_food(sheet))
    story += [s.text(doubt, max(7.0, 8 * s.k) / s.k, ink=GREY) for doubt in words.doubts(sheet)]
    last = [words.costs(sheet)]
    if not words.has_cover(pack):
        last.append(words.short_of(pack))
    last_line = "; ".join(filter(None, last))
    return [*story, s.text(last_line, 8.5, ink=GREY)] if last_line else story


def _weighup(s: Setting, sheet: Sheet, weighup: words.Weighup, *, lots: bool) -> Any:
    numbers = [str(n) for n in weighup.numbers]
    single = len(weighup.lines[0].weights) == 1
    ticks = tick_boxes(numbers if len(numbers) > 1 else [""])
    side = 7.2 * MM * s.k * ticks.width / 12.0
    spare = lots and len(numbers) <= 3
    if single:
        heads = ["", weighup.heading, f"weigh, {sheet.units}", f"holds, {sheet.units}"]
        heads += ["lot"] * spare
        whole = [s.wide(longest(weighup, k), size) for k, size in ((0, 18), (1, 13))]
        widths: list[Any] = [side + 5, None, *whole, *([0.15] * spare)]
    else:
        heads = [weighup.heading, *(f"bucket {n}, {sheet.units}" for n in numbers)]
        widths = [None, *([_COLUMN] * len(numbers))]
    rows = [[s.small(h, "right" if h and k > single and h != "lot" else "left")
             for k, h in enumerate(heads)]]  # fmt: skip
    for line in weighup.lines:
        badge = "TEACHER" if line.teacher else ""
        name = s.text(line.part.material.name, 12.5, bold=True, badge=badge)
        if single:
            weight = s.text(line.weights[0], 18, bold=True, align="right")
            last = line is weighup.lines[-1]
            running = s.text(line.running[0], 13, bold=last, align="right")
            rows.append([s.picture(ticks, side), name, weight, running, *([""] * spare)])
        else:
            pairs = zip(line.weights, line.running, strict=True)
            rows.append([name, *(_cell(s, *pair) for pair in pairs)])
    first = next((k for k, line in enumerate(weighup.lines) if line.addition), None)
    additions = None if first is None else first + 1
    return s.ruled(rows, widths, additions=additions, lots=spare and single, grid=not single)


def longest(weighup: words.Weighup, which: int) -> str:
    """The longest weight (0) or running total (1), so that none is ever broken over two lines."""
    return max((t for x in weighup.lines for t in (x.weights, x.running)[which]), key=len)


def _cell(s: Setting, weight: str, running: str) -> Any:
    side = 6.4 * MM * s.k
    told = [
        s.text(weight, 15, bold=True, align="right"),
        s.text(f"holds {running}", 10, align="right"),
    ]
    box = s.picture(tick_boxes([""]), side)
    return s.grid([[box, told]], [side + 2, None], pad=0, within=_COLUMN)


def _water(s: Setting, sheet: Sheet) -> Any:
    found = words.waters(sheet)
    if not found:
        return s.gap(0)
    alike = len(found[0][1]) == 1
    each = "" if len(sheet.buckets) == 1 else ", each bucket"
    heads = ["water", "a litre weighs"]
    heads += [f"water{each}", "gives"] if alike else [f"bucket {b.number}" for b in sheet.buckets]
    rows = [[s.small(h) for h in [*heads, "measured"]]]
    for water, amounts, slurries in found:
        cells = [
            s.text(words.METHODS[water.method], 11.5, bold=True),
            [
                s.text(f"{1000 * water.density_g_per_ml:.0f} g ({words.density(water)})", 10.5),
                *([s.text(water.note, 7.5, ink=GREY)] if water.note else []),
            ],
            *(s.text(a, 13 if alike else 10, bold=True) for a in amounts),
            *([s.text(slurries[0], 10.5)] if alike else []),
            "",
        ]
        rows.append(cells)
    widths: list[Any] = [s.wide("to brush", 11.5), s.wide("1450 g (1.45)", 10.5)]
    return s.ruled(rows, [*widths, *([None] * (len(heads) - 2)), 0.16], lots=True)


def _mind(
    s: Setting, cautions: list[tuple[Caution, tuple[str, ...]]], food: bool = False
) -> list[Any]:
    if not cautions:
        return []
    codes = [c for c, _ in cautions]
    marks: list[Any] = [s.diamond(name) for name in words.diamonds(codes)]
    plates = [s.plates([words.NOT_FOR_FOOD], 12.5)] if food else []
    if said := words.signs(codes):
        plates.append(s.plates(said))
    story: list[Any] = [s.head("mind")]
    if marks or plates:
        widths: list[Any] = [14.5 * MM * s.k] * len(marks)
        row = s.grid([[*marks, plates]], [*widths, None], pad=0, middle=True)
        story = [s.grid([[[*story, s.gap(0.8), row]]], [None], pad=0), s.gap(1)]
    for caution, names in cautions:
        by = f"{', '.join(names)}: " if names else ""
        story.append(s.caution(caution.severity, by, caution.text))
    return [*story, s.caution("", "", words.SDS), s.gap(1)]


def _front(
    pack: Pack, inner: tuple[float, float], scales: tuple[float, ...], names: dict[str, str]
) -> list[tuple[list[Any], str]]:
    """Cover and shopping list on one page, or on one each."""
    both = _fit(lambda s: [*_cover(s, pack), *_shopping(s, pack)], inner, scales, 1, names)
    if len(both) == 1:
        return [(both[0], "what we make and need")]
    cover = _fit(lambda s: _cover(s, pack), inner, scales, 1, names)
    listed = _fit(lambda s: _shopping(s, pack), inner, scales, 1, names)
    return [*((p, "what we make") for p in cover), *((p, "what we need") for p in listed)]


def _cover(s: Setting, pack: Pack) -> list[Any]:
    story = _head(s, pack.title, words.pack_line(pack))
    if pack.assignments:
        half = -(-len(pack.assignments) // 2)
        told = [[s.text(who, 10, bold=True), s.text(what, 10)] for who, what in pack.assignments]
        told += [["", ""]] * (2 * half - len(told))
        rows = [[*told[k], *told[k + half]] for k in range(half)]
        story += [s.head("who makes what"), s.ruled(rows, [0.16, 0.34, 0.16, 0.34], heads=0)]
        story.append(s.gap(3))
    heads = ["", "glaze", "code", "surface", "dry", "buckets", "cost"]
    rows = [[s.small(h) for h in heads]]
    for sheet in pack.sheets:
        cost = "–" if sheet.cost is None else words.money(sheet.cost, sheet.currency)
        rows.append(
            [
                s.picture(tick_boxes([""]), 4.6 * MM * s.k),
                s.text(sheet.recipe.name, 10, bold=True),
                s.text(sheet.code, 10, bold=True),
                *(s.text(cell, 9) for cell in (sheet.recipe.surface, words.weight(
                    sheet.dry_g, sheet), str(len(sheet.buckets)), cost)),
            ]
        )  # fmt: skip
    widths: list[Any] = [0.05, None, s.wide("WWWWWW", 10), 0.13, 0.14, 0.11, 0.13]
    story += [s.head("glazes"), s.ruled(rows, widths), s.gap(3)]
    return [*story, *_mind(s, [(c, ()) for c in pack.cautions])]


def _shopping(s: Setting, pack: Pack) -> list[Any]:
    rows = [[s.small(h, "left" if k < 2 else "right") for k, h in enumerate(
        ("", "material", "need", "have", "buy", f"{pack.currency} a kg".strip(),
         pack.currency or "cost"))]]  # fmt: skip
    for name, *cells in words.shopping(pack):
        rows.append(
            [
                s.picture(tick_boxes([""]), 4.2 * MM * s.k),
                s.text(name, 9.5),
                *(s.text(c, 9.5, bold=k == 2, align="right") for k, c in enumerate(cells)),
            ]
        )
    story = [s.gap(2), s.head("all materials, and what to buy")]
    story.append(s.ruled(rows, [0.05, None, 0.13, 0.12, 0.13, 0.1, 0.1], grid=True))
    if total := words.total_cost(pack):
        story += [s.gap(1), s.text(total, 11, bold=True, align="right")]
    return story


def _firing(s: Setting, pack: Pack, answer: FiringAnswer) -> list[Any]:
    story = _head(s, answer.firing.name, words.firing_line(answer))
    story += [s.blanks(("fired by", 3), ("date", 2), ("started at", 2)), s.gap(2)]
    rows = [[s.small(h) for h in words.KEYED_HEADS]]
    rows += [[s.text(c, 12, bold=k in (1, 3, 5)) for k, c in enumerate(row)]
             for row in words.keyed_in(answer)]  # fmt: skip
    story += [s.head("to key in"), s.ruled(rows, [0.12, *([None] * 6)]), s.gap(2)]
    story += [s.picture(words.firing_hill(answer), s.width), s.gap(1)]
    box, pulled = tick_boxes([""]), bool(answer.openings)
    heads = words.PULL_HEADS if pulled else words.LOG_HEADS
    rows = [[s.small(h) for h in ("", *heads)]]
    for cells in words.pulls(answer) if pulled else words.log_rows(answer):
        shown = [s.text(c, 10, bold=k < 2) for k, c in enumerate(cells)]
        blank = [""] * (len(heads) - len(shown))
        rows.append([s.picture(box, 4.6 * MM * s.k), *shown, *blank])
    story.append(s.head("pull plan" if pulled else "log"))
    story.append(s.ruled(rows, _PULLS if pulled else _LOG, grid=True, least=7.4))
    story += [s.gap(1), s.text(words.after_words(answer), 9.5)]
    story += [s.text(doubt, 8.5, ink=GREY) for doubt in words.firing_doubts(answer)]
    return [*story, s.gap(1), *_mind(s, [(c, ()) for c in words.firing_cautions(pack)])]


def _label_sheets(
    pack: Pack, inner: tuple[float, float], names: dict[str, str]
) -> list[tuple[list[list[Any]], tuple[float, float, int]]]:
    """Pages of labels: what stands on each, and their size."""
    s = Setting(1.0, inner[0], names)
    buckets = [_bucket_label(s, sheet, b) for sheet in pack.sheets for b in sheet.buckets]
    tiles = [_tile_label(s, sheet) for sheet in pack.sheets for _ in range(words.tile_count(pack))]
    pages = []
    for cells, size in ((buckets, _BUCKET_LABEL), (tiles, _TILE_LABEL)):
        most = size[2] * int(inner[1] / MM // size[1])
        pages += [(cells[k : k + most], size) for k in range(0, len(cells), most)]
    return pages


def _bucket_label(s: Setting, sheet: Sheet, bucket: Bucket) -> list[Any]:
    codes = [c for c, _ in sheet.cautions]
    number = f", bucket {bucket.number} of {len(sheet.buckets)}" if len(sheet.buckets) > 1 else ""
    name = sheet.recipe.name
    told: list[Any] = [
        s.text(name, 17 if len(name) < 20 else 13, bold=True),
        s.text(sheet.code, 22, bold=True),
        s.text(f"{sheet.recipe.surface}{number}", 9.5),
        s.text(f"{words.weight(bucket.total_g, sheet)} dry", 9.5, bold=True),
    ]
    for water in bucket.waters:
        how = f"{words.METHODS[water.method]}: {words.volume(water.water_ml)} water"
        told.append(s.text(f"{how}, a litre weighs {1000 * water.density_g_per_ml:.0f} g", 8))
    marks = [s.diamond(name, 10.5) for name in words.diamonds(codes)]
    if marks:
        told.append(s.grid([marks], [11.5 * MM] * len(marks), pad=0, left=True))
    told.append(s.text(f"{words.in_short(codes)}; see the supplier's safety data sheet", 7))
    if words.not_for_food(sheet):
        told.append(s.text(words.NOT_FOR_FOOD, 9, bold=True))
    return [*told, s.blanks(("mixed", 2), ("by", 2), within=84 * MM, size=8)]


def _tile_label(s: Setting, sheet: Sheet) -> list[Any]:
    name = sheet.recipe.name
    ticks = s.picture(tick_boxes("123"), 13 * MM)
    return [
        s.text(sheet.code, 12, bold=True),
        s.text(name, 7 if len(name) < 28 else 6),
        s.grid([[s.text("coats", 7), ticks]], [9 * MM, 14 * MM], pad=0, left=True, middle=True),
        s.blanks(("body", 2), ("date", 2), within=40 * MM, size=7),
    ]


def _draw_labels(
    canvas: Any, cells: list[list[Any]], size: tuple[float, float, int], page_high: float
) -> None:
    """Labels from the upper left, dashed where to cut; what is too long for one is shrunk."""
    from reportlab.platypus import KeepInFrame

    wide, high, across = size[0] * MM, size[1] * MM, size[2]
    pad = 2.5 * MM
    for k, told in enumerate(cells):
        x = _MARGIN * MM + wide * (k % across)
        top = page_high - _MARGIN * MM - high * (k // across)
        canvas.setDash(2, 2)
        canvas.setLineWidth(0.4)
        canvas.rect(x, top - high, wide, high)
        canvas.setDash()
        held = KeepInFrame(wide - 2 * pad, high - 1.4 * pad, told, mode="shrink", hAlign="LEFT")
        _, needs = held.wrapOn(canvas, wide - 2 * pad, high - 1.4 * pad)
        held.drawOn(canvas, x + pad, top - 0.7 * pad - needs)
    canvas.showPage()
