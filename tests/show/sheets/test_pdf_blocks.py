"""How blocks become what is drawn on paper, in points worked by hand."""

from __future__ import annotations

from io import BytesIO
from itertools import pairwise
from typing import Any

import pytest

from cofire.errors import CofireError
from cofire.show.drawing import Picture, tick_boxes
from cofire.show.sheets import pages as p
from cofire.show.sheets import pdf
from cofire.show.sheets.qr import code_mm, qr
from cofire.show.sheets.typesetter import MM, Typesetter

pypdf = pytest.importorskip("pypdf")
FULL, HALF = Typesetter(1.0, 400.0), Typesetter(0.5, 400.0)
BOLD = "OpenSans-Bold"


def high(made: Any) -> float:
    return float(made.height)


@pytest.mark.parametrize(
    ("letters", "size"), [(1, 27.0), (23, 27.0), (24, 22.0), (39, 22.0), (40, 17.0)]
)
def test_long_names_are_set_smaller(letters: int, size: float) -> None:
    name, gap, about, below, line, last = pdf._head(FULL, p.Head("x" * letters, "about"))
    assert (name.style.fontSize, name.style.fontName, about.style.fontSize) == (size, BOLD, 10.5)
    assert [high(one) for one in (gap, below, last)] == pytest.approx([MM, MM, 1.5 * MM])
    assert line.width == pytest.approx(400.0)


def test_a_code_stands_to_the_right_of_its_name() -> None:
    scan = qr("Saltgrass Yard")
    wide = code_mm(scan) * MM
    table, *_ = pdf._head(HALF, p.Head("a", "b", scan, "AB1", "name only"))
    assert table._argW == pytest.approx([400.0 - wide - 5.0 * MM, 3.0 * MM, wide + 2.0 * MM])
    ((words, space, right),) = table._cellvalues
    assert len(words) == 3 and space == ""
    picture, code, note = right
    assert picture.width == pytest.approx(wide)
    assert (code.style.fontSize, code.style.fontName, code.style.alignment) == (8.0, BOLD, 1)
    assert (note.style.fontSize, note.style.alignment) == (8.0, 1)
    assert table._cellStyles[0][0].leftPadding == 0
    table, *_ = pdf._head(FULL, p.Head("a", "b", scan, "AB1"))
    assert len(table._cellvalues[0][2]) == 2
    assert table._cellvalues[0][2][1].style.fontSize == 13.0


def test_diamonds_then_plates() -> None:
    (table,) = pdf._signs(FULL, p.Signs(("skull", "corrosion"), ("NO FOOD", "GLOVES"), True, 9.0))
    assert table._argW == pytest.approx([10.0 * MM, 10.0 * MM, 400.0 - 20.0 * MM])
    ((first, second, plates),) = table._cellvalues
    assert first.width == second.width == pytest.approx(9.0 * MM)
    assert [one.style.fontSize for one in plates] == [12.5, 9.0]
    assert table._cellStyles[0][0].valign == "MIDDLE" and table.hAlign == "LEFT"
    assert table._cellStyles[0][0].leftPadding == 0
    (small,) = pdf._signs(HALF, p.Signs(("skull",), ("GLOVES",)))
    assert small._argW[0] == pytest.approx(0.5 * 14.5 * MM)
    assert [one.style.fontSize for one in small._cellvalues[0][1]] == [8.0]
    (bare,) = pdf._signs(FULL, p.Signs(("skull",)))
    assert len(bare._cellvalues[0]) == 1
    (words,) = pdf._signs(FULL, p.Signs((), ("GLOVES",)))
    assert len(words._cellvalues[0]) == 1
    (one,) = pdf._signs(FULL, p.Signs((), ("NO FOOD",), True))
    assert [plate.style.fontSize for plate in one._cellvalues[0][0]] == [12.5]
    assert pdf._signs(FULL, p.Signs(())) == []


def test_a_cell() -> None:
    assert pdf._cell(FULL, p.Cell(), None) == ""
    (text,) = pdf._cell(FULL, p.Cell("a", 20.0, True, True), None)
    assert (text.style.fontSize, text.style.fontName, text.style.alignment) == (20.0, BOLD, 2)
    _, under = pdf._cell(FULL, p.Cell("a", 20.0, under="b", right=True), None)
    assert (under.style.fontSize, under.style.alignment) == (pytest.approx(14.0), 2)
    assert under.style.textColor.hexval() == "0x5f574e"
    (text,) = pdf._cell(FULL, p.Cell("a"), None)
    assert text.style.alignment == 0
    # a drawing of boxes is 12 wide for each of ``box_mm``
    side = 6.0 * MM * tick_boxes(("",)).width / 12.0
    assert pdf._cell(FULL, p.Cell(boxes=("",), box_mm=6.0), None).width == pytest.approx(side)
    assert pdf._cell(HALF, p.Cell(boxes=("",), box_mm=6.0), None).width == pytest.approx(side / 2)
    both = pdf._cell(FULL, p.Cell("a", boxes=("",), box_mm=6.0), 0.5)
    assert both._argW == pytest.approx([side + 2.0, 200.0 - 6.0 - side - 2.0])
    assert both._cellStyles[0][0].leftPadding == 0
    whole = pdf._cell(FULL, p.Cell("a", boxes=("",), box_mm=6.0), None)
    assert sum(whole._argW) == pytest.approx(400.0)


def test_a_table_of_cells() -> None:
    row = (p.Cell(boxes=("",), box_mm=20.0), p.Cell("a", right=True), p.Cell("b"))
    table = p.SheetTable(("", "x", "y"), (row, row), (0.05, ("123", 10.0), None), ((1, "then"),),
                         "all", 9.0, 11.0)  # fmt: skip
    made = pdf._table(FULL, table)
    side = 20.0 * MM * tick_boxes(("",)).width / 12.0
    assert made._argW[0] == pytest.approx(side + 6.0)  # wider than 0.05 of 400
    assert made._argW[1] == pytest.approx(FULL.wide("123", 10.0))
    assert sum(made._argW) == pytest.approx(400.0)
    heads = made._cellvalues[0]
    assert [one.style.alignment for one in heads] == [0, 2, 0]
    assert made.repeatRows == 1
    assert made._cellvalues[2][0].frags[0].text == "then"
    assert made._cellvalues[2][0].style.fontSize == 11.0
    assert made._argH[1] == pytest.approx(9.0 * MM)
    before = [one for one in made._linecmds if one[0] == "LINEBEFORE"]
    assert [one[1][0] for one in before] == [1]
    small = p.SheetTable((), ((p.Cell(boxes=("",), box_mm=2.0), p.Cell("a")),), (0.25, None),
                         ruled="last")  # fmt: skip
    made = pdf._table(FULL, small)
    assert made._argW == pytest.approx([100.0, 300.0])
    assert made.repeatRows == 0
    before = [one for one in made._linecmds if one[0] == "LINEBEFORE"]
    assert len(before) == 1 and before[0][1][0] in (-1, 1)
    points = p.SheetTable((), ((p.Cell(boxes=("",), box_mm=2.0), p.Cell("a")),), (50.0, None))
    assert pdf._table(FULL, points)._argW == pytest.approx([50.0, 350.0])


def test_other_blocks() -> None:
    assert [one.style.fontSize for one in pdf._block(FULL, p.Text("a", 9.5))] == [9.5]
    assert pdf._block(FULL, p.Heading("a"))[0].style.name == "head"
    ((cell,),) = pdf._block(FULL, p.Band("a"))[0]._cellvalues
    assert cell.style.fontSize == 10.0
    sides = p.Sides((p.Text("a", 9.0), p.Text("b", 9.0)), (p.Heading("c"),))
    (table,) = pdf._block(FULL, sides)
    assert table._argW == pytest.approx([248.0, 152.0])
    assert [len(one) for one in table._cellvalues[0]] == [2, 1]
    style = table._cellStyles[0][0]
    assert (style.leftPadding, style.rightPadding) == (0, pytest.approx(4.0 * MM))
    (care,) = pdf._block(FULL, p.Care("danger", "Chalk", "Do not."))
    assert [f.text.strip("\xa0 ") for f in care.frags if f.text.strip("\xa0 ")] == [
        "danger", "Chalk:", "Do not."]  # fmt: skip
    (care,) = pdf._block(FULL, p.Care("", "", "Do not."))
    assert [f.text for f in care.frags] == ["Do not."]
    (ticks,) = pdf._block(HALF, p.Ticks("coats", "123"))
    assert ticks._argW == pytest.approx([10.0 * MM, 18.0 * MM])
    ((word, boxes),) = ticks._cellvalues
    assert (word.style.fontSize, boxes.width) == (8.0, pytest.approx(17.0 * MM))
    assert ticks._cellStyles[0][0].valign == "MIDDLE" and ticks.hAlign == "LEFT"
    assert ticks._cellStyles[0][0].leftPadding == 0
    (figure,) = pdf._block(HALF, p.Figure(Picture(10.0, 5.0, (), "x")))
    assert figure.width == pytest.approx(400.0)
    (blanks,) = pdf._block(FULL, p.Blanks((("a", 1),), 12.0))
    assert blanks._cellvalues[0][0].style.fontSize == 12.0


@pytest.mark.parametrize(
    ("block", "below"),
    [
        (p.Blanks((("a", 1),)), 2.0),
        (p.SheetTable((), ((p.Cell("a"),),), (None,)), 2.3),
        (p.Band("a"), 1.5),
        (p.Sides((p.Text("a", 9.0),), (p.Text("a", 9.0),)), 2.0),
        (p.Figure(Picture(10.0, 5.0, (), "x")), 1.0),
        (p.Signs(("skull",)), 1.0),
    ],
)
def test_room_below_a_block(block: p.Block, below: float) -> None:
    made, gap = pdf._set(FULL, [block], FULL.gap)
    assert high(gap) == pytest.approx(below * MM)
    assert len(pdf._set(FULL, [block])) == 1
    assert len(pdf._set(FULL, [p.Heading("a"), p.Text("a", 9.0)], FULL.gap)) == 2
    assert made is not None


def lines(count: int) -> list[p.Block]:
    """So many lines of 10 points, 12.2 apart."""
    return [p.Text("a", 10.0)] * count


def test_the_largest_type_that_fits() -> None:
    """A page of 122 points has room for ten lines, eleven in 0.9 of the size, twelve in 0.8."""
    scales = (1.0, 0.9, 0.8)

    def sizes(count: int, most: int = 1) -> tuple[int, float]:
        made = pdf._fit(lines(count), (200.0, 122.1), scales, most, {})
        assert sum(len(page) for page in made) == count
        return len(made), made[0][0].style.fontSize

    assert sizes(10) == (1, 10.0)
    assert sizes(11) == (1, 9.0)
    assert sizes(12) == (1, 8.0)
    assert sizes(13) == (2, 10.0)  # two pages then, in the largest type
    assert sizes(20, 2) == (2, 10.0)
    assert sizes(22, 2) == (2, 9.0)
    assert sizes(40) == (4, 10.0)


class Canvas:
    def __init__(self) -> None:
        self.said: list[tuple[Any, ...]] = []

    def __getattr__(self, name: str) -> Any:
        return lambda *words, **_: self.said.append((name, *words))


def test_labels_side_by_side(monkeypatch: pytest.MonkeyPatch) -> None:
    """Three labels of 91 by 62 mm, two in a row, 13 mm from the edges of a page 800 points high."""
    kept: list[tuple[float, ...]] = []

    class Held:
        def __init__(self, wide: float, high: float, *_: Any, **how: Any) -> None:
            kept.append((wide, high))
            assert how == {"mode": "shrink", "hAlign": "LEFT"}

        def wrapOn(self, _canvas: Any, *room: float) -> tuple[float, float]:
            assert room == kept[-1]
            return 0.0, 20.0

        def drawOn(self, canvas: Canvas, x: float, y: float) -> None:
            canvas.said.append(("label", x, y))

    monkeypatch.setattr("reportlab.platypus.KeepInFrame", Held)
    canvas = Canvas()
    pdf._draw_labels(canvas, [[], [], []], (91.0, 62.0, 2), 800.0)
    wide, tall_ = 91.0 * MM, 62.0 * MM
    corners = [(13.0 * MM, 800.0 - 13.0 * MM), (13.0 * MM + wide, 800.0 - 13.0 * MM),
               (13.0 * MM, 800.0 - 13.0 * MM - tall_)]  # fmt: skip
    assert [one[1:] for one in canvas.said if one[0] == "rect"] == [
        pytest.approx((x, top - tall_, wide, tall_)) for x, top in corners]  # fmt: skip
    assert [one[1:] for one in canvas.said if one[0] == "label"] == [
        pytest.approx((x + 2.5 * MM, top - 1.75 * MM - 20.0)) for x, top in corners]  # fmt: skip
    assert kept == [pytest.approx((wide - 5.0 * MM, tall_ - 3.5 * MM))] * 3
    dashes = [one[1:] for one in canvas.said if one[0] == "setDash"]
    assert dashes == [(2, 2), ()] * 3
    assert ("setLineWidth", 0.4) in canvas.said and canvas.said[-1] == ("showPage",)


def test_a_booklet_is_as_wide_as_it_says() -> None:
    """210 by 297 mm, or on its side; pages are counted, and type that may not shrink does not."""
    leaf = p.Leaf([p.Heading("Yard")], "the wall")
    for landscape in (False, True):
        out = BytesIO()
        pdf.booklet_pdf(p.Booklet("Title", "Start", [leaf, leaf], landscape), out)
        reader = pypdf.PdfReader(out)
        box = [float(side) for side in reader.pages[0].mediabox[2:]]
        assert box == pytest.approx(
            sorted([210.0 * MM, 297.0 * MM], reverse=landscape), abs=0.01)  # fmt: skip
        for k, page in enumerate(reader.pages, 1):
            assert f"page {k} of 2" in page.extract_text()
        assert (reader.metadata.title, reader.metadata.creator) == ("Title", "cofire")
    for block in (p.Head("ሰላም", ""), p.Text("ሰላም", 9.0), p.Heading("ሰላም"), p.Band("ሰላም"),
                  p.SheetTable((), ((p.Cell("ሰላም"),),), (None,))):  # fmt: skip
        for page in (p.Leaf([block], "x"), p.Slips([[block]], p.BUCKET_LABEL)):
            with pytest.raises(CofireError, match="ሰላም"):
                pdf.booklet_pdf(p.Booklet("T", "S", [page]), BytesIO())
    with pytest.raises(CofireError, match="ሰላም"):
        pdf.booklet_pdf(p.Booklet("T", "ሰላም", [leaf]), BytesIO())


@pytest.mark.parametrize(
    ("scales", "largest", "smallest"),
    [(pdf._NORMAL, 1.2, 0.6), (pdf._COVER, 1.1, 0.86), (pdf._COVER_LARGE, 1.3, 1.0),
     (pdf._LARGE, 1.45, 0.8)],
)  # fmt: skip
def test_type_is_tried_from_large_to_small(
    scales: tuple[float, ...], largest: float, smallest: float
) -> None:
    """In steps too small to see: never by more than a seventh at once."""
    assert (scales[0], scales[-1]) == (largest, smallest)
    for larger, smaller in pairwise(scales):
        assert smaller < larger <= smaller * 8.0 / 7.0
