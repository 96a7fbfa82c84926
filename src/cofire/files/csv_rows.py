"""CSV of readings, by hand or from a logger."""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass
from pathlib import Path

from cofire.errors import Place, refusal
from cofire.files.table_cells import plain_text
from cofire.files.toml import MAX_LINE, read_bytes
from cofire.most import at_most
from cofire.read.number import Convention, convention, is_number

#: How a cell starts that a spreadsheet takes for a formula.
_FORMULA = re.compile(r"\s*[=+\-@]|[\t\r]")


def inert(cell: str) -> str:
    """A cell with an apostrophe before it if a spreadsheet would take it for a formula."""
    if _FORMULA.match(cell) and not any(is_number(cell, c) for c in ("thousands", "decimal")):
        return f"'{cell}"
    return cell


@dataclass(frozen=True)
class Readings:
    """The first line, (line number, cells) of every other one that is not empty, and what commas
    mean in its numbers."""

    header: list[str]
    rows: list[tuple[int, list[str]]]
    commas: Convention


def read_rows(path: Path, example: str) -> Readings:
    """A table with commas, semicolons or tabs between its columns.

    Raises DataFileError for a missing or empty file or no CSV, QuantityError for far too many rows;
    ``example`` says what to write.
    """
    stated, text = plain_text(read_bytes(path), path)
    lines = text.splitlines()
    for number, line in enumerate(lines, start=1):
        if len(line) > MAX_LINE:
            raise refusal("line-too-long", Place(path, number), most=MAX_LINE)
    first = next((at for at, line in enumerate(lines) if line.strip()), 0) if stated else 0
    separator = stated or next((sign for sign in "\t;" if sign in lines[0]), ",")
    try:
        header, *others = csv.reader(lines[first:], delimiter=separator)
    except csv.Error as problem:
        raise refusal("no-csv", Place(path), problem=problem, hint=example) from None
    at_most("readings in a table", len(others), Place(path))
    rows = [
        (n, row) for n, row in enumerate(others, start=first + 2) if any(c.strip() for c in row)
    ]
    for number, row in rows:
        if any(cell.strip() for cell in row[len(header) :]):
            raise refusal("too-many-cells", Place(path, number), cells=len(row), heads=len(header))
    cells = (cell for _, row in rows for cell in row)
    return Readings(header, rows, "point" if separator == "," else convention(cells))
