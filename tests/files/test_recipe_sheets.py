"""Sheets as text, and what their headings mean."""

from __future__ import annotations

from pathlib import Path

import pytest

from cofire.errors import CofireError
from cofire.files.recipe_sheets import SheetRead, read_recipes
from cofire.files.sheets import read_sheet

PATH = Path("sheet.csv")
MATERIALS = {"silica", "kaolin", "tin oxide"}


def read(text: str, *notes: str) -> SheetRead:
    return read_recipes(read_sheet(text.encode(), PATH), MATERIALS.__contains__, notes)


def said(text: str, *notes: str) -> list[tuple[str, list[tuple[str, str, bool]], str]]:
    """(name, rows, notes) of each recipe."""
    found = read(text, *notes)
    assert not found.errors
    return [
        (r.name, [(t.written, str(t.amount), t.addition) for t in r.table.rows], r.notes)
        for r in found.recipes
    ]


A = ("A", [("silica", "90", False), ("kaolin", "10.5", False), ("tin oxide", "5", True)], "cone 06")


@pytest.mark.parametrize(
    "text",
    [
        "Name,Material,Amount,Addition,Cone\n"
        "A,silica,90,no,06\nA,kaolin,10.5,,06\nA,tin oxide,5,+,",
        "PARTS;cone;ingredient;GLAZE NAME\n90;06;silica;A\n10,5;;kaolin;\n+5;;tin oxide;A\n",
        "recipe\tcone\tsilica\tkaolin\t+ tin oxide\nA\t06\t90\t10.5\t5\n",
        "recipe;silica;kaolin;Total;tin oxide;cone\nA;90;10,5;100,5;5;cone 06\n",
        "recipe,silica,kaolin,additions,tin oxide,cone\nA,90,10.5,,5,06\n",
        "material;A\nsilica;90\nkaolin;10,5\nTotal;100,5\ntin oxide;5\ncone;06\n",
        "sep=;\n;A\nCone;06\nsilica;90\nkaolin;10,5\nAdditions;\ntin oxide;5\n",
        "Our book,,\n\nmaterial,addition,A\n"
        "silica,no,90\nkaolin,no,10.5\ntin oxide,yes,5\ncone,,06\n",
        "| recipe | silica | kaolin | add tin oxide | cone |\n|---|---|---|---|---|\n"
        "| A | 90 | 10.5 | 5 | 06 |\n",
    ],
)
def test_one_recipe_in_many_layouts(text: str) -> None:
    assert said(text) == [A]


def test_nothing_is_no_amount_in_a_wide_sheet() -> None:
    text = "recipe,silica,kaolin,tin oxide\nA,90,-,0\nB,50,50,\n"
    assert [len(rows) for _, rows, _ in said(text)] == [1, 2]


def test_a_column_of_numbers_is_a_material_unless_it_is_kept_as_notes() -> None:
    text = "recipe,silica,Page\nA,90,12\n"
    assert said(text)[0][1] == [("silica", "90", False), ("Page", "12", False)]
    assert said(text, "page")[0] == ("A", [("silica", "90", False)], "Page: 12")
    with pytest.raises(CofireError, match="does not name one heading"):
        read(text, "pages")


def test_no_amount_passes_for_a_note() -> None:
    for text in ("recipe,silica,Borate\nA,90,10 scoops\n", "material,A\nsilica,90\nBorate,~10 x\n"):
        (error,) = read(text).errors
        assert error.code == "quantity"
        assert said(text, "Borate")[0][2].startswith("Borate: ")


def test_encodings_and_marks_of_spreadsheets() -> None:
    text = "recipe;silica\nÄ;1,5\n"
    for raw in (text.encode("utf-8-sig"), text.encode("utf-16"), text.encode("cp1252")):
        sheet = read_sheet(raw, PATH)
        assert sheet.rows[0].cells == ("Ä", "1,5") and sheet.convention([1]) == "decimal"
    assert "Windows-1252" in read_sheet(text.encode("cp1252"), PATH).remarks[0]


def test_lines_are_counted_as_in_the_file() -> None:
    text = 'sep=,\n\nrecipe,silica,note\n"A",1,"two\nlines"\n\nB,x,\n'
    found = read(text)
    assert [str(error.place) for error in found.errors] == ["sheet.csv, line 7"]
    assert found.recipes[0].notes == "two lines" and found.recipes[0].place.line == 4


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("recipe,silica\n", "no rows"),
        ("recipe silica\nA 90\n", "nothing separates"),
        ("name,a,b\nA,1,2\n", "rows or in columns"),
        ("material,amount\nsilica,5\n", "cofire read"),
        ("name,material,parts,grams\nA,silica,5,5\n", "several"),
        ("name,material,much\nA,silica,5\n", "amounts"),
        ("recipe,glaze,silica\nA,B,5\n", "may both be"),
        ('recipe,silica\n"A,5\n', "quotation mark"),
    ],
)
def test_headings_that_do_not_say_what_is_what(text: str, why: str) -> None:
    with pytest.raises(CofireError, match=why):
        read(text)


def test_a_recipe_may_be_called_like_a_unit() -> None:
    found = read("material,Oz,B\nsilica,5,6\n")
    assert [one.name for one in found.recipes] == ["Oz", "B"]
