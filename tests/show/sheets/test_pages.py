"""The blocks of printed pages, for packs small enough to write down what each page has to hold."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from types import SimpleNamespace
from typing import Any

import pytest
from packs import LIBRARY, pack, sheet

from cofire.answers.batch.records import Need, Sheet, Water
from cofire.records import Caution
from cofire.show.sheets import pages, words
from cofire.show.sheets.pages import (
    Band,
    Blanks,
    Care,
    Cell,
    Figure,
    Head,
    Heading,
    SheetTable,
    Sides,
    Signs,
    Text,
    Ticks,
    slip_pages,
)

#: Three lines of a glaze, 300, 150 and 50.5 g, in one bucket of 2.5 l.
WHOLE = sheet(LIBRARY.recipe("clear-crackle"))
LINES = tuple(
    replace(w, weigh_g=Decimal(g), running_g=Decimal(all_), addition=False, bowl=1)
    for w, g, all_ in zip(WHOLE.buckets[0].weighings, ("300.0", "150.0", "50.5"),
                          ("300.0", "450.0", "500.5"), strict=False)
)  # fmt: skip
NAMES = [w.part.material.name for w in LINES]
WATERS = (Water("dip", 1.45, 1900.0, 2500.0, "note"), Water("brush", 1.6, 1500.0, 2100.0, ""))
BUCKET = replace(WHOLE.buckets[0], weighings=LINES, total_g=Decimal("500.5"), waters=WATERS)
LEAD = Caution("lead", "danger", ("using",), "Do not eat off it.", "test", ghs=("skull",))
GLAZE: Sheet = replace(
    WHOLE,
    buckets=(BUCKET,),
    dry_g=Decimal("500.5"),
    teacher_only=(NAMES[1],),
    cautions=((LEAD, ("Chalk",)),),  # type: ignore[arg-type]
    findings=(),
    mixing=("Weigh.", "Stir."),
    keeping=("Lid on.",),
    left_over=("Dry it.",),
)
ALONE = replace(pack("clear-crackle"), sheets=(GLAZE,), needs=(), cost=None, firing=None)


def two(**more: Any) -> Sheet:
    second = replace(BUCKET, number=2, **more)
    return replace(GLAZE, buckets=(replace(BUCKET, number=1), second))


OTHER_LINES = tuple(replace(w, weigh_g=w.weigh_g + 1, running_g=w.running_g + k)
                    for k, w in enumerate(LINES, 1))  # fmt: skip
BOLD = {"bold": True, "right": True}


def test_a_page_of_a_glaze_in_order() -> None:
    made = pages.glaze(ALONE, GLAZE, False)
    head, blanks, marks, band, weigh, water, sides, safety, care, rule, cost = made
    assert isinstance(head, Head) and head.scan is not None
    assert (head.name, head.about, head.code) == (
        GLAZE.recipe.name, words.about(GLAZE), GLAZE.code)  # fmt: skip
    assert head.note == ""
    assert blanks == Blanks((("made by", 3), ("date", 2), ("checked by", 2)))
    assert marks == Signs(("skull",), ("NOT FOR FOOD OR DRINK",), True)
    assert band == Band(f"ONLY THE TEACHER HANDLES: {NAMES[1]}")
    assert weigh == next(iter(pages._weighups(GLAZE, False)))
    assert water == pages._water(GLAZE)
    assert sides == Sides(
        (
            Heading("Do"),
            Text("1. Weigh.", 9.5, hang=4.4),
            Text("2. Stir.", 9.5, hang=4.4),
            Heading("What is left over"),
            Text("– Dry it.", 8.5, hang=3.0),
        ),
        (Heading("Keep"), Text("– Lid on.", 8.5, hang=3.0)),
    )
    assert safety == Heading("Safety")
    assert care == Care("danger", "Chalk", "Do not eat off it.")
    assert rule == Care("", "", words.SDS)
    assert cost == Text(words.costs(GLAZE), 8.5, grey=True)
    plain = replace(GLAZE, teacher_only=(), cautions=(), cost=None)
    made = pages.glaze(replace(ALONE, sheets=(plain,)), plain, False)
    assert [type(block) for block in made] == [Head, Blanks, SheetTable, SheetTable, Sides]
    short = replace(ALONE, needs=(Need(LINES[0].part, Decimal(9), 1.0, 8.0, None, None),))
    said = pages.glaze(short, plain, False)[-1]
    assert said == Text(words.short_of(short), 8.5, grey=True)
    assert not isinstance(pages.glaze(replace(short, people=2), plain, False)[-1], Text)
    doubted = replace(plain, rounding=replace(plain.rounding, matters=True, advice="Finer."))
    assert Text("Finer.", 9.5, italic=True) in pages.glaze(ALONE, doubted, False)


def names(size: float = 12.5) -> list[Cell]:
    return [Cell(n, size, True, badge="TEACHER" * (k == 1)) for k, n in enumerate(NAMES)]


def test_one_bucket_to_weigh_into() -> None:
    (made,) = pages._weighups(GLAZE, False)
    weighed, holds = ("300.0", "150.0", "50.5"), ("300.0", "450.0", "500.5")
    assert made.heads == ("", "weigh into the bucket", "weigh, g", "holds, g", "lot")
    assert made.rows == tuple(
        (Cell(boxes=("",), box_mm=7.2), name, Cell(w, 18.0, True, True),
         Cell(h, 13.0, k == 2, True), Cell())
        for k, (name, w, h) in enumerate(zip(names(), weighed, holds, strict=True))
    )  # fmt: skip
    assert made.widths == (
        pytest.approx(0.043 + 0.01), None, ("300.0", 18.0), ("000000", 13.0), 0.15)  # fmt: skip
    assert (made.ruled, made.parts) == ("last", ())
    (large,) = pages._weighups(GLAZE, True)
    assert large.heads == made.heads[:-1]
    assert [len(row) for row in large.rows] == [4] * 3
    assert (large.ruled, len(large.widths)) == ("none", 4)


def test_buckets_that_are_alike_share_a_column() -> None:
    (made,) = pages._weighups(two(), False)
    assert made.heads[1] == "weigh into each of 2 buckets"
    assert made.rows[0][0] == Cell(boxes=("1", "2"), box_mm=7.2)
    assert made.widths[0] == pytest.approx(0.043 * 2 + 0.01)
    six = replace(GLAZE, buckets=tuple(replace(BUCKET, number=k) for k in range(1, 7)))
    (made,) = pages._weighups(six, False)
    assert made.widths[0] == pytest.approx(0.043 * 5 + 0.01)
    assert (made.ruled, len(made.heads)) == ("none", 4)  # no room for lots
    three = replace(six, buckets=six.buckets[:3])
    assert len(next(iter(pages._weighups(three, False))).heads) == 5


def test_a_scale_that_is_filled_twice() -> None:
    lines = (LINES[0], *(replace(w, bowl=2) for w in LINES[1:]))
    twice = replace(GLAZE, buckets=(replace(BUCKET, weighings=lines),))
    (made,) = pages._weighups(twice, False)
    assert made.heads[1:4] == ("weigh into the bucket, in 2 bowls", "weigh, g", "scale shows, g")
    assert made.rows[-1] == (
        Cell(), Cell("all of it in the bucket", 10.5), Cell(), Cell("500.5", 13.0, True, True),
        Cell())  # fmt: skip
    assert not any(row[3].bold for row in made.rows[:-1])
    assert made.parts == ((1, "empty it into the bucket, scale to zero"),)


def test_buckets_that_differ_stand_side_by_side() -> None:
    (made,) = pages._weighups(two(weighings=OTHER_LINES), False)
    assert made.heads == ("weigh", "bucket 1, g", "bucket 2, g")
    assert made.rows[2] == (
        names()[2],
        Cell("50.5", 15.0, True, True, "holds 500.5", boxes=("",), box_mm=6.4),
        Cell("51.5", 15.0, True, True, "holds 503.5", boxes=("",), box_mm=6.4),
    )
    assert (made.widths, made.ruled) == ((None, 0.235, 0.235), "all")
    lines = tuple(replace(w, bowl=2 if k else 1) for k, w in enumerate(OTHER_LINES))
    twice = tuple(
        replace(BUCKET, number=n, weighings=w, total_g=Decimal(g))
        for n, w, g in ((1, (LINES[0], *(replace(w, bowl=2) for w in LINES[1:])), "500.5"),
                        (2, lines, "503.5"))
    )  # fmt: skip
    (made,) = pages._weighups(replace(GLAZE, buckets=twice), False)
    assert made.rows[-1] == (
        Cell("all of it", 10.5), Cell("500.5", 13.0, True, True), Cell("503.5", 13.0, True, True)
    )  # fmt: skip
    assert made.rows[0][1].under.startswith("shows ")
    # three to a table, two in large type; one that is left over has a table of its own
    four = tuple(
        replace(BUCKET, number=k, weighings=LINES if k < 4 else OTHER_LINES) for k in range(1, 5)
    )
    found = list(pages._weighups(replace(GLAZE, buckets=four), False))
    assert [table.heads[1] for table in found] == ["bucket 1, g", "weigh into bucket 4"]
    found = list(pages._weighups(replace(GLAZE, buckets=four), True))
    assert [len(table.heads) for table in found] == [3, 3]


def test_water_for_each_way() -> None:
    made = pages._water(GLAZE)
    assert made.heads == ("water", "a litre weighs", "water", "gives", "measured")
    assert made.rows == (
        (Cell("to dip", 11.5, True), Cell("1450 g (1.45)", 10.5, under="note"),
         Cell("1900\u00a0ml", 13.0, True), Cell("2500\u00a0ml", 10.5), Cell()),
        (Cell("to brush", 11.5, True), Cell("1600 g (1.60)", 10.5),
         Cell("1500\u00a0ml", 13.0, True), Cell("2100\u00a0ml", 10.5), Cell()),
    )  # fmt: skip
    assert made.widths == (("to brush", 11.5), ("usual 1.45 to 1.55", 8.5), None, None, 0.16)
    assert made.ruled == "last"
    assert pages._water(two()).heads[2] == "water, each bucket"
    less = tuple(replace(w, water_ml=w.water_ml - 100.0) for w in WATERS)
    made = pages._water(two(waters=less))
    assert made.heads == ()
    assert made.rows == (
        (Cell("water", 10.5), Cell("to dip", 11.5, True), Cell("to brush", 11.5, True), Cell()),
        (Cell("a litre weighs", 10.5), Cell("1450 g (1.45)", 10.5, under="note"),
         Cell("1600 g (1.60)", 10.5), Cell()),
        (Cell("bucket 1", 11.5, True), Cell("1900\u00a0ml", 11.5, True),
         Cell("1500\u00a0ml", 11.5, True), Cell()),
        (Cell("bucket 2", 11.5, True), Cell("1800\u00a0ml", 11.5, True),
         Cell("1400\u00a0ml", 11.5, True), Cell()),
    )  # fmt: skip
    assert made.widths == (("a litre weighs", 10.5), None, None, 0.16)


def test_signs_and_care() -> None:
    assert pages.signs([]) == [] and pages.care([]) == []
    assert pages.signs([(LEAD, ())]) == [Signs(("skull",), (), False)]
    shown = pages.care([(LEAD, ("Chalk", "Clay"))])
    assert shown == [Heading("Safety"), Signs(("skull",)), Care("danger", "Chalk, Clay", LEAD.text),
                     Care("", "", words.SDS)]  # fmt: skip


def test_the_cover() -> None:
    who = (("Ines", "A"), ("Jory", "B"), ("Malik", "C"))
    made = pages.cover(replace(ALONE, title="Day", people=3, assignments=who, cautions=(LEAD,)))
    head, heading, people, glazes, table, *care = made
    assert head == Head("Day", words.pack_line(replace(ALONE, people=3)))
    assert (heading, glazes) == (Heading("Who makes what"), Heading("Glazes"))
    assert people == SheetTable((), (
        (Cell("Ines", bold=True), Cell("A"), Cell("Malik", bold=True), Cell("C")),
        (Cell("Jory", bold=True), Cell("B"), Cell(), Cell()),
    ), (0.16, 0.34, 0.16, 0.34))  # fmt: skip
    assert isinstance(table, SheetTable)
    assert table.heads == ("", "glaze", "code", "surface", "dry", "buckets", "cost")
    small = {"size": 9.0, "right": True}
    assert table.rows == ((
        Cell(boxes=("",)), Cell(GLAZE.recipe.name, bold=True), Cell(GLAZE.code, bold=True),
        Cell(GLAZE.recipe.surface, 9.0), Cell("500.5 g", **small), Cell("1", **small),
        Cell("12.30 GBP", **small),
    ),)  # fmt: skip
    assert table.widths == (
        0.05, None, ("WWWWWW", 10.0), ("dry matte", 9.0), 0.14, 0.11, 0.13)  # fmt: skip
    assert care[0] == Heading("Safety")
    assert len(pages.cover(replace(ALONE, assignments=(), cautions=()))) == 3


def test_the_shopping_list() -> None:
    need = Need(LINES[0].part, Decimal(900), 100.0, 800.0, 4.0, Decimal("3.20"))
    made = pages.shopping(replace(ALONE, needs=(need,), currency="GBP"))
    heading, table, total = made
    assert heading == Heading("All materials, and what to buy")
    cells = ("900.0 g", "100.0 g", "800.0 g", "4.00", "3.20")
    assert table == SheetTable(
        ("", "material", "need", "have", "buy", "GBP a kg", "GBP"),
        ((Cell(boxes=("",), box_mm=4.2), Cell(NAMES[0], 9.5),
          *(Cell(c, 9.5, c == "800.0 g", True) for c in cells)),),
        (0.05, None, 0.13, 0.12, 0.13, 0.1, 0.1), ruled="all",
    )  # fmt: skip
    assert total == Text("To buy: 1 material, 3.20 GBP", 11.0, bold=True, right=True)
    bare = pages.shopping(replace(ALONE, currency=""))
    assert len(bare) == 2
    assert isinstance(bare[1], SheetTable) and bare[1].heads[-2:] == ("a kg", "cost")


@pytest.mark.parametrize(
    ("firing", "heads", "widths", "bold"),
    [
        ("raku-workshop", words.PULL_HEADS, (0.05, 0.1, 0.09, 0.2, 0.06, 0.11, None, 0.2),
         (1, 2, 4)),
        ("earthenware-cone-04", words.LOG_HEADS, (0.05, 0.14, 0.22, 0.22, None), (1, 2)),
    ],
)  # fmt: skip
def test_a_page_of_a_firing(firing: str, heads: Any, widths: Any, bold: Any) -> None:
    named = replace(ALONE, firing=LIBRARY.firing(firing), sheets=())
    answer = words.firing_of(named)
    assert answer is not None
    head, blanks, to_key, keyed, figure, plan, table, after, *rest = pages.firing(named, answer)
    assert head == Head(answer.firing.name, words.firing_line(answer))
    assert blanks == Blanks((("fired by", 3), ("date", 2), ("started at", 2)))
    assert to_key == Heading("To key in")
    assert keyed == pages.keyed_in(answer)
    assert isinstance(figure, Figure)
    assert plan == Heading("Pull plan" if firing == "raku-workshop" else "Log")
    assert after == Text(words.after_words(answer), 9.5)
    assert isinstance(table, SheetTable)
    assert (table.heads, table.widths) == (("", *heads), widths)
    assert (table.ruled, table.least_mm) == ("all", 7.4)
    for row in table.rows:
        assert len(row) == len(widths)
        assert row[0] == Cell(boxes=("",))
        assert [k for k, cell in enumerate(row) if cell.bold] == list(bold)
        assert {cell.size for cell in row} == {10.0}
    doubts = words.firing_doubts(answer)
    assert rest[: len(doubts)] == [Text(doubt, 8.5, grey=True) for doubt in doubts]


def test_what_is_keyed_in_is_bold() -> None:
    segment = SimpleNamespace(number=1, rate_c_per_h=150.0, target_c=600.0, hold_min=10.0,
                              ramp_takes_min=232.0)  # fmt: skip
    answer: Any = SimpleNamespace(segments=[segment])
    made = pages.keyed_in(answer)
    (row,) = made.rows
    assert [(c.text, c.size, c.bold) for c in row] == [
        ("1", 12.0, False), ("150 °C/h", 12.0, True), ("270 °F/h", 12.0, False),
        ("600 °C", 12.0, True), ("1112 °F", 12.0, False), ("0:10", 12.0, True),
        ("3:52", 12.0, False)]  # fmt: skip
    assert made.widths == (0.12, None, None, None, None, None, None)


def test_labels() -> None:
    assert pages._bucket_label(GLAZE, BUCKET) == [
        Text(GLAZE.recipe.name, 12.0, bold=True),
        Text(GLAZE.code, 18.0, bold=True),
        Text(f"{GLAZE.recipe.surface}: 500.5 g dry", 9.5),
        Text("to dip: 1900 ml water, a litre weighs 1450 g (1.45)", 8.0),
        Text("to brush: 1500 ml water, a litre weighs 1600 g (1.60)", 8.0),
        Signs(("skull",), mm=8.0),
        Text("lead; see the supplier's safety data sheet", 8.0),
        Text("NOT FOR FOOD OR DRINK", 9.0, bold=True),
        Blanks((("mixed", 1), ("by", 1)), 8.0),
    ]
    label = pages._bucket_label(replace(two(), cautions=()), BUCKET)
    assert Text(f"{GLAZE.recipe.surface}, bucket 1 of 2: 500.5 g dry", 9.5) in label
    assert len(label) == 7
    for letters, size in ((19, 16.0), (20, 12.0)):
        named = replace(GLAZE, recipe=replace(GLAZE.recipe, name="x" * letters))
        assert pages._bucket_label(named, BUCKET)[0] == Text("x" * letters, size, bold=True)
    assert pages._tile_label(GLAZE) == [
        Text(GLAZE.code, 12.0, bold=True),
        Text(GLAZE.recipe.name, 8.0),
        Ticks("coats", "123"),
        Blanks((("body", 1), ("date", 1)), 8.0),
    ]
    made = list(pages.labels(replace(ALONE, sheets=(two(), GLAZE), people=5), "A4"))
    assert [(len(one.cells), one.size) for one in made] == [
        (3, (91.0, 62.0, 2)), (16, (45.0, 24.0, 4))]  # fmt: skip


@pytest.mark.parametrize(
    ("count", "paper", "shared"),
    [(8, "A4", [8]), (9, "A4", [6, 3]), (8, "Letter", [8]), (1, "A4", [1]), (0, "A4", []),
     (17, "A4", [6, 6, 5])],
)  # fmt: skip
def test_labels_are_shared_evenly(count: int, paper: Any, shared: list[int]) -> None:
    """Of 297 mm of A4, 13 and 16 are margins: 268 hold four rows of 62 mm, and so do 250.4."""
    made = slip_pages([[Heading(str(k))] for k in range(count)], (91.0, 62.0, 2), paper)
    assert [len(one.cells) for one in made] == shared


def test_what_is_not_said_of_a_block() -> None:
    """Type of ten points, boxes of 4.6 mm, diamonds of 13.5 mm; nothing bold, right or ruled."""
    cell, text, table = Cell(), Text("x", 9.0), SheetTable((), (), ())
    assert (cell.size, cell.box_mm, cell.boxes, cell.under) == (10.0, 4.6, (), "")
    assert not (cell.bold or cell.right)
    assert not (text.bold or text.italic or text.grey or text.right or text.hang)
    assert (table.ruled, table.least_mm, table.part_size, table.parts) == ("none", 0.0, 8.5, ())
    assert (Blanks(()).size, Signs(()).mm, Signs(()).large) == (10.0, 13.5, False)
    leaf = pages.Leaf((), "")
    assert leaf.shrinks and leaf.kind == ""
    assert not pages.Booklet("", "", ()).landscape
    # ISO 216 and ANSI Y14.1: 8.5 by 11 inches of 25.4 mm
    assert pages.PAPERS["A4"] == (210.0, 297.0)
    assert pages.PAPERS["Letter"] == pytest.approx((8.5 * 25.4, 11.0 * 25.4))
    assert (pages.MARGIN_MM, pages.FOOT_MM) == (13.0, 16.0)


def test_labels_need_the_room_of_both_margins() -> None:
    """Labels of 44.7 mm: six are 268.2 mm, and only 268 are left between the margins of A4."""
    for high, rows in ((44.6, 6), (44.7, 5)):
        first, *_ = slip_pages([[Heading("x")]] * 6, (200.0, high, 1), "A4")
        assert len(first.cells) == (6 if rows == 6 else 3)
