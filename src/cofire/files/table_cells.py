"""The text of a pasted table -> lines of clean cells, and which column is which."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from cofire.errors import Place, refusal
from cofire.files.toml import MAX_BYTES
from cofire.read.amounts import is_amount, known_unit
from cofire.read.units import GRAMS


@dataclass(frozen=True)
class Line:
    """A line of the table, its cells cleaned."""

    number: int
    cells: tuple[str, ...]


@dataclass(frozen=True)
class Columns:
    """Which column is which, where a header says so."""

    name: int | None = None
    amount: int | None = None
    unit: int | None = None
    section: int | None = None
    amount_unit: str = ""
    ounces: int | None = None  # beside ``amount``, which is pounds then
    width: int = 0  # number of columns with a heading


ADDED = re.compile(r"^(\+|add|adds|added|additions?|additives?|plus|colou?rants?|extras?)$")
BASE = re.compile(r"^(base|base glaze|base recipe|base materials)$")
TOTAL = re.compile(r"^(base |grand |sub|sub-|sub )?(totals?|sum)\b")
_NAME = re.compile(r"^(raw )?(materials?|ingredients?|names?|items?|components?|chemicals?)$")
_SECTION_HEAD = re.compile(r"^(section|kind|base/additions?|base or additions?)$")
_AMOUNT_HEAD = {"amount", "amounts", "parts", "part", "quantity", "qty", "weight", "wt", "mass"}
_HEAD_WORDS = _AMOUNT_HEAD | {*GRAMS, "in", "by", "of", "per", "cent", "percent", "dry"}
_NO_AMOUNT_HEAD = {"price", "cost", "running", "cumulative", "total", "stock", "have"}
_SAYS_SEPARATOR = re.compile(r'\A\s*"?sep=(.)"?[ \t]*(?:\r?\n|\r|\Z)', re.I)
#: Said of a table that is no UTF-8.
NOT_UTF_8 = "the file is not UTF-8 and was read as Windows-1252: check accented names"
_BLANKS = re.compile(r"[\s\u00a0\u2000-\u200a\u202f\u205f\u3000]+")
_INVISIBLE = re.compile("[\u200b-\u200f\u2060\ufeff\u00ad]")


def text_of(raw: bytes, path: Path, remarks: list[str]) -> str:
    """A table as text: UTF-8, UTF-16 with its mark, else Windows-1252, which is remarked. Raises
    DataFileError."""
    if len(raw) > MAX_BYTES:
        raise refusal("table-too-large", Place(path), megabytes=len(raw) / 1000000.0)
    encoding = encoding_of(raw, path)
    if encoding == "utf-16":
        return raw.decode(encoding, errors="replace")
    try:
        return raw.decode(encoding)
    except UnicodeDecodeError:
        remarks.append(NOT_UTF_8)
        return raw.decode("cp1252", errors="replace")


def stated_separator(text: str) -> tuple[str | None, str]:
    """What a first line “sep=;” says that parts the columns, and the text with that line empty."""
    said = _SAYS_SEPARATOR.match(text)
    if said is None:
        return None, text
    return said[1], "\n" * said[0].count("\n") + text[said.end() :]


def plain_text(raw: bytes, path: Path) -> tuple[str | None, str]:
    """A table that holds numbers more than names, and what a first line says that parts its
    columns. Raises DataFileError, also where it is empty."""
    stated, text = stated_separator(text_of(raw, path, []))
    if not text.strip():
        raise refusal("file-is-empty", Place(path))
    return stated, text


def encoding_of(raw: bytes, path: Path) -> str:
    """The encoding of a table that starts so. Raises DataFileError where it is no text."""
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")):  # what some spreadsheets call Unicode text
        return "utf-16"
    if b"\0" in raw:
        raise refusal("no-text", Place(path))
    return "utf-8-sig"


def clean(cell: str) -> str:
    """Without what spreadsheets and pages put around a word."""
    cell = _BLANKS.sub(" ", _INVISIBLE.sub("", cell)).strip()
    cell = cell.removeprefix("'").strip() if cell.startswith("'") else cell
    return re.sub(r"^[-–•*]\s+(?=\S)", "", cell)


def cells_of(text: str, path: Path) -> tuple[list[Line], str | None]:
    """Lines that are not empty, split into cells, and the separator; None for spaces."""
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    stated, text = stated_separator(text)
    separator = stated or separator_of(text, path)
    if separator is None:
        lines = [Line(n, _split_words(said)) for n, said in enumerate(text.split("\n"), start=1)]
    else:
        rows = split_rows(io.StringIO(text), separator, path)
        lines = [Line(number, tuple(map(clean, cells))) for number, cells in rows]
    kept = [x for x in lines if any(x.cells) and not x.cells[0].startswith("#") and not _is_rule(x)]
    for line in kept:
        for cell in line.cells:
            if not cell.isprintable() or "�" in cell:
                raise refusal("unprintable-character", Place(path, line.number))
    if not kept:
        raise refusal("empty-table", Place(path))
    return kept, separator


def split_rows(lines: Iterable[str], separator: str, path: Path) -> Iterator[tuple[int, list[str]]]:
    """Every row as (line on which it starts, cells), with quotation marks taken off."""
    reader = csv.reader(lines, delimiter=separator, skipinitialspace=True, strict=True)
    number = 1
    try:
        for cells in reader:
            yield number, cells
            number = reader.line_num + 1
    except csv.Error as problem:
        name = "cell-too-large" if "limit" in str(problem) else "open-quotation-mark"
        raise refusal(name, Place(path, number), most=csv.field_size_limit()) from None


def _is_rule(line: Line) -> bool:
    """A line that is only drawn: “---|---”, “=====”."""
    return not re.sub(r"[-=_:| ]", "", "".join(line.cells)) and len("".join(line.cells)) > 2


def separator_of(text: str, path: Path, *, headed: bool = False) -> str | None:
    """What stands between columns; None for spaces. Where the table is ``headed`` it stands in the
    first line too that is no bare title. Raises DataFileError where a comma could part columns
    or mark decimals."""
    said = [
        (number, re.sub(r'"[^"]*"', "q", line))
        for number, line in enumerate(text.split("\n"), start=1)
        if line.strip()
    ]
    bare = [one for one in said if re.search(r"\d", one[1])] or said
    head = next((line for _, line in said if re.search(r"[\t;|,]", line)), "")
    signs = [s for s in ("\t", ";", "|") if not headed or s in head]
    for sign in signs:
        if 2 * sum(sign in line for _, line in bare) > len(bare) > 0:
            return sign
    commas = [one for one in bare if "," in one[1]]
    if 2 * len(commas) <= len(bare):
        return None
    if any(re.search(r"(?<!\d),|,(?!\d)", line) for _, line in said):
        return ","
    if len(commas) < len(bare):
        return None  # a line without one has its amount behind a space
    number, line = commas[0]
    raise refusal("comma-of-two-meanings", Place(path, number), said=line.strip())


def _split_words(line: str) -> tuple[str, ...]:
    """“kaolin 12.5 g” or “12.5 g kaolin” -> name and amount."""
    apart = [clean(c).rstrip(":=").strip() for c in re.split(r"\s{2,}|\s*[:=]\s+", line.strip())]
    if len(apart) > 1 and any(is_amount(c) for c in apart):
        return tuple(apart)
    words = clean(line).split()
    for size in (4, 2, 1):
        for amount, name in ((words[-size:], words[:-size]), (words[:size], words[size:])):
            if name and len(amount) == size and is_amount(" ".join(amount), spaced=False):
                return (" ".join(name).strip('"').rstrip(":=.…–- "), " ".join(amount))
    return (clean(line).strip('"'),)


def header_of(
    lines: list[Line], path: Path, column: str | None, remarks: list[str]
) -> tuple[Columns, str, int]:
    """Columns, a title above them, and where the rows start."""
    title = ""
    for k, line in enumerate(lines):
        low = _headings(line)
        if any(is_amount(c) for c in line.cells):
            break
        name = next((i for i, c in enumerate(low) if _NAME.match(c)), None)
        amounts = [i for i, c in enumerate(low) if amount_heading(c) is not None]
        if name is None:  # then an unreadable amount must not pass for a heading
            amounts = [i for i in amounts if set(re.findall(r"\w+", low[i])) <= _HEAD_WORDS]
        if name is None and not (amounts and len([c for c in low if c]) >= len(amounts) > 0):
            continue
        if name is None and _is_word(low):
            break
        title = " ".join(c for c in lines[0].cells if c) if k else ""
        return _chosen(line, name, amounts, path, column, remarks), title, k + 1
    if column is not None:
        raise refusal("no-headings", Place(path, lines[0].number), column=column)
    return Columns(), "", 0


def _headings(line: Line) -> list[str]:
    return [cell.lower().rstrip(":") for cell in line.cells]


def _is_word(low: list[str]) -> bool:
    first = next(c for c in low if c)
    return bool(ADDED.match(first) or BASE.match(first) or TOTAL.match(first))


def _chosen(
    line: Line,
    name: int | None,
    amounts: list[int],
    path: Path,
    column: str | None,
    remarks: list[str],
) -> Columns:
    low = _headings(line)
    amounts = [i for i in amounts if i != name]
    pair = _pounds_and_ounces(low, amounts)
    if column is not None:
        wanted = [i for i, c in enumerate(low) if c == column.lower().strip()]
        if len(wanted) != 1:
            raise refusal(
                "no-such-heading",
                Place(path, line.number),
                column=column,
                hint="The headings are " + ", ".join(f"“{c}”" for c in line.cells if c) + ".",
            )
        if pair and wanted[0] in pair:
            other = line.cells[sum(pair) - wanted[0]]
            remarks.append(f"the column “{other}” is left out")
        amounts = wanted
    elif pair:
        both = " and ".join(f"“{line.cells[i]}”" for i in pair)
        remarks.append(f"{both} are added together")
        amounts = [pair[0]]
    units = [i for i, c in enumerate(low) if c in ("unit", "units")]
    if len(amounts) > 1:
        named = [line.cells[i] for i in amounts]
        listed = ", ".join(f"“{name}”" for name in named)
        place = Place(path, line.number)
        raise refusal("several-columns-of-amounts", place, listed=listed, first=named[0])
    amount = amounts[0] if amounts else None
    return Columns(
        name=0 if name is None and amount not in (None, 0) else name,
        amount=amount,
        unit=units[0] if units else None,
        section=next((i for i, c in enumerate(low) if _SECTION_HEAD.match(c)), None),
        amount_unit="" if amount is None else amount_heading(low[amount]) or "",
        ounces=pair[1] if pair and column is None else None,
        width=max(i for i, c in enumerate(low) if c) + 1,
    )


def _pounds_and_ounces(low: list[str], amounts: list[int]) -> tuple[int, int] | None:
    """The columns of pounds and of the ounces beside them, where these two are all there is."""
    at = {GRAMS.get(amount_heading(low[i]) or ""): i for i in amounts}
    if len(amounts) == 2 and set(at) == {GRAMS["lb"], GRAMS["oz"]}:
        return at[GRAMS["lb"]], at[GRAMS["oz"]]
    return None


def amount_heading(cell: str) -> str | None:
    """The unit in a heading of amounts, empty if it has none; None if it is another heading."""
    if re.search(r"%|\bper ?cent", cell):
        return "%"
    words = re.findall(r"[a-z]+", cell)
    if _NO_AMOUNT_HEAD & set(words):
        return None
    for word in words:
        if known_unit(word) == "g":
            return str(word)
    return "" if _AMOUNT_HEAD & set(words) else None
