"""Logs and curves with commas or semicolons between their columns."""

from __future__ import annotations

from pathlib import Path

import pytest

from cofire.errors import DataFileError
from cofire.files.kiln_logs import read_kiln_log


def log(folder: Path, text: str, header: str) -> Path:
    path = folder / "log.csv"
    path.write_text(f"{header}\n{text}", encoding="utf-8")
    return path


@pytest.mark.parametrize(
    ("header", "text"),
    [
        ("time (min),temperature (C)", "0,20.500\n7.5,100.250\n15,200\n22.5,1000.125\n"),
        ("time (min);temperature (C)", "0;20,500\n7,5;100,250\n15;200\n22,5;1.000,125\n"),
        ("time (h:mm)\ttemperature (C)",
         "0:00\t20,5\n0:07\t100,25\n0:15\t200\n0:22\t1000,125\n"),
    ],
)  # fmt: skip
def test_one_log_in_many_hands(tmp_path: Path, header: str, text: str) -> None:
    read = read_kiln_log(log(tmp_path, text, header))
    assert list(read.t_c) == [20.5, 100.25, 200.0, 1000.125]


def test_a_decimal_comma_is_no_column(tmp_path: Path) -> None:
    path = log(tmp_path, "0,20,5\n7,100,5\n15,200,5\n22,300,5\n", "time (min),temperature (C)")
    with pytest.raises(DataFileError, match=r"line 2: this line has 3 cells.*semicolons"):
        read_kiln_log(path)
