"""What ``cofire export`` wrote, read back piece by piece."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path
from typing import Any

import pytest

from cofire.errors import CofireError
from cofire.files.exported import (
    file_text,
    in_sheet,
    is_exported,
    material_of,
    read_exported,
    recipe_of,
    stock_sheet,
)
from cofire.files.sheets import read_sheet

PATH = Path("recipes.csv")


def always(name: str, id: str) -> bool:
    return True


def row(**cells: str) -> dict[str, str]:
    return {"recipe": "mine", "name": "Mine", "section": "base", **cells}


def test_a_recipe_of_its_rows() -> None:
    rows = [
        row(material="silica", amount="25.5", unit="parts", surface="gloss", notes="thin"),
        row(material="tin oxide", amount="5", unit="parts", section="additions"),
        row(material="tin oxide", amount="80", unit="%", section="undissolved"),
    ]
    assert recipe_of(rows, always, PATH) == {
        "name": "Mine", "surface": "gloss", "notes": "thin",
        "undissolved": {"tin oxide": 80.0}, "base": {"silica": 25.5},
        "additions": {"tin oxide": 5.0},
    }  # fmt: skip


def test_sections_of_amounts_come_last() -> None:
    """In TOML a key below a table would be the table's."""
    rows = [
        row(material="silica", amount="25"),
        row(material="wollastonite", amount="15", section="crystals"),
    ]
    assert list(recipe_of(rows, always, PATH)) == ["name", "crystals", "base"]


@pytest.mark.parametrize(
    ("unit", "section", "amount"),
    [("g", "base", "1200.50 g"), ("g", "additions", "1200.50 g"), ("parts", "base", 1200.5),
     ("%", "additions", 1200.5), ("g", "crystals", 1200.5)],
)  # fmt: skip
def test_weights_stay_weights_to_their_last_digit(unit: str, section: str, amount: object) -> None:
    (data,) = [recipe_of([row(material="x", amount="1200.50", unit=unit, section=section)],
                         always, PATH)]  # fmt: skip
    assert data[section] == {"x": amount}


def test_decimal_commas_of_a_spreadsheet() -> None:
    rows = [row(material="a", amount="1,5"), row(material="b", amount="1,250")]
    assert recipe_of(rows, always, PATH)["base"] == {"a": 1.5, "b": 1.25}


@pytest.mark.parametrize(("kept", "said"), [("0.5", {}), ("0.25", {"fluorine_kept": 0.25})])
def test_half_of_the_fluorine_goes_without_saying(kept: str, said: dict[str, float]) -> None:
    data = recipe_of([row(material="a", amount="1", fluorine_kept=kept)], always, PATH)
    assert {k: v for k, v in data.items() if k == "fluorine_kept"} == said


def test_the_id_stands_where_the_name_means_another() -> None:
    def means(name: str, id: str) -> bool:
        return (name, id) == ("kaolin", "kaolin-ideal")

    rows = [
        row(material="kaolin", amount="1", id="kaolin-ideal"),
        row(material="frit", amount="2", id="frit-of-mine"),
        row(material="kaolin", amount="3", id="kaolin-of-mine"),
        row(material="silica", amount="4"),
    ]
    assert recipe_of(rows, means, PATH)["base"] == {
        "kaolin": 1.0, "frit-of-mine": 2.0, "kaolin-of-mine": 3.0, "silica": 4.0,
    }  # fmt: skip


def test_a_name_that_stands_twice_is_told_apart_by_its_id() -> None:
    rows = [row(material="a", amount="1"), row(material="a", amount="2", id="a-too")]
    assert recipe_of(rows, always, PATH)["base"] == {"a": 1.0, "a-too": 2.0}


@pytest.mark.parametrize(
    "rows",
    [
        [row(material="a", amount="1", section="top")],
        [row(material="a", amount="1"), row(material="a", amount="2")],
        [row(material="a", amount="lots")],
        [row(material="a")],
    ],
)
def test_rows_that_are_no_recipe(rows: list[dict[str, str]]) -> None:
    with pytest.raises(CofireError):
        recipe_of(rows, always, PATH)


def test_a_material_of_its_row() -> None:
    data = material_of({
        "id": "x", "names": "one\ntwo", "cautions": "silica-dust", "formula": "SiO2", "note": "n",
        "SiO2": "60.5", "SiO2 spread": "1.5", "B2O3": "0", "loi_percent": "2.25", "d50_um": "12.5",
        "melts": "743 C", "melting": "stated", "rare": "True", "overrides": "false",
    })  # fmt: skip
    assert data == {
        "names": ["one", "two"], "cautions": ["silica-dust"], "formula": "SiO2", "note": "n",
        "d50": "12.5 um", "melts": "743 C", "rare": True, "analysis": {"SiO2": 60.5, "B2O3": 0.0},
        "loi": 2.25, "spread": {"SiO2": 1.5},
    }  # fmt: skip


@pytest.mark.parametrize(
    ("cells", "key", "value"),
    [
        ({}, "melts", "never"),
        ({"melting": "alike", "melts": "900 C"}, "melts", None),
        ({"sieve_mesh": "200.0"}, "sieve", "200 mesh"),
        ({"overrides": "TRUE"}, "overrides", True),
        ({}, "rare", None),
        ({}, "loi", 0.0),
        ({}, "spread", None),
        ({"SiO2": "60,5", "Al2O3": "1,250"}, "analysis", {"SiO2": 60.5, "Al2O3": 1.25}),
    ],
)
def test_what_a_row_of_a_material_leaves_out(cells: dict[str, str], key: str, value: Any) -> None:
    assert material_of({"id": "x", "names": "x", **cells}).get(key) == value


def test_a_file_says_it_in_toml() -> None:
    data = {
        "name": "Mine", "list": ["a", "b"], "none": [], "base": {"silica": 1.5, "tin oxide": 2.0},
        "segment": [{"rate": "100 C/h"}, {"rate": "full"}],
    }  # fmt: skip
    text = file_text(data)
    assert tomllib.loads(text) == data
    assert text == (
        'name = "Mine"\nlist = ["a", "b"]\nnone = []\n\n[base]\nsilica = 1.5\n"tin oxide" = 2.0\n'
        '\n[[segment]]\nrate = "100 C/h"\n\n[[segment]]\nrate = "full"\n'
    )
    assert file_text({"tin oxide": {"have": "1 kg"}}) == '["tin oxide"]\nhave = "1 kg"\n'


PARTS = "recipe;name;section;material;amount\n"


def test_rows_of_each_recipe_in_a_sheet() -> None:
    raw = (PARTS + "a;A;base;x;1,5\n\nb;B;base;x;2\na;A;base;y;3;\n").encode()
    found = in_sheet(raw, PATH)["recipes"]
    assert {key: [one["amount"] for one in rows] for key, rows in found.items()} == {
        "a": ["1,5", "3"], "b": ["2"],
    }  # fmt: skip


def test_a_sheet_of_materials_and_of_curves() -> None:
    said = in_sheet(b"id,names,loi_percent,SiO2\nx,one,0.5,99\n", PATH)
    assert said == {
        "materials": {"x": {"id": "x", "names": "one", "loi_percent": "0.5", "SiO2": "99"}}
    }
    assert in_sheet(b'file,text\na.csv,"t,s\n1,2"\n', PATH) == {"curves": {"a.csv": "t,s\n1,2"}}


def test_lines_of_files_become_tables_and_numbered_ones_lists() -> None:
    raw = b"""id,key,value
f,name,'"Mine"'
f,segment.1.rate,'"full"'
f,segment.2.rate,'"100 C/h"'
g,odd.2.x,1
g,odd.3.x,2
g,empty.x,5
"""
    raw = raw.replace(b"'\"", b'"""').replace(b"\"'", b'"""')
    assert in_sheet(raw, Path("firings.csv")) == {
        "firings": {
            "f": {"name": "Mine", "segment": [{"rate": "full"}, {"rate": "100 C/h"}]},
            "g": {"odd": {"2": {"x": 1}, "3": {"x": 2}}, "empty": {"x": 5}},
        }
    }
    single = in_sheet(b'key,value\nname,"""Yard"""\n', Path("studio.csv"))
    assert single == {"studio": {"name": "Yard"}}


@pytest.mark.parametrize(
    ("text", "name", "line"),
    [
        ("", "recipes.csv", None),
        ("a,b\n1,2\n", "recipes.csv", None),
        ("id,key,value\na,b,1\n", "strange.csv", None),
        ("key,value\na,1\n", "firings.csv", None),
        (PARTS + "a;A;base;x;1;2\n", "recipes.csv", 2),
        (PARTS + "\n;A;base;x;1\n", "recipes.csv", 3),
        ("recipe;name;section;material;amount;mood\n", "recipes.csv", 1),
        ("id,names,loi_percent,XO\n", "m.csv", 1),
        ("id,names,loi_percent\nx,one,1\nx,two,1\n", "m.csv", 3),
    ],
)
def test_what_was_not_exported(text: str, name: str, line: int | None) -> None:
    with pytest.raises(CofireError) as error:
        in_sheet(text.encode(), Path(name))
    assert error.value.place is not None and error.value.place.line == line


@pytest.mark.parametrize(
    ("name", "text", "yes"),
    [
        ("x.json", "", True),
        ("x.csv", PARTS, True),
        ("x.csv", '"id","names","loi_percent"\n', True),
        ("x.csv", "file\ttext\n", True),
        ("stock.csv", "key,value\n", True),
        ("x.csv", "key,value\n", False),
        ("x.csv", "material,have\n", False),
        ("x.csv", "PK\x03\x04", False),
    ],
)
def test_what_looks_exported(tmp_path: Path, name: str, text: str, yes: bool) -> None:
    path = tmp_path / name
    path.write_text(text)
    assert is_exported(path) is yes
    assert is_exported(tmp_path)


@pytest.mark.parametrize(
    "data",
    [
        [], {}, {"schema": "cofire.export"}, {"schema": {"name": "other"}},
        {"schema": {"name": "cofire.export"}, "planets": {}},
        {"schema": {"name": "cofire.export"}, "recipes": []},
        {"schema": {"name": "cofire.export"}, "recipes": {"a": 5}},
    ],
)  # fmt: skip
def test_json_that_was_not_exported(tmp_path: Path, data: object) -> None:
    path = tmp_path / "all.json"
    path.write_text(json.dumps(data))
    with pytest.raises(CofireError):
        read_exported(path)


def test_json_and_folders_that_were(tmp_path: Path) -> None:
    path = tmp_path / "all.json"
    data = {"recipes": {"a": {"name": "A"}}, "names": {"x": "silica"}, "curves": {"c.csv": "t,s"}}
    path.write_text(json.dumps({"schema": {"name": "cofire.export"}, **data}))
    assert read_exported(path) == data
    with pytest.raises(CofireError):
        read_exported(tmp_path)  # a folder without sheets
    (tmp_path / "curves.csv").write_text("file,text\nc.csv,x\n")
    (tmp_path / "names.csv").write_text('key,value\nx,"""silica"""\n')
    assert read_exported(tmp_path) == {"curves": {"c.csv": "x"}, "names": {"x": "silica"}}


def test_exported_stock_as_people_write_theirs() -> None:
    text = (
        'key,value\ncurrency,"""GBP"""\nkaolin.have,"""4 kg"""\nkaolin.price,"""2 per kg"""\n'
        'silica.have,"""1 kg"""\n'
    )
    sheet, currency = stock_sheet(read_sheet(text.encode(), Path("stock.csv")))
    assert (currency, sheet.headings.cells) == ("GBP", ("material", "have", "price"))
    assert [(r.number, r.cells) for r in sheet.rows] == [
        (3, ("kaolin", "4 kg", "2 per kg")), (5, ("silica", "1 kg", "")),
    ]  # fmt: skip
    other = read_sheet(b"material,have\nkaolin,4 kg\n", Path("stock.csv"))
    assert stock_sheet(other) == (other, "")
    for wrong in ("kaolin,5", "kaolin.mood,5"):
        with pytest.raises(CofireError):
            stock_sheet(read_sheet(f"key,value\n{wrong}\n".encode(), Path("stock.csv")))
