"""Answers as JSON text; what a record looks like in it is said in ``cofire.record``."""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from typing import IO, TYPE_CHECKING

from cofire.arrays import Array
from cofire.names import shown
from cofire.record import to_json

if TYPE_CHECKING:
    from cofire.answers.predict_table import TableOfGlasses


def dumps(data: object, indent: int | None = None) -> str:
    """As text: nothing in it is escaped that need not be, and there is no NaN."""
    # what could drive a screen is escaped, as JSON escapes it
    return shown(json.dumps(data, indent=indent, ensure_ascii=False, allow_nan=False))


def write_glasses(
    glasses: TableOfGlasses, out: IO[str], command: str, progress: Callable[[int], None]
) -> None:
    """As ``to_json``, with “rows”: a line for each, so that there may be any number."""
    facts = {name: getattr(glasses, name) for name in ("basis", "level", "left_out")}
    out.write(dumps(to_json(facts, command))[:-1] + ', "rows": [')
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
