"""A table with headings and any number of rows, read row by row. Knows no oxides."""

from __future__ import annotations

import codecs
import io
import itertools
from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import Path
from tempfile import TemporaryFile
from typing import IO, BinaryIO, cast

from cofire.errors import Place, refusal
from cofire.files.table_cells import (
    NOT_UTF_8,
    clean,
    encoding_of,
    separator_of,
    split_rows,
    stated_separator,
)
from cofire.files.toml import opened
from cofire.read.number import Convention, convention, is_number

#: So much of a table shows what parts its columns; our choice.
_HEAD_BYTES = 1 << 18
_BLOCK_BYTES = 1 << 20
#: Letters of a line, and bytes of a table that is piped (some ten million rows); our choice.
_LONGEST_LINE = 1 << 20
_LONGEST_PIPE = 1 << 31


class LongTable:
    """What parts its columns is decided once, from its first lines. ``headings`` are clean; those
    that are missing at the end are left out. Raises DataFileError."""

    def __init__(self, source: BinaryIO, path: Path) -> None:
        self._source, self.path = source, path
        head = source.read(_HEAD_BYTES)
        self._encoding = encoding_of(head, path)
        self.remarks: list[str] = []
        if self._encoding != "utf-16" and not self._is_utf_8():
            self._encoding = "cp1252"  # as “text_of” reads it
            self.remarks.append(NOT_UTF_8)
        whole = len(head) < _HEAD_BYTES
        try:
            text = codecs.getincrementaldecoder(self._encoding)().decode(head, final=whole)
        except UnicodeDecodeError:
            raise self._no_text() from None
        text = text.replace("\r\n", "\n").replace("\r", "\n")
        if not whole:
            text = text[: text.rfind("\n") + 1] or text
        if not text.strip():
            raise refusal("no-headings-there", Place(path))
        # a table of one column has nothing that parts columns, and no tabs
        stated, text = stated_separator(text)
        self._stated = stated is not None
        self.separator = stated or separator_of(text, path, headed=True) or "\t"
        first = next(self._rows(), None)
        if first is None:
            raise refusal("no-headings-there", Place(path))
        self.line, headings = first
        if not all(clean(heading).isprintable() for heading in headings):
            raise refusal("unprintable-character", Place(path, self.line))
        self.headings = [clean(heading) for heading in headings]
        while self.headings and not self.headings[-1]:
            self.headings.pop()

    def rows(self) -> Iterator[tuple[int, list[str]]]:
        """(line, cells) of every row below the headings, cells as they are written."""
        rows = self._rows()
        next(rows)
        blank: list[tuple[int, list[str]]] = []  # a table ends above the blank lines at its end
        for row in rows:
            if any(cell.strip() for cell in row[1]):
                yield from blank
                blank.clear()
                yield row
            elif len(row[1]) > 1:
                yield from (*blank, row)
                blank.clear()
            else:
                blank.append(row)

    def _rows(self) -> Iterator[tuple[int, list[str]]]:
        """From the headings on."""
        self._source.seek(0)
        text = io.TextIOWrapper(self._source, self._encoding, newline="")
        try:
            rows = split_rows(self._lines(text), self.separator, self.path)
            rows = itertools.dropwhile(lambda row: not any(row[1]), rows)
            if self._stated:
                next(rows)
            yield from itertools.dropwhile(lambda row: not any(row[1]), rows)
        except UnicodeDecodeError:
            raise self._no_text() from None
        finally:
            text.detach()  # else the source would be closed with it

    def _lines(self, text: IO[str]) -> Iterator[str]:
        """The lines of a text, none of which may go on for ever."""
        lines = iter(partial(text.readline, _LONGEST_LINE), "")
        for number, line in enumerate(lines, start=1):
            if len(line) == _LONGEST_LINE:
                raise refusal("line-too-long", Place(self.path, number), most=_LONGEST_LINE)
            yield line

    def commas(self, positions: list[int]) -> Convention:
        """What commas mean in the columns at these positions, by the first number that can only be
        read in one way. Where commas part the columns they mark decimals only between quotation
        marks."""
        if self.separator == "," and not self._count(b'"'):
            return "point"
        for _, cells in self.rows():
            for position in positions:
                cell = cells[position] if position < len(cells) else ""
                if "," in cell or "." in cell:
                    found = convention([cell])
                    if found and is_number(cell, found):
                        return found
        return "point" if self.separator == "," else ""

    def count(self) -> int:
        """About how many rows there are: line ends, less that of the headings. May be asked while
        rows are read."""
        here = self._source.tell()
        lines = self._count(b"\n")
        self._source.seek(here)
        return max(lines - 1, 0)

    def _count(self, byte: bytes) -> int:
        self._source.seek(0)
        blocks = iter(lambda: self._source.read(_BLOCK_BYTES), b"")
        return sum(block.count(byte) for block in blocks)

    def _is_utf_8(self) -> bool:
        decoder = codecs.getincrementaldecoder("utf-8")()
        self._source.seek(0)
        try:
            for block in iter(lambda: self._source.read(_BLOCK_BYTES), b""):
                decoder.decode(block)
            decoder.decode(b"", final=True)
        except UnicodeDecodeError:
            return False
        return True

    def _no_text(self) -> Exception:
        """Which line is not in the encoding."""
        self._source.seek(0)
        if self._encoding == "utf-16":
            return refusal("broken-utf-16", Place(self.path))
        lines = enumerate(self._source, start=1)
        broken = next((n for n, line in lines if "\ufffd" in line.decode(errors="replace")), None)
        return refusal("not-utf-8", Place(self.path, broken))


@contextmanager
def long_table(path: Path, pasted: BinaryIO | None = None) -> Iterator[LongTable]:
    """The table in a file, or in what is ``pasted``, which is kept in a file of its own meanwhile.

    Raises DataFileError.
    """
    with opened(path) if pasted is None else _kept(pasted, path) as file:
        yield LongTable(file, path)


@contextmanager
def _kept(stream: BinaryIO, path: Path) -> Iterator[BinaryIO]:
    with TemporaryFile() as kept:
        try:
            while kept.tell() <= _LONGEST_PIPE and (block := stream.read(_BLOCK_BYTES)):
                kept.write(block)
            kept.seek(0, io.SEEK_END)
        except OSError as problem:
            raise refusal("file-cannot-be-read", Place(path), reason=problem.strerror) from None
        if kept.tell() > _LONGEST_PIPE:
            raise refusal("pipe-too-long", Place(path), megabytes=_LONGEST_PIPE / 1e6)
        kept.seek(0)
        yield cast(BinaryIO, kept)
