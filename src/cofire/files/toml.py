"""Reading one hand-edited TOML file, with a line for every error."""

from __future__ import annotations

import json
import os
import re
import stat
import sys
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from decimal import Decimal
from functools import cache, cached_property
from math import inf
from numbers import Integral, Real
from pathlib import Path
from typing import Any, BinaryIO, TypeVar

from cofire.errors import CofireError, DataFileError, Place, QuantityError, did_you_mean, refusal
from cofire.names import flaw, shown

Number = TypeVar("Number", float, Decimal)
#: Far above any recipe book written by hand; a larger file is a mistake, not a book.
MAX_BYTES = 4_000_000

#: Lines, letters in one of them, brackets inside brackets, dots in a key and letters of a word or
#: number: what nobody writes by hand, and what takes ``tomllib`` for ever. Our choice.
MAX_LINES, MAX_LINE, MAX_DEPTH, MAX_DOTS, MAX_WORD = 100_000, 20_000, 20, 10, 200

#: What a line of TOML is made of, as far as brackets, dots and strings go.
_TOKEN = re.compile(
    r'"""|\'\'\'|"(?:[^"\\]|\\.)*+"?|\'[^\']*+\'?|#.*|[\[\]{}.,=]|[A-Za-z0-9_+:-]++'
)
_END = {
    '"""': re.compile(r'(?:[^"\\]|\\.|"{1,2}(?!"))*+"{3,5}'),
    "'''": re.compile(r"(?:[^']|'{1,2}(?!'))*+'{3,5}"),
}
_KEY_PART = re.compile(r"""[ \t]*+("(?:[^"\\]|\\.)*+"|'[^']*+'|[A-Za-z0-9_-]++)[ \t]*+(\.?)""")
_BY_LINE = re.compile(r"\(at line (\d+), column \d+\)")


@dataclass(frozen=True, eq=False)
class Document:
    """Parsed data, and on demand the line on which each table and key starts."""

    path: Path
    data: dict[str, Any]
    text: str = field(repr=False)

    @cached_property
    def lines(self) -> dict[tuple[str, ...], int]:
        return _locate(self.text)

    def place(self, *keys: str) -> Place:
        """Where ``keys`` (table path, then key) stands, or its nearest parent."""
        while keys and keys not in self.lines:
            keys = keys[:-1]
        return Place(self.path, self.lines.get(keys))

    def fail(self, message: str, *keys: str, hint: str = "") -> DataFileError:
        return DataFileError(message, hint=hint, place=self.place(*keys))

    def refuse(self, name: str, /, *keys: str, **fields: object) -> CofireError:
        return refusal(name, self.place(*keys), **fields)


def written(value: object) -> str:
    """Text, a number, yes or no, a list, or a table on one line, as TOML."""
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{bare(k)} = {written(v)}" for k, v in value.items()) + " }"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(map(written, value)) + "]"
    # JSON leaves some letters as they are that TOML forbids, or that turn what is read around
    return shown(json.dumps(value, ensure_ascii=False))


def bare(key: str) -> str:
    """A key as a person would write it: quoted only where it has to be."""
    plain = all(c.isascii() and (c.isalnum() or c in "-_") for c in key) and key
    return key if plain else written(key)


def read_bytes(path: Path, most: int = MAX_BYTES) -> bytes:
    """The file as it is; DataFileError where there is none, or one of more than ``most`` bytes."""
    with opened(path) as file:
        return read_stream(file, path, most)


def read_stream(stream: BinaryIO, path: Path, most: int = MAX_BYTES) -> bytes:
    """All of a stream; DataFileError where it cannot be read, or goes on beyond ``most`` bytes."""
    blocks: list[bytes] = []
    left = most + 1  # some files have no size, and some streams no end
    try:
        while left and (block := stream.read(left)):
            blocks.append(block)
            left -= len(block)
    except OSError as problem:
        raise refusal("file-cannot-be-read", Place(path), reason=problem.strerror) from None
    if not left:
        raise refusal("file-too-large", Place(path), megabytes=most / 1e6)
    return b"".join(blocks)


def standard_input() -> tuple[BinaryIO, Path]:
    """Standard input, and what errors call it."""
    return sys.stdin.buffer, Path("standard input")


@contextmanager
def opened(path: Path) -> Iterator[BinaryIO]:
    """The file to read from, in bytes. Raises DataFileError where it cannot be read, and for what
    is no file: a folder, a device, or a pipe, which may never end."""
    place = Place(path)
    how = os.O_RDONLY | getattr(os, "O_BINARY", 0) | getattr(os, "O_NONBLOCK", 0)
    try:
        if path.is_dir():
            raise refusal("folder-not-file", place)
        handle = os.open(path, how)  # opening a pipe does not wait for its writer
    except FileNotFoundError:
        raise refusal("no-file-there", place) from None
    except OSError as problem:
        raise refusal("file-cannot-be-read", place, reason=problem.strerror) from None
    with os.fdopen(handle, "rb") as file:
        if not stat.S_ISREG(os.fstat(handle).st_mode):
            raise refusal("no-file-but-a-device", place)
        yield file


def real(path: Path) -> Path:
    """Where a path leads through links; as far as they go where they go in a circle."""
    return Path(os.path.realpath(path))


def read_text(path: Path) -> str:
    """The file as UTF-8 text; DataFileError says what is wrong with it otherwise."""
    return decoded(read_bytes(path), path)


def decoded(raw: bytes, path: Path) -> str:
    """As ``read_text``, for bytes already in hand."""
    place = Place(path)
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise refusal("utf-16", place)
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as problem:
        line = raw.count(b"\n", 0, problem.start) + 1
        raise refusal("not-utf-8", Place(path, line)) from None
    if not text.strip():
        raise refusal("file-is-empty", place)
    return text


def read(path: Path) -> Document:
    """Parse a TOML file; DataFileError with file and line when it does not parse."""
    return parse(read_text(path), path)


def given(data: Mapping[str, Any], word: str) -> Document:
    """A document out of what its file would say. Raises DataFileError for what no file can hold."""
    path = Path(f"the {word} given")
    return Document(path, {key: _as_read(key, value, path) for key, value in data.items()}, "")


def _as_read(key: object, value: object, path: Path) -> Any:
    """A value as TOML would have given it."""
    if not isinstance(key, str):
        raise refusal("key-is-no-text", Place(path), key=key)
    match value:
        case str() | bool():
            return value
        case Integral():
            return int(value)
        case Real() | Decimal():
            return float(value)
        case Mapping():
            return {k: _as_read(k, v, path) for k, v in value.items()}
        case list() | tuple():
            return [_as_read(key, one, path) for one in value]
    raise refusal("value-of-no-file", Place(path), key=key, kind=type(value).__name__)


@cache
def beside(module: str, name: str) -> dict[str, Any]:
    """The content of a data file of the program beside a module (its ``__file__``)."""
    return read(Path(module).with_name(name)).data


def parse(text: str, path: Path, *, most_lines: int = MAX_LINES) -> Document:
    """As ``read``, for text already in hand."""
    data = _of_plain_lines(text)
    return Document(path, _of_any(text, path, most_lines) if data is None else data, text)


def _of_any(text: str, path: Path, most_lines: int) -> dict[str, Any]:
    import tomllib  # few files need it

    for _ in lines_of(text, path, most_lines):
        pass
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as problem:
        raise _plain(problem, text, path) from None
    except (RecursionError, ValueError):
        raise refusal("nested-too-deep", Place(path)) from None


def lines_of(
    text: str, path: Path | None = None, most: int = MAX_LINES
) -> Iterator[tuple[int, str, bool]]:
    """(number, line, whether a key or a table may begin there): not within long strings or
    brackets.

    Raises DataFileError for what nobody writes by hand.
    """
    long, depth = "", 0
    for number, line in enumerate(text.split("\n"), start=1):  # no other sign ends a line of TOML
        yield number, line, not long and not depth
        why = "lines" * (number > most) or "letters in a line" * (len(line) > MAX_LINE)
        at = dots = 0
        while at < len(line):
            if long:
                end = _END[long].match(line, at)
                if end is None:
                    break
                at, long = end.end(), ""
                continue
            token = _TOKEN.search(line, at)
            if token is None:
                break
            at, sign = token.end(), token[0]
            if sign in _END:
                long = sign
            elif sign in ("[", "{"):
                depth += 1
            elif sign in ("]", "}"):
                depth = max(depth - 1, 0)
            dots = dots + 1 if sign == "." else 0 if sign in (",", "=", "[", "{") else dots
            if sign[0] not in "\"'#" and len(sign) > MAX_WORD:
                why = why or "letters in a word or number"
            why = why or "brackets in brackets" * (depth > MAX_DEPTH)
            why = why or "dots in a key" * (dots > MAX_DOTS)
        if why and path is not None:
            raise refusal("not-by-hand", Place(path, number), what=why)


_NUMBER = r"-?(?:0|[1-9][0-9]{0,30})(?:\.[0-9]{1,30})?"
_VALUE = rf'(?:{_NUMBER}|"[^"\\]*"|true|false)'
_PAIR = rf"[A-Za-z0-9_-]+ *= *{_NUMBER}"
_PLAIN_LINE = re.compile(
    r"(?:"
    r"\[([A-Za-z0-9_-]+)\]"
    r'|([A-Za-z0-9_-]+|"[^"\\]*")[ \t]*=[ \t]*'
    rf"({_VALUE}|\[(?:{_VALUE}(?:, *{_VALUE})*)?\]|\{{ *{_PAIR}(?:, *{_PAIR})* *\}})"
    r")?[ \t]*(?:#.*)?"
)
_PAIR_KEY = re.compile(r"([A-Za-z0-9_-]+) *=")
#: May not stand in TOML, or not everywhere.
_CONTROL = re.compile(r"[\x00-\x08\x0b-\x1f\x7f]")


def _of_plain_lines(text: str) -> dict[str, Any] | None:
    """The result of ``_of_any`` in a third of the time, if every line is plain: a [table], or a key
    with a number, a text, a list or numbers in braces. None for others."""
    if _CONTROL.search(text):
        return None
    top: list[str] = []
    tables: list[tuple[str, list[str]]] = []
    pairs = top
    for line in text.split("\n"):
        match = _PLAIN_LINE.fullmatch(line.strip(" \t"))
        if match is None:
            return None
        table, key, value = match.groups()
        if table:
            pairs = []
            tables.append((table, pairs))
        elif key:
            if value[0] == "{":
                value = _PAIR_KEY.sub(r'"\1":', value)
            pairs.append(f"{key}:{value}" if key[0] == '"' else f'"{key}":{value}')
    inner = (f'"{table}":{{{",".join(pairs)}}}' for table, pairs in tables)
    try:
        data = json.loads(f"{{{','.join([*top, *inner])}}}", object_pairs_hook=_once)
    except ValueError:
        return None
    assert isinstance(data, dict)
    return data


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    data = dict(pairs)
    if len(data) < len(pairs):
        raise ValueError("written twice")  # ``tomllib`` says where
    return data


def _plain(problem: ValueError, text: str, path: Path) -> DataFileError:
    match = _BY_LINE.search(str(problem))
    number = int(match[1]) if match else text.count("\n") + 1
    reason = _BY_LINE.sub("", str(problem)).strip().rstrip(".")
    lines = text.splitlines()
    shown = lines[number - 1].strip()[:80] if number <= len(lines) else ""
    if "Cannot overwrite" in reason or "declare" in reason:
        message = f"“{shown}” is written twice."
        hint = "Keep one, with the amounts added together."
    else:
        message = f"cannot be read here: “{shown}” ({reason[0].lower() + reason[1:]})."
        hint = (
            "Lines look like  silica = 20  ; names with spaces or commas go in quotes: "
            ' "tin oxide" = 5  ; decimals take a point.'
        )
    return DataFileError(message, hint=hint, place=Place(path, number))


def _keys(text: str) -> tuple[tuple[str, ...], str]:
    """The parts of a key at the start of a text, as in “base.kaolin = 5”, and what follows it."""
    parts: list[str] = []
    at = 0
    while len(parts) <= MAX_DOTS and (match := _KEY_PART.match(text, at)):
        parts.append(_unquoted(match[1]))
        at = match.end()
        if not match[2]:
            break
    return tuple(parts), text[at:]


def _unquoted(key: str) -> str:
    if key[0] == '"' and "\\" in key:
        import tomllib

        with suppress(tomllib.TOMLDecodeError):
            return str(tomllib.loads(f"x = {key}")["x"])
    return key[1:-1] if key[0] in "\"'" else key


def _locate(text: str) -> dict[tuple[str, ...], int]:
    """(table path, key) -> line. Items of an array of tables are numbered from 0."""
    lines: dict[tuple[str, ...], int] = {}
    counts: dict[tuple[str, ...], int] = {}
    current: tuple[str, ...] = ()
    for number, line, free in lines_of(text):
        line = line.strip()
        if not free or not line or line[0] == "#":
            continue
        if line[0] == "[":
            current, _ = _keys(line.lstrip("["))
            if line.startswith("[["):
                index = counts.get(current, 0)
                counts[current] = index + 1
                current = (*current, str(index))
            found = current
        else:
            key, rest = _keys(line)
            found = (*current, *key) if rest.startswith("=") else current
        for depth in range(1, len(found) + 1):
            lines.setdefault(found[:depth], number)
    return lines


class Table:
    """One table of a document, read key by key; ``finish`` raises an error for keys left over.

    Numbers are checked against ``limits``, by key (see ``limits.toml``).
    """

    def __init__(
        self,
        doc: Document,
        data: object,
        *path: str,
        what: str,
        limits: Mapping[str, Any] | None = None,
    ) -> None:
        self.doc = doc
        self.path = path
        self.what = what
        self.limits = limits or {}
        if not isinstance(data, dict):
            raise doc.fail(f"{what} should be a table.", *path)
        self.data: dict[str, Any] = data
        self._known: set[str] = set()

    def fail(self, message: str, key: str = "", hint: str = "") -> DataFileError:
        return self.doc.fail(message, *self.path, *((key,) if key else ()), hint=hint)

    def refuse(self, name: str, key: str = "", /, **fields: object) -> CofireError:
        place = self.doc.place(*self.path, *((key,) if key else ()))
        return refusal(name, place, what=self.what, key=key, **fields)

    def get(self, key: str, default: Any = None) -> Any:
        self._known.add(key)
        return self.data.get(key, default)

    def has(self, key: str) -> bool:
        """Whether the key is there; from now on it is a known one."""
        return self.get(key) is not None

    def inside(self, key: str, default: object = None) -> Table:
        """The table under a key of this one."""
        what = f"{self.what}'s [{key}]"
        data = self.get(key, default)
        return Table(self.doc, data, *self.path, key, what=what, limits=self.limits)

    def list_of(self, key: str) -> list[Table]:
        """The tables written as [[key]] in this one."""
        items = self.get(key, [])
        if not isinstance(items, list):
            raise self.fail(f"“{key}” should be written as [[{key}]].", key)
        return [
            Table(self.doc, one, *self.path, key, str(k), what=f"the {key}", limits=self.limits)
            for k, one in enumerate(items)
        ]

    def text(self, key: str, default: str | None = None) -> str:
        value = self.get(key, default)
        if value is None:
            raise self.fail(f"{self.what} has no “{key}”.", hint=f'Add a line  {key} = "…"')
        if hasattr(value, "isoformat"):
            return str(value.isoformat())
        if not isinstance(value, str) or (not value.strip() and default is None):
            raise self.fail(f"“{key}” should be text in quotes.", key)
        return self._checked(value, key, lines=True)

    def name(self, key: str, default: str | None = None) -> str:
        """As ``text``, on one line."""
        return self._checked(self.text(key, default), key)

    def _checked(self, value: str, key: str, *, lines: bool = False) -> str:
        if wrong := flaw(value, lines=lines):
            raise self.refuse("text-not-for-print", key, wrong=wrong)
        return value

    def number(self, key: str, default: float | None = None) -> float:
        value = self.get(key, default)
        if value is None:
            raise self.fail(f"{self.what} has no “{key}”.", hint=f"Add a line  {key} = …")
        return self.within(self.check_number(value, key, f"“{key}”"), key)

    def check_number(self, value: object, key: str, name: str) -> float:
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise self.fail(
                f"{name} should be a number, not {value!r}.", key, hint=f"Write  {key} = 12.5"
            )
        if not abs(value) < 1e9:
            raise self.fail(
                f"{name} is not a usable number ({value}).", key, hint=f"Write  {key} = 12.5"
            )
        return float(value)

    def quantity(
        self,
        key: str,
        read: Callable[[Any], Number],
        value: Any = None,
        default: Number | None = None,
    ) -> Number:
        """What ``read`` makes of a text in the file. Raises DataFileError where it refuses."""
        value = self.get(key) if value is None else value
        if value is None and default is not None:
            return default
        if value is None:
            raise self.fail(f"{self.what} has no “{key}”.")
        try:
            amount = read(value)
        except QuantityError as error:
            raise self.fail(f"“{key}”: {error.message}", key, hint=error.hint) from None
        self.within(float(amount), key)
        return amount

    def within(self, value: float, key: str) -> float:
        """The number itself. Raises DataFileError where it is beyond the limits of its key."""
        limit = self.limits.get(key, {})
        inside = limit.get("least", -inf) <= value <= limit.get("most", inf)
        if inside and limit.get("above", -inf) < value < limit.get("below", inf):
            return value
        message = limit["message"].format(key=key, value=value)
        raise self.fail(message, key, hint=limit.get("hint", ""))

    def pair(self, key: str, default: tuple[float, float] | None = None) -> tuple[float, float]:
        value = self.get(key)
        if value is None:
            if default is not None:
                return default
            raise self.fail(f"{self.what} has no “{key}”.", hint=f"Add  {key} = [low, high]")
        if not isinstance(value, list) or len(value) != 2:
            raise self.fail(f"“{key}” should be two numbers, [low, high].", key)
        low, high = (self.check_number(v, key, f"“{key}”") for v in value)
        if low > high:
            raise self.fail(f"“{key}” runs from high to low.", key, hint="Write [low, high].")
        return self.within(low, key), self.within(high, key)

    def flag(self, key: str) -> bool:
        """true or false; false where nothing is said."""
        value = self.get(key, False)
        if not isinstance(value, bool):
            raise self.fail(f"“{key}” should be true or false.", key)
        return value

    def names(self, key: str, default: tuple[str, ...] | None = None) -> tuple[str, ...]:
        value = self.get(key)
        if value is None:
            if default is not None:
                return default
            raise self.fail(f"{self.what} has no “{key}”.", hint=f'Add  {key} = ["…"]')
        if not isinstance(value, list) or not all(isinstance(v, str) and v for v in value):
            raise self.fail(f"“{key}” should be a list of texts.", key, hint='Write ["…", "…"].')
        return tuple(self._checked(v, key) for v in value)

    def choice(self, key: str, allowed: Iterable[str], default: str | None = None) -> str:
        value = self.text(key, default)
        options = tuple(allowed)
        if value not in options:
            listed = ", ".join(f"“{o}”" for o in options)
            raise self.fail(f"“{key}” cannot be “{value}”.", key, hint=f"Write one of {listed}.")
        return value

    def finish(self) -> None:
        for key in self.data:
            if key not in self._known:
                hint = did_you_mean(key, self._known) or (
                    "Known here: " + ", ".join(sorted(self._known)) + "."
                )
                raise self.fail(f"{self.what} has an unknown key “{key}”.", key, hint=hint)


def collect(errors: list[CofireError], error: CofireError) -> None:
    """Append an error, or each of several; repeated ones are dropped."""
    from cofire.errors import Problems

    messages = {str(e) for e in errors}
    new = error.errors if isinstance(error, Problems) else (error,)
    errors.extend(e for e in new if str(e) not in messages)
