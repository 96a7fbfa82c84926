"""Properties of many glasses as CSV."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import IO, TYPE_CHECKING

import numpy as np

from cofire.files.csv_rows import inert

if TYPE_CHECKING:
    from cofire.answers.predict_table import Columns, Kept, TableOfGlasses

_QUOTED = re.compile('[",\r\n]')
#: What neither of them has to be looked for without.
_ODD = re.compile('[",\r\n\t=+@-]')


def write_csv(glasses: TableOfGlasses, out: IO[str], progress: Callable[[int], None]) -> None:
    """Headings, and a line for each row; numbers have six digits, what is not known is empty."""
    out.write(",".join(map(_cell, glasses.headings)) + "\n")
    for lines in glasses.rows(csv_lines, progress):
        out.write(lines)


def csv_lines(kept: Kept, columns: Columns) -> str:
    """The rows of these columns as lines of CSV.

    Text that a spreadsheet would take for a formula gets an apostrophe before it.
    """
    values = np.column_stack(list(columns.values()))
    line = ",".join(["%.6g"] * values.shape[1])
    numbers = "\n".join([line] * len(values)) % tuple(values.ravel().tolist())
    lines = numbers.replace("nan", "").split("\n")
    cells = map(_cells, kept.values())
    return "".join([",".join(row) + "\n" for row in zip(*cells, lines, strict=True)])


def _cells(column: list[str]) -> list[str]:
    return [_cell(text) for text in column] if _ODD.search("".join(column)) else column


def _cell(text: str) -> str:
    text = inert(text)
    return '"' + text.replace('"', '""') + '"' if _QUOTED.search(text) else text
