"""Answers as JSON text; what a record looks like in it is said in ``cofire.record``."""

from __future__ import annotations

import json
import math
import sys
from collections.abc import Callable
from dataclasses import dataclass
from typing import IO, TYPE_CHECKING, ClassVar

from cofire.arrays import Array
from cofire.errors import CofireError, Problems
from cofire.names import shown
from cofire.record import Record, to_json

if TYPE_CHECKING:
    from cofire.answers.predict_table import TableOfGlasses


def dumps(data: object, indent: int | None = None) -> str:
    """As text: nothing in it is escaped that need not be, and there is no NaN."""
    # what could drive a screen is escaped, as JSON escapes it
    return shown(json.dumps(data, indent=indent, ensure_ascii=False, allow_nan=False))


@dataclass(frozen=True, eq=False, repr=False)
class ErrorAnswer(Record):
    """Why there is no answer: what is wrong, where in a person's file, and what to write."""

    exit_status: int
    errors: tuple[CofireError, ...]
    schema: ClassVar = "error"


def show_error(error: CofireError, exit_status: int) -> None:
    """Write one error, or several, to standard error: standard output holds answers only."""
    errors = error.errors if isinstance(error, Problems) else (error,)
    print(dumps(ErrorAnswer(exit_status, errors).to_dict(), indent=2), file=sys.stderr)


def write_glasses(
    glasses: TableOfGlasses, out: IO[str], command: str, progress: Callable[[int], None]
) -> None:
    """As PredictedGlasses: a line for each row, so that there may be any number."""
    from cofire.answers.predict_table import PredictedGlasses

    head = PredictedGlasses(glasses.basis, glasses.level, tuple(glasses.left_out))
    out.write(dumps(to_json(head, command)).removesuffix("]}"))
    between = "\n"
    for lines in glasses.rows(_lines, progress):
        out.write(between + lines)
        between = ",\n"
    out.write("\n]}\n")


def _lines(kept: dict[str, list[str]], columns: dict[str, Array]) -> str:
    headings = [*kept, *columns]
    # what is not finite is null
    values = [[one if math.isfinite(one) else None for one in v.tolist()] for v in columns.values()]
    rows = zip(*kept.values(), *values, strict=True)
    return ",\n".join(dumps(dict(zip(headings, row, strict=True))) for row in rows)
