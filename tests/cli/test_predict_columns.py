"""``cofire predict`` and its columns: which hold oxides, which are carried along, which are not."""

from __future__ import annotations

import csv
import io
import json

import pytest

GLASS = "SiO2,Na2O,CaO\n70,20,10\n"


def rows(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text)))


def properties(text: str) -> list[list[str]]:
    """Without what is carried along."""
    lines = list(csv.reader(io.StringIO(text)))
    return [line[lines[0].index("expansion") :] for line in lines]


@pytest.fixture
def plain(cofire):  # type: ignore[no-untyped-def]
    def of(basis: str) -> list[list[str]]:
        return properties(cofire("predict", cofire.write("p.csv", GLASS), "--basis", basis).out)

    return of


def test_names_of_rows_are_carried_along(cofire, plain) -> None:  # type: ignore[no-untyped-def]
    table = "ID,SiO2,Na2O,Sample,CaO,No,number,row\n7b,70,20, two ,10,3.,4,0005\n"
    run = cofire("predict", cofire.write("t.csv", table), "--basis", "mol")
    assert (run.code, run.err) == (0, "")
    (row,) = rows(run.out)
    assert list(row)[:6] == ["name", "ID", "Sample", "No", "number", "row"]
    assert (row["ID"], row["No"], row["number"], row["row"]) == ("7b", "3.", "4", "0005")
    assert row["name"] == ""
    assert properties(run.out) == plain("mol")
    data = json.loads(cofire("predict", "t.csv", "--basis", "mol", "--json").out)
    assert {k: data["rows"][0][k] for k in list(row)[:6]} == {k: row[k] for k in list(row)[:6]}


def test_a_name_stands_first_whatever_its_case(cofire) -> None:  # type: ignore[no-untyped-def]
    path = cofire.write("t.csv", "id,SiO2,Na2O,NAME\n1,70,30,salt\n")
    run = cofire("predict", path, "--basis", "mol")
    assert list(rows(run.out)[0])[:2] == ["NAME", "id"]
    assert "name" not in rows(run.out)[0]


@pytest.mark.parametrize(
    "keep",
    [
        ("--keep", "batch,place, row 1"),
        ("--keep", "Batch", "--keep", "place, row 1"),
        ("--keep", "batch", "--keep", "PLACE, ROW 1"),
    ],
)
def test_columns_are_kept_by_their_headings(cofire, keep: tuple[str, ...]) -> None:  # type: ignore[no-untyped-def]
    table = 'batch,SiO2,"place, row 1",Na2O,CaO\nb1,70,"x, ""y""",20,10\n'
    run = cofire("predict", cofire.write("t.csv", table), "--basis", "mol", *keep)
    if keep[1].startswith("batch,"):  # there is neither “place” nor “row 1” alone
        assert run.code == 2 and "place" in run.err
        return
    (row,) = rows(run.out)
    assert (row["batch"], row["place, row 1"]) == ("b1", 'x, "y"')


def test_an_oxide_that_is_kept_counts_too(cofire, plain) -> None:  # type: ignore[no-untyped-def]
    run = cofire("predict", cofire.write("t.csv", GLASS), "--basis", "wt", "--keep", "sio2,CaO")
    assert (rows(run.out)[0]["SiO2"], rows(run.out)[0]["CaO"]) == ("70", "10")
    assert properties(run.out) == plain("wt")


def test_what_cannot_be_kept(cofire) -> None:  # type: ignore[no-untyped-def]
    path = cofire.write("t.csv", "batch,support,SiO2\n1,2,70\n")
    run = cofire("predict", path, "--basis", "mol", "--keep", "bach,support")
    assert run.code == 2 and "“bach”" in run.err and "batch" in run.err.replace("bach", "")
    run = cofire("predict", path, "--basis", "mol", "--keep", "batch,support")
    assert run.code == 2 and "“support” is the name of a column of the answer" in run.err


def test_what_is_ignored_is_named(cofire, plain) -> None:  # type: ignore[no-untyped-def]
    table = "SiO2,Na2O,note,CaO,LOI,PO\n70,20,x,10,3,8812\n"
    path = cofire.write("t.csv", table)
    run = cofire("predict", path, "--basis", "mol")
    assert run.code == 2 and run.out == ""
    assert all(word in run.err for word in ("“note”", "“LOI”", "“PO”", "--keep", "--ignore"))
    run = cofire("predict", path, "--basis", "mol", "--ignore", "--keep", "LOI")
    assert run.code == 0
    assert run.err == "Left out: “note”, “PO”.\n"
    assert rows(run.out)[0]["LOI"] == "3" and "note" not in rows(run.out)[0]
    assert properties(run.out) == plain("mol")
    data = json.loads(cofire("predict", path, "--basis", "mol", "--ignore", "--json").out)
    assert data["left_out"] == ["note", "LOI", "PO"]


@pytest.mark.parametrize("flag", [(), ("--ignore",)])
@pytest.mark.parametrize(
    "headings",
    [
        "sio2,na2o,cao", "SIO2,NA2O,CAO", "SiO₂,Na₂O,CaO", "SiO2 %,Na2O %,CaO %", " SiO2 ,Na2O,CaO",
        "SiO2 (wt %),Na2O (wt.%),CaO [wt.-%]", "SiO2_wt,wt% Na2O,CaO mass %", "SiO2%,Na2O,CaO",
        "sio2 weight per cent,NA2O wt%,cao",
    ],
)  # fmt: skip
def test_headings_of_an_oxide(cofire, plain, headings: str, flag: tuple[str, ...]) -> None:  # type: ignore[no-untyped-def]
    path = cofire.write("t.csv", f"{headings}\n70,20,10\n")
    run = cofire("predict", path, "--basis", "wt", *flag)
    assert (run.code, run.err) == (0, "")
    assert properties(run.out) == plain("wt")


@pytest.mark.parametrize("flag", [(), ("--ignore",)])
@pytest.mark.parametrize(
    ("heading", "basis", "words"),
    [
        ("SiO2 mol%", "wt", "another basis"),
        ("sio2 (mole %)", "wt", "another basis"),
        ("SiO2 (wt %)", "mol", "another basis"),
        ("SiO2 ppm", "wt", "unit"),
        ("SiO2 cat %", "mol", "unit"),
        ("na2o", "mol", "twice"),
        ("Na2O %", "mol", "twice"),
        ("cao", "mol", "twice"),
    ],
)
def test_an_oxide_is_never_left_out(  # type: ignore[no-untyped-def]
    cofire, heading: str, basis: str, words: str, flag: tuple[str, ...]
) -> None:
    path = cofire.write("t.csv", f"{heading},Na2O,CaO\n70,20,10\n")
    run = cofire("predict", path, "--basis", basis, *flag)
    assert run.code == 2 and run.out == ""
    assert words in run.err and f"“{heading}”" in run.err


def test_an_oxide_in_the_other_basis_may_be_carried_along(cofire, plain) -> None:  # type: ignore[no-untyped-def]
    path = cofire.write("t.csv", "SiO2,SiO2 wt%,Na2O,CaO\n70,99,20,10\n")
    run = cofire("predict", path, "--basis", "mol", "--keep", "sio2 wt%")
    assert rows(run.out)[0]["SiO2 wt%"] == "99"
    assert properties(run.out) == plain("mol")


def test_a_temperature_in_any_case(cofire) -> None:  # type: ignore[no-untyped-def]
    path = cofire.write("t.csv", "SiO2,Na2O,Temperature_C\n70,30,900\n70,30,\n")
    first, blank = rows(cofire("predict", path, "--basis", "mol").out)
    assert first["log10_viscosity"] and not blank["log10_viscosity"]
    assert "Temperature_C" not in first
    kept = cofire("predict", path, "--basis", "mol", "--keep", "temperature_c")
    assert [r["Temperature_C"] for r in rows(kept.out)] == ["900", ""]
    assert properties(kept.out) == properties(cofire("predict", path, "--basis", "mol").out)


def test_empty_columns_behind_the_last_are_no_columns(cofire, plain) -> None:  # type: ignore[no-untyped-def]
    path = cofire.write("t.csv", "SiO2,Na2O,CaO,,\n70,20,10,,\n")
    assert properties(cofire("predict", path, "--basis", "mol").out) == plain("mol")
    run = cofire("predict", cofire.write("u.csv", "SiO2,,Na2O\n70,1,30\n"), "--basis", "mol")
    assert run.code == 2 and "column 2" in run.err


FORMULAS = ["=1+1", "+cmd", "-x", "@sum", "\tx", " =1", '=HYPERLINK("a","b")', "-1-1"]
HARMLESS = ["-5", "+3,5", "-7.2e-6", "'=1", "a=b", "1-2", "", "nan", "banana"]


def test_carried_text_is_no_formula_in_a_spreadsheet(cofire) -> None:  # type: ignore[no-untyped-def]
    """An apostrophe before what would be one, in the heading too; JSON has it as it was typed."""
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(["name", "=a", "SiO2", "Na2O"])
    writer.writerows([text, text, 70, 30] for text in (*FORMULAS, *HARMLESS))
    words = ("predict", cofire.write("t.csv", out.getvalue()), "--basis", "mol", "--keep", "=a")
    lines = list(csv.reader(io.StringIO(cofire(*words).out)))
    assert lines[0][:2] == ["name", "'=a"]
    typed = [text.removeprefix(" ") for text in FORMULAS]  # a blank behind a comma parts cells
    assert [line[0] for line in lines[1:]] == [*(f"'{text}" for text in typed), *HARMLESS]
    assert all(line[0] == line[1] for line in lines[1:])
    data = json.loads(cofire(*words, "--json").out)
    assert [row["=a"] for row in data["rows"]] == [*typed, *HARMLESS]


def test_help_names_the_units(cofire) -> None:  # type: ignore[no-untyped-def]
    said = " ".join(cofire("predict", "--help").out.split())
    assert "expansion_20_400 in 1e-6/K" in said and "log10 Pa·s" in said
