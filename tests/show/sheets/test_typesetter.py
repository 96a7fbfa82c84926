"""How words and tables are set on paper, in points worked by hand. A millimetre is 72 / 25.4."""

from __future__ import annotations

from typing import Any

import pytest

from cofire.show.sheets.pages import Text
from cofire.show.sheets.typesetter import MM, Typesetter, cut, draw_page, paged, tall

stringWidth = pytest.importorskip("reportlab.pdfbase.pdfmetrics").stringWidth
FACE, BOLD, ITALIC = "OpenSans-Regular", "OpenSans-Bold", "OpenSans-Italic"
HALF, FULL = Typesetter(0.5, 400.0), Typesetter(1.0, 400.0)


@pytest.mark.parametrize(
    ("how", "face", "leading", "alignment", "hang_mm"),
    [
        ({}, FACE, 14.64, 0, 0.0),
        ({"bold": True}, BOLD, 14.64, 0, 0.0),
        ({"italic": True, "align": "center"}, ITALIC, 14.64, 1, 0.0),
        ({"bold": True, "italic": True, "align": "right"}, BOLD, 14.64, 2, 0.0),
        ({"grey": True, "lead": 1.5}, FACE, 18.0, 0, 0.0),
        ({"hang": 4.0}, FACE, 14.64, 0, 4.0),
    ],
)
def test_a_paragraph(how: Any, face: str, leading: float, alignment: int, hang_mm: float) -> None:
    """Lines are 1.22 sizes apart; the first of a hanging paragraph stands out by as much."""
    style = FULL.text("words", 12.0, **how).style
    assert (style.fontName, style.fontSize, style.alignment) == (face, 12.0, alignment)
    assert style.leading == pytest.approx(leading)
    hang = hang_mm * 72.0 / 25.4
    assert (style.leftIndent, style.firstLineIndent) == pytest.approx((hang, -hang))
    assert (style.textColor.hexval() == "0x5f574e") is ("grey" in how)
    assert style.splitLongWords == 1
    half = HALF.text("words", 18.0, **how).style
    assert half.fontSize == 9.0
    assert (half.leftIndent, half.firstLineIndent) == pytest.approx((0.5 * hang, -0.5 * hang))


def of_cells(made: Any, name: str) -> list[Any]:
    """How each cell of a table is set, row by row."""
    return [getattr(cell, name) for row in made._cellStyles for cell in row]


INK = FULL.text("x", 9.0).style.textColor.hexval()[2:]


def test_nothing_is_set_smaller_than_eight_points() -> None:
    assert [HALF.points(size) for size in (10.0, 16.0, 17.0)] == [8.0, 8.0, 8.5]
    assert HALF.small("x").style.fontSize == 8.0
    assert (FULL.small("x").style.fontSize, FULL.small("x").style.alignment) == (8.5, 0)
    assert FULL.small("x").style.textColor.hexval() == "0x5f574e"
    head = FULL.head("x").style
    assert (head.fontSize, head.fontName, head.name) == (10.5, BOLD, "head")


def test_a_paragraph_of_a_page() -> None:
    style = FULL.paragraph(Text("x", 10.0, bold=True, right=True, hang=2.0)).style
    assert (style.fontName, style.alignment) == (BOLD, 2)
    assert style.leftIndent == pytest.approx(2.0 * MM)
    style = FULL.paragraph(Text("x", 10.0, italic=True, grey=True)).style
    assert (style.fontName, style.alignment, style.textColor.hexval()) == (ITALIC, 0, "0x5f574e")


def test_a_badge_is_smaller_than_its_words_and_can_be_read() -> None:
    """0.62 of 20 points are 12.4; of 10 it would be 6.2, and is 8."""
    for size, said in ((20.0, "12.4"), (10.0, "8.0")):
        made = FULL.text("a", size, badge="T & M")
        sizes = {f"{piece.fontSize:.1f}" for piece in made.frags if "T" in piece.text}
        assert sizes == {said}


def test_widths_of_words() -> None:
    own = stringWidth("1234", BOLD, 12.0)
    assert FULL.wide("1234", 12.0) == pytest.approx(own + 14.0)
    assert HALF.wide("1234", 24.0) == pytest.approx(own + 14.0)
    assert FULL.gap(2.0).height == pytest.approx(2.0 * MM)
    assert HALF.gap(2.0).height == pytest.approx(MM)
    assert FULL.diamond("skull").width == pytest.approx(13.5 * MM)
    assert HALF.diamond("skull", 10.0).width == pytest.approx(5.0 * MM)
    assert pytest.approx(2.834646) == MM


def test_a_caution_hangs_and_begins_in_bold() -> None:
    made = FULL.caution("danger", "Chalk", "Do not.")
    assert (made.style.fontSize, made.style.leftIndent) == (8.0, pytest.approx(3.0 * MM))
    assert [(p.text.strip("\xa0 "), p.fontName) for p in made.frags if p.text.strip("\xa0 ")] == [
        ("danger", BOLD), ("Chalk", BOLD), ("Do not.", FACE)]  # fmt: skip
    assert [p.text for p in FULL.caution("", "", "Do not.").frags] == ["Do not."]
    plates = FULL.plates(["RED HOT", "SMOKE"])
    assert (plates.style.fontSize, plates.style.fontName) == (9.0, BOLD)
    assert plates.style.leading == pytest.approx(13.5)
    assert "".join(p.text for p in plates.frags).split() == ["RED", "HOT", "SMOKE"]
    band = FULL.band("ONLY", 11.0)
    assert band._argW == [400.0]
    ((cell,),) = band._cellvalues
    assert (cell.style.fontSize, cell.frags[0].textColor.hexval()) == (11.0, "0xffffff")
    assert tuple(band._bkgrndcmds[0][:3]) == ("BACKGROUND", (0, 0), (-1, -1))
    style = band._cellStyles[0][0]
    assert (style.leftPadding, style.topPadding, style.bottomPadding) == (4, 4, 4)


def test_lines_to_write_on_share_what_words_leave() -> None:
    """Two words with 12 points to spare each; of the rest three parts to one and one to the other;
    a rule under each."""
    made = FULL.blanks(("made by", 3), ("date", 1))
    words = [stringWidth(w, FACE, 10.0) + 12.0 for w in ("made by", "date")]
    room = 400.0 - sum(words)
    assert made._argW == pytest.approx([words[0], 0.75 * room, words[1], 0.25 * room])
    assert [line[1:4] for line in made._linecmds] == [((1, 0), (1, 0), 0.6), ((3, 0), (3, 0), 0.6)]
    assert made.hAlign == "LEFT"
    (row,) = made._cellvalues
    assert [cell.style.alignment for cell in row[::2]] == [0, 2]
    assert made._cellStyles[0][0].leftPadding == 1


def test_a_table_without_rules() -> None:
    """Points stay, shares are of the page, what is left is shared evenly."""
    made = FULL.grid([["a"] * 4], [50.0, 0.25, None, None], pad=3)
    assert made._argW == pytest.approx([50.0, 100.0, 125.0, 125.0])
    made = FULL.grid([["a"] * 4] * 3, [50.0, 0.25, None, None], pad=3)
    for side in ("left", "right", "top", "bottom"):
        assert of_cells(made, f"{side}Padding") == [3] * 12
    assert (of_cells(made, "valign"), made.hAlign) == (["TOP"] * 12, "CENTER")
    made = FULL.grid([["a"] * 2], [1.0, None], pad=2, gap=4.0, within=0.5, middle=True, left=True)
    assert made._argW == pytest.approx([400.0, 0.5 * 400.0 - 6.0 - 400.0])
    cell = made._cellStyles[0][0]
    assert (cell.leftPadding, cell.rightPadding) == (2, pytest.approx(2 + 4.0 * MM))
    assert (cell.valign, made.hAlign) == ("MIDDLE", "LEFT")


def lines(made: Any) -> set[tuple[Any, ...]]:
    return {(*one[:3], one[3], one[4].hexval()) for one in made._linecmds}


DARK, RULE = "0x" + INK, "0xa79d90"


def test_a_table_with_rules() -> None:
    rows = [["a", "b", "c"], ["1", "2", "3"], ["4", "5", "6"]]
    made = FULL.ruled(rows, [None] * 3)
    every = {
        ("LINEBELOW", (0, 1), (2, 2), 0.5, RULE),
        ("LINEBELOW", (0, 0), (2, 0), 1.1, DARK),
        ("LINEBELOW", (0, 2), (2, 2), 1.1, DARK),
    }
    ended = {(n, a, (b[0] % 3, b[1] % 3), w, c) for n, a, b, w, c in lines(made)}
    ended = {(n, (a[0] % 3, a[1] % 3), b, w, c) for n, a, b, w, c in ended}
    assert ended == every
    padded = {"left": 2.0, "right": 4.0, "top": 1.6, "bottom": 2.4}
    for side, points in padded.items():
        assert of_cells(made, f"{side}Padding") == pytest.approx([points] * 9)
    assert of_cells(made, "valign") == ["MIDDLE"] * 9
    half = HALF.ruled(rows, [None] * 3)._cellStyles[0][0]
    assert (half.topPadding, half.bottomPadding) == pytest.approx((0.8, 1.2))
    assert made.repeatRows == 1
    assert Typesetter(1.0, 9.0, {"Ő": "O 1"}).plain("Ő, 5") == "O 1, 5"
    for how, column in (("lots", 2), ("grid", 1)):
        more = lines(FULL.ruled(rows, [None] * 3, **{how: True})) - lines(made)  # type: ignore[misc]
        ((name, start, end, wide, colour),) = more
        assert (name, start[0] % 3, start[1], wide, colour) == ("LINEBEFORE", column, 1, 0.5, RULE)
        assert (end[0] % 3, end[1] % 3) == (2, 2)
    bare = FULL.ruled(rows, [None] * 3, heads=0)
    assert len(lines(bare)) == 2 and bare.repeatRows == 0


def test_rows_are_as_high_as_asked() -> None:
    rows = [["a"], ["1"], ["2"]]
    assert FULL.ruled(rows, [None], least=10.0)._argH == [None, *[pytest.approx(10.0 * MM)] * 2]
    assert HALF.ruled(rows, [None], least=10.0)._argH[1] == pytest.approx(5.0 * MM)
    assert FULL.ruled(rows, [None])._argH == [None] * 3


def test_a_thick_rule_with_words_before_a_part() -> None:
    rows = [["a", "b"], ["1", "2"], ["3", "4"], ["5", "6"]]
    made = FULL.ruled(rows, [None, None], parts=((2, "then"), (3, "last")), part_size=9.0)
    said = [row[0] if isinstance(row[0], str) else row[0].frags[0].text for row in made._cellvalues]
    assert said == ["a", "1", "then", "3", "last", "5"]
    assert made._cellvalues[2][0].style.fontName == ITALIC
    assert made._cellvalues[2][0].style.fontSize == 9.0
    ruled = [(n, a, (b[0] % 2, b[1]), wide) for n, a, b, wide, *_ in made._linecmds]
    for k in (2, 4):
        assert ("LINEABOVE", (0, k), (1, k), 1.6) in ruled
        assert ("LINEBELOW", (0, k), (1, k), 0.5) in ruled
    assert [(a, (b[0] % 2, b[1])) for _, a, b in made._spanCmds] == [
        ((0, 2), (1, 2)), ((0, 4), (1, 4))]  # fmt: skip
    assert [len(row) for row in made._cellvalues] == [2] * 6
    assert [style.topPadding for style in made._cellStyles[2]] == [5.0, 5.0]
    assert made._cellStyles[2][0].topPadding == 5.0
    assert HALF.ruled(rows, [None, None], parts=((2, "x"),))._cellStyles[2][0].topPadding == 2.5
    assert FULL.ruled(rows, [None] * 2, parts=((2, "x"),))._cellvalues[2][0].style.fontSize == 8.5


class Brick:
    """So many points high; it splits where there is room, if it can."""

    def __init__(self, name: str, high: float, *, head: bool = False, splits: bool = False) -> None:
        self.name, self.high, self.splits = name, high, splits
        self.style = type("Style", (), {"name": "head" if head else "sheet"})()

    def wrap(self, _width: float, _height: float) -> tuple[float, float]:
        return 100.0, self.high

    def split(self, _width: float, left: float) -> list[Brick]:
        if not self.splits or left <= 0.0:
            return []
        return [Brick(f"{self.name}1", left), Brick(f"{self.name}2", self.high - left)]


def laid(*bricks: Brick) -> list[list[str]]:
    return [[one.name for one in page] for page in paged(list(bricks), 100.0, 100.0)]


def test_what_stands_on_which_page() -> None:
    """Pages of 100 points. What takes more than 60 may be split; a heading takes 60 points of what
    is below it, or all of that, along."""
    a, b = Brick("a", 60.0), Brick("b", 40.0)
    assert tall([a, b, b], 100.0, 100.0) == 140.0
    assert laid(a, b) == [["a", "b"]]
    assert laid(a, b, b) == [["a", "b"], ["b"]]
    assert laid() == []
    wide = Brick("w", 61.0, splits=True)
    assert laid(a, wide) == [["a", "w1"], ["w2"]]
    assert laid(a, Brick("w", 60.0, splits=True)) == [["a"], ["w"]]
    assert laid(a, Brick("w", 61.0)) == [["a"], ["w"]]
    assert laid(Brick("t", 150.0), b) == [["t"], ["b"]]
    head = Brick("h", 10.0, head=True)
    assert laid(Brick("a", 30.0), head, Brick("b", 60.0)) == [["a", "h", "b"]]
    assert laid(Brick("a", 31.0), head, Brick("b", 60.0)) == [["a"], ["h", "b"]]
    assert laid(Brick("a", 30.0), head, Brick("b", 90.0, splits=True)) == [["a", "h", "b1"], ["b2"]]
    assert laid(Brick("a", 90.0), head) == [["a", "h"]]
    assert laid(Brick("a", 91.0), Brick("h", 90.0, head=True, splits=True)) == [["a"], ["h"]]


def test_a_line_is_cut_where_its_room_ends() -> None:
    whole = stringWidth("Saltgrass Yard", FACE, 8.0)
    assert cut("Saltgrass Yard", whole, FACE, 8.0) == "Saltgrass Yard"
    short = cut("Saltgrass Yard", whole - 0.1, FACE, 8.0)
    assert short == "Saltgrass Ya…" or stringWidth(short, FACE, 8.0) <= whole
    assert stringWidth("Saltgrass Yar…", FACE, 8.0) > whole - 0.1 or short == "Saltgrass Yar…"
    assert cut("Saltgrass Yard", stringWidth("Saltgrass …", FACE, 8.0), FACE, 8.0) == "Saltgrass…"
    assert cut("Saltgrass", 0.0, FACE, 8.0) == "…"


class Canvas:
    """Keeps what is drawn on a page of 200 by 300 points; every letter is 5 wide."""

    _pagesize = (200.0, 300.0)

    def __init__(self) -> None:
        self.said: list[tuple[Any, ...]] = []

    def stringWidth(self, text: str) -> float:
        return 5.0 * len(text)

    def __getattr__(self, name: str) -> Any:
        return lambda *words: self.said.append((name, *words))


class Drawn(Brick):
    def wrapOn(self, _canvas: Any, width: float, room: float) -> tuple[float, float]:
        self.room = width, room
        return 100.0, self.high

    def drawOn(self, canvas: Canvas, x: float, y: float) -> None:
        canvas.said.append((self.name, x, y))


def test_a_page_from_the_top_down() -> None:
    canvas, a, b = Canvas(), Drawn("a", 50.0), Drawn("b", 30.0)
    b.hAlign = "CENTER"  # type: ignore[attr-defined]
    draw_page(canvas, [a, b], 20.0, 40.0, ("start", "middle", "end"))
    # 300 - 20 - 50 = 230; 230 - 30 = 200, in the middle of the 160 points between the margins
    assert canvas.said[:2] == [("a", 20.0, 230.0), ("b", 50.0, 200.0)]
    assert (a.room, b.room) == ((160.0, 240.0), (160.0, 190.0))
    line = 40.0 - 5.0 * MM
    assert ("setFont", FACE, 8.0) in canvas.said and ("setFillGray", 0.35) in canvas.said
    assert canvas.said[-4:-1] == [
        ("drawString", 20.0, line, "start"),
        ("drawCentredString", 100.0, line, "middle"),
        ("drawRightString", 180.0, line, "end"),
    ]
    assert canvas.said[-1] == ("showPage",)
    # the start has 100 - 20 - 15 points, less 4 mm: 53.7
    canvas = Canvas()
    draw_page(canvas, [], 20.0, 40.0, ("m" * 30, "middle", "end"))
    (start,) = (one[3] for one in canvas.said if one[0] == "drawString")
    own, room = stringWidth("m", FACE, 8.0), 100.0 - 20.0 - 15.0 - 4.0 * MM
    assert len(start) - 1 == int((room - stringWidth("…", FACE, 8.0)) / own)
