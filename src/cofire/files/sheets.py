"""A sheet of many rows under headings: CSV, what is pasted, or a workbook (XLSX). Knows no
materials."""

from __future__ import annotations

import io
import re
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

from cofire.errors import CofireError, Place, refusal
from cofire.files.table_cells import (
    Line,
    clean,
    separator_of,
    split_rows,
    stated_separator,
    text_of,
)
from cofire.read.number import Convention, convention

#: Far more than a book of recipes has; our choice.
MOST_ROWS, MOST_COLUMNS = 50_000, 1_000
_DRAWN = re.compile(r"[-=_:| ]{3,}")


@dataclass(frozen=True)
class Sheet:
    """Rows with as many clean cells as there are headings; none is empty."""

    path: Path
    headings: Line
    rows: tuple[Line, ...]
    errors: tuple[CofireError, ...]  # of its rows, cut to the width of the headings all the same
    remarks: tuple[str, ...]
    commas: Convention = ""  # "point" where commas part the columns
    plain: bool = True  # False for a workbook, whose numbers are no text: they show nothing

    def convention(self, positions: Iterable[int]) -> Convention:
        """What commas mean in these columns."""
        at = list(positions)
        cells = (row.cells[i] for row in self.rows for i in at)
        return (convention(cells) or self.commas) if self.plain else ""


def read_sheet(raw: bytes, path: Path, worksheet: str | None = None) -> Sheet:
    """The sheet in a file or in what was pasted; ``worksheet`` names one of a workbook.

    Raises DataFileError.
    """
    if raw.startswith((b"PK\x03\x04", b"\xd0\xcf\x11\xe0")):
        from cofire.files.workbooks import rows_of_workbook

        rows, remarks = rows_of_workbook(raw, path, worksheet)
        return _sheet(rows, path, remarks, plain=False)
    if worksheet is not None:
        raise refusal("no-workbook", Place(path), sheet=worksheet)
    remarks = []
    text = text_of(raw, path, remarks).replace("\r\n", "\n").replace("\r", "\n")
    separator, text = stated_separator(text)
    separator = separator or separator_of(text, path, headed=True)
    if separator is None:
        raise refusal("no-separator" if text.strip() else "empty-table", Place(path))
    rows = [
        Line(number, tuple(map(clean, cells)))
        for number, cells in split_rows(io.StringIO(text), separator, path)
    ]
    return _sheet(rows, path, remarks, "point" if separator == "," else "")


def _sheet(
    rows: Iterable[Line],
    path: Path,
    remarks: list[str],
    commas: Convention = "",
    *,
    plain: bool = True,
) -> Sheet:
    kept = [row for row in rows if any(row.cells) and not _DRAWN.fullmatch("".join(row.cells))]
    blank = min((_blank(row) for row in kept), default=0)
    kept = [Line(row.number, row.cells[blank:]) for row in kept]
    while kept and _is_title(kept[0]) and any(_filled(row) > 1 for row in kept):
        title = next(filter(None, kept[0].cells))
        remarks.append(f"line {kept[0].number} is a title and is left out: “{title}”")
        del kept[0]
    if len(kept) < 2:
        raise refusal("empty-sheet", Place(path))
    head, *others = kept
    width = len(head.cells)
    if width > MOST_COLUMNS or len(others) > MOST_ROWS:
        raise refusal("sheet-too-large", Place(path), rows=MOST_ROWS, columns=MOST_COLUMNS)
    errors: list[CofireError] = []
    for row in others:
        try:
            _require_width(row, width, path, comma=commas == "point", plain=plain)
        except CofireError as error:
            errors.append(error)
    good = [Line(r.number, (*r.cells, *[""] * (width - len(r.cells)))[:width]) for r in others]
    last = max(i for i, cell in enumerate(head.cells) if cell) + 1
    for row in good:
        if any(row.cells[last:]):
            errors.append(refusal("no-heading-above", Place(path, row.number)))
    for row in (head, *good):
        if any(not cell.isprintable() or "\ufffd" in cell for cell in row.cells):
            errors.append(refusal("unprintable-character", Place(path, row.number)))
    return Sheet(path, head, tuple(good), tuple(errors), tuple(remarks), commas, plain)


def _blank(row: Line) -> int:
    """How many empty cells stand before the first other one."""
    return next(i for i, cell in enumerate(row.cells) if cell)


def _is_title(row: Line) -> bool:
    return _filled(row) == 1 and bool(row.cells[0])


def _filled(row: Line) -> int:
    return sum(map(bool, row.cells))


def _require_width(row: Line, width: int, path: Path, *, comma: bool, plain: bool) -> None:
    """Raises DataFileError where a sign inside a cell may have made two of it."""
    cells, place = row.cells, Place(path, row.number)
    if len(cells) > width and (plain or any(cells[width:])):
        raise refusal("too-many-cells", place, cells=len(cells), heads=width)
    if len(cells) < width and comma:
        for first, second in pairwise(cells):
            if first.isdigit() and second.isdigit():
                raise refusal("comma-or-columns", place, first=first, second=second)
