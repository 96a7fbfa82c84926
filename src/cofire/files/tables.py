"""Columns pasted from a spreadsheet or a page -> rows of a recipe, and back. Knows no materials."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from typing import Literal

from cofire.errors import CofireError, Place, Problems, refusal
from cofire.files.csv_rows import inert
from cofire.files.table_cells import ADDED, BASE, TOTAL, Columns, Line, cells_of, header_of, text_of
from cofire.read.amounts import Amount, amount_of, is_amount, known_unit
from cofire.read.number import LONGEST, Convention, convention, written
from cofire.read.units import GRAMS

Unit = Literal["parts", "%", "g"]
Separator = Literal[",", ";", "\t"]


@dataclass(frozen=True)
class TableRow:
    """One material as it stood there; ``amount`` in the table's unit."""

    written: str
    amount: Decimal
    addition: bool
    line: int


@dataclass(frozen=True)
class TableRead:
    """The content of a table. ``remarks`` are the assumptions made."""

    rows: tuple[TableRow, ...]
    unit: Unit
    title: str
    total: Decimal | None  # that the table states, and which was found to be right
    remarks: tuple[str, ...]


_ADDED_NAME = re.compile(r"^(?:\+|(?:add|plus)\b)\s*:?\s*(?=\S)", re.I)
_BROKEN = re.compile(r"^(=|#(ref|value|name|div/0|n/a|num|null))", re.I)


def read_table(raw: bytes, path: Path, column: str | None = None) -> TableRead:
    """Read names and amounts; ``column`` is the heading of the amounts where several have some.

    Raises DataFileError and QuantityError with the line, or Problems with all of them: an amount is
    never guessed.
    """
    remarks: list[str] = []
    lines, separator = cells_of(text_of(raw, path, remarks), path)
    columns, title, start = header_of(lines, path, column, remarks)
    commas = convention(_amount_cells(lines[start:], columns))
    if not commas and separator == ",":
        commas = "point"  # who parts columns by commas does not mark decimals by them
    rows = RowsOfTable(path, columns, commas, remarks)
    for line in lines[start:]:
        rows.take(line)
    unit = rows.finish()
    return TableRead(tuple(rows.rows), unit, title, rows.total, tuple(dict.fromkeys(remarks)))


def table_text(
    rows: Iterable[tuple[str, Decimal, bool]], unit: Unit = "parts", separator: Separator = ","
) -> str:
    """Rows (name, amount, whether an addition) as columns; with semicolons decimals take a comma.

    Additions come under a line of that name: a “+” before a name would be taken for a formula.
    """
    out = io.StringIO()
    writer = csv.writer(out, delimiter=separator, lineterminator="\n")
    writer.writerow(["material", "amount" if unit == "parts" else f"amount ({unit})"])
    below = False
    for name, amount, addition in rows:
        if addition and not below:
            writer.writerow(["additions", ""])
            below = True
        text = written(amount)
        writer.writerow([inert(name), text.replace(".", ",") if separator == ";" else text])
    return out.getvalue()


def _amount_cells(lines: list[Line], columns: Columns) -> list[str]:
    if columns.amount is not None:
        at = [i for i in (columns.amount, columns.ounces) if i is not None]
        return [x.cells[i] for x in lines for i in at if i < len(x.cells)]
    return [c for x in lines for c in x.cells if is_amount(c)]


class RowsOfTable:
    """The rows of one recipe: takes its lines in order, and knows the current section."""

    def __init__(
        self, path: Path, columns: Columns, commas: Convention, remarks: list[str]
    ) -> None:
        self.path, self.columns, self.commas, self.remarks = path, columns, commas, remarks
        self.rows: list[TableRow] = []
        self.total: Decimal | None = None
        self._errors: list[CofireError] = []
        self._slack = Decimal(0)
        self._units: dict[str, tuple[int, bool]] = {}  # unit -> line, whether an addition
        self._addition = False
        self._after_total = False

    def take(self, line: Line) -> None:
        """Keeps what is wrong with it for ``finish``."""
        place = Place(self.path, line.number)
        try:
            self._take(line, place)
        except CofireError as error:
            self._errors.append(error)

    def _take(self, line: Line, place: Place) -> None:
        name, said, mark = self._split(line, place)
        low = name.lower().strip(" :.")
        if TOTAL.match(low):
            if said:
                self._check_total(amount_of(said, self.commas, place), place)
            self._after_total = True
            return
        if not said and (ADDED.match(low) or low == "+" or BASE.match(low)):
            self._addition, self._after_total = not BASE.match(low), False
            return
        if not said:
            raise refusal("without-amount", place, called=name)
        amount = amount_of(said, self.commas, place, self.remarks)
        addition = self._addition
        if mark:
            addition = bool(ADDED.match(mark.lower().strip(" :.")))
        elif marked := _ADDED_NAME.match(name):
            name, addition = name[marked.end() :], True
        elif amount.plus:
            addition = True
        elif self._after_total and not addition:
            addition = True
            self.remarks.append(
                f"line {line.number} stands below the total and is taken as an addition"
            )
        if not name:
            if amount.value in (self._sum(False), self._sum(None)) and self.rows:
                self.remarks.append(f"line {line.number} has no name and is taken as the total")
                self._after_total, self.total = True, amount.value
                return
            raise refusal("amount-without-name", place, said=said)
        self._slack += amount.slack
        self._units.setdefault(amount.unit, (line.number, addition))
        self.rows.append(TableRow(name, amount.value, addition, line.number))

    def _split(self, line: Line, place: Place) -> tuple[str, str, str]:
        """Name, amount with its unit, and what a column of sections says."""
        cells, at = list(line.cells), self.columns

        def cell(index: int | None) -> str:
            return cells[index] if index is not None and index < len(cells) else ""

        if at.amount is not None and at.name is not None:
            last = max(at.amount, at.ounces or 0)
            if len(cells) > at.width == last + 1:
                self._not_split_by_comma(cells, last, place)
            said, unit = cell(at.amount), cell(at.unit) or at.amount_unit
            for c in (said, cell(at.ounces)):
                if _BROKEN.match(c):
                    raise _broken(c, place)
            said = f"{said} {unit}" if said and unit and _is_plain(said) else said
            if ounces := cell(at.ounces):
                said = self._with_ounces(said, ounces, place)
            return cell(at.name), said, cell(at.section)
        for c in cells:
            if _BROKEN.match(c):
                raise _broken(c, place)
        numbers = [i for i, c in enumerate(cells) if is_amount(c)]
        texts = [i for i, c in enumerate(cells) if c and i not in numbers]
        if len(numbers) == 2 and not texts and numbers[0] == 0:
            texts, numbers = numbers[:1], numbers[1:]  # a material called by a number
        if len(numbers) > 1:
            raise refusal("several-numbers", place, numbers=", ".join(cells[i] for i in numbers))
        if not numbers:
            return (cells[texts[0]], "", "") if len(texts) == 1 else self._no_number(cells, place)
        at_number = numbers[0]
        before = [cells[i] for i in texts if i < at_number]
        after = [cells[i] for i in texts if i > at_number]
        said = cells[at_number]
        if after and known_unit(after[0]) and _is_plain(said):
            said = f"{said} {after.pop(0)}"
        # a name may hold the sign that parts columns
        name = ", ".join(before) if before else after.pop(0) if after else ""
        if after:
            self.remarks.append("the text after the amounts is left out")
        return name, said, ""

    def _with_ounces(self, pounds: str, ounces: str, place: Place) -> str:
        """“1 lb” and “3” -> “1 lb 3 oz”; not where both columns may say one weight twice."""
        ounces = f"{ounces} oz" if _is_plain(ounces) else ounces
        if not pounds:
            return ounces
        lb, oz = (amount_of(said, self.commas, place).value for said in (pounds, ounces))
        pound, ounce = GRAMS["lb"], GRAMS["oz"]
        if lb and oz and (lb % pound or oz >= 16 * ounce):
            raise refusal("pounds-or-ounces", place, pounds=pounds, ounces=ounces)
        return f"{pounds} {ounces}"

    def _not_split_by_comma(self, cells: list[str], amount: int, place: Place) -> None:
        if cells[amount].isdigit() and cells[amount + 1].isdigit():
            raise refusal("comma-or-columns", place, first=cells[amount], second=cells[amount + 1])

    def _no_number(self, cells: list[str], place: Place) -> tuple[str, str, str]:
        words = [c for c in cells if c]
        raise refusal("no-amount-beside", place, said=words[-1][:LONGEST], beside=words[0])

    def _sum(self, additions: bool | None) -> Decimal:
        return sum(
            (r.amount for r in self.rows if additions is None or r.addition is additions),
            Decimal(0),
        )

    def _check_total(self, total: Amount, place: Place) -> None:
        if any(e.place is not None for e in self._errors):
            return  # it cannot be right while lines are missing
        sums = [self._sum(None), self._sum(False), self._sum(True)]
        # rounded amounts may miss by half a last digit each
        slack = self._slack + total.slack
        if not any(abs(total.value - s) <= slack for s in sums):
            raise refusal("total-is-wrong", place, stated=_short(total.value), sum=_short(sums[0]))
        self.total = total.value

    def finish(self) -> Unit:
        """The unit of all amounts. Raises the errors of all lines."""
        if not self._errors and not self.rows:
            self._errors.append(refusal("no-material-found", Place(self.path)))
        if not self._errors and len(self._units) > 1:
            self._mixed()
        if self._errors:
            raise Problems(self._errors) if len(self._errors) > 1 else self._errors[0]
        units: Sequence[Unit] = [u for u in ("g", "%", "parts") if u in self._units]
        return units[0]

    def _mixed(self) -> None:
        """Per cent beside parts is the same where the base makes 100; nothing else is."""
        if "g" not in self._units and self._sum(False) == 100:
            self.remarks.append("the base makes 100, so parts and per cent are the same")
            return
        words = {"g": "a weight", "%": "a percentage", "parts": "a plain number"}
        text = ", ".join(f"line {n} is {words[unit]}" for unit, (n, _) in self._units.items())
        self._errors.append(
            refusal(
                "several-kinds-of-amounts",
                Place(self.path, max((n for n, _ in self._units.values()))),
                said=text,
            )
        )


def _is_plain(text: str) -> bool:
    """Without a unit."""
    return not re.search(r"[A-Za-z%]", text)


def _short(value: Decimal) -> str:
    return f"{value.normalize():f}"


def _broken(text: str, place: Place) -> CofireError:
    return refusal("spreadsheet-error", place, said=text)
