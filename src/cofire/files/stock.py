"""Stock and prices: the studio's own ``stock.toml``."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from cofire.errors import CofireError, Problems
from cofire.files import toml
from cofire.files.library import Library
from cofire.read.number import number
from cofire.read.units import grams

FILE = "stock.toml"
_HAVE = 'Write for example  have = "4 kg"'
_PRICE = 'Write for example  price = "12.50 per 5 kg"  or  price = "2.50 / kg"'


@dataclass(frozen=True)
class OnShelf:
    """Grams in stock, the price of a kilogram, and the pack that it is sold in, g; None if the file
    does not say. “12.50 per 5 kg” is a pack, “2.50 / kg” is not."""

    have_g: float | None
    price_per_kg: float | None
    pack_g: float | None = None


@dataclass(frozen=True)
class Stock:
    """By material id; ``currency`` is whatever the studio calls its money."""

    currency: str = ""
    shelf: dict[str, OnShelf] = field(default_factory=dict)

    def of(self, material_id: str) -> OnShelf:
        return self.shelf.get(material_id, OnShelf(None, None))


def read_stock(library: Library) -> Stock:
    """The studio's stock; an empty one without a studio or without the file.

    Raises DataFileError, QuantityError or UnknownNameError with file and line; Problems lists all.
    """
    path = library.studio / FILE if library.studio else None
    if path is None or not path.exists():
        return Stock()
    return stock_in(toml.read(path), library)


def stock_in(doc: toml.Document, library: Library) -> Stock:
    """As ``read_stock``, of a document in hand."""
    top = toml.Table(doc, doc.data, what="the stock")
    currency = top.get("currency", "")
    if not isinstance(currency, str) or not currency.isprintable():
        raise top.refuse("currency-not-in-quotes", "currency")
    shelf: dict[str, OnShelf] = {}
    errors: list[CofireError] = []
    for written, data in doc.data.items():
        if written == "currency":
            continue
        try:
            material, _ = library.material(written, doc.place(written))
            if not isinstance(data, dict):
                raise doc.refuse("stock-without-name", written, written=written)
            if material.id in shelf:
                raise doc.refuse("stock-twice", written, written=written)
            shelf[material.id] = _on_shelf(toml.Table(doc, data, written, what=f"“{written}”"))
        except CofireError as error:
            toml.collect(errors, error)
    if errors:
        raise Problems(errors) if len(errors) > 1 else errors[0]
    return Stock(currency.strip(), shelf)


def _on_shelf(table: toml.Table) -> OnShelf:
    have = table.get("have")
    price = table.get("price")
    read = OnShelf(
        None if have is None else _weight(table, "have", have, _HAVE),
        *((None, None) if price is None else _price_per_kg(table, price)),
    )
    table.finish()
    return read


def _weight(table: toml.Table, key: str, text: object, hint: str) -> float:
    weight = table.quantity(key, grams, text)
    if not 0.0 <= weight <= 1e9:
        raise table.refuse("impossible-weight", key, text=text, hint=hint)
    return weight


def _price_per_kg(table: toml.Table, text: object) -> tuple[float, float | None]:
    money, behind = price_parts(str(text))
    if not behind:
        raise table.refuse("no-price", "price", text=text, hint=_PRICE)
    amount = f"1 {behind}" if behind[:1].isalpha() else behind
    weight = _weight(table, "price", amount, _PRICE)
    price = float(table.quantity("price", number, money))
    if weight <= 0.0 or price < 0.0:
        raise table.refuse("no-price", "price", text=text, hint=_PRICE)
    return 1000.0 * price / weight, None if behind[:1].isalpha() else weight


def price_parts(text: str) -> tuple[str, str]:
    """“12.50 per 5 kg” -> “12.50” and “5 kg”; the second is empty where nothing says for how
    much."""
    parts = re.split(r"\b(?:per|for)\b", text.strip())
    parts = parts if len(parts) > 1 else text.split("/")  # which may also be a fraction
    money, behind = parts if len(parts) == 2 else (text, "")
    return money.strip(), behind.strip()


def shelf_text(
    key: str, values: Mapping[str, str], notes: Iterable[str] = (), end: str = "\n"
) -> str:
    """One material as a table of the file; ``notes`` become comments."""
    lines = [f"[{toml.bare(key)}]", *(f"# {note}" for note in notes)]
    lines += [f"{word} = {toml.written(said)}" for word, said in values.items()]
    return "".join(f"{line}{end}" for line in lines)


def with_stock(
    text: str, new: Mapping[str, tuple[Mapping[str, str], Iterable[str]]], currency: str = ""
) -> str:
    """The file with what is on the shelf of these keys changed or added, with notes; all else in it
    stays. A ``currency`` goes on top."""
    import tomlkit

    mark = "\ufeff" if text.startswith("\ufeff") else ""
    body = text[len(mark) :]
    end = "\r\n" if "\r\n" in body else "\n"
    if body and not body.endswith("\n"):
        body += end
    wanted = tomllib.loads(body)
    doc = tomlkit.parse(body)
    added = ""
    for key, (values, notes) in new.items():
        if key not in wanted:
            added += end * bool(body or added) + shelf_text(key, values, notes, end)
        else:
            table = doc[key]
            for word, said in values.items():
                value = tomlkit.item(said)
                value.trivia.trail = end
                table[word] = value
            if isinstance(table, tomlkit.items.Table):
                held = table.as_string()
                for comment in [tomlkit.comment(note) for note in notes if f"# {note}" not in held]:
                    comment.trivia.trail = end
                    table.add(comment)
        wanted[key] = {**wanted.get(key, {}), **values}
    top = f"currency = {toml.written(currency)}{end}" if currency else ""
    wanted |= {"currency": currency} if currency else {}
    made = top + doc.as_string() + added
    assert tomllib.loads(made) == wanted
    return mark + made
