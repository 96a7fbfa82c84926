"""``cofire predict`` reads what ``cofire read`` reads, and tells all that is wrong at once."""

from __future__ import annotations

import csv
import io
import json
import sys
from pathlib import Path

import pytest

from cofire.answers import predict_table
from cofire.answers.predict_table import MOST_TOLD
from cofire.cli.predict import _Progress
from cofire.files.long_tables import LongTable

PLAIN = "id,SiO2,Na2O,CaO\na,70.5,19.5,10\nb,60.25,20.75,19\n"


def answer(cofire, table: str | bytes, *words: str) -> str:  # type: ignore[no-untyped-def]
    run = cofire("predict", cofire.write("t.csv", table), "--basis", "mol", *words)
    assert (run.code, run.err) == (0, "")
    return str(run.out)


SAME = {
    "semicolons": PLAIN.replace(",", ";"),
    "tabs": PLAIN.replace(",", "\t"),
    "bars": PLAIN.replace(",", "|"),
    "semicolons and decimal commas": PLAIN.replace(",", ";").replace(".", ","),
    "tabs and decimal commas": PLAIN.replace(",", "\t").replace(".", ","),
    "decimal commas in quotation marks":
        'id,SiO2,Na2O,CaO\na,"70,5","19,5",10\nb,"60,25","20,75",19\n',
    "thousands": "id;SiO2;Na2O;CaO\na;7.050,0;1.950,0;1000\nb;60,25;20,75;19\n",
    "blanks after commas": PLAIN.replace(",", ", "),
    "untidy": PLAIN.replace("70.5", "'70.5").replace("19.5", " 19.5\u00a0").replace("19\n", "19."),
    "lines of old": PLAIN.replace("\n", "\r"),
    "lines of elsewhere": PLAIN.replace("\n", "\r\n"),
    "no last line end": PLAIN[:-1],
    "empty lines above": "\n\n" + PLAIN,
    "a semicolon in every name": PLAIN.replace("a,", "a;x,").replace("b,", "b;y,"),
    "a byte order mark": "\ufeff" + PLAIN,
    "utf-16": PLAIN.encode("utf-16"),
    "utf-16 the other way round": b"\xfe\xff" + PLAIN.encode("utf-16-be"),
}  # fmt: skip


@pytest.mark.parametrize("case", SAME)
def test_the_same_table_in_other_ways(cofire, case: str) -> None:  # type: ignore[no-untyped-def]
    found = answer(cofire, SAME[case]).replace("a;x", "a").replace("b;y", "b")
    assert found == answer(cofire, PLAIN)


def test_one_column_may_have_decimal_commas(cofire) -> None:  # type: ignore[no-untyped-def]
    one, other = (list(csv.DictReader(io.StringIO(answer(cofire, f"SiO2\n{said}\n"))))
                  for said in ("70,5\n1", "70.5\n1"))  # fmt: skip
    assert one == other and one[0] == one[1]


def test_three_digits_behind_a_point_are_read_as_the_table_shows(cofire) -> None:  # type: ignore[no-untyped-def]
    """“1.234” alone may be a thousand; where commas part columns or 0.5 is near, it is not."""

    def first(table: str) -> list[float]:
        return [float(cell) for cell in answer(cofire, table).splitlines()[1].split(",") if cell]

    one = first("SiO2;Na2O\n1.234;1.5\n")
    assert first("SiO2,Na2O\n1.234,1.500\n") == one
    # intervals are computed in single precision, which rounds otherwise beside another row
    assert first("SiO2;Na2O\n1.234;1.500\n1;0.5\n") == pytest.approx(one, rel=1e-5)
    for row in ("1.234;1.500", "1.234;1", "1.234;1,5"):
        run = cofire("predict", cofire.write("t.csv", f"SiO2;Na2O\n{row}\n"), "--basis", "mol")
        assert run.code == 2 and "“1.234” may be 1.234 or 1234" in run.err, row


def test_decimals_are_marked_in_one_way(cofire) -> None:  # type: ignore[no-untyped-def]
    table = "SiO2;Na2O;temperature_c\n70,5;29,5;900\n70.5;29,5;900\n70;29;900.5\n1.070,5;29;900\n"
    run = cofire("predict", cofire.write("t.csv", table), "--basis", "mol")
    assert run.code == 2 and run.out == ""
    assert [line.split(":")[0] for line in run.err.splitlines()[::2]] == [
        "t.csv, line 3",
        "t.csv, line 4",
    ]


@pytest.mark.parametrize(
    ("table", "words"),
    [
        (b"id,SiO2\ngr\x81n,70\n", "line 2"),
        (b"id,SiO2\n" + b"a,70\n" * 60_000 + b"gr\x81n,70\n", "line 60002"),
        ('id,SiO2\n"a,70\n', "quotation mark"),
        ("SiO2 Na2O\n70 30\n", "semicolons"),
        ("SiO2,Na2O\n70,5,29,5\n", "line 2"),
        ("SiO2,no\u0007te\n70,5\n", "cannot be printed"),
    ],
)
def test_tables_that_cannot_be_read(cofire, table: str | bytes, words: str) -> None:  # type: ignore[no-untyped-def]
    run = cofire("predict", cofire.write("t.csv", table), "--basis", "mol")
    assert (run.code, run.out) == (2, "")
    assert words in run.err


BAD = (
    "id,SiO2,Na2O,temperature_c\na,70,x,900\nb,70,30,900\nc,-1,y,900\nd,70,30,9000\n"
    "e,70,30,900,7\nf,70,3\n"
)


@pytest.mark.parametrize("words", [(), ("--json",), ("--out", "o.csv"), ("--json", "--out", "o")])
def test_all_wrong_rows_are_told_and_nothing_is_written(cofire, words: tuple[str, ...]) -> None:  # type: ignore[no-untyped-def]
    path = cofire.write("t.csv", BAD)
    before = sorted(cofire.folder.iterdir())
    run = cofire("predict", path, "--basis", "mol", *words)
    assert (run.code, run.out) == (2, "")
    if "--json" in words:
        told = [
            f"{Path(one['file']).name}, line {one['line']}" for one in json.loads(run.err)["errors"]
        ]
    else:
        told = [line.split(":")[0] for line in run.err.splitlines() if not line.startswith(" ")]
    assert told == [f"t.csv, line {n}" for n in (2, 4, 5, 6, 7)]
    assert sorted(cofire.folder.iterdir()) == before


def many(wrong: range, rows: int) -> str:
    return "SiO2,Na2O\n" + "".join("70,x\n" if r in wrong else "70,30\n" for r in range(rows))


def test_of_very_many_wrong_rows_the_first_are_told(cofire, monkeypatch) -> None:  # type: ignore[no-untyped-def]
    monkeypatch.setattr(predict_table, "CHUNK_ROWS", 7)
    path = cofire.write("t.csv", many(range(40, 40 + MOST_TOLD + 13), 200))
    run = cofire("predict", path, "--basis", "mol")
    told = [line for line in run.err.splitlines() if not line.startswith(" ")]
    assert run.out == "" and len(told) == MOST_TOLD + 1
    assert told[0].startswith("t.csv, line 42:") and "13 more rows" in told[-1]
    path = cofire.write("t.csv", many(range(40, 40 + MOST_TOLD), 200))
    assert "more rows" not in cofire("predict", path, "--basis", "mol").err


def test_of_very_many_empty_rows_the_first_are_told(cofire) -> None:  # type: ignore[no-untyped-def]
    path = cofire.write("t.csv", "SiO2,Na2O\n" + "0,\n" * (MOST_TOLD + 5))
    run = cofire("predict", path, "--basis", "mol")
    assert run.code == 0 and run.err.count("left empty") == MOST_TOLD + 1
    assert "5 more rows" in run.err.splitlines()[-1]


def test_a_row_is_read_alike_whatever_its_neighbours_are(cofire) -> None:  # type: ignore[no-untyped-def]
    """A tiny amount is no usable number, beside a cell that is read in the slow way or not."""
    for other in ("30", " 30", "1 030"):
        path = cofire.write("t.csv", f"SiO2,Na2O\n70,1e-20\n70,{other}\n")
        run = cofire("predict", path, "--basis", "mol")
        assert run.code == 2 and "line 2" in run.err and "line 3" not in run.err


@pytest.mark.parametrize("words", [(), ("--json",)])
def test_many_rows_in_several_processes_are_those_of_one(cofire, monkeypatch, words) -> None:  # type: ignore[no-untyped-def]
    table = "id,SiO2,Na2O,CaO,temperature_c\n"
    table += "".join(f'"{r}, x",{60 + r % 17},{20 + r % 5},{r % 11},{900 + r}\n' for r in range(95))
    whole = answer(cofire, table, *words)
    monkeypatch.setattr(predict_table, "CHUNK_ROWS", 10)
    parts = answer(cofire, table, *words)
    monkeypatch.setattr(predict_table.os, "cpu_count", lambda: 1)
    assert answer(cofire, table, *words) == parts
    if words:
        one, other = (json.loads(text)["rows"] for text in (whole, parts))
    else:
        one, other = (list(csv.DictReader(io.StringIO(text))) for text in (whole, parts))
    assert [r["id"] for r in other] == [r["id"] for r in one] == [f"{r}, x" for r in range(95)]
    for a, b in zip(one, other, strict=True):
        assert float(a["runs_c_high"]) == pytest.approx(float(b["runs_c_high"]), rel=1e-5)


def test_what_is_piped_is_read_as_a_file_is(cofire, monkeypatch: pytest.MonkeyPatch) -> None:  # type: ignore[no-untyped-def]
    for table in (PLAIN.encode(), PLAIN.encode("utf-16"), PLAIN.replace(",", ";").encode()):
        monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(table), "utf-8"))
        run = cofire("predict", "-", "--basis", "mol")
        assert run.out == answer(cofire, PLAIN)


class Screen(io.StringIO):
    def __init__(self, seen: bool) -> None:
        super().__init__()
        self._seen = seen

    def isatty(self) -> bool:
        return self._seen


def test_progress_is_shown_on_a_screen_and_only_after_a_second(  # type: ignore[no-untyped-def]
    cofire, monkeypatch: pytest.MonkeyPatch
) -> None:
    names = [f"glass {k}" for k in range(5000)]  # more than is read in one go
    path = cofire.write("t.csv", "id,SiO2\n" + "".join(f"{name},70\n" for name in names))
    now = [100.0]
    monkeypatch.setattr("cofire.cli.predict.time.monotonic", lambda: now[0])
    for seen, wait, shown in ((True, 0.9, ""), (False, 5.0, ""), (True, 1.1, "1 of 5,000 rows")):
        screen = Screen(seen)
        with path.open("rb") as source:
            table = LongTable(source, path)
            rows = table.rows()
            next(rows)
            progress = _Progress(screen, table)
            now[0] += wait
            progress.show(1)
            assert screen.getvalue().strip("\r") == shown
            assert [cells[0] for _, cells in rows] == names[1:]  # counting does not lose a row
            progress.clear()
            assert screen.getvalue().rpartition("\r")[0].rpartition("\r")[2].strip() == ""
