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

from cofire.errors import CofireError, Place, refusal
from cofire.files import toml
from cofire.files.edits import make_folder, rewrite, text_of
from cofire.record import Record

_HEAD = """\
# What {name} was, version after version, oldest first.
# “cofire keep” adds to the end and changes nothing above it.
"""
_MARK = "[[version]]\n"
_FACTS = ("when", "why", "code")
#: Bytes of a history: some thousand versions of a usual recipe; our choice.
MAX_BYTES = 32_000_000


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
    recipe = toml.real(recipe)
    return recipe.parent / "history" / recipe.name


def read_history(path: Path) -> RecipeHistory:
    """All versions, oldest first; none without a file.

    Raises DataFileError with the damaged line.
    """
    if not path.exists():
        return RecipeHistory(path, None, ())
    return _history(text_of(path, MAX_BYTES), path)


def _history(raw: str, path: Path) -> RecipeHistory:
    text = raw.removeprefix("\ufeff").replace("\r\n", "\n")
    doc = toml.parse(text, path, most_lines=MAX_BYTES)
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


def with_version(
    history: RecipeHistory, text: str, why: str, code: str, when: datetime
) -> RecipeHistory:
    """A history with a recipe's text added to its end; nothing is written yet.

    Raises DataFileError where it would not read back as it was, or is full.
    """
    path = history.path
    text = text.removeprefix("\ufeff").replace("\r\n", "\n")
    text = text if text.endswith("\n") else text + "\n"
    was = _HEAD.format(name=path.name) if history.text is None else history.text
    head = (
        f"{_MARK}when = {when.isoformat(timespec='seconds')}\n"
        f"why = {toml.written(why)}\ncode = {toml.written(code)}\n\n"
    )
    raw = (was if was.endswith("\n") else was + "\n") + "\n" + head
    raw += _renamed(text, "[", "[version.")
    if len(raw.encode()) > MAX_BYTES:
        raise refusal("history-is-full", Place(path), megabytes=MAX_BYTES / 1e6)
    try:
        read = _history(raw, path)
        *before, last = read.versions
    except (CofireError, ValueError):
        raise refusal("not-to-be-kept", Place(path)) from None
    same = [v.text for v in before] == [v.text for v in history.versions]
    if not same or last.text != text or last.data != tomllib.loads(text):
        raise refusal("not-to-be-kept", Place(path))
    return read


def add_version(
    history: RecipeHistory,
    text: str,
    why: str,
    code: str,
    when: datetime,
    recipe: Path | None = None,
) -> Version:
    """Add the text of a ``recipe``'s file to the end of its history, whole or not at all.

    Raises DataFileError as ``with_version`` and ``write_history``.
    """
    longer = with_version(history, text, why, code, when)
    write_history(history, longer, recipe)
    return longer.versions[-1]


def write_history(was: RecipeHistory, history: RecipeHistory, recipe: Path | None) -> None:
    """Put a history in the place of what it ``was``, open to no more people than the recipe.

    Raises DataFileError when the file cannot be written or was changed meanwhile.
    """
    if history.text != was.text and history.text is not None:
        make_folder(history.path.parent)
        like = recipe if recipe and recipe.exists() else None
        rewrite(history.path, was.text, history.text, like)
    elif history.text != was.text:  # it was begun for a change that did not come to pass
        history.path.unlink()


def _lines(text: str) -> Iterator[tuple[str, bool]]:
    """Lines with their ends, and whether a table may begin there."""
    count = text.count("\n") + 1
    for number, line, free in toml.lines_of(text):
        yield line + "\n" * (number < count), free


def _renamed(text: str, old: str, new: str) -> str:
    begins = re.compile(r"^([ \t]*+)" + re.escape(old) + r"(?!\[)")
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
