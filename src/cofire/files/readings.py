"""CSV of readings, by hand or from a logger."""

from __future__ import annotations

import csv
from pathlib import Path

from cofire.errors import DataFileError, Place
from cofire.files.toml import read_text


def read_rows(path: Path, example: str) -> tuple[list[str], list[tuple[int, list[str]]]]:
    """The first line, and (line number, cells) of every other one that is not empty.

    Raises DataFileError for a missing or empty file or no CSV; ``example`` says what to write.
    """
    try:
        rows = list(csv.reader(read_text(path).splitlines()))
    except csv.Error as problem:
        raise DataFileError(
            f"cannot be read as CSV ({problem}).", hint=example, place=Place(path)
        ) from None
    numbered = enumerate(rows[1:], start=2)
    return rows[0], [(n, row) for n, row in numbered if any(cell.strip() for cell in row)]
