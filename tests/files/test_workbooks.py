"""Workbooks: every cell as a person would type it, or refused with its line."""

from __future__ import annotations

import io
import sys
import zipfile
from datetime import date
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from cofire.errors import CofireError
from cofire.files import workbooks
from cofire.files.sheets import read_sheet
from cofire.files.workbooks import rows_of_workbook
from cofire.read.number import number

PATH = Path("book.xlsx")


def workbook(
    *rows: list[Any], name: str = "Glazes", formats: dict[str, str] | None = None
) -> bytes:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = name
    for row in rows:
        sheet.append(row)
    for cell, shown in (formats or {}).items():
        sheet[cell].number_format = shown
    return saved(book)


def saved(book: openpyxl.Workbook) -> bytes:
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def changed(raw: bytes, part: str, old: str, new: str) -> bytes:
    """The workbook with other words in one of its parts."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(raw)) as source, zipfile.ZipFile(out, "w") as copy:
        for one in source.namelist():
            text = source.read(one)
            if one.endswith(part):
                assert old.encode() in text
                text = text.replace(old.encode(), new.encode())
            copy.writestr(one, text)
    return out.getvalue()


@pytest.mark.parametrize(
    ("value", "shown", "text"),
    [
        (12.5, "General", "12.5"),
        (1.234, "General", "1.2340"),
        (1234, "General", "1234"),
        (33.33333333333331, "0.0", "33.33333333333331"),
        (0.125, "0.0%", "12.5 %"),
        (6, "00", "06"),
        (True, "General", "yes"),
        (date(2026, 11, 3), "d mmm", "2026-11-03"),
        ("  kaolin  \n(soft) ", "General", "kaolin (soft)"),
        ("1.200", "@", "1.200"),
    ],
)
def test_a_cell(value: object, shown: str, text: str) -> None:
    raw = workbook(["name", "a"], ["x", value], formats={"B2": shown})
    assert read_sheet(raw, PATH).rows[0].cells == ("x", text)


def test_numbers_never_look_like_thousands_and_show_nothing_of_texts() -> None:
    sheet = read_sheet(workbook(["name", "a"], ["x", 1.234], ["y", 2.5], ["z", "1,200"]), PATH)
    commas = sheet.convention([1])
    assert number(sheet.rows[0].cells[1], commas) == number("1.2340")
    with pytest.raises(CofireError, match="1200"):
        number(sheet.rows[2].cells[1], commas)


def test_worksheets_by_name() -> None:
    book = openpyxl.load_workbook(io.BytesIO(workbook(["name", "a"], ["x", 1])))
    second = book.create_sheet("Tests")
    second.append(["name", "b"])
    second.append(["y", 2])
    out = io.BytesIO()
    book.save(out)
    first = read_sheet(out.getvalue(), PATH)
    assert first.rows[0].cells == ("x", "1") and "Tests" in first.remarks[0]
    assert read_sheet(out.getvalue(), PATH, "tests").rows[0].cells == ("y", "2")
    with pytest.raises(CofireError, match="no worksheet"):
        read_sheet(out.getvalue(), PATH, "Third")


def test_a_formula_has_its_result_or_is_refused() -> None:
    raw = workbook(["name", "a"], ["x", "=1+1.5"])
    with pytest.raises(CofireError, match="line 2: this line holds a formula"):
        read_sheet(raw, PATH)
    stored = changed(raw, "sheet1.xml", "<v />", "<v>2.5</v>")
    assert read_sheet(stored, PATH).rows[0].cells == ("x", "2.5")


def test_a_wrong_size_in_the_file_loses_no_cell() -> None:
    raw = workbook(["name", "a", "b"], ["x", 1, 2], ["y", 3, 4])
    small = changed(raw, "sheet1.xml", 'ref="A1:C3"', 'ref="A1:B2"')
    assert [row.cells for row in read_sheet(small, PATH).rows] == [("x", "1", "2"), ("y", "3", "4")]


def test_far_too_large(monkeypatch: pytest.MonkeyPatch) -> None:
    raw = workbook(["name", "a"], ["x", 1])
    far = changed(raw, "sheet1.xml", 'r="2"', 'r="1048576"')
    with pytest.raises(CofireError, match="more than"):
        read_sheet(far, PATH)
    with pytest.raises(CofireError, match="more than"):
        read_sheet(workbook(["name"] * 1200, ["x"]), PATH)
    bomb = io.BytesIO()
    with zipfile.ZipFile(bomb, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("xl/worksheets/sheet1.xml", b"0" * (workbooks._MOST_UNPACKED + 1))
    with pytest.raises(CofireError, match="unpacks to"):
        read_sheet(bomb.getvalue(), PATH)


def test_no_workbooks() -> None:
    raw = workbook(["name", "a"], ["x", 1])
    for broken in (raw[:900], b"PK\x03\x04", b"\xd0\xcf\x11\xe0" + bytes(600), workbook()):
        with pytest.raises(CofireError):
            read_sheet(broken, PATH)
    for k in range(0, len(raw), 97):
        torn = bytearray(raw)
        torn[k] ^= 0x55
        try:
            read_sheet(bytes(torn), PATH)
        except CofireError:
            continue


def test_without_the_package_it_says_how_to_get_it(monkeypatch: pytest.MonkeyPatch) -> None:
    raw = workbook(["name", "a"], ["x", 1])
    monkeypatch.setitem(sys.modules, "openpyxl", None)
    with pytest.raises(CofireError, match="pip install"):
        read_sheet(raw, PATH)


def test_what_a_format_shows_around_a_number_is_read_with_it() -> None:
    formats = {
        '0.0 "kg"': "4.5 kg", '"€" #,##0.00': "€ 4.5", "[$€-407] #,##0.00": "€ 4.5",
        '#,##0.00\\ [$EUR];[Red]-#,##0.00': "4.5 EUR", '_("$"* #,##0.00_);_(@_)': "$ 4.5",
        '0.0" %"': "4.5 %", "0.0%": "450 %", "0.00": "4.5", "General": "4.5", "# ?/?": "4.5",
    }  # fmt: skip
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    for row, number_format in enumerate(formats, start=1):
        sheet.cell(row, 1, 4.5).number_format = number_format
    assert [line.cells[0] for line in rows_of_workbook(saved(book), PATH)[0]] == [*formats.values()]


def test_merged_words_stand_in_every_row_and_merged_numbers_are_refused() -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    for cells in (["recipe", "cone", "kaolin"], ["A", "low", 5], ["B", None, 6], ["C", "mid", 7]):
        sheet.append(cells)
    sheet.merge_cells("B2:B3")
    sheet.merge_cells("B4:D4")
    lines, remarks = rows_of_workbook(saved(book), PATH)
    assert [line.cells[1] for line in lines] == ["cone", "low", "low", "mid"]
    assert "“mid” spans" in remarks[0]
    sheet.merge_cells("C2:C3")
    with pytest.raises(CofireError, match="merged"):
        rows_of_workbook(saved(book), PATH)


def test_a_hidden_worksheet_is_not_taken_for_the_first() -> None:
    book = openpyxl.Workbook()
    hidden = book.active
    assert hidden is not None
    hidden.title = "Old"
    hidden.append(["old"])
    hidden.sheet_state = "hidden"
    book.create_sheet("Now").append(["now"])
    lines, remarks = rows_of_workbook(saved(book), PATH)
    assert lines[0].cells[0] == "now" and "“Old”, which is hidden" in remarks[0]
    assert rows_of_workbook(saved(book), PATH, "old")[0][0].cells[0] == "old"


def test_hidden_rows_and_columns_are_told() -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    for row in (["name", "kaolin", "flint", "x"], ["A", 1, 2], ["B", 3, 4], ["C", 5, 6]):
        sheet.append(row)
    sheet.row_dimensions[3].hidden = True
    sheet.row_dimensions[9].hidden = True
    sheet.column_dimensions["C"].hidden = True
    sheet.column_dimensions["Z"].hidden = True
    lines, remarks = rows_of_workbook(saved(book), PATH)
    assert lines[2].cells[:3] == ("B", "3", "4")
    assert remarks == [
        "row 3 is hidden, and read all the same",
        "column C is hidden, and read all the same",
    ]
    sheet.row_dimensions[3].hidden = sheet.column_dimensions["C"].hidden = False
    assert rows_of_workbook(saved(book), PATH)[1] == []


def test_an_opendocument_is_to_be_saved_as_something_else() -> None:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as packed:
        packed.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        packed.writestr("content.xml", "<x/>")
    with pytest.raises(CofireError) as refused:
        read_sheet(out.getvalue(), Path("book.ods"))
    assert ".ods" in refused.value.message and "CSV" in refused.value.hint
