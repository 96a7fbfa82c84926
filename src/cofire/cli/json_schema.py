"""The JSON Schema (draft 2020-12) of all that ``--json`` prints, read off the records, which
``cofire.record`` writes."""

from __future__ import annotations

import functools
import importlib
import operator
import pkgutil
import types
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import fields, is_dataclass
from datetime import date, datetime
from decimal import Decimal
from functools import cached_property
from inspect import getattr_static
from pathlib import Path
from typing import Any, ClassVar, Literal, Union, get_args, get_origin, get_type_hints

import numpy as np

from cofire import __version__
from cofire.chem.oxides import OXIDES
from cofire.record import VERSION, Record

Schema = dict[str, Any]

#: What is not finite is null.
_NUMBER: Schema = {"type": ["number", "null"]}
_PLAIN: dict[Any, Schema] = {
    Any: {}, object: {}, type(None): {"type": "null"}, bool: {"type": "boolean"},
    int: {"type": "integer"}, float: _NUMBER, str: {"type": "string"}, Path: {"type": "string"},
    Decimal: {"type": "number"}, date: {"type": "string"}, datetime: {"type": "string"},
}  # fmt: skip
#: Arrays of any shape; those of oxides are objects.
_ARRAYS: Schema = {
    "numbers": {
        "anyOf": [
            {"type": ["number", "boolean", "null"]},
            {"type": "array", "items": {"$ref": "#/$defs/numbers"}},
        ]
    },
    "oxides": {
        "anyOf": [
            {
                "type": "object",
                "properties": dict.fromkeys(OXIDES, _NUMBER),
                "additionalProperties": False,
            },
            {"type": "array", "items": {"$ref": "#/$defs/oxides"}},
        ]
    },
}


def json_schema() -> Schema:
    """One schema for every answer and error: “schema” in it says which of them it is."""
    known = _Definitions()
    answers = {name: known.any_of(kinds) for name, kinds in sorted(answer_records().items())}
    name = {"enum": [f"cofire.{name}" for name in answers]}
    head = {"properties": {"name": name, "version": {"const": VERSION}}}
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": f"What cofire {__version__} prints with --json",
        "type": "object",
        "properties": {"schema": {"type": "object", "required": ["name", "version"], **head}},
        "required": ["schema"],
        "allOf": [{"if": _named(name), "then": answer} for name, answer in answers.items()],
        "$defs": known.made,
    }


def _named(name: str) -> Schema:
    called = {"properties": {"name": {"const": f"cofire.{name}"}}}
    return {"required": ["schema"], "properties": {"schema": called}}


def answer_records() -> dict[str, list[type[Record]]]:
    """The records that stand under a name in the JSON: of a command, or “error”."""
    from cofire.answers.catalogue import KINDS, Catalogue
    from cofire.cli.reference import commands

    found: dict[str, list[type[Record]]] = {kind: [Catalogue] for kind in KINDS}
    for record in all_records():
        # one that is written as another says so in its ``to_dict``
        if isinstance(record.schema, str) and record.schema and record.to_dict is Record.to_dict:
            found.setdefault(record.schema, []).append(record)
    for words, command, _ in commands():
        name = ".".join(words.split()[1:])
        if name not in found and any("--json" in param.opts for param in command.params):
            found[name] = found[name.rpartition(".")[0]]
    return found


def all_records() -> list[type[Record]]:
    """Every kind of record, wherever it is at home."""
    from cofire import answers, cli, files

    for package in (answers, files, cli):
        for module in pkgutil.walk_packages(package.__path__, f"{package.__name__}."):
            importlib.import_module(module.name)
    importlib.import_module("cofire.show.json")
    return list(_below(Record))


def _below(record: type[Record]) -> Iterator[type[Record]]:
    for one in record.__subclasses__():
        if one.__module__.startswith("cofire."):  # not those of whoever calls
            yield one
            yield from _below(one)


class _Definitions:
    """``made`` are the schemas of records, each under a name of its own."""

    def __init__(self) -> None:
        self.made: Schema = dict(_ARRAYS)
        self._names: dict[type, str] = {}

    def any_of(self, kinds: Sequence[Any], key: str = "", *, inside: bool = False) -> Schema:
        one, *others = (self._of(kind, key, inside) for kind in kinds)
        return {"anyOf": [one, *others]} if others else one

    def _of(self, hint: Any, key: str, inside: bool) -> Schema:
        """Of one type. Raises TypeError for what JSON cannot say."""
        kind, args = get_origin(hint) or hint, get_args(hint)
        if hint in _PLAIN:
            return _PLAIN[hint]
        if kind in (Union, types.UnionType):
            return self.any_of(args, key, inside=inside)
        if kind is Literal:
            return {"enum": list(args)}
        if kind is np.ndarray:
            oxides = key.startswith("unity") or "oxides" in key
            return {"$ref": f"#/$defs/{'oxides' if oxides else 'numbers'}"}
        if not isinstance(kind, type):
            raise TypeError(f"{hint} of “{key}” has no form in JSON")
        if issubclass(kind, Mapping):
            value = args[1] if args else float  # Facts
            return {"type": "object", "additionalProperties": self._of(value, key, inside)}
        if kind is tuple and args[-1] is not Ellipsis:
            row = [self._of(arg, key, inside) for arg in args]
            return {"type": "array", "prefixItems": row, "items": False, "minItems": len(row)}
        if args and issubclass(kind, Sequence):
            return {"type": "array", "items": self._of(args[0], key, inside)}
        short = getattr(kind, "json_inside", "") if inside else ""
        return self._of(_hint(kind, short), short, True) if short else self._reference(kind)

    def _reference(self, kind: type) -> Schema:
        if kind not in self._names:
            taken = kind.__name__ in self.made
            name = kind.__name__ + (f" of {kind.__module__}" if taken else "")
            self._names[kind] = name
            self.made[name] = {}  # a record may hold others of its kind
            self.made[name] |= self._keys(kind)
        return {"$ref": f"#/$defs/{self._names[kind]}"}

    def _keys(self, kind: type) -> Schema:
        """The object of a record; later keys go over earlier ones, as they are written."""
        also, hides, spreads, whole = (
            getattr(kind, f"json_{word}", ()) for word in ("also", "hides", "spreads", "whole")
        )
        properties: Schema = {}
        optional: set[str] = set()
        more: Schema = {}
        for path in also:
            key = path.rpartition(".")[2]
            properties[key] = self._of(_hint(kind, path), key, True)
        for name in spreads:
            kinds, nothing = _without_none(_hint(kind, name))
            if len(kinds) > 1:
                refs = [self._reference(one) for one in kinds]
                more["anyOf"] = [*refs, {}] if nothing else refs
            elif issubclass(get_origin(kinds[0]) or kinds[0], Mapping):
                more["additionalProperties"] = self._of(get_args(kinds[0])[1], name, True)
            else:
                inner = self._keys(kinds[0])
                new = {k: one for k, one in inner["properties"].items() if k not in properties}
                properties |= inner["properties"]
                optional |= set(new) - (set() if nothing else set(inner["required"]))
                more |= {k: inner[k] for k in ("anyOf", "additionalProperties") if k in inner}
        for name in _fields(kind):
            if name not in (*hides, *spreads):
                properties[name] = self._of(_hint(kind, name), name, name not in whole)
                optional.discard(name)
        required = [key for key in properties if key not in optional]
        return {"type": "object", "properties": properties, "required": required, **more}


def _fields(kind: type) -> list[str]:
    if is_dataclass(kind):
        return [field.name for field in fields(kind)]
    if hasattr(kind, "_fields") or hasattr(kind, "json_also"):
        return list(getattr(kind, "_fields", ()))
    raise TypeError(f"{kind.__name__} has no form in JSON")


def _without_none(hint: Any) -> tuple[list[Any], bool]:
    """The types that a value may have, and whether there may be none."""
    kinds = get_args(hint) if get_origin(hint) in (Union, types.UnionType) else (hint,)
    return [kind for kind in kinds if kind is not type(None)], type(None) in kinds


def _hint(kind: type, path: str) -> Any:
    """The type of what a dotted path leads to."""
    name, _, rest = path.partition(".")
    hint: Any = get_type_hints(kind).get(name)
    if hint is None or get_origin(hint) is ClassVar:
        got = getattr_static(kind, name)
        made = {property: "fget", cached_property: "func"}.get(type(got))
        hint = get_type_hints(getattr(got, made))["return"] if made else type(got)
    if not rest:
        return hint
    kinds, nothing = _without_none(hint)
    inner = [
        get_args(one)[1] if issubclass(get_origin(one) or one, Mapping) else _hint(one, rest)
        for one in kinds
    ]
    return functools.reduce(operator.or_, [*inner, type(None)] if nothing else inner)
