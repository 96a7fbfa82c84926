"""What is on the shelf, and what a kilogram of it costs; worked by hand."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from cofire.errors import CofireError
from cofire.files import toml
from cofire.files.library import Library
from cofire.files.stock import OnShelf, Stock, price_parts, shelf_text, stock_in, with_stock

LIB = Library()
PATH = Path("stock.toml")


def shelf(said: str) -> OnShelf:
    return stock_in(toml.parse(f"[kaolin]\n{said}\n", PATH), LIB).of("kaolin-ideal")


@pytest.mark.parametrize(
    ("said", "wanted"),
    [
        ('have = "4 kg"', OnShelf(4000.0, None, None)),
        ('have = "0 g"', OnShelf(0.0, None, None)),
        ('have = "1000000 kg"', OnShelf(1e9, None, None)),
        # 12.50 / 5 kg = 2.50; the pack is what is sold
        ('price = "12.50 per 5 kg"', OnShelf(None, 2.5, 5000.0)),
        ('price = "2.50 / kg"', OnShelf(None, 2.5, None)),
        ('price = "2.50 per kilo"', OnShelf(None, 2.5, None)),
        ('price = "1 for 250 g"', OnShelf(None, 4.0, 250.0)),
        ('price = "0 for 1 kg"', OnShelf(None, 0.0, 1000.0)),
        ('price = "3/4 per 500 g"', OnShelf(None, 1.5, 500.0)),
        ('price = "7,5 / 250 g"', OnShelf(None, 30.0, 250.0)),
        ('price = "4.5359237 per lb"', OnShelf(None, 10.0, None)),  # a pound is 0.45359237 kg
        ('have = "300 g"\nprice = "9 per 3 kg"', OnShelf(300.0, 3.0, 3000.0)),
        ("", OnShelf(None, None, None)),
    ],
)
def test_what_is_on_the_shelf(said: str, wanted: OnShelf) -> None:
    read = shelf(said)
    assert (read.have_g, read.pack_g) == (wanted.have_g, wanted.pack_g)
    assert read.price_per_kg == (
        None if wanted.price_per_kg is None else pytest.approx(wanted.price_per_kg, rel=1e-12)
    )


@pytest.mark.parametrize(
    "said",
    ['have = "-1 g"', 'have = "1000001 kg"', "have = 4", 'price = "12.50"', 'price = "12.50 per"',
     'price = "-1 per kg"', 'price = "1 per 0 g"', 'price = "1 per -5 g"', 'price = "1/2/3"',
     'price = "free per kg"', 'cost = "1 per kg"'],
)  # fmt: skip
def test_what_no_shelf_has(said: str) -> None:
    with pytest.raises(CofireError) as error:
        shelf(said)
    assert error.value.place is not None and error.value.place.line == 2


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("12.50 per 5 kg", ("12.50", "5 kg")),
        ("12.50 for 5 kg", ("12.50", "5 kg")),
        ("2.50 / kg", ("2.50", "kg")),
        ("1/2 per kg", ("1/2", "kg")),
        ("5 superb", ("5 superb", "")),  # not a “per” inside a word
        ("5", ("5", "")),
        ("1/2/kg", ("1/2/kg", "")),
    ],
)
def test_a_price_and_what_it_is_for(text: str, parts: tuple[str, str]) -> None:
    assert price_parts(text) == parts


def test_a_currency_and_what_is_not_listed() -> None:
    read = stock_in(toml.parse('currency = " GBP "\n[kaolin]\nhave = "1 kg"\n', PATH), LIB)
    assert (read.currency, list(read.shelf)) == ("GBP", ["kaolin-ideal"])
    assert read.of("silica") == OnShelf(None, None, None) == Stock().of("kaolin-ideal")


@pytest.mark.parametrize(
    ("text", "lines"),
    [
        ("currency = 5\n", [1]),
        ('currency = "£\\u0007"\n', [1]),
        ('kaolin = "1 kg"\n', [1]),
        ('[kaolin]\nhave = "1 kg"\n["China clay"]\nhave = "2 kg"\n[nonsuch]\n', [3, 5]),
    ],
)
def test_what_is_wrong_is_said_with_its_line(text: str, lines: list[int]) -> None:
    with pytest.raises(CofireError) as error:
        stock_in(toml.parse(text, PATH), LIB)
    said = getattr(error.value, "errors", (error.value,))
    assert [one.place.line for one in said] == lines


WAS = '# mine\ncurrency = "GBP"\n\n[kaolin] # white\nhave = "1 kg" # left\nprice = "2 per kg"\n'


def test_a_changed_line_and_all_else_as_it_was() -> None:
    made = with_stock(WAS, {"kaolin": ({"have": "3 kg"}, ["counted"])})
    assert made.startswith('# mine\ncurrency = "GBP"\n\n[kaolin] # white\nhave = "3 kg"')
    assert 'price = "2 per kg"\n# counted\n' in made
    assert with_stock(made, {"kaolin": ({"have": "3 kg"}, ["counted"])}).count("# counted") == 1


def test_what_is_new_stands_at_the_end_below_a_blank_line() -> None:
    new = {"silica": ({"have": "5 kg"}, ["bag", "dry"]), "tin oxide": ({"price": "9 per kg"}, [])}
    made = with_stock(WAS, new)
    assert made == WAS + (
        '\n[silica]\n# bag\n# dry\nhave = "5 kg"\n\n["tin oxide"]\nprice = "9 per kg"\n'
    )
    assert with_stock("", {"silica": ({"have": "5 kg"}, [])}) == '[silica]\nhave = "5 kg"\n'
    both = with_stock("", {"a": ({"have": "1 g"}, []), "b": ({"have": "2 g"}, [])})
    assert both == '[a]\nhave = "1 g"\n\n[b]\nhave = "2 g"\n'


@pytest.mark.parametrize("mark", ["", "\ufeff"])
@pytest.mark.parametrize("last", ["", "\r\n"])
def test_line_ends_and_the_mark_stay(mark: str, last: str) -> None:
    was = mark + '[kaolin]\r\nhave = "1 kg"' + last
    made = with_stock(was, {"silica": ({"have": "5 kg"}, ["new"])}, "EUR")
    assert made == mark + (
        'currency = "EUR"\r\n[kaolin]\r\nhave = "1 kg"\r\n\r\n[silica]\r\n# new\r\n'
        'have = "5 kg"\r\n'
    )
    changed = with_stock(was, {"kaolin": ({"have": "2 kg", "price": "1 per kg"}, [])})
    assert changed.count("\n") == changed.count("\r\n") == 3
    assert tomllib.loads(changed.removeprefix("\ufeff")) == {
        "kaolin": {"have": "2 kg", "price": "1 per kg"}
    }


def test_one_material_as_a_table() -> None:
    text = shelf_text("tin oxide", {"have": "1 kg"}, ["a", "b"], "\r\n")
    assert text == '["tin oxide"]\r\n# a\r\n# b\r\nhave = "1 kg"\r\n'
