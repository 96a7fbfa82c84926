"""Change a file that a person wrote: one amount moves, every other byte stays."""

from __future__ import annotations

import os
import time
import tomllib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from cofire.errors import Place, refusal
from cofire.files import toml
from cofire.files.atomic_write import own_as, writing

#: How long to wait for another cofire that is writing, s; it takes milliseconds. Our choice.
_PATIENCE_S = 5.0


@contextmanager
def locked(folder: Path) -> Iterator[None]:
    """While the block runs, no other cofire on this machine changes files of the folder.

    The lock leaves nothing behind, not even when the program is killed. Raises DataFileError when
    somebody else keeps it.
    """
    try:
        import fcntl
    except ImportError:  # Windows has no such locks: only ``rewrite`` checks there
        yield
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        until = time.monotonic() + _PATIENCE_S
        while True:
            try:
                fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
                break
            except BlockingIOError:
                if time.monotonic() > until:
                    raise refusal("another-is-writing", Place(folder)) from None
                time.sleep(0.02)
            except OSError:  # some network drives know no locks
                break
        yield
    finally:
        os.close(handle)


def text_of(path: Path, most: int = toml.MAX_BYTES) -> str:
    """The file as it is: with its line ends, and its byte order mark if it has one."""
    raw = toml.read_bytes(path, most)
    toml.decoded(raw, path)  # raises an error if it is not text
    return raw.decode("utf-8")


def make_folder(path: Path) -> None:
    """Make a folder unless it is there. Raises DataFileError for a file in its way."""
    try:
        if not path.is_dir():
            path.mkdir(exist_ok=True)
            own_as(path.parent, path)
    except FileExistsError:
        raise refusal("file-in-place-of-folder", Place(path)) from None
    except OSError as problem:
        raise refusal("folder-cannot-be-made", Place(path), reason=problem.strerror) from None


def must_be_writable(path: Path) -> None:
    """Raises DataFileError for a file its owner locked; putting another in its place would work."""
    if path.exists() and not os.access(path, os.W_OK):
        raise refusal("read-only", Place(path))


def rewrite(path: Path, was: str | None, text: str, like: Path | None = None) -> None:
    """Replace ``was`` (None: no file) by ``text``, completely or not at all; ``like`` as in
    ``writing_bytes``.

    Raises DataFileError if the file cannot be written or has changed meanwhile.
    """
    must_be_writable(path)

    def unchanged() -> None:
        now = path.read_bytes() if path.exists() else None
        if now != (None if was is None else was.encode()):
            raise refusal("changed-meanwhile", Place(path))

    unchanged()
    with writing(path, new=was is None, like=like, last=unchanged) as out:
        out.write(text)


def with_amount(text: str, path: Path, section: str, key: str, amount: str | None) -> str:
    """A recipe's text with one amount (in TOML) changed or added, or, with None, its line gone.

    Raises DataFileError when that would touch anything else.
    """
    import tomlkit

    mark = "\ufeff" if text.startswith("\ufeff") else ""
    body = text[len(mark) :]
    end = "\r\n" if "\r\n" in body else "\n"
    if body and not body.endswith("\n"):
        body += end  # a line can only be added below a whole one
    doc = tomlkit.parse(body)
    before = tomllib.loads(body)
    after = {**before, section: {**before.get(section, {})}}
    if amount is None:
        del doc[section][key]
        del after[section][key]
    else:
        line = tomlkit.parse(f"{toml.written(key)} = {amount}{end}")
        after[section][key] = tomllib.loads(f"x = {amount}")["x"]
        if section not in doc:
            new = (
                f"{end}[{section}] # on top, in the same parts{end}{toml.bare(key)} = {amount}{end}"
            )
            return mark + _checked(body, body + new, after, path)
        table: Any = doc[section]
        if key in table:
            table[key] = line[key]
        elif at := _last_line(body, path, section, before[section]):
            lines = body.split("\n")
            indent = lines[at - 1][: -len(lines[at - 1].lstrip())]
            lines[at] = f"{indent}{toml.bare(key)} = {amount}{end}{lines[at]}"
            return mark + _checked(body, "\n".join(lines), after, path)
        else:
            added = tomlkit.parse(f"{toml.bare(key)} = {amount}{end}").body[0]
            table.append(added[0], added[1])
    return mark + _checked(body, doc.as_string(), after, path)


def _last_line(text: str, path: Path, section: str, amounts: dict[str, Any]) -> int | None:
    """The line of a table's last amount, or of its heading; None if there is no such table."""
    lines = toml.Document(path, {}, text).lines
    at = [lines[section, key] for key in amounts if (section, key) in lines]
    if at or amounts:
        return max(at, default=None)
    head = lines.get((section,))
    return head if head and text.split("\n")[head - 1].lstrip().startswith("[") else None


def _checked(old: str, new: str, wanted: dict[str, Any], path: Path) -> str:
    """``new``, once it is sure that it says what is wanted and that no other line is touched."""
    a, b = old.splitlines(keepends=True), new.splitlines(keepends=True)
    while a and b and a[0] == b[0]:
        del a[0], b[0]
    while a and b and a[-1] == b[-1]:
        del a[-1], b[-1]
    if len(a) > 1 or len(b) > (1 if a else 3) or tomllib.loads(new) != wanted:
        raise refusal("odd-layout", Place(path))
    return new
