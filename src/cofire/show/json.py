"""Answers as JSON text; what a record looks like in it is said in ``cofire.record``."""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import IO, TYPE_CHECKING

from cofire.record import plain, to_json

if TYPE_CHECKING:
    from cofire.answers.predict import Chunk


def dumps(data: object, indent: int | None = None) -> str:
    """As text: nothing in it is escaped that need not be, and there is no NaN."""
    return json.dumps(data, indent=indent, ensure_ascii=False, allow_nan=False)


def write_rows(facts: object, chunks: Iterable[Chunk], out: IO[str], command: str) -> None:
    """As ``to_json``, with “rows”: a line for each, so that there may be any number."""
    out.write(dumps(to_json(facts, command))[:-1] + ', "rows": [')
    between = "\n"
    for names, columns in chunks:
        for name, *row in zip(names, *(v.tolist() for v in columns.values()), strict=True):
            found = {"name": name} | dict(zip(columns, row, strict=True))
            out.write(between + dumps(plain(found)))
            between = ",\n"
    out.write("\n]}\n")
