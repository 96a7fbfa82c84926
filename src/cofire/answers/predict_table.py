"""A table of oxide compositions in, properties out, in chunks so that a million rows fit."""

from __future__ import annotations

import itertools
import os
import signal
from collections import deque
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING, ClassVar, TypeVar

import numpy as np

from cofire.answers.oxide_headings import Basis, key, read_headings, refuse_unknown
from cofire.answers.predict import (
    NAMES,
    TEMPERATURE,
    impossible_amounts,
    impossible_temperatures,
    moles,
    no_amount,
    no_temperature,
    properties,
)
from cofire.arrays import Array
from cofire.chem.oxides import MODELLED, OXIDES
from cofire.errors import (
    CofireError,
    DataFileError,
    Place,
    Problems,
    QuantityError,
    did_you_mean,
    refusal,
)
from cofire.files.long_tables import LongTable
from cofire.files.table_cells import clean
from cofire.read.number import Convention, convention, number
from cofire.record import Record

if TYPE_CHECKING:
    from concurrent.futures import Future

#: Heading -> cells (N,), as they were written.
Kept = dict[str, list[str]]
#: Heading -> properties (N,).
Columns = dict[str, Array]
Row = tuple[int, list[str]]
T = TypeVar("T")

CHUNK_ROWS = 20_000
#: More processes than this wait for the one that reads; our choice.
_MOST_PROCESSES = 4
#: So many rows are told one by one; our choice.
MOST_TOLD = 20
#: ``number`` takes no smaller one for a number, nor does what reads many at once.
_LEAST = 1e-15
_EXAMPLE = "The first line names the columns: name,SiO2,B2O3,…"


@dataclass(frozen=True, eq=False)
class _Chunk:
    """Some rows that are right."""

    kept: Kept
    mol: Array
    temperature_c: Array | None


@dataclass(frozen=True, eq=False, repr=False)
class PredictedGlasses(Record):
    """What a table was read as, and a row of text and numbers for each of its rows."""

    basis: Basis
    level: float
    left_out: tuple[str, ...]
    rows: tuple[dict[str, str | float], ...] = ()
    schema: ClassVar = "predict"


class TableOfGlasses:
    """What the headings of a table say, and the properties of its rows.

    ``headings`` are those of the answer: columns that are carried along, a name first (“name” of
    empty cells where the table has none), then properties. ``left_out`` are columns that count for
    nothing. Raises CompositionError for a heading that is no oxide, is not in ``keep`` and shall
    not be ignored, that contradicts the ``basis`` or comes twice.
    """

    def __init__(
        self,
        table: LongTable,
        basis: Basis,
        *,
        level: float = 0.9,
        keep: Sequence[str] = (),
        ignore: bool = False,
    ) -> None:
        self.basis, self.level = basis, level
        self._table, labels = table, table.headings
        place = Place(table.path, table.line)
        wanted = _wanted(keep, labels, place)
        found = read_headings(labels, basis, place, wanted)
        at_oxides = {column.position for column in found.oxides}
        kept: dict[str, int | None] = {}
        unknown = []
        for position, label in enumerate(labels):
            plain = key(label)
            named = position not in at_oxides and plain.rstrip(".") in NAMES
            if named or plain in wanted:
                kept[label] = position
            elif position not in at_oxides and plain != TEMPERATURE:
                unknown.append(label or f"column {position + 1}, which has no heading")
        if not ignore:
            remedy = "Add --keep HEADING to carry it along, or --ignore to leave such columns out."
            if len(labels) == 1:
                remedy = "Separate columns by commas, semicolons or tabs."
            refuse_unknown(unknown, remedy, place)
        if not found.oxides:
            raise refusal("no-oxide-column", place, hint=_EXAMPLE)
        self.left_out = unknown
        name = next((label for label in kept if key(label) == "name"), "name")
        self._kept: dict[str, int | None] = {name: None, **kept}
        self._oxides = found.oxides
        self._hot = found.others.get(TEMPERATURE)
        nothing = None if self._hot is None else np.zeros(0)
        columns = list(properties(np.zeros((0, len(OXIDES))), nothing))
        for label in self._kept:
            if key(label) in columns:
                raise refusal("heading-of-the-answer", place, label=label)
        self.headings = [*self._kept, *columns]
        numbers = [one.position for one in found.oxides]
        numbers += [] if self._hot is None else [self._hot]
        self._last_number = max(numbers)
        self._commas = table.commas(numbers)
        self._empty: list[str] = []
        self._more_empty = 0

    def rows(
        self,
        into: Callable[[Kept, Columns], T],
        progress: Callable[[int], None] = lambda done: None,
    ) -> Iterator[T]:
        """What ``into`` makes of the rows, some thousand at a time; it is a function of a module.

        Raises, once all rows have been looked at, what is wrong with them: the first MOST_TOLD.
        """
        return _side_by_side(partial(_answer, self.level, into), self._chunks(progress))

    def remarks(self) -> list[str]:
        """What is to be said of the rows that were read."""
        said = [f"{one[0].upper()}{one[1:]}." for one in self._table.remarks] + self._empty
        if self._more_empty:
            said.append(f"And {self._more_empty} more rows are left empty.")
        if self.left_out:
            said.append("Left out: " + ", ".join(f"“{label}”" for label in self.left_out) + ".")
        return said

    def _chunks(self, progress: Callable[[int], None]) -> Iterator[_Chunk]:
        errors: list[CofireError] = []
        done = wrong = 0
        rows = self._table.rows()
        self._empty, self._more_empty = [], 0
        while part := list(itertools.islice(rows, CHUNK_ROWS)):
            chunk, bad = self._read(part)
            errors += [bad[r] for r in sorted(bad)][: MOST_TOLD - len(errors)]
            wrong += len(bad)
            done += len(part)
            progress(done)
            if chunk and not wrong:
                yield chunk
        if wrong > len(errors):
            more = wrong - len(errors)
            errors.append(refusal("more-wrong-rows", Place(self._table.path), more=more))
        if errors:
            raise Problems(errors) if len(errors) > 1 else errors[0]

    def _read(self, part: list[Row]) -> tuple[_Chunk | None, dict[int, CofireError]]:
        """The rows if all are right, and what is wrong with some, by their place among them."""
        bad: dict[int, CofireError] = {}
        columns = self._columns(part, bad)
        amounts = [
            (one, np.nan_to_num(self._numbers(part, columns, one.position, bad, True)))
            for one in self._oxides
        ]
        hot = None
        if self._hot is not None:
            hot = self._numbers(part, columns, self._hot, bad, False)
        if bad:
            return None, bad
        mol = moles(amounts, len(part), self.basis)
        self._note_empty(part, mol)
        nameless = [""] * len(part)
        kept = {
            label: nameless if at is None else list(columns[at]) for label, at in self._kept.items()
        }
        return _Chunk(kept, mol, hot), bad

    def _columns(self, part: list[Row], bad: dict[int, CofireError]) -> list[Sequence[str]]:
        """The cells of each column; rows with too many are wrong, and those that break off before
        their last number."""
        width = len(self._table.headings)
        cells = [row for _, row in part]
        if set(map(len, cells)) != {width}:
            for r, row in enumerate(cells):
                place = Place(self._table.path, part[r][0])
                if any(cell.strip() for cell in row[width:]):
                    bad[r] = refusal("more-cells-than-headings", place, cells=len(row), width=width)
                elif row and len(row) <= self._last_number:
                    bad[r] = refusal(
                        "fewer-cells-than-headings", place, cells=len(row), width=width
                    )
                cells[r] = (row + [""] * width)[:width]
        return list(zip(*cells, strict=True))

    def _numbers(
        self,
        part: list[Row],
        columns: list[Sequence[str]],
        position: int,
        bad: dict[int, CofireError],
        amounts: bool,
    ) -> Array:
        """A column as numbers (N,), NaN where it is empty or wrong."""
        cells = columns[position]
        values = _plain_numbers(cells, self._commas)
        if values is None:
            doubtful: Iterable[int] = range(len(cells))
            values = np.full(len(cells), np.nan)
        else:
            wrong = impossible_amounts(values) if amounts else impossible_temperatures(values)
            tiny = (values > 0.0) & (values < _LEAST)
            doubtful = np.flatnonzero((wrong & ~np.isnan(values)) | tiny)
        label = self._table.headings[position]
        for r in doubtful:
            try:
                values[r] = self._number(clean(cells[r]), label, amounts)
            except CofireError as error:
                place = Place(self._table.path, part[r][0])
                bad.setdefault(r, type(error)(error.message, hint=error.hint, place=place))
        return values

    def _number(self, text: str, label: str, amount: bool) -> float:
        if not text:
            return np.nan
        try:
            value = float(number(text, self._commas))
        except QuantityError as error:
            raise DataFileError(f"{label}: {error.message}", hint=error.hint) from None
        shown = convention([text])
        if shown and self._commas and (shown == "decimal") != (self._commas == "decimal"):
            mark = "comma" if self._commas == "decimal" else "point"
            raise refusal("decimals-in-two-ways", column=label, text=text, mark=mark)
        if amount and impossible_amounts(np.array([value]))[0]:
            raise no_amount(label, text, value)
        if not amount and impossible_temperatures(np.array([value]))[0]:
            raise no_temperature(label, text)
        return value

    def _note_empty(self, part: list[Row], mol: Array) -> None:
        known = mol[:, : len(MODELLED)].sum(axis=1) > 0.0
        for r in np.flatnonzero(~known):
            if len(self._empty) == MOST_TOLD:
                self._more_empty += 1
                continue
            why = "no oxide" if np.isnan(mol[r, 0]) else "no oxide that the models know"
            place = Place(self._table.path, part[r][0])
            self._empty.append(f"{place}: this row holds {why} and is left empty.")


def _wanted(keep: Sequence[str], labels: Sequence[str], place: Place) -> set[str]:
    """The headings to keep, each said alone or several with commas between."""
    known = {key(label) for label in labels}
    wanted = set()
    for said in keep:
        for one in [said] if key(said) in known else said.split(","):
            if key(one) not in known:
                hint = did_you_mean(one, [label for label in labels if label])
                raise refusal("no-heading-to-keep", place, label=one.strip(), hint=hint)
            wanted.add(key(one))
    return wanted


def _plain_numbers(cells: Sequence[str], commas: Convention) -> Array | None:
    """Many numbers (N,) at once as ``number`` reads them, NaN for empty cells; None where one needs
    to be looked at."""
    text = "".join(cells)
    if not text.isascii() or "_" in text:  # 7_0 is no 70
        return None
    if commas == "decimal":
        if "." in text:
            return None
        cells = [cell.replace(",", ".") for cell in cells]
    elif not commas and ("." in text or "," in text):
        return None
    try:
        values = np.array([float(cell) if cell else np.nan for cell in cells])
    except ValueError:
        return None
    return values if np.isnan(values).sum() == cells.count("") else None  # “nan” is no number


def _answer(level: float, into: Callable[[Kept, Columns], T], chunk: _Chunk) -> T:
    return into(chunk.kept, properties(chunk.mol, chunk.temperature_c, level))


def _side_by_side(work: Callable[[_Chunk], T], chunks: Iterator[_Chunk]) -> Iterator[T]:
    """``work`` on each, in order; several chunks go to processes, as threads would wait for each
    other between numpy's short sums."""
    first = list(itertools.islice(chunks, 2))
    size = min(os.cpu_count() or 1, _MOST_PROCESSES)
    if len(first) < 2 or size < 2:
        yield from map(work, itertools.chain(first, chunks))
        return
    from concurrent.futures import ProcessPoolExecutor  # small tables do not wait for it

    waiting: deque[Future[T]] = deque()
    with ProcessPoolExecutor(size, initializer=_leave_interrupts_alone) as pool:
        try:
            for chunk in itertools.chain(first, chunks):
                waiting.append(pool.submit(work, chunk))
                if len(waiting) > 2 * size:
                    yield waiting.popleft().result()
            while waiting:
                yield waiting.popleft().result()
        finally:
            for one in waiting:
                one.cancel()


def _leave_interrupts_alone() -> None:
    """The process that was started by hand ends the others."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
