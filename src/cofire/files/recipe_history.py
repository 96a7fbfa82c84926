"""Versions of a recipe: plain text beside the recipe, append only.

A version is the recipe's own text under a head of three lines, its tables named “[version.base]”
instead of “[base]”; so comments are kept, and a version can be read or copied by hand.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any, ClassVar

from cofire.files import toml
from cofire.files.edits import make_folder, rewrite, text_of
from cofire.record import Record

_HEAD = """\
# What {name} was, version after version, oldest first.
# “cofire keep” adds to the end and changes nothing above it.
"""
_MARK = "[[version]]\n"
_FACTS = ("when", "why", "code")


@dataclass(frozen=True, eq=False, repr=False)
class Version(Record):
    """One version, counted from 1; ``text`` is the recipe's file as it was, parsed in ``data``."""

    number: int
    when: datetime
    why: str
    code: str
    text: str
    data: dict[str, Any]
    schema: ClassVar = "history.version"
    json_hides: ClassVar = ("data",)


@dataclass(frozen=True, eq=False)
class RecipeHistory:
    """``text`` is None if there is no file yet."""

    path: Path
    text: str | None
    versions: tuple[Version, ...]


def history_file(recipe: Path) -> Path:
    """Where the history of a recipe's file is kept: one, by whatever link it is called."""
    recipe = recipe.resolve()
    return recipe.parent / "history" / recipe.name


def read_history(path: Path) -> RecipeHistory:
    """All versions, oldest first; none without a file.

    Raises DataFileError with the damaged line.
    """
    if not path.exists():
        return RecipeHistory(path, None, ())
    raw = text_of(path)
    text = raw.removeprefix("\ufeff").replace("\r\n", "\n")
    doc = toml.parse(text, path)
    items = doc.data.get("version")
    chunks = _chunks(text)
    if not isinstance(items, list) or set(doc.data) != {"version"} or len(items) != len(chunks):
        raise doc.refuse("no-history")
    versions = []
    for k, (item, chunk) in enumerate(zip(items, chunks, strict=True)):
        table = toml.Table(doc, item, "version", str(k), what=f"version {k + 1}")
        when = table.get("when")
        if not isinstance(when, datetime):
            raise table.refuse("when-is-no-date", "when")
        data = {key: value for key, value in item.items() if key not in _FACTS}
        versions.append(
            Version(k + 1, when, table.text("why", ""), table.text("code"), _recipe(chunk), data)
        )
    return RecipeHistory(path, raw, tuple(versions))


def add_version(history: RecipeHistory, text: str, why: str, code: str, when: datetime) -> Version:
    """Add a recipe's text to the end of its history, whole or not at all.

    Raises DataFileError when the file cannot be written or was changed meanwhile.
    """
    path = history.path
    text = text.removeprefix("\ufeff").replace("\r\n", "\n")
    text = text if text.endswith("\n") else text + "\n"
    head = (
        f"{_MARK}when = {when.isoformat(timespec='seconds')}\n"
        f"why = {toml.written(why)}\ncode = {toml.written(code)}\n\n"
    )
    data = tomllib.loads(text)
    chunk = head + _renamed(text, "[", "[version.")
    if not _reads_back(chunk, text, data):  # laid out so oddly that only what it says can be kept
        import tomlkit

        text = tomlkit.dumps(data)
        chunk = head + _renamed(text, "[", "[version.")
    was = history.text
    start = was if was is not None else _HEAD.format(name=path.name)
    make_folder(path.parent)
    rewrite(path, was, (start if start.endswith("\n") else start + "\n") + "\n" + chunk)
    return Version(len(history.versions) + 1, when, why, code, text, data)


def _lines(text: str) -> Iterator[tuple[str, bool]]:
    """Lines with their ends, and whether a table may begin there: not within long strings."""
    quoted = ""
    for line in text.splitlines(keepends=True):
        yield line, not quoted
        for mark in ('"""', "'''"):
            if quoted in ("", mark) and line.count(mark) % 2 == 1:
                quoted = "" if quoted else mark


def _renamed(text: str, old: str, new: str) -> str:
    begins = re.compile(r"^(\s*)" + re.escape(old) + r"(?!\[)")
    return "".join(
        begins.sub(lambda m: m[1] + new, line) if free else line for line, free in _lines(text)
    )


def _chunks(text: str) -> list[str]:
    """The text of each version, from its mark to the next."""
    chunks: list[list[str]] = []
    for line, free in _lines(text):
        if free and line.rstrip() == _MARK.rstrip():
            chunks.append([])
        if chunks:
            chunks[-1].append(line)
    # the empty line before the next mark is not the recipe's
    return ["".join(c[:-1] if c is not chunks[-1] and c[-1] == "\n" else c) for c in chunks]


def _recipe(chunk: str) -> str:
    """The recipe's text in a version: below its head and the empty line after it."""
    lines = chunk.splitlines(keepends=True)
    below = 1 + sum(bool(re.match(r"(when|why|code)\s*=", line)) for line in lines[1:4])
    below += lines[below : below + 1] == ["\n"]
    return _renamed("".join(lines[below:]), "[version.", "[")


def _reads_back(chunk: str, text: str, data: dict[str, Any]) -> bool:
    try:
        read = tomllib.loads(chunk)["version"]
    except tomllib.TOMLDecodeError:
        return False
    kept = {k: v for k, v in read[0].items() if k not in _FACTS}
    return len(read) == 1 and kept == data and _chunks(chunk) == [chunk] and _recipe(chunk) == text
