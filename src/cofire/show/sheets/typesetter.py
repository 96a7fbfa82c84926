"""Text, rules and blanks of the PDF sheets at one scale, as reportlab flowables."""

from __future__ import annotations

import html
from collections.abc import Sequence
from typing import Any, TypedDict, Unpack

from cofire.show.drawing import INK, Picture, to_drawing
from cofire.show.sheets.font_fallback import BOLD, FACE, ITALIC, drawable, fonts, with_stand_ins
from cofire.show.sheets.pages import Text
from cofire.show.sheets.pictograms import pictogram

#: Points in a millimetre; a point is 1/72 in.
MM = 72.0 / 25.4
_GREY, _RULE = "#5f574e", "#a79d90"
#: Nothing is set smaller than this, points; our choice.
LEAST_PT = 8.0
_FOOT_PT = LEAST_PT
_BADGE = '&nbsp; <font size="{size}" backColor="#000000" color="#ffffff">&nbsp;{words}&nbsp;</font>'


class TextStyle(TypedDict, total=False):
    """How a paragraph is set."""

    bold: bool
    italic: bool
    align: str
    grey: bool
    hang: float
    lead: float


class GridStyle(TypedDict, total=False):
    """How a table without rules is set."""

    pad: float
    gap: float
    within: float
    middle: bool
    left: bool


class RuledStyle(TypedDict, total=False):
    """How a table with rules is set."""

    heads: int
    lots: bool
    grid: bool
    least: float
    part_size: float


class Typesetter:
    """Makes flowables at a scale ``k`` and a width (points), with ``names`` for names with missing
    letters."""

    def __init__(self, k: float, width: float, names: dict[str, str] | None = None) -> None:
        fonts()
        self.k, self.width, self.names = k, width, names or {}

    def plain(self, words: str) -> str:
        """Words in letters that there are."""
        return drawable(with_stand_ins(words, self.names))

    def points(self, size: float) -> float:
        """A size of type at this scale, large enough to be read."""
        return max(LEAST_PT, size * self.k)

    def text(
        self,
        words: str,
        size: float,
        *,
        badge: str = "",
        markup: str = "",
        **options: Unpack[TextStyle],
    ) -> Any:
        """A paragraph; ``markup`` is trusted and stands before the words."""
        bold = options.get("bold", False)
        italic = options.get("italic", False)
        align = options.get("align", "left")
        grey = options.get("grey", False)
        hang = options.get("hang", 0.0)
        lead = options.get("lead", 1.22)
        from reportlab.lib.colors import HexColor
        from reportlab.lib.styles import ParagraphStyle
        from reportlab.platypus import Paragraph

        size = self.points(size)
        style = ParagraphStyle(
            "sheet",
            fontName=BOLD if bold else ITALIC if italic else FACE,
            fontSize=size,
            leading=lead * size,
            alignment={"left": 0, "center": 1, "right": 2}[align],
            textColor=HexColor(_GREY if grey else INK),
            leftIndent=hang * MM * self.k,
            firstLineIndent=-hang * MM * self.k,
            splitLongWords=1,
        )
        shown = markup + html.escape(self.plain(words))
        if badge:
            shown += _BADGE.format(
                size=f"{max(LEAST_PT, 0.62 * size):.1f}", words=html.escape(badge)
            )
        return Paragraph(shown, style)

    def paragraph(self, text: Text) -> Any:
        """A paragraph of a page."""
        align = "right" if text.right else "left"
        return self.text(
            text.text, text.size, bold=text.bold, italic=text.italic, align=align, grey=text.grey,
            hang=text.hang,
        )  # fmt: skip

    def small(self, words: str, align: str = "left") -> Any:
        """Over a column."""
        return self.text(words, 8.5, grey=True, align=align)

    def head(self, words: str) -> Any:
        """Over a part of the page."""
        made = self.text(words, 10.5, bold=True)
        made.style.name = "head"
        return made

    def gap(self, millimetres: float) -> Any:
        from reportlab.platypus import Spacer

        return Spacer(1, millimetres * MM * self.k)

    def picture(self, picture: Picture, width: float) -> Any:
        """A drawing, ``width`` points wide whatever the scale."""
        return to_drawing(picture, width, FACE)

    def wide(self, words: str, size: float) -> float:
        """Points that a table's column needs for one line of bold text."""
        from reportlab.pdfbase.pdfmetrics import stringWidth

        return float(stringWidth(words, BOLD, self.points(size))) + 14.0

    def diamond(self, name: str, millimetres: float = 13.5) -> Any:
        return self.picture(pictogram(name), millimetres * MM * self.k)

    def caution(self, severity: str, by: str, words: str) -> Any:
        """One caution in small type: how grave, who brings it, what to do."""
        before = f"<b>{html.escape(severity)}</b>&nbsp; " if severity else ""
        before += f"<b>{html.escape(self.plain(by))}</b>" if by else ""
        return self.text(words, 8.0, markup=before, hang=3)

    def plates(self, signs: Sequence[str], size: float = 9.0) -> Any:
        """Plain words in white on black, one plate after the other."""
        shown = [
            '<font backColor="#000000" color="#ffffff">&nbsp;'
            + html.escape(sign).replace(" ", "&nbsp;")
            + "&nbsp;</font>"
            for sign in signs
        ]
        return self.text("", size, bold=True, lead=1.5, markup="&nbsp; ".join(shown))

    def band(self, words: str, size: float) -> Any:
        """A black bar over the whole width."""
        from reportlab.lib.colors import black

        white = f'<font color="#ffffff"><b>{html.escape(self.plain(words))}</b></font>'
        return self.grid(
            [[self.text("", size, markup=white)]], [None], pad=4,
            more=[("BACKGROUND", (0, 0), (-1, -1), black)],
        )  # fmt: skip

    def blanks(self, *lines: tuple[str, float], size: float = 10.0) -> Any:
        """Words with a line to write on after each, as long as its share."""
        from reportlab.lib.colors import HexColor
        from reportlab.pdfbase.pdfmetrics import stringWidth

        label_widths = [stringWidth(w, FACE, self.points(size)) + 12 for w, _ in lines]
        room = (self.width - sum(label_widths)) / sum(share for _, share in lines)
        widths = [w for (_, share), word in zip(lines, label_widths, strict=True)
                  for w in (word, room * share)]  # fmt: skip
        row: list[Any] = []
        for words, _ in lines:
            row += [self.text(words + "\u00a0", size, align="right" if row else "left"), ""]
        rules = [("LINEBELOW", (k, 0), (k, 0), 0.6, HexColor(INK)) for k in range(1, len(row), 2)]
        return self.grid([row], widths, pad=1, more=rules, left=True)

    def grid(
        self,
        rows: list[list[Any]],
        widths: list[float | None],
        *,
        more: list[Any] | None = None,
        **options: Unpack[GridStyle],
    ) -> Any:
        """A table without rules. Widths are points, shares of the page (up to 1), or None for an
        even share of what is left; ``within`` is the share of the page that the table has."""
        pad = options["pad"]
        gap = options.get("gap", 0.0)
        within = options.get("within", 1.0)
        middle = options.get("middle", False)
        left = options.get("left", False)
        from reportlab.platypus import Table

        style = [
            ("VALIGN", (0, 0), (-1, -1), "MIDDLE" if middle else "TOP"),
            ("LEFTPADDING", (0, 0), (-1, -1), pad),
            ("RIGHTPADDING", (0, 0), (-1, -1), pad + gap * MM),
            ("TOPPADDING", (0, 0), (-1, -1), pad),
            ("BOTTOMPADDING", (0, 0), (-1, -1), pad),
            *(more or []),
        ]
        full = self.width * within - (6 if within < 1.0 else 0)
        made = Table(rows, self._shared(widths, full), style=style)
        made.hAlign = "LEFT" if left else "CENTER"
        return made

    def _shared(self, widths: list[float | None], full: float) -> list[float]:
        points = [None if w is None else w * self.width if w <= 1.0 else w for w in widths]
        free = points.count(None)
        rest = full - sum(w for w in points if w is not None)
        return [rest / free if w is None else w for w in points]

    def ruled(
        self,
        rows: list[list[Any]],
        widths: list[float | None],
        *,
        parts: Sequence[tuple[int, str]] = (),
        **options: Unpack[RuledStyle],
    ) -> Any:
        """A table with a rule under each row; before the rows of ``parts`` a thick one with words;
        ``lots`` leaves the last column to write in, ``grid`` all of them; rows are at least
        ``least`` mm high."""
        heads = options.get("heads", 1)
        lots = options.get("lots", False)
        grid = options.get("grid", False)
        least, part_size = options.get("least", 0.0), options.get("part_size", 8.5)
        from reportlab.lib.colors import HexColor
        from reportlab.platypus import Table

        colour, rule = HexColor(INK), HexColor(_RULE)
        style: list[Any] = [
            ("VALIGN", (0, 0), (-1, -1), "MIDDLE"),
            ("LEFTPADDING", (0, 0), (-1, -1), 2),
            ("RIGHTPADDING", (0, 0), (-1, -1), 4),
            ("TOPPADDING", (0, 0), (-1, -1), 1.6 * self.k),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 2.4 * self.k),
            ("LINEBELOW", (0, heads), (-1, -1), 0.5, rule),
        ]
        if heads:
            style.append(("LINEBELOW", (0, 0), (-1, 0), 1.1, colour))
        if lots:
            style.append(("LINEBEFORE", (-1, heads), (-1, -1), 0.5, rule))
        if grid:
            style.append(("LINEBEFORE", (1, heads), (-1, -1), 0.5, rule))
        for already, (before, words) in enumerate(parts):
            k = before + already
            label = self.text(words, part_size, italic=True)
            rows = [*rows[:k], [label, *([""] * (len(rows[0]) - 1))], *rows[k:]]
            style += [
                ("SPAN", (0, k), (-1, k)),
                ("LINEABOVE", (0, k), (-1, k), 1.6, colour),
                ("LINEBELOW", (0, k), (-1, k), 0.5, rule),
                ("TOPPADDING", (0, k), (-1, k), 5 * self.k),
            ]
        style.append(("LINEBELOW", (0, -1), (-1, -1), 1.1, colour))
        shared = self._shared(widths, self.width)
        high = [None] * heads + [least * MM * self.k] * (len(rows) - heads) if least else None
        return Table(rows, shared, rowHeights=high, style=style, repeatRows=heads)


#: A heading goes to the next page when less than this of its table would stand below it, points.
_KEPT = 60.0
#: What takes up to this share of a page stays whole; our choice.
_WHOLE = 0.6


def _leads(flowable: Any) -> bool:
    """Whether it is a heading."""
    return getattr(getattr(flowable, "style", None), "name", "") == "head"


def tall(story: list[Any], width: float, height: float) -> float:
    """How many points high all of it is."""
    return float(sum(flowable.wrap(width, height)[1] for flowable in story))


def paged(story: list[Any], width: float, height: float) -> list[list[Any]]:
    """What stands on each page; what does not fit is split, or goes to the next one."""
    pages: list[list[Any]] = [[]]
    left = height
    waiting = list(story)
    while waiting:
        flowable = waiting.pop(0)
        needs = flowable.wrap(width, height)[1]
        after = waiting[0].wrap(width, height)[1] if waiting and _leads(flowable) else 0.0
        if needs + min(after, _KEPT) <= left:
            pages[-1].append(flowable)
            left -= needs
            continue
        whole = _leads(flowable) or needs <= _WHOLE * height
        pieces = [] if whole else flowable.split(width, left)
        if len(pieces) > 1:
            pieces[0].wrap(width, left)
            pages[-1].append(pieces[0])
            waiting = [*pieces[1:], *waiting]
        elif not pages[-1]:
            pages[-1].append(flowable)  # taller than any page
        else:
            waiting.insert(0, flowable)
        pages.append([])
        left = height
    return [page for page in pages if page]


def cut(words: str, room: float, font: str, size: float) -> str:
    """As much of a line as ``room`` points hold, with “…” where it was cut."""
    from reportlab.pdfbase.pdfmetrics import stringWidth

    if stringWidth(words, font, size) <= room:
        return words
    while words and stringWidth(words + "…", font, size) > room:
        words = words[:-1]
    return words.rstrip() + "…"


def draw_page(
    canvas: Any, page: list[Any], margin: float, foot: float, footer: tuple[str, str, str]
) -> None:
    """One page from the top down, and three words at its foot."""
    wide, high = canvas._pagesize
    y = high - margin
    for flowable in page:
        width, needs = flowable.wrapOn(canvas, wide - 2 * margin, y - foot)
        x = margin + (0 if getattr(flowable, "hAlign", "LEFT") == "LEFT" else
                      (wide - 2 * margin - width) / 2)  # fmt: skip
        flowable.drawOn(canvas, x, y - needs)
        y -= needs
    canvas.setFont(FACE, _FOOT_PT)
    canvas.setFillGray(0.35)
    line = foot - 5 * MM
    start, middle, end = footer
    room = wide / 2 - margin - canvas.stringWidth(middle) / 2 - 4 * MM
    canvas.drawString(margin, line, cut(start, room, FACE, _FOOT_PT))
    canvas.drawCentredString(wide / 2, line, middle)
    canvas.drawRightString(wide - margin, line, end)
    canvas.showPage()
