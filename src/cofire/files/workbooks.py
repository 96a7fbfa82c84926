"""The cells of a workbook (XLSX) as text in the grammar of everything that is typed."""

from __future__ import annotations

import io
import re
import zipfile
from datetime import date, datetime, time
from decimal import Decimal
from pathlib import Path
from typing import Any

from cofire.errors import CofireError, Place, refusal
from cofire.files.table_cells import Line, clean
from cofire.read.number import written

#: Bytes of a workbook when unpacked; our choice.
_MOST_UNPACKED = 100_000_000
_MOST_ROWS, _MOST_COLUMNS = 50_100, 1_100


def rows_of_workbook(
    raw: bytes, path: Path, name: str | None = None
) -> tuple[list[Line], list[str]]:
    """Rows of the first worksheet or of the named one, and remarks. Formulas give their results.

    Raises DataFileError for what is no workbook, a formula without its result, and a workbook far
    too large.
    """
    place = Place(path)
    try:
        import openpyxl
    except ImportError:
        raise refusal("no-openpyxl", place) from None
    try:
        with zipfile.ZipFile(io.BytesIO(raw)) as packed:
            size = sum(one.file_size for one in packed.infolist())
        if size > _MOST_UNPACKED:
            raise refusal("workbook-too-large", place, megabytes=size / 1e6)
        results = openpyxl.load_workbook(io.BytesIO(raw), read_only=True, data_only=True)
        formulas = openpyxl.load_workbook(io.BytesIO(raw), read_only=True)
        names = [sheet.title for sheet in results.worksheets]
        chosen = _chosen(names, name, place)
        cells = _rows(results, chosen, place)
        asked = _rows(formulas, chosen, place)
        lines = _lines(cells, asked, place)
    except CofireError:
        raise
    except Exception as problem:  # openpyxl raises whatever its XML makes it
        raise refusal("unreadable-workbook", place, kind=type(problem).__name__) from None
    others = [one for one in names if one != chosen]
    remark = f"the worksheet “{chosen}” is read; there are also " + ", ".join(
        f"“{one}”" for one in others
    )
    return lines, [remark] if others and name is None else []


def _chosen(names: list[str], name: str | None, place: Place) -> str:
    if not names:
        raise refusal("empty-sheet", place)
    if name is None:
        return names[0]
    found = [one for one in names if one.casefold() == name.strip().casefold()]
    if len(found) != 1:
        listed = ", ".join(f"“{one}”" for one in names)
        raise refusal("no-such-worksheet", place, name=name, listed=listed)
    return found[0]


def _rows(book: Any, name: str, place: Place) -> list[tuple[Any, ...]]:
    sheet = book[name]
    sheet.reset_dimensions()  # what a file says of its size may be wrong
    rows: list[tuple[Any, ...]] = []
    for row in sheet.iter_rows():
        if len(row) > _MOST_COLUMNS or len(rows) > _MOST_ROWS:
            raise refusal("sheet-too-large", place, rows=50_000, columns=1_000)
        rows.append(row)
    return rows


def _lines(cells: list[tuple[Any, ...]], asked: list[tuple[Any, ...]], place: Place) -> list[Line]:
    """Where a whole sheet has no results, an empty one is missing; else a formula may have given
    an empty text."""
    pairs = [list(zip(row, said, strict=True)) for row, said in zip(cells, asked, strict=True)]
    formulas = [(c, f) for row in pairs for c, f in row if getattr(f, "data_type", "") == "f"]
    calculated = any(c.value is not None for c, _ in formulas)
    for cell, formula in formulas:
        if cell.value is None and not (calculated and '""' in str(formula.value)):
            raise refusal("formula-without-result", Place(place.file, formula.row))
    return [
        Line(number, tuple(_text(cell) for cell in row))
        for number, row in enumerate(cells, start=1)
    ]


def _text(cell: Any) -> str:
    """A cell as a person would type it."""
    value = cell.value
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        exact = Decimal(repr(value))
        shown = cell.number_format or ""
        if "%" in shown:
            return f"{written(exact * 100)} %"
        if re.fullmatch("00+", shown):  # a cone 06 is no cone 6
            return written(exact).zfill(len(shown))
        return written(exact)
    if isinstance(value, datetime) and value.time() == time():
        value = value.date()
    if isinstance(value, datetime | date):
        return value.isoformat()
    return clean(str(value))
