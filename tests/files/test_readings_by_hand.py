"""Logs of firings and other tables of readings, worked by hand."""

from __future__ import annotations

from pathlib import Path

import pytest

from cofire.errors import CofireError, DataFileError, QuantityError
from cofire.files.csv_rows import inert, read_rows
from cofire.files.kiln_logs import read_kiln_log

HEAD = "time (min),temperature (C)"


def write(folder: Path, text: str | bytes) -> Path:
    path = folder / "log.csv"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


def log(folder: Path, *rows: tuple[str, str], head: str = HEAD) -> Path:
    return write(folder, "\n".join([head, *(",".join(row) for row in rows)]) + "\n")


@pytest.mark.parametrize(
    ("head", "rows", "hours", "celsius"),
    [
        # from the first reading on: 30 minutes are half an hour
        (HEAD, [("30", "20"), ("60", "50"), ("90", "80"), ("150", "110")],
         [0.0, 0.5, 1.0, 2.0], [20.0, 50.0, 80.0, 110.0]),
        ("elapsed (s),pyrometer (F)", [("0", "32"), ("900", "212"), ("1800", "392"),
                                       ("3600", "572")],
         [0.0, 0.25, 0.5, 1.0], [0.0, 100.0, 200.0, 300.0]),
        ("clock h:mm,reading K", [("9:00", "273.15"), ("9:30", "373.15"), ("10:00", "473.15"),
                                  ("11:15", "573.15")],
         [0.0, 0.5, 1.0, 2.25], [0.0, 100.0, 200.0, 300.0]),
        ("cone,temp °C,time h", [("a", "20", "0"), ("b", "30", "1"), ("c", "40", "2"),
                                 ("d", "50", "3.5")],
         [0.0, 1.0, 2.0, 3.5], [20.0, 30.0, 40.0, 50.0]),
        # the coldest and the hottest that a kiln may show
        (HEAD, [("0", "-40"), ("1", "20"), ("2", "900"), ("3", "1400")],
         [0.0, 1 / 60, 2 / 60, 3 / 60], [-40.0, 20.0, 900.0, 1400.0]),
    ],
)  # fmt: skip
def test_hours_from_the_first_reading(
    tmp_path: Path, head: str, rows: list[tuple[str, ...]], hours: list[float], celsius: list[float]
) -> None:
    read = read_kiln_log(log(tmp_path, *rows, head=head))  # type: ignore[arg-type]
    assert list(read.time_h) == pytest.approx(hours)
    assert list(read.t_c) == pytest.approx(celsius)
    assert (read.gaps, read.missing) == ((), 0)


@pytest.mark.parametrize(
    ("minutes", "gaps"),
    [
        # a gap is longer than four usual steps, and than three quarters of an hour
        ((0, 10, 20, 30, 75), ()),
        ((0, 10, 20, 30, 76), (3,)),
        ((0, 15, 30, 45, 105), ()),
        ((0, 15, 30, 45, 106), (3,)),
        ((0, 46, 56, 66, 76), (0,)),
        ((0, 50, 60, 70, 80, 130), (0, 4)),
    ],
)
def test_gaps(tmp_path: Path, minutes: tuple[int, ...], gaps: tuple[int, ...]) -> None:
    rows = [(str(at), str(20 + k)) for k, at in enumerate(minutes)]
    assert read_kiln_log(log(tmp_path, *rows)).gaps == gaps


def test_lines_without_a_reading_are_left_out_and_counted(tmp_path: Path) -> None:
    rows = [("0", "20"), ("5", "-"), ("10", "40"), ("15", "?"), ("20", ""), ("25", "70"),
            ("30", "80")]  # fmt: skip
    read = read_kiln_log(log(tmp_path, *rows))
    assert list(read.t_c) == [20.0, 40.0, 70.0, 80.0]
    assert list(read.time_h) == pytest.approx([0.0, 10 / 60, 25 / 60, 0.5])
    assert read.missing == 3


@pytest.mark.parametrize(
    ("rows", "line", "says"),
    [
        ([("0", "20"), ("1", "30"), ("2", "40")], None, "3"),
        ([("0", "20"), ("1", "30"), ("2", "40"), ("3", "-")], None, ""),
        ([("0", "20"), ("1", "30"), ("1", "40"), ("3", "50")], 4, ""),
        ([("0", "20"), ("5", "30"), ("4", "40"), ("6", "50")], 4, ""),
        ([("0", "20"), ("1", "1401"), ("2", "40"), ("3", "50")], 3, "1401"),
        ([("0", "-41"), ("1", "30"), ("2", "40"), ("3", "50")], 2, "-41"),
        ([("0", "20"), ("1", "hot"), ("2", "40"), ("3", "50")], 3, "hot"),
        ([("0", "20"), ("1", "30"), ("soon", "40"), ("3", "50")], 4, "soon"),
    ],
)
def test_what_is_no_log(
    tmp_path: Path, rows: list[tuple[str, str]], line: int | None, says: str
) -> None:
    with pytest.raises(DataFileError) as error:
        read_kiln_log(log(tmp_path, *rows))
    assert error.value.place is not None and error.value.place.line == line
    assert says in error.value.message


@pytest.mark.parametrize(
    "head",
    ["time,temperature (C)", "time (min),temperature", "minutes,temperature (C)", "time (min),hot",
     "time (weeks),temperature (C)", "time (min),temperature (mV)"],
)  # fmt: skip
def test_columns_have_to_say_what_they_are(tmp_path: Path, head: str) -> None:
    with pytest.raises(DataFileError) as error:
        read_kiln_log(log(tmp_path, *[(str(k), "20") for k in range(5)], head=head))
    assert "time (min),temperature (C)" in error.value.hint


def test_a_row_without_its_time_is_refused(tmp_path: Path) -> None:
    path = log(tmp_path, *[("20", str(k)) for k in range(4)], head="temperature (C),time (min)")
    path.write_text(path.read_text() + "30\n")
    with pytest.raises(DataFileError, match="line 6"):
        read_kiln_log(path)


# tables of readings


@pytest.mark.parametrize(
    ("text", "header", "rows", "commas"),
    [
        ("a,b\n1,2\n", ["a", "b"], [(2, ["1", "2"])], "point"),
        ("a;b\n1,5;2\n\n3;4\n", ["a", "b"], [(2, ["1,5", "2"]), (4, ["3", "4"])], "decimal"),
        ("a\tb\n1.5\t2\n;\t\n", ["a", "b"], [(2, ["1.5", "2"]), (3, [";", ""])], "thousands"),
        ("sep=;\na;b\n1;2\n", ["a", "b"], [(3, ["1", "2"])], ""),
        ("sep=|\n\na|b\n1|2\n , \n", ["a", "b"], [(4, ["1", "2"]), (5, [" , "])], ""),
        # empty cells behind the headings do not count
        ("a,b\n1,2,,\n,\n", ["a", "b"], [(2, ["1", "2", "", ""])], "point"),
        ("a;b,c\n1;2\n", ["a", "b,c"], [(2, ["1", "2"])], ""),
    ],
)
def test_rows_of_readings(
    tmp_path: Path, text: str, header: list[str], rows: list[object], commas: str
) -> None:
    read = read_rows(write(tmp_path, text), "")
    assert (read.header, read.rows, read.commas) == (header, rows, commas)


@pytest.mark.parametrize("more", [0, 1])
def test_twenty_thousand_readings_are_the_most(tmp_path: Path, more: int) -> None:
    path = write(tmp_path, "a,b\n" + "1,2\n" * (20_000 + more))
    if not more:
        assert len(read_rows(path, "").rows) == 20_000
    else:
        with pytest.raises(QuantityError, match="too many"):
            read_rows(path, "")


@pytest.mark.parametrize("more", [0, 1])
def test_a_line_of_readings_has_twenty_thousand_letters_at_most(tmp_path: Path, more: int) -> None:
    path = write(tmp_path, "a,b\n1," + "2" * (19_998 + more) + "\n")
    if not more:
        assert read_rows(path, "").rows[0][0] == 2
    else:
        with pytest.raises(DataFileError, match="line 2"):
            read_rows(path, "")


@pytest.mark.parametrize(
    ("text", "says"),
    [("", "empty"), (" \n\n", "empty"), ("a,b\n1,2,3\n", "line 2"),
     ("a,b\n1,2\n\n1,2,,3\n", "line 4")],
)  # fmt: skip
def test_what_is_no_table_of_readings(tmp_path: Path, text: str, says: str) -> None:
    with pytest.raises(CofireError, match=says):
        read_rows(write(tmp_path, text), "")


@pytest.mark.parametrize(
    ("cell", "shown"),
    [("-2.5", "-2.5"), ("+1.234,5", "+1.234,5"), ("-1,200", "-1,200"), ("-1.200", "-1.200"),
     ("- 2", "- 2"), ("-2-3", "'-2-3"), ("", ""), ("a=b", "a=b"), (" =a", "' =a"), ("+a", "'+a")],
)  # fmt: skip
def test_numbers_are_no_formulas(cell: str, shown: str) -> None:
    assert inert(cell) == shown
