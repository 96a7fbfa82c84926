"""Sheets of many rows: titles, widths, what is drawn, and where each row stands."""

from __future__ import annotations

from pathlib import Path

import pytest

from cofire.errors import DataFileError
from cofire.files.sheets import Sheet, read_sheet

PATH = Path("list.csv")


def sheet(text: str) -> Sheet:
    return read_sheet(text.encode(), PATH)


def rows(read: Sheet) -> list[tuple[int, tuple[str, ...]]]:
    return [(row.number, row.cells) for row in read.rows]


def test_rows_have_as_many_cells_as_there_are_headings() -> None:
    read = sheet("a;b;c\n1;2\n\n3;4;5\n6\n")
    assert (read.headings.number, read.headings.cells) == (1, ("a", "b", "c"))
    assert rows(read) == [(2, ("1", "2", "")), (4, ("3", "4", "5")), (5, ("6", "", ""))]
    assert (read.errors, read.remarks, read.commas, read.plain) == ((), (), "", True)


def test_titles_are_left_out_and_said() -> None:
    read = sheet("My glazes;;\nof 2026;;\na;b;c\n1;2;3\n")
    assert read.headings.number == 3
    assert rows(read) == [(4, ("1", "2", "3"))]
    assert read.remarks == (
        "line 1 is a title and is left out: “My glazes”",
        "line 2 is a title and is left out: “of 2026”",
    )


def test_of_one_column_the_first_line_is_no_title() -> None:
    read = sheet("a\t\nb\t\nc\t\n")
    assert (read.headings.cells[0], len(read.rows), read.remarks) == ("a", 2, ())


def test_columns_that_are_empty_on_the_left_do_not_count() -> None:
    read = sheet(";;a;b\n;;1;2\n;;;4\n")
    assert read.headings.cells == ("a", "b")
    assert rows(read) == [(2, ("1", "2")), (3, ("", "4"))]


@pytest.mark.parametrize("drawn", ["---|---", "===", "-- --", ":-:|_"])
def test_drawn_lines_are_left_out(drawn: str) -> None:
    assert rows(sheet(f"a|b\n{drawn}\n1|2\n")) == [(3, ("1", "2"))]


def test_two_dashes_are_words() -> None:
    assert rows(sheet("a|b\n-|-\n1|2\n")) == [(2, ("-", "-")), (3, ("1", "2"))]


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("a;b\n1;2\n3;4;5\n", 3),  # a cell too many
        ("a;b;\n1;2;\n3;4;5\n", 3),  # a cell without a heading above it
        ("a,b,c\n1,2,3\n4,5\n", 3),  # may be 4 and 5, or 4.5
        ("a;b\n1;2\x07\n", 2),
        ("a;b\x07\n1;2\n", 1),
    ],
)
def test_rows_that_cannot_be_read_are_said_and_stay(text: str, line: int) -> None:
    read = sheet(text)
    assert [error.place and error.place.line for error in read.errors] == [line]
    assert len(read.rows) == text.count("\n") - 1
    assert {len(row.cells) for row in read.rows} == {len(read.headings.cells)}


@pytest.mark.parametrize("text", ["a,b,c\n1,2,3\nred,5\n", "a;b;c\n1;2;3\n4;5\n"])
def test_a_short_row_whose_cells_are_no_parts_of_one_number(text: str) -> None:
    assert sheet(text).errors == ()


@pytest.mark.parametrize("text", ["", "\n\n", "a;b\n", "a;b\n---;---\n", "one\ntwo\n"])
def test_what_is_no_sheet(text: str) -> None:
    with pytest.raises(DataFileError):
        sheet(text)


def test_a_worksheet_can_only_be_named_of_a_workbook() -> None:
    with pytest.raises(DataFileError):
        read_sheet(b"a;b\n1;2\n", PATH, "Sheet1")


@pytest.mark.parametrize(("more", "columns"), [(0, 1000), (1, 1001)])
def test_a_thousand_columns_are_the_most(more: int, columns: int) -> None:
    text = ";".join(["a"] * columns) + "\n" + ";".join(["1"] * columns) + "\n"
    if not more:
        assert len(sheet(text).headings.cells) == 1000
    else:
        with pytest.raises(DataFileError):
            sheet(text)


def test_fifty_thousand_rows_are_the_most(monkeypatch: pytest.MonkeyPatch) -> None:
    from cofire.files import sheets

    assert sheets.MOST_ROWS == 50_000
    monkeypatch.setattr(sheets, "MOST_ROWS", 3)
    assert len(sheet("a;b\n" + "1;2\n" * 3).rows) == 3
    with pytest.raises(DataFileError):
        sheet("a;b\n" + "1;2\n" * 4)


@pytest.mark.parametrize(
    ("text", "at", "commas"),
    [
        ("a;b\n1,5;2\n", [0], "decimal"),
        ("a;b\n1,5;2\n", [1], ""),
        ("a;b\n1,5;2\n", [0, 1], "decimal"),
        ('a,b\nx,"2,5"\n', [1], "decimal"),
        ("a,b\n1,2\n", [0, 1], "point"),
    ],
)
def test_what_commas_mean_in_columns(text: str, at: list[int], commas: str) -> None:
    assert sheet(text).convention(at) == commas
