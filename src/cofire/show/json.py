"""Answers as JSON, written from the records themselves: a field's name is its key.

Arrays become lists, arrays of oxides {oxide: amount}, numbers that are not finite null, paths and
dates text. A record can say with class attributes where its JSON differs from its fields:

``json_also``     computed values to add. “version.number” is written as “number”; it is null where
                  there is no version.
``json_hides``    fields that are left out.
``json_spreads``  fields or computed values whose own keys stand here; nothing where they are None.
``json_inside``   the one attribute that stands for this record inside another one: the id of a
                  material, the name of a recipe, a body, a firing or a kiln.
"""

from __future__ import annotations

import json
import math
from collections.abc import Iterable, Mapping
from dataclasses import fields, is_dataclass
from datetime import date, datetime
from decimal import Decimal
from pathlib import Path
from typing import IO, TYPE_CHECKING, Any, Final

import numpy as np

from cofire.chem.oxides import OXIDES, named

if TYPE_CHECKING:
    from cofire.answers.predict import Chunk

#: Goes up when a key is renamed, is dropped or changes its meaning; not when one is added.
VERSION: Final = 1

_WORDS = ("also", "hides", "spreads")


def to_json(answer: object, command: str) -> dict[str, Any]:
    """A record, or a dictionary of records, as strictly valid JSON under the schema of its command.

    Raises TypeError for what JSON cannot say.
    """
    return {
        "schema": {"name": f"cofire.{command}", "version": VERSION},
        **_keys(answer, inside=False),
    }


def dumps(data: object, indent: int | None = None) -> str:
    """As text: nothing in it is escaped that need not be, and there is no NaN."""
    return json.dumps(data, indent=indent, ensure_ascii=False, allow_nan=False)


def write_rows(facts: object, chunks: Iterable[Chunk], out: IO[str], command: str) -> None:
    """As ``to_json``, with “rows”: a line for each, so that there may be any number."""
    out.write(dumps(to_json(facts, command))[:-1] + ', "rows": [')
    between = "\n"
    for names, columns in chunks:
        for name, *row in zip(names, *(v.tolist() for v in columns.values()), strict=True):
            record = {"name": name} | dict(zip(columns, row, strict=True))
            out.write(between + dumps(plain(record)))
            between = ",\n"
    out.write("\n]}\n")


def plain(value: Any, key: str = "", *, inside: bool = False) -> Any:
    """One value; ``inside`` a record, what has a short form is written in that."""
    match value:
        case None | str() | bool() | int():
            return value
        case float():
            return float(value) if math.isfinite(value) else None
        case Decimal():
            return float(value)
        case np.generic():
            return plain(value.item())
        case np.ndarray():
            return _array(value, key)
        case datetime():
            return value.isoformat(timespec="seconds")
        case Path() | date():
            return str(value)
        case tuple() | list() if not hasattr(value, "_fields"):
            return [plain(one, key, inside=inside) for one in value]
    short = getattr(value, "json_inside", "") if inside else ""
    return getattr(value, short) if short else _keys(value, inside=inside)


def _array(values: np.ndarray[Any, Any], key: str) -> Any:
    """Whether it is one of oxides says its name: a blend may have as many points as there are."""
    if not (key.startswith("unity") or "oxides" in key):
        return plain(values.tolist())
    assert values.shape[-1] == len(OXIDES), key
    return plain(named(values)) if values.ndim == 1 else [_array(row, key) for row in values]


def _keys(record: Any, *, inside: bool = True) -> dict[str, Any]:
    """The keys of a record or a dictionary."""
    if isinstance(record, Mapping):
        return {str(key): plain(one, str(key), inside=inside) for key, one in record.items()}
    also, hides, spreads = (getattr(record, f"json_{word}", ()) for word in _WORDS)
    keys: dict[str, Any] = {}
    for path in also:
        key = path.rpartition(".")[2]
        keys[key] = plain(_at(record, path), key, inside=True)
    for key in spreads:
        if (spread := getattr(record, key)) is not None:
            keys |= _keys(spread)
    for key in _fields(record):
        if key not in (*hides, *spreads):
            keys[key] = plain(getattr(record, key), key, inside=True)
    return keys


def _fields(record: Any) -> list[str]:
    if is_dataclass(record):
        return [field.name for field in fields(record)]
    if hasattr(record, "_fields"):  # a named tuple
        return list(record._fields)
    if hasattr(record, "json_also"):
        return []
    raise TypeError(f"{type(record).__name__} has no form in JSON")


def _at(record: Any, path: str) -> Any:
    """The value at a dotted path; None if a step of it is missing."""
    for name in path.split("."):
        if record is None:
            return None
        record = record.get(name) if isinstance(record, Mapping) else getattr(record, name)
    return record
