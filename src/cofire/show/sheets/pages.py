"""The pages of printed sheets as blocks, laid out by ``html`` and ``pdf``. Sizes are points in
normal type."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from cofire.answers.batch.records import Bucket, Load, Pack, Sheet
from cofire.answers.batch.water import most_ml
from cofire.answers.firing import FiringAnswer
from cofire.records import Caution
from cofire.show.drawing import Picture
from cofire.show.sheets import words
from cofire.show.sheets.qr import NAME_ONLY, qr, recipe_words

Paper = Literal["A4", "Letter"]
#: Sheets of paper, mm; ISO 216 and ANSI Y14.1.
PAPERS: dict[Paper, tuple[float, float]] = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
MARGIN_MM, FOOT_MM = 13.0, 16.0
#: Labels, mm: wide, high, in a row; eight on a page, and tiles as small as a hand can write on.
BUCKET_LABEL, TILE_LABEL = (91.0, 62.0, 2), (45.0, 24.0, 4)


@dataclass(frozen=True)
class Head:
    """A name and the line under it; for a glaze, the code to scan and its letters."""

    name: str
    about: str
    scan: Picture | None = None
    code: str = ""
    note: str = ""


@dataclass(frozen=True)
class Blanks:
    """Words with a line to write on after each, as long as its share."""

    lines: tuple[tuple[str, int], ...]
    size: float = 10.0


@dataclass(frozen=True)
class Text:
    """A paragraph; ``hang`` is how far, mm, its first line stands out."""

    text: str
    size: float
    bold: bool = False
    italic: bool = False
    grey: bool = False
    right: bool = False
    hang: float = 0.0


@dataclass(frozen=True)
class Heading:
    text: str


@dataclass(frozen=True)
class Band:
    """A black bar with words."""

    text: str


@dataclass(frozen=True)
class Cell:
    """A cell of a table: boxes to tick (numbers in them, ``box_mm`` wide each), then words, smaller
    words below, and a badge in white on black."""

    text: str = ""
    size: float = 10.0
    bold: bool = False
    right: bool = False
    under: str = ""
    badge: str = ""
    boxes: tuple[str, ...] = ()
    box_mm: float = 4.6


@dataclass(frozen=True)
class SheetTable:
    """Widths are shares of the page, or words in bold of a size that have to fit, or None for a
    share of what is left. ``parts`` are rows before which a line across says something; ``ruled``
    columns have lines between them; rows are at least ``least_mm`` high."""

    heads: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]
    widths: tuple[float | tuple[str, float] | None, ...]
    parts: tuple[tuple[int, str], ...] = ()
    ruled: Literal["none", "last", "all"] = "none"
    least_mm: float = 0.0
    part_size: float = 8.5


@dataclass(frozen=True)
class Sides:
    """Two columns of text, each with a heading."""

    left: tuple[Heading | Text, ...]
    right: tuple[Heading | Text, ...]


@dataclass(frozen=True)
class Signs:
    """Diamonds by name, and plain words on black, the first of them ``large`` if asked."""

    diamonds: tuple[str, ...]
    plates: tuple[str, ...] = ()
    large: bool = False
    mm: float = 13.5


@dataclass(frozen=True)
class Care:
    """One caution in small type: how grave, who brings it, what to do."""

    severity: str
    by: str
    text: str


@dataclass(frozen=True)
class Figure:
    picture: Picture


@dataclass(frozen=True)
class Ticks:
    """A word, and boxes to tick."""

    text: str
    boxes: str


Block = (
    Head | Blanks | Text | Heading | Band | SheetTable | Sides | Signs | Care | Figure | Ticks
)  # fmt: skip


@dataclass(frozen=True)
class Leaf:
    """Blocks that begin on a new page, with words at its foot; ``shrinks`` where smaller type may
    bring them onto one page."""

    blocks: Sequence[Block]
    foot: str
    kind: Literal["", "cover", "projector"] = ""
    shrinks: bool = True


@dataclass(frozen=True)
class Slips:
    """Cells to cut, side by side, and their size: mm wide, mm high, how many in a row."""

    cells: Sequence[Sequence[Block]]
    size: tuple[float, float, int]


@dataclass(frozen=True)
class Booklet:
    """Pages that are not of one pack: of a day, a class room or a firing. ``start`` stands at the
    foot of each."""

    title: str
    start: str
    pages: Sequence[Leaf | Slips]
    landscape: bool = False


def slip_pages(
    cells: Sequence[Sequence[Block]], size: tuple[float, float, int], paper: Paper
) -> Iterable[Slips]:
    """Cells on as few pages as hold them, shared evenly in whole rows."""
    room = PAPERS[paper][1] - MARGIN_MM - FOOT_MM
    rows = -(-len(cells) // size[2])
    pages = max(1, -(-rows // int(room // size[1])))
    each = size[2] * max(1, -(-rows // pages))
    return (Slips(cells[k : k + each], size) for k in range(0, len(cells), each))


def glaze(pack: Pack, sheet: Sheet, large: bool) -> list[Block]:
    """All about one glaze."""
    payload, whole = recipe_words(sheet, pack.date)
    name, about = sheet.recipe.name, words.about(sheet)
    blocks: list[Block] = [
        Head(name, about, qr(payload), sheet.code, "" if whole else NAME_ONLY),
        Blanks((("made by", 3), ("date", 2), ("checked by", 2))),
    ]
    cautions = words.sheet_cautions(pack, sheet)
    blocks += signs(cautions, words.not_for_food(sheet))
    if sheet.teacher_only:
        blocks.append(Band(f"ONLY THE TEACHER HANDLES: {', '.join(sheet.teacher_only)}"))
    blocks += [Text(note, 9.5, italic=True) for note in words.remarks(sheet)]
    blocks += _weighups(sheet, large)
    blocks.append(_water(sheet))
    steps = [Text(f"{k}. {step}", 9.5, hang=4.4) for k, step in enumerate(sheet.mixing, 1)]
    kept = [Text(f"– {line}", 8.5, hang=3.0) for line in sheet.keeping]
    left = [Text(f"– {line}", 8.5, hang=3.0) for line in sheet.left_over]
    do: tuple[Heading | Text, ...] = (Heading("Do"), *steps, Heading("What is left over"), *left)
    blocks.append(Sides(do, (Heading("Keep"), *kept)))
    blocks += care(cautions, shown=False)
    blocks += [Text(doubt, 8.0, grey=True) for doubt in words.doubts(sheet)]
    last = [words.costs(sheet), "" if words.has_cover(pack) else words.short_of(pack)]
    if any(last):
        blocks.append(Text("; ".join(filter(None, last)), 8.5, grey=True))
    return blocks


def _weighups(sheet: Sheet, large: bool) -> Iterable[SheetTable]:
    """All buckets to weigh into: those that are alike share a column, others stand side by side."""
    buckets, across = sheet.buckets, 2 if large else 3
    if len({tuple(w.weigh_g for w in b.weighings) for b in buckets}) == 1:
        into = "the bucket" if len(buckets) == 1 else f"each of {len(buckets)} buckets"
        into += f", in {buckets[0].bowls} bowls" * (buckets[0].bowls > 1)
        yield _alike(sheet, buckets, into, not large)
        return
    for k in range(0, len(buckets), across):
        some = buckets[k : k + across]
        if len(some) == 1:
            yield _alike(sheet, some, f"bucket {some[0].number}", not large)
        else:
            yield _side_by_side(sheet, some)


def _names(sheet: Sheet) -> list[Cell]:
    """What to weigh."""
    lines = sheet.buckets[0].weighings
    only = set(sheet.teacher_only)
    return [
        Cell(
            (material := w.part.material).name,
            12.5,
            True,
            badge="TEACHER" * bool({material.name, w.part.written} & only),
        )
        for w in lines
    ]


def _alike(sheet: Sheet, buckets: Sequence[Bucket], into: str, lots: bool) -> SheetTable:
    """Boxes for every bucket, then one column of weights."""
    boxes = tuple(str(b.number) for b in buckets) if len(buckets) > 1 else ("",)
    spare = lots and len(boxes) <= 3
    weights, running = words.weights(sheet, buckets[0])
    names, bowls, last = _names(sheet), buckets[0].bowls, buckets[0].weighings[-1]
    rows = [
        (
            Cell(boxes=boxes, box_mm=7.2),
            name,
            Cell(weight, 18.0, True, True),
            Cell(holds, 13.0, name is names[-1] and bowls == 1, True),
            *([Cell()] * spare),
        )
        for name, weight, holds in zip(names, weights, running, strict=True)
    ]
    if bowls > 1:
        (total,) = words.shown_words([last.running_g], sheet.units, sheet.scale_g)[1]
        said, amount = Cell("all of it in the bucket", 10.5), Cell(total, 13.0, True, True)
        whole = (Cell(), said, Cell(), amount)
        rows.append((*whole, *([Cell()] * spare)))
        running = [*running, total]
    unit = f", {sheet.shown_unit}" * bool(sheet.shown_unit)
    then = "holds" if bowls == 1 else "scale shows"
    heads = ("", f"weigh into {into}", f"weigh{unit}", f"{then}{unit}")
    # so wide that no weight is ever broken over two lines
    longest = ((max("0000", *weights, key=len), 18.0), (max("000000", *running, key=len), 13.0))
    widths = (0.043 * min(len(boxes), 5) + 0.01, None, *longest, *([0.15] * spare))
    ruled: Literal["last", "none"] = "last" if spare else "none"
    return SheetTable(heads + ("lot",) * spare, tuple(rows), widths, words.parts(buckets[0]), ruled)


def _side_by_side(sheet: Sheet, buckets: Sequence[Bucket]) -> SheetTable:
    """A column for each bucket, with boxes."""
    bowls = buckets[0].bowls
    then = "holds" if bowls == 1 else "shows"
    columns = [
        [Cell(weight, 15.0, True, True, f"{then} {holds}", boxes=("",), box_mm=6.4)
         for weight, holds in zip(*words.weights(sheet, bucket), strict=True)]
        for bucket in buckets
    ]  # fmt: skip
    rows = list(zip(_names(sheet), *columns, strict=True))
    if bowls > 1:
        grams = [b.total_g for b in buckets]
        totals = (words.shown_words([g], sheet.units, sheet.scale_g)[1][0] for g in grams)
        rows.append((Cell("all of it", 10.5), *(Cell(t, 13.0, True, True) for t in totals)))
    unit = f", {sheet.shown_unit}" * bool(sheet.shown_unit)
    heads = ("weigh", *(f"bucket {b.number}{unit}" for b in buckets))
    widths = (None, *([0.235] * len(buckets)))
    return SheetTable(heads, tuple(rows), widths, words.parts(buckets[0]), "all")


def _whole(amount: str) -> str:
    """Never broken over two lines."""
    return amount.replace(" ", "\u00a0")


def _water(sheet: Sheet) -> SheetTable:
    """A row for each way to apply it; where buckets differ, a row for each bucket."""
    waters = words.waters(sheet)
    ways = [Cell(f"to {water.method}", 11.5, True) for water, _, _ in waters]
    thick = [Cell(words.measured(sheet, w), 10.5, under=w.note) for w, _, _ in waters]
    if len(waters[0][1]) == 1:
        each = "" if len(sheet.buckets) == 1 else ", each bucket"
        rows = [
            (*cells, Cell(_whole(amount), 13.0, True), Cell(_whole(made), 10.5), Cell())
            for *cells, (_, (amount,), (made,)) in zip(ways, thick, waters, strict=True)
        ]
        heads = ("water", words.measure(sheet), f"water{each}", "gives", "measured")
        widths = (("to brush", 11.5), ("usual 1.45 to 1.55", 8.5), None, None, 0.16)
        return SheetTable(heads, tuple(rows), widths, ruled="last")
    rows = [
        (Cell("water", 10.5), *ways, Cell()),
        (Cell(words.measure(sheet), 10.5), *thick, Cell()),
    ]
    rows += [
        (
            Cell(f"bucket {b.number}", 11.5, True),
            *(Cell(_whole(amounts[k]), 11.5, True) for _, amounts, _ in waters),
            Cell(),
        )
        for k, b in enumerate(sheet.buckets)
    ]
    return SheetTable((), tuple(rows), (("a litre weighs", 10.5), *([None] * len(ways)), 0.16))


def signs(cautions: Sequence[tuple[Caution, tuple[str, ...]]], food: bool = False) -> list[Block]:
    """Diamonds and plates: before the act."""
    codes = [c for c, _ in cautions]
    plates = (*([words.NOT_FOR_FOOD] * food), *words.signs(codes))
    return [Signs(tuple(words.diamonds(codes)), plates, food)] if codes else []


def care(cautions: Sequence[tuple[Caution, tuple[str, ...]]], shown: bool = True) -> list[Block]:
    """Every caution in full, after its signs unless those stand elsewhere."""
    if not cautions:
        return []
    return [
        Heading("Safety"),
        *(signs(cautions) if shown else []),
        *(Care(c.severity, ", ".join(by), c.text) for c, by in cautions),
        Care("", "", words.SDS),
    ]


def cover(pack: Pack) -> list[Block]:
    """Who makes what, all glazes, and what the day asks for."""
    blocks: list[Block] = [Head(pack.title, words.pack_line(pack))]
    if pack.assignments:
        half = -(-len(pack.assignments) // 2)
        people = [(Cell(who, bold=True), Cell(what)) for who, what in pack.assignments]
        people += [(Cell(), Cell())] * (2 * half - len(people))
        pairs = tuple(people[k] + people[k + half] for k in range(half))
        blocks += [Heading("Who makes what"), SheetTable((), pairs, (0.16, 0.34, 0.16, 0.34))]
    rows = tuple(
        (
            Cell(boxes=("",)),
            Cell(sheet.recipe.name, bold=True),
            Cell(sheet.code, bold=True),
            Cell(sheet.recipe.surface, 9.0),
            Cell(words.weight(sheet.dry_g, sheet), 9.0, right=True),
            Cell(str(len(sheet.buckets)), 9.0, right=True),
            Cell(words.price(sheet), 9.0, right=True),
        )
        for sheet in pack.sheets
    )
    heads = ("", "glaze", "code", "surface", "dry", "buckets", "cost")
    widths = (0.05, None, ("WWWWWW", 10.0), ("dry matte", 9.0), 0.14, 0.11, 0.13)
    blocks += [Heading("Glazes"), SheetTable(heads, rows, widths)]
    return [*blocks, *care([(c, ()) for c in words.cover_cautions(pack)])]


def shopping(pack: Pack) -> list[Block]:
    """Every material, and what to buy."""
    rows = tuple(
        (
            Cell(boxes=("",), box_mm=4.2),
            Cell(name, 9.5),
            *(Cell(c, 9.5, k == 2, True) for k, c in enumerate(cells)),
        )
        for name, *cells in words.shopping(pack)
    )
    price = f"{pack.currency} a kg".strip()
    heads = ("", "material", "need", "have", "buy", price, pack.currency or "cost")
    widths = (0.05, None, 0.13, 0.12, 0.13, 0.1, 0.1)
    blocks: list[Block] = [Heading("All materials, and what to buy")]
    blocks.append(SheetTable(heads, rows, widths, ruled="all"))
    total = words.total_cost(pack)
    return [*blocks, Text(total, 11.0, bold=True, right=True)] if total else blocks


def firing(pack: Pack, answer: FiringAnswer, load: Load | None = None) -> list[Block]:
    """What to key in, the temperature chart, and the pull plan, or a log to fill in."""
    pulled = bool(answer.openings)
    heads = ("", *(words.PULL_HEADS if pulled else words.LOG_HEADS))
    rows = tuple(
        (
            Cell(boxes=("",)),
            *(Cell(c, 10.0, k in (0, 1, 3)) for k, c in enumerate(cells)),
            *([Cell()] * (len(heads) - 1 - len(cells))),
        )
        for cells in (words.pulls(answer, load) if pulled else words.log_rows(answer))
    )
    widths = (0.05, 0.1, 0.09, 0.2, 0.06, 0.11, None, 0.2) if pulled else (
        0.05, 0.14, 0.22, 0.22, None)  # fmt: skip
    return [
        Head(words.firing_name(pack, answer, load), words.firing_line(answer)),
        Blanks((("fired by", 3), ("date", 2), ("started at", 2))),
        Heading("To key in"),
        keyed_in(answer),
        *([Text(loads, 9.5, bold=True)] if (loads := words.loads_of(pack)) else []),
        Figure(words.firing_chart(answer)),
        Heading("Pull plan" if pulled else "Log"),
        SheetTable(heads, rows, widths, ruled="all", least_mm=7.4),
        Text(words.after_words(answer), 9.5),
        *(Text(doubt, 8.5, grey=True) for doubt in words.firing_doubts(answer)),
        *care(words.firing_cautions(pack)),
    ]


def keyed_in(answer: FiringAnswer) -> SheetTable:
    """The segments, for a controller."""
    rows = tuple(
        tuple(Cell(c, 12.0, k in (1, 3, 5)) for k, c in enumerate(row))
        for row in words.keyed_in(answer)
    )
    return SheetTable(words.KEYED_HEADS, rows, (0.12, *([None] * 6)))


def labels(pack: Pack, paper: Paper) -> Iterable[Slips]:
    """Pages of labels."""
    buckets = [_bucket_label(sheet, b) for sheet in pack.sheets for b in sheet.buckets]
    tiles = [_tile_label(sheet) for sheet in pack.sheets for _ in range(words.tile_count(pack))]
    yield from slip_pages(buckets, BUCKET_LABEL, paper)
    yield from slip_pages(tiles, TILE_LABEL, paper)


def _bucket_label(sheet: Sheet, bucket: Bucket) -> list[Block]:
    codes = [c for c, _ in sheet.cautions]
    number = f", bucket {bucket.number} of {len(sheet.buckets)}" if len(sheet.buckets) > 1 else ""
    name = sheet.recipe.name
    blocks: list[Block] = [
        Text(name, 16.0 if len(name) < 20 else 12.0, bold=True),
        Text(sheet.code, 18.0, bold=True),
        Text(f"{sheet.recipe.surface}{number}: {words.weight(bucket.total_g, sheet)} dry", 9.5),
    ]
    for water in bucket.waters:
        how = f"to {water.method}: {words.volume(water.water_ml, most_ml(sheet.buckets))} water"
        blocks.append(Text(f"{how}, {words.measure(sheet)} {words.measured(sheet, water)}", 8.0))
    if shown := words.diamonds(codes):
        blocks.append(Signs(tuple(shown), mm=8.0))
    short = f"{words.in_short(codes)}; see the supplier's safety data sheet"
    blocks.append(Text(short, 8.0))
    if words.not_for_food(sheet):
        blocks.append(Text(words.NOT_FOR_FOOD, 9.0, bold=True))
    return [*blocks, Blanks((("mixed", 1), ("by", 1)), 8.0)]


def _tile_label(sheet: Sheet) -> list[Block]:
    name = sheet.recipe.name
    return [
        Text(sheet.code, 12.0, bold=True),
        Text(name, 8.0),
        Ticks("coats", "123"),
        Blanks((("body", 1), ("date", 1)), 8.0),
    ]
