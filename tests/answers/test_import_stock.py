"""A whole stock list from one sheet: nothing is lost, changed or half written."""

from __future__ import annotations

import tomllib
from decimal import Decimal
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import cofire as package
from cofire.errors import CofireError
from cofire.files.stock import FILE, Stock, read_stock
from cofire.read.units import GRAMS

LIST = """Our stock;;;;;
Material;In stock (kg);Price (EUR/kg);Shelf;Reorder at;Supplier
CLAYS;;;;;
Kaolin;12,5;1,20;A1;5;Tide
Talc;3,250;-;A2;;
whiting;;0,80;;;
zinc oxide;0;9 per 5 kg;;;
TOTAL;15,75;;;;
"""


@pytest.fixture
def studio(tmp_path: Path) -> package.Studio:
    (tmp_path / "studio.toml").write_text("")
    return package.Studio(tmp_path)


def stock_of(studio: package.Studio) -> Stock:
    return read_stock(studio.library)


def test_a_list_becomes_the_file_of_the_studio(studio: package.Studio) -> None:
    answer = studio.import_stock(text=LIST)
    assert answer.yes and answer.written and answer.currency == "EUR"
    stock = stock_of(studio)
    read = {key: (one.have_g, one.price_per_kg) for key, one in stock.shelf.items()}
    assert stock.currency == "EUR" and read == {
        studio.material("kaolin").material.id: (12500.0, 1.2),
        studio.material("talc").material.id: (3250.0, None),
        studio.material("whiting").material.id: (None, 0.8),
        studio.material("zinc oxide").material.id: (0.0, 1.8),
    }
    text = answer.file.read_text()
    for kept in ("# Shelf: A1", "# Reorder at: 5", "# Supplier: Tide", '"12.5 kg"', "1.20 per kg"):
        assert kept in text
    assert sum("“CLAYS”" in one or "a total" in one for one in answer.remarks) == 2
    again = studio.import_stock(text=LIST)  # says nothing new
    assert again.yes and not again.clashes and again.file.read_text() == text


def test_what_stands_in_the_file_stays(studio: package.Studio, tmp_path: Path) -> None:
    was = '# counted in May\r\n[kaolin] # by hand\r\nhave = "2 kg" # two bags\r\n'
    (tmp_path / FILE).write_bytes(was.encode())
    answer = studio.import_stock(text=LIST)
    assert [c.outcome for c in answer.clashes] == ["left out"] and not answer.written
    assert (tmp_path / FILE).read_bytes() == was.encode()
    answer = studio.import_stock(text=LIST, on_clash="skip")
    assert answer.written and stock_of(studio).of("kaolin-ideal").have_g == 2000.0
    (tmp_path / FILE).write_bytes(was.encode())
    answer = studio.import_stock(text=LIST, on_clash="replace")
    text = answer.file.read_bytes().decode()
    assert '[kaolin] # by hand\r\nhave = "12.5 kg" # two bags\r\n' in text
    assert "# counted in May\r\n" in text and "\n" not in text.replace("\r\n", "")
    assert stock_of(studio).of("kaolin-ideal").have_g == 12500.0


def test_unknown_names_are_said_once_and_nothing_is_written(
    studio: package.Studio, tmp_path: Path
) -> None:
    text = "name,kg\nkaolinn,3\ntalc,2\nKaolinn,4\n"
    answer = studio.import_stock(text=text)
    (unknown,) = answer.unknown
    assert (unknown.written, unknown.count, unknown.line) == ("kaolinn", 2, 2)
    assert "kaolin" in unknown.hint and not (tmp_path / FILE).exists()
    assert studio.import_stock(text=text, only_good=True, dry_run=True).stock
    assert not (tmp_path / FILE).exists()
    assert studio.import_stock(text=text, only_good=True).written
    assert list(stock_of(studio).shelf) == [studio.material("talc").material.id]


@pytest.mark.parametrize(
    ("text", "line", "said"),
    [
        ("name,amount\ntalc,5\n", 2, "no unit"),
        ("name,amount\ntalc,5 bags\n", 2, "bags"),
        ("name,kg\ntalc,about 5\n", 2, "about 5"),
        ("name,kg\ntalc,-5\n", 2, "-5"),
        ("name;kg\ntalc;1.200\n", 2, "1200"),
        ("name,price\ntalc,2.50\n", 2, "price per kg"),
        ("name,price per bag\ntalc,2.50\n", 2, "price per kg"),
        ("name,price per kg\ntalc,cheap\n", 2, "cheap"),
        ("name,kg\ntalc,5\nTalc,6\n", 3, "line 2"),
        ("name,kg\n,5\n", 2, "no name"),
        ("name,price per kg\ntalc,€ 2.50\nsilica,$ 3.10\n", 1, "several currencies"),
    ],
)
def test_what_is_wrong_is_said_with_its_line(
    studio: package.Studio, tmp_path: Path, text: str, line: int, said: str
) -> None:
    answer = studio.import_stock(text=text)
    assert [e.place.line for e in answer.errors if e.place] == [line]
    assert said in f"{answer.errors[0].message} {answer.errors[0].hint}"
    assert not answer.yes and not (tmp_path / FILE).exists()


@pytest.mark.parametrize(
    "text", ["name,colour\na,b\n", "kg,price/kg\n3,4\n", "name,kg,lb\na,1,2\n"]
)
def test_headings_that_do_not_say_what_is_what(studio: package.Studio, text: str) -> None:
    with pytest.raises(CofireError):
        studio.import_stock(text=text)


@pytest.mark.parametrize(
    ("heading", "cell", "per_kg"),
    [
        ("price per kg", "2.50", 2.5), ("EUR/kg", "2.50", 2.5), ("PRICE (EUR/KG)", "€ 2.50", 2.5),
        ("price per 5 kg", "12.50", 2.5), ("cost", "12.50 per 5 kg", 2.5), ("€/kg", "2.50", 2.5),
        ("price per lb", "1", 1000 / 453.59237), ("price", "£2.50 / kg", 2.5),
    ],
)  # fmt: skip
def test_prices_as_lists_have_them(
    studio: package.Studio, heading: str, cell: str, per_kg: float
) -> None:
    if "€ " in cell:  # a currency in the heading and another sign of it in the cell
        cell = cell.removeprefix("€ ")
    answer = studio.import_stock(text=f"name,{heading}\ntalc,{cell}\n")
    assert answer.written, answer.errors
    (shelf,) = stock_of(studio).shelf.values()
    assert shelf.price_per_kg == pytest.approx(per_kg, rel=1e-12)


def test_a_column_of_packs_says_what_a_price_is_for(studio: package.Studio) -> None:
    text = "Item\tPrice £\tPack size\tHave\ntalc\t12.50\t5 kg\t2 lb 3 oz\nsilica\t20\t25 kg\t1 kg\n"
    assert studio.import_stock(text=text).written
    talc, silica = stock_of(studio).shelf.values()
    assert (talc.price_per_kg, silica.price_per_kg) == (2.5, 0.8)
    assert talc.have_g == pytest.approx(float(2 * GRAMS["lb"] + 3 * GRAMS["oz"]), rel=1e-12)
    assert stock_of(studio).currency == "£"


MATERIALS = ("kaolin", "silica", "talc-ideal", "whiting", "zinc oxide", "tin oxide")
ROWS = st.dictionaries(
    st.sampled_from(MATERIALS),
    st.tuples(
        st.decimals(0, 9999, places=4), st.sampled_from(["g", "kg", "oz", "lb"]),
        st.decimals(0, 999, places=2),
    ),
    min_size=1,
)  # fmt: skip


@settings(max_examples=60)
@given(ROWS, st.sampled_from([",", "."]))
def test_no_number_is_lost_or_changed(
    rows: dict[str, tuple[Decimal, str, Decimal]], mark: str
) -> None:
    lines = [
        f"{name};{have:f};{unit};{price:f}".replace(".", mark)
        for name, (have, unit, price) in rows.items()
    ]
    # what a mark means is shown by one number that can only be read in one way
    text = "\n".join(["name;amount;unit;price per kg", *lines, f"bentonite;0{mark}25;kg;0{mark}5"])
    with TemporaryDirectory() as folder:
        Path(folder, "studio.toml").write_text("")
        studio = package.Studio(folder)
        answer = studio.import_stock(text=text)
        assert answer.written, answer.errors
        stock = stock_of(studio)
        said = tomllib.loads(Path(folder, FILE).read_text())
        assert len(said) == len(rows) + 1
        for name, (have, unit, price) in rows.items():
            shelf = stock.of(studio.material(name).material.id)
            assert shelf.have_g == float(have * GRAMS[unit])
            assert shelf.price_per_kg == pytest.approx(float(price), rel=1e-12)
