"""What is on the shelf, from one sheet with a row to each material, into the studio's
stock.toml."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from pathlib import Path
from typing import ClassVar

from cofire.answers.clashes import Clash, OnStockClash
from cofire.answers.import_materials import in_row
from cofire.answers.import_recipes import UnknownMaterial
from cofire.errors import CofireError, Place, UnknownNameError, refusal
from cofire.files import toml
from cofire.files.edits import locked, rewrite, text_of
from cofire.files.library import Library
from cofire.files.sheets import Sheet
from cofire.files.stock import FILE, OnShelf, price_parts, shelf_text, stock_in, with_stock
from cofire.files.table_cells import TOTAL, Line
from cofire.names import plain
from cofire.read.number import is_number, number, written
from cofire.read.units import GRAMS, WEIGHT, measured, terms
from cofire.record import Record
from cofire.words import listed

_HEADS = {
    "material": r"(the )?(raw )?(materials?|ingredients?|components?|chemicals?|items?)( names?)?|"
    r"names?|called",
    "unit": r"units?",
    "pack": r"(pack|bag|sack|tub)s?( sizes?)?|sizes?|(price )?(per|for)|sold (in|by)",
}
_AMOUNT_WORDS = {
    "amount", "amounts", "have", "stock", "quantity", "qty", "weight", "wt", "mass", "left", "hand",
    "counted",
}  # fmt: skip
_PRICE_WORDS = {"price", "prices", "cost", "costs"}
_NEITHER = {"value", "total", "reorder", "order", "ordered", "used", "minimum", "min", "date"}
_SMALL_WORDS = {"in", "on", "the", "we", "now", "of"}
#: No currencies, though of three capitals.
_NO_MONEY = {"PER", "FOR", "THE", "QTY", "BAG", "ONE", "NET", "TAX", "VAT", "INC", "EXC"}
_MONEY = r"[$€£¥₹₽₺₩]|[A-Z]{2}\$|\b[A-Z]{3}\b"
_NOTHING = {"", "-", "–", "—"}


@dataclass(frozen=True, eq=False, repr=False)
class ImportedStock(Record):
    """A row that is written, or would be: ``have`` and ``price`` as stock.toml says them, empty
    where the row does not."""

    written: str
    id: str
    have: str
    price: str
    line: int | None
    remarks: tuple[str, ...]


@dataclass(frozen=True, eq=False, repr=False)
class StockImport(Record):
    """``stock`` are the rows that can be written to ``file``; ``written`` says whether they were.
    ``currency`` is that of the sheet."""

    sheet: Path
    file: Path
    written: bool
    currency: str
    stock: tuple[ImportedStock, ...]
    unknown: tuple[UnknownMaterial, ...]
    clashes: tuple[Clash, ...]
    errors: tuple[CofireError, ...]
    remarks: tuple[str, ...]
    schema: ClassVar = "stock.import"
    json_also: ClassVar = ("yes",)

    @property
    def yes(self) -> bool:
        """Whether all of the sheet can be written, but for what is skipped on demand."""
        stopped = any(clash.outcome == "left out" for clash in self.clashes)
        return not (self.unknown or self.errors or stopped)


def import_stock(
    library: Library,
    sheet: Sheet,
    *,
    currency: str = "",
    on_clash: OnStockClash = "stop",
    only_good: bool = False,
    dry_run: bool = False,
) -> StockImport:
    """Every row of a sheet as a table of stock.toml; all else in that file stays. ``currency`` is
    what is said of it beside the sheet.

    Nothing is written where a row cannot be, unless with ``only_good``. Raises DataFileError
    without a studio, for headings that do not say what is what, and what is wrong with stock.toml.
    """
    studio = library.own_studio()
    path = studio / FILE
    was = text_of(path) if path.exists() else None
    importing = _Importing(library, sheet, toml.parse((was or "").removeprefix("\ufeff"), path))
    importing.currencies |= dict.fromkeys(filter(None, [currency]))
    for row in sheet.rows:
        importing.take(row, on_clash)
    answer = importing.answer()
    if dry_run or not answer.stock or not (answer.yes or only_good):
        return answer
    text = with_stock(was or "", importing.tables, importing.new_currency)
    stock_in(toml.parse(text.removeprefix("\ufeff"), path), library)
    with locked(studio):
        rewrite(path, was, text)
    return replace(answer, written=True)


class _Importing:
    """What was found in a sheet so far."""

    def __init__(self, library: Library, sheet: Sheet, doc: toml.Document) -> None:
        self.library, self.sheet, self.path = library, sheet, doc.path
        self.before = stock_in(doc, library)
        keys = [key for key in doc.data if key != "currency"]
        self.keys = {library.material(key)[0].id: key for key in keys}  # id -> as the file has it
        self.at, self.heads = _roles(sheet)
        numbers = [self.at[role] for role in ("amount", "price", "pack") if role in self.at]
        self.commas = sheet.convention(numbers)
        self.stock: list[ImportedStock] = []
        self.tables: dict[str, tuple[dict[str, str], tuple[str, ...]]] = {}  # key -> values, notes
        self.unknown: dict[str, UnknownMaterial] = {}
        self.clashes: list[Clash] = []
        self.errors = list(sheet.errors)
        self.remarks = list(sheet.remarks)
        self.currencies = dict.fromkeys(_currencies(self.heads.get("price", "")))
        self._broken = {error.place.line for error in sheet.errors if error.place}
        self._first: dict[str, tuple[int, str]] = {}  # id -> its line in the sheet, and its name

    def take(self, row: Line, on_clash: OnStockClash) -> None:
        """Sorts a row into those that can be written and those that cannot."""
        said = {role: row.cells[i] for role, i in self.at.items() if row.cells[i] not in _NOTHING}
        name, place = said.get("material", ""), Place(self.sheet.path, row.number)
        if row.number in self._broken:
            return
        if TOTAL.match(name.lower().strip(" :.")):
            self.remarks.append(f"line {row.number} is a total and is left out")
            return
        if name and not {"amount", "price"} & said.keys():
            self.remarks.append(
                f"line {row.number}, “{name}”, has no amount and no price and is left out"
            )
            return
        try:
            if not name:
                raise refusal("row-without-name", place)
            material = self.library.material(name)[0]
            if first := self._first.get(material.id):
                line, other = first
                raise refusal("stock-row-twice", place, name=name, line=line, other=other)
            self._first[material.id] = row.number, name
            values, shelf = self._values(name, said, place)
        except UnknownNameError as error:
            one = UnknownMaterial(name, 0, row.number, error.message, error.hint)
            one = self.unknown.get(plain(name), one)
            self.unknown[plain(name)] = replace(one, count=one.count + 1)
            return
        except CofireError as error:
            toml.collect(self.errors, in_row(error, name, place))
            return
        key = self.keys.get(material.id, name)
        if material.id in self.keys and not self._is_as_before(material.id, shelf):
            outcome = {"stop": "left out", "skip": "skipped", "replace": "replaced"}[on_clash]
            self.clashes.append(Clash(name, row.number, FILE, outcome))  # type: ignore[arg-type]
            if on_clash != "replace":
                return
        notes = tuple(
            f"{self.sheet.headings.cells[i]}: {cell}"
            for i, cell in enumerate(row.cells)
            if cell and i not in self.at.values()
        )
        have, price = values.get("have", ""), values.get("price", "")
        self.stock.append(ImportedStock(name, material.id, have, price, row.number, notes))
        self.tables[key] = values, notes

    def _values(
        self, name: str, said: dict[str, str], place: Place
    ) -> tuple[dict[str, str], OnShelf]:
        """What stock.toml would say of a row, and how that is read."""
        values = {}
        if amount := said.get("amount"):
            unit = said.get("unit") or _unit(self.heads["amount"])
            values["have"] = self._weight(f"{amount} {unit}" if self._is_bare(amount) else amount)
        if price := said.get("price"):
            money, behind = price_parts(price)
            behind = behind or said.get("pack", "") or _per(self.heads["price"])
            if self._is_bare(behind):  # a column of packs has its unit in the heading
                behind = f"{behind} {_unit(self.heads.get('pack', ''))}".strip()
            if not behind:
                raise refusal("price-of-what", place, name=name, text=price)
            found = re.fullmatch(rf"(?P<a>{_MONEY})?\s*(?P<n>.*?)\s*(?P<b>{_MONEY})?", money)
            if found:
                money = found["n"]
                self.currencies |= dict.fromkeys(filter(None, (found["a"], found["b"])))
            behind = behind if behind[:1].isalpha() else self._weight(behind)
            cost = number(money, self.commas)
            shown = f"{cost:.2f}" if cost == round(cost, 2) else written(cost)
            values["price"] = f"{shown} per {behind}"
        read = stock_in(toml.parse(shelf_text(name, values), self.sheet.path), self.library)
        return values, next(iter(read.shelf.values()))

    def _is_bare(self, text: str) -> bool:
        return is_number(text, self.commas or "decimal")

    def _weight(self, text: str) -> str:
        """A weight as stock.toml says it, in the unit that was used."""
        pieces = terms(text, WEIGHT)
        weight = measured(text, WEIGHT, self.commas)
        if len(pieces) > 1:
            return f"{written(weight)} g"
        return f"{written(number(pieces[0][0], self.commas))} {pieces[0][1]}"

    def _is_as_before(self, material_id: str, shelf: OnShelf) -> bool:
        """Whether the file says so already."""
        before = self.before.shelf[material_id]
        return (shelf.have_g in (None, before.have_g)) and (
            shelf.price_per_kg in (None, before.price_per_kg)
        )

    @property
    def new_currency(self) -> str:
        """That of the sheet where the file names none."""
        return "" if self.before.currency else next(iter(self.currencies), "")

    def answer(self) -> StockImport:
        known = {self.before.currency: None} if self.before.currency else {}
        if len(both := known | self.currencies) > 1:
            place = Place(self.sheet.path, self.sheet.headings.number)
            self.errors.append(refusal("several-currencies", place, listed=listed(list(both))))
        return StockImport(
            self.sheet.path,
            self.path,
            False,
            next(iter(self.currencies), self.before.currency),
            tuple(self.stock),
            tuple(self.unknown.values()),
            tuple(self.clashes),
            tuple(self.errors),
            tuple(self.remarks),
        )


def _roles(sheet: Sheet) -> tuple[dict[str, int], dict[str, str]]:
    """Where the columns with a meaning of their own stand, and their headings."""
    place = Place(sheet.path, sheet.headings.number)
    at: dict[str, int] = {}
    for i, head in enumerate(sheet.headings.cells):
        role = _role(head) if head else ""
        if role in at:
            first = sheet.headings.cells[at[role]]
            raise refusal("several-such-columns", place, first=first, second=head, role=role)
        if role:
            at[role] = i
    if "material" not in at:
        raise refusal("no-names", place)
    if not {"amount", "price"} & at.keys():
        raise refusal("no-stock-column", place)
    return at, {role: sheet.headings.cells[i] for role, i in at.items()}


def _role(heading: str) -> str:
    low = heading.lower().strip(" :.*")
    for role, words in _HEADS.items():
        if re.fullmatch(words, re.sub(r"\s*\(.*\)$", "", low) if role == "pack" else low):
            return role
    said = set(re.findall(r"[^\W\d_]+", low))
    if said & _NEITHER:
        return ""
    if said & _PRICE_WORDS or (re.search(_MONEY, heading) and _per(heading)):
        return "price"
    units = said & GRAMS.keys()
    if said & _AMOUNT_WORDS or (units and not said - units - _SMALL_WORDS):
        return "amount"
    return ""


def _unit(heading: str) -> str:
    """The unit of weight in a heading; empty without one."""
    return next((w for w in re.findall(r"[^\W\d_]+", heading.lower()) if w in GRAMS), "")


def _per(heading: str) -> str:
    """What a price is for, as a heading says it: “kg”, “5 kg”."""
    found = re.search(r"(?:\bper\b|\bfor\b|/)\s*(\d[\d.,]*\s*)?([^\W\d_]+)", heading, re.I)
    return f"{found[1] or ''}{found[2]}".strip() if found and found[2].lower() in GRAMS else ""


def _currencies(heading: str) -> list[str]:
    """What a heading says of the money: “€”, “EUR”. In one of capitals only in brackets or before
    “/”, as all its words look like that."""
    found = [word for word in re.findall(_MONEY, heading) if word not in _NO_MONEY]
    found = [word for word in found if word.lower() not in GRAMS]
    if heading == heading.upper():
        found = [w for w in found if re.search(rf"\(\s*{re.escape(w)}|{re.escape(w)}\s*/", heading)]
    return found
