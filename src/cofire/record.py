"""What answers and named things have in common: short in print, whole as a dictionary.

``to_dict`` writes a record as plain data for JSON: a field's name is its key. Arrays become lists,
arrays of oxides {oxide: amount}, numbers that are not finite None, paths and dates text. A record
can say with class attributes where its JSON differs from its fields:

``json_also``     computed values to add. “version.number” is written as “number”; it is None where
                  there is no version.
``json_hides``    fields that are left out.
``json_spreads``  fields or computed values whose own keys stand here; nothing where they are None.
``json_inside``   the one attribute that stands for this record inside another one: the id of a
                  material, the name of a recipe, a body, a firing or a kiln.
``json_whole``    fields whose records are written whole all the same.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import fields, is_dataclass
from datetime import date, datetime
from decimal import Decimal
from html import escape
from pathlib import Path
from typing import Any, ClassVar, Final, NoReturn

import numpy as np

from cofire.chem.oxides import OXIDES, named
from cofire.errors import CompositionError

#: Goes up when a key is renamed, is dropped or changes its meaning; not when one is added.
VERSION: Final = 1
#: How records are drawn, as SVG, by the names of their classes; filled in by ``cofire.studio``.
PICTURES: Final[dict[str, Callable[[Any], str]]] = {}

_WORDS = ("also", "hides", "spreads", "whole")
#: Characters of a ``repr``, and of one value in it.
_LONGEST, _LONGEST_VALUE = 300, 60


class Facts(dict[str, float]):
    """Numbers by name that cannot be changed: materials are shared by all answers of a studio."""

    def _refuse(self, *_args: object, **_kwargs: object) -> NoReturn:
        raise CompositionError("these facts cannot be changed.", hint="Make a copy:  dict(facts)")

    __setitem__ = __delitem__ = __ior__ = _refuse
    update = pop = popitem = clear = setdefault = _refuse

    def __reduce__(self) -> tuple[type[Facts], tuple[dict[str, float]]]:
        return Facts, (dict(self),)


class Record:
    """A record of facts. Its dataclass is made with ``repr=False``.

    ``schema`` is the name under which an answer is written as JSON: that of its command.
    """

    schema: ClassVar[str] = ""

    def to_dict(self) -> dict[str, Any]:
        """All of it as plain dictionaries, lists, numbers and text: what ``--json`` prints."""
        return to_json(self, self.schema)

    def __repr__(self) -> str:
        facts = ", ".join(_facts(self))
        cut = facts if len(facts) <= _LONGEST else f"{facts[:_LONGEST]} …"
        return f"{type(self).__name__}({cut})"

    def to_svg(self) -> str:
        """The answer as a picture. Raises CompositionError where there is none of its kind."""
        if type(self).__name__ not in PICTURES:
            raise CompositionError(f"{type(self).__name__} has no picture.")
        return PICTURES[type(self).__name__](self)

    def _repr_html_(self) -> str:
        picture = self.to_svg() if type(self).__name__ in PICTURES else ""
        sentence = getattr(self, "sentence", "") or repr(self)
        return f"{picture}<p>{escape(sentence)}</p>"


def to_json(answer: object, command: str) -> dict[str, Any]:
    """A record, or a dictionary of records, as strictly valid JSON under the schema of its command,
    if it has one.

    Raises TypeError for what JSON cannot say.
    """
    schema = {"schema": {"name": f"cofire.{command}", "version": VERSION}} if command else {}
    return schema | _keys(answer, inside=False)


def _facts(record: Record) -> list[str]:
    """“name='…'” of what is short: numbers, text, named things by their names, lists by length."""
    also = [name for name in getattr(record, "json_also", ()) if "." not in name]
    values = {name: _at(record, name) for name in (*also, *_fields(record))}
    return [f"{name}={said}" for name, value in values.items() if (said := _in_short(value))]


def _in_short(value: object) -> str:
    value = getattr(value, "name", getattr(value, "id", value))
    match value:
        case float():
            return f"{value:.4g}"
        case str() | bool() | int() | Decimal():
            return repr(value) if value != "" and len(str(value)) <= _LONGEST_VALUE else ""
        case list() | tuple() if not hasattr(value, "_fields"):
            return f"[{len(value)}]"
    return ""


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
    also, hides, spreads, whole = (getattr(record, f"json_{word}", ()) for word in _WORDS)
    found: dict[str, Any] = {}
    for path in also:
        key = path.rpartition(".")[2]
        found[key] = plain(_at(record, path), key, inside=True)
    for key in spreads:
        if (spread := getattr(record, key)) is not None:
            found |= _keys(spread)
    for key in _fields(record):
        if key not in (*hides, *spreads):
            found[key] = plain(getattr(record, key), key, inside=key not in whole)
    return found


def _fields(record: Any) -> list[str]:
    if is_dataclass(record):
        return [field.name for field in fields(record)]
    if hasattr(record, "_fields"):  # a named tuple
        return list(record._fields)
    if hasattr(record, "json_also"):
        return []
    raise TypeError(f"{type(record).__name__} has no form in JSON")


def _at(record: Any, path: str) -> Any:
    """What a dotted path leads to; None where it breaks off."""
    for name in path.split("."):
        if record is None:
            return None
        record = record.get(name) if isinstance(record, Mapping) else getattr(record, name)
    return record
