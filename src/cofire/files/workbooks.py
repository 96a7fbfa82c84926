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
from cofire.words import listed

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
            if packed.infolist()[:1] and packed.infolist()[0].filename == "mimetype":
                raise refusal("ods-workbook", place)  # an OpenDocument begins with its kind
        if size > _MOST_UNPACKED:
            raise refusal("workbook-too-large", place, megabytes=size / 1e6)
        results = openpyxl.load_workbook(io.BytesIO(raw), read_only=True, data_only=True)
        formulas = openpyxl.load_workbook(io.BytesIO(raw), read_only=True)
        names = [sheet.title for sheet in results.worksheets if sheet.sheet_state == "visible"]
        hidden = [sheet.title for sheet in results.worksheets if sheet.title not in names]
        chosen = _chosen([*names, *hidden], name, place)
        cells = _rows(results, chosen, place)
        asked = _rows(formulas, chosen, place)
        lines = _lines(cells, asked, place)
        xml = _xml(raw, results[chosen])
        hides = _hidden(xml, lines)
        lines, merged = _unmerged(lines, _merged(xml), place)
    except CofireError:
        raise
    except Exception as problem:  # openpyxl raises whatever its XML makes it
        raise refusal("unreadable-workbook", place, kind=type(problem).__name__) from None
    others = [f"“{one}”" for one in names if one != chosen]
    others += [f"“{one}”, which is hidden," for one in hidden if one != chosen]
    remark = f"the worksheet “{chosen}” is read; there are also {listed(others).removesuffix(',')}"
    return lines, [*([remark] if others and name is None else []), *hides, *merged]


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


def _xml(raw: bytes, sheet: Any) -> bytes:
    """A worksheet as it is stored: what reads rows one by one knows no merged or hidden cells."""
    with zipfile.ZipFile(io.BytesIO(raw)) as packed:
        return packed.read(sheet._worksheet_path)


def _hidden(xml: bytes, lines: list[Line]) -> list[str]:
    """What is said of rows and columns that hold something and are hidden."""
    from openpyxl.utils import get_column_letter

    tags = re.findall(rb"<(?:\w+:)?(row|col)\s([^>]*)>", xml)
    said = [(kind, dict(re.findall(rb"(\w+)=[\"'](\d+|true)[\"']", facts))) for kind, facts in tags]
    hidden = [(kind, facts) for kind, facts in said if facts.get(b"hidden") in (b"1", b"true")]
    rows = {int(facts[b"r"]) for kind, facts in hidden if kind == b"row" and b"r" in facts}
    spans = [
        range(int(facts[b"min"]), int(facts[b"max"]) + 1)
        for kind, facts in hidden
        if kind == b"col" and {b"min", b"max"} <= facts.keys()
    ]
    lost = [str(line.number) for line in lines if line.number in rows and any(line.cells)]
    width = max((len(line.cells) for line in lines), default=0)
    columns = [
        get_column_letter(i)
        for i in range(1, width + 1)
        if any(i in span for span in spans) and any(any(one.cells[i - 1 : i]) for one in lines)
    ]
    remarks = []
    for word, some in (("row", lost), ("column", columns)):
        if some:
            named = f"{word} {some[0]} is" if len(some) == 1 else f"{word}s {listed(some)} are"
            remarks.append(f"{named} hidden, and read all the same")
    return remarks


def _merged(xml: bytes) -> list[tuple[int, int, int, int]]:
    """First row and column and last row and column of the merged cells, counted from 1."""
    from openpyxl.utils import range_boundaries

    found = []
    for area in re.findall(rb"<(?:\w+:)?mergeCell\s[^>]*?ref=[\"']([^\"']+)", xml):
        left, top, right, bottom = range_boundaries(area.decode())
        found.append((top, left, bottom, right))
    return found


def _unmerged(
    lines: list[Line], merged: list[tuple[int, int, int, int]], place: Place
) -> tuple[list[Line], list[str]]:
    """Words over several rows stand in each of them. Raises DataFileError for a number, which may
    be meant once or in each."""
    rows = {line.number: list(line.cells) for line in lines}
    remarks = []
    for top, left, bottom, right in merged:
        first = rows.get(top, [])
        said = first[left - 1] if left <= len(first) else ""
        if not said:
            continue
        if re.match(r"[<>~+]?\s*[.,]?\d", said):
            raise refusal("merged-number", Place(place.file, top), said=said)
        if right > left and left > 1:
            remarks.append(f"line {top}: “{said}” spans several columns and is read in the first")
        for number in range(top + 1, min(bottom, lines[-1].number) + 1):
            row = rows[number]
            row += [""] * (left - len(row))
            row[left - 1] = said
    return [Line(line.number, tuple(rows[line.number])) for line in lines], remarks


def _around(number_format: str) -> tuple[str, str]:
    """What a format shows before and behind a number: “€”, “kg”."""
    first = number_format.split(";")[0]
    first = re.sub(r"\[\$([^\]-]*)[^\]]*\]", r'"\1"', first)  # a currency
    first = re.sub(r"\[[^\]]*\]|[_*].|\\(?=.)", "", first)  # colours and gaps
    before, _, behind = re.sub(r"[0#?][0#?.,/ ]*", "\0", first).partition("\0")
    words = (" ".join(re.findall(r'"([^"]*)"', part)).strip() for part in (before, behind))
    return next(words), next(words)


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
        before, behind = _around(shown)
        if "%" in re.sub('"[^"]*"', "", shown):
            return f"{written(exact * 100)} %"
        if re.fullmatch("00+", shown):  # a cone 06 is no cone 6
            return written(exact).zfill(len(shown))
        return " ".join(filter(None, (before, written(exact), behind)))
    if isinstance(value, datetime) and value.time() == time():
        value = value.date()
    if isinstance(value, datetime | date):
        return value.isoformat()
    return clean(str(value))
