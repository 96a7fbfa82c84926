"""Tables of any length: which rows they have, what commas mean, how long they are."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path

import pytest

from cofire.errors import DataFileError
from cofire.files.long_tables import LongTable, long_table

PATH = Path("long.csv")


def table(text: str | bytes) -> LongTable:
    return LongTable(BytesIO(text if isinstance(text, bytes) else text.encode()), PATH)


@pytest.mark.parametrize(
    ("text", "rows"),
    [
        ("a;b\n1;2\n3;4\n", [(2, ["1", "2"]), (3, ["3", "4"])]),
        ("a;b\n1;2", [(2, ["1", "2"])]),
        ("a;b", []),
        # a blank line between rows counts, those at the end do not
        ("a;b\n1;2\n\n3;4\n\n\n", [(2, ["1", "2"]), (3, []), (4, ["3", "4"])]),
        # a row of empty cells is a row, also at the end
        ("a;b\n\n;\n", [(2, []), (3, ["", ""])]),
        # lines above the headings, and one that says what parts columns
        ("\n\na;b\n1;2\n", [(4, ["1", "2"])]),
        ('sep=|\na|b\n"1|1"|2\n', [(3, ["1|1", "2"])]),
        ("sep=,\n\na,b\n1,2\n", [(4, ["1", "2"])]),
        # one column, and a cell of two lines
        ("a\n1\n2\n", [(2, ["1"]), (3, ["2"])]),
        ('a;b\n"1\n1";2\n3;4\n', [(2, ["1\n1", "2"]), (4, ["3", "4"])]),
        ("a;b\r\n1;2\r\n3;4\r\n", [(2, ["1", "2"]), (3, ["3", "4"])]),
    ],
)
def test_rows_stand_on_their_lines(text: str, rows: list[tuple[int, list[str]]]) -> None:
    read = table(text)
    assert list(read.rows()) == rows
    assert list(read.rows()) == rows  # and may be asked for again


@pytest.mark.parametrize(
    ("text", "line", "headings"),
    [
        ("a;b;\n1;2;3\n", 1, ["a", "b"]),
        ("a;;b\n1;2;3\n", 1, ["a", "", "b"]),
        ("\n\n a ;'b'\n1;2\n", 3, ["a", "b'"]),
        ("a;b;;;\n", 1, ["a", "b"]),
        ("sep=;\na;b\n", 2, ["a", "b"]),
    ],
)
def test_headings(text: str, line: int, headings: list[str]) -> None:
    read = table(text)
    assert (read.line, read.headings) == (line, headings)


@pytest.mark.parametrize("text", ["", "\n \n", "sep=;\n", "sep=;\n\n\n", '""\n'])
def test_a_table_without_headings_is_refused(text: str) -> None:
    with pytest.raises(DataFileError, match="the table is empty"):
        table(text)


@pytest.mark.parametrize(
    ("text", "commas"),
    [
        # columns parted by commas: only quotation marks can hide one in a number
        ("a,b\n1.5,2\n", "point"),
        ('a,b\n"1,5",2\n', "decimal"),
        ('"a",b\n1,2\n', "point"),
        ("a;b\n1,5;2\n", "decimal"),
        ("a;b\n1.5;2\n", "thousands"),
        ("a;b\n1.234,5;2\n", "decimal"),
        ("a;b\n1,234.5;2\n", "thousands"),
        ("a;b\n1;2\n", ""),
        # “1,234” can be read in two ways, the row below it only in one
        ("a;b\n1,234;2\n7,25;2\n", "decimal"),
        # words tell nothing, nor do columns that are not asked for
        ("a;b\nred, hot;2\n3.5;2\n", "thousands"),
        ("a;b\n1;2,5\n", ""),
        # the first that tells is taken
        ("a;b\n3,5;1\n3.5;1\n", "decimal"),
    ],
)
def test_what_commas_mean(text: str, commas: str) -> None:
    read = table(text)
    assert read.commas([0]) == commas


def test_a_row_may_be_shorter_than_the_column_asked_for() -> None:
    assert table("a;b\n1\n2;3,5\n3;4\n").commas([1]) == "decimal"


@pytest.mark.parametrize(
    ("text", "rows"),
    [
        ("a;b\n1;2\n3;4\n", 2),
        ("a;b\n1;2\n3;4", 1),
        ("a;b\n", 0),
        ("a;b", 0),
        ("a\n" + "1\n" * 7, 7),
    ],
)
def test_about_how_many_rows_there_are(text: str, rows: int) -> None:
    """Line ends less that of the headings; a last line without one is not counted."""
    assert table(text).count() == rows


def test_rows_may_be_counted_while_they_are_read() -> None:
    read = table("a;b\n1;2\n3;4\n")
    rows = read.rows()
    assert next(rows) == (2, ["1", "2"])
    assert read.count() == 2
    assert list(rows) == [(3, ["3", "4"])]


def test_the_last_line_counts_though_it_has_no_end() -> None:
    """Semicolons stand in two of three lines with numbers, and so they part the columns."""
    read = table("a;b\n1\n2;3\n4;5")
    assert list(read.rows()) == [(2, ["1"]), (3, ["2", "3"]), (4, ["4", "5"])]


def test_a_table_longer_than_what_shows_its_columns() -> None:
    """A head that is cut inside a line: 60 000 lines of five bytes are 300 000, of which the first
    262 144 are looked at."""
    text = "a;b\n" + "1;23\n" * 60_000
    read = table(text)
    assert (read.separator, read.headings, read.count()) == (";", ["a", "b"], 60_000)
    rows = list(read.rows())
    assert len(rows) == 60_000 and rows[-1] == (60_001, ["1", "23"])


def test_an_accent_that_the_head_cuts_in_two() -> None:
    head = "a;b\n" + "1;23\n" * 52_427  # 262 139 bytes
    text = head + "1;2" + "é" * 40 + "\n"  # the 262 144th byte is the first of an é
    assert table(text).remarks == []
    assert list(table(text).rows())[-1] == (52_429, ["1", "2" + "é" * 40])


def test_what_is_no_utf_8_is_read_as_windows_and_said() -> None:
    read = table("a;näme\n1;ö\n".encode("cp1252"))
    assert read.headings == ["a", "näme"]
    assert list(read.rows()) == [(2, ["1", "ö"])]
    assert read.remarks == [
        "the file is not UTF-8 and was read as Windows-1252: check accented names"
    ]
    # far below the head too
    late = table(("a;b\n" + "1;23\n" * 60_000).encode() + b"1;\xe9\n")
    assert late.remarks and list(late.rows())[-1] == (60_002, ["1", "é"])


def test_half_a_letter_at_the_very_end_is_no_utf_8() -> None:
    read = table("a;b\n1;é".encode()[:-1])
    assert len(read.remarks) == 1 and list(read.rows()) == [(2, ["1", "Ã"])]


def test_utf_16_needs_no_remark() -> None:
    read = table("a\tb\n1\t2\n".encode("utf-16"))
    assert (read.remarks, read.headings, list(read.rows())) == ([], ["a", "b"], [(2, ["1", "2"])])


def test_broken_utf_16_is_refused() -> None:
    with pytest.raises(DataFileError, match="UTF-16"):
        table("a\tb\n1\t2\n".encode("utf-16") + b"\x00")


def test_a_byte_that_windows_has_not_is_refused_with_its_line() -> None:
    with pytest.raises(DataFileError) as error:
        table(b"\na;b\n1;2\n1;\x81\n")
    assert error.value.place is not None and error.value.place.line == 4


def test_headings_that_cannot_be_printed() -> None:
    with pytest.raises(DataFileError) as error:
        table("\na;b\x07\n")
    assert error.value.place is not None and error.value.place.line == 2


@pytest.mark.parametrize("letters", [(1 << 20) - 1, 1 << 20])
def test_a_line_of_a_megabyte(letters: int) -> None:
    """1 048 575 letters with their line end pass, one more does not."""
    row = ("1" * 999 + ";") * 1049
    read = table("a;b\n1;2\n" + row[: letters - 1] + "\n")
    if letters < 1 << 20:
        assert [line for line, _ in read.rows()] == [2, 3]
    else:
        with pytest.raises(DataFileError, match="line 3"):
            list(read.rows())


def test_headings_longer_than_what_shows_the_columns() -> None:
    """300 000 bytes of headings are no empty table."""
    head = ";".join(["SiO2" * 25] * 3000)
    assert len(table(head + "\n").headings) == 3000


def test_what_is_piped_is_kept_and_can_be_read_twice() -> None:
    with long_table(PATH, BytesIO(b"a;b\n" + b"1;23\n" * 300_000)) as read:  # 1.5 MB
        assert read.count() == 300_000
        assert sum(1 for _ in read.rows()) == 300_000


def test_a_pipe_that_breaks() -> None:
    class Broken(BytesIO):
        def read(self, size: int | None = -1, /) -> bytes:
            raise OSError(5, "Input/output error")

    with pytest.raises(DataFileError, match="Input/output error"), long_table(PATH, Broken()):
        pass


def test_a_pipe_without_end(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("cofire.files.long_tables._LONGEST_PIPE", 8)
    with long_table(PATH, BytesIO(b"a;b\n1;2\n")) as read:  # just as many bytes
        assert list(read.rows()) == [(2, ["1", "2"])]
    with pytest.raises(DataFileError), long_table(PATH, BytesIO(b"a;b\n1;23\n")):
        pass
    monkeypatch.setattr("cofire.files.long_tables._LONGEST_PIPE", 3_000_000)
    with pytest.raises(DataFileError, match=r"\b3 MB"), long_table(PATH, BytesIO(b"1" * 3_000_001)):
        pass
