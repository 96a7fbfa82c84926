"""More mistakes: a sentence with the place and a way out, and nothing of theirs lost."""

from __future__ import annotations

import errno
import os
from pathlib import Path

import pytest

HEAD = 'name = "Mine"\nsurface = "gloss"\n[base]\n'
BASE = HEAD + "orthoclase = 60\nwhiting = 20\nsilica = 20\n"
ADD = ("--name", "odd stuff", "--supplier", "Tide Minerals", "--date", "2026-11")


def complains(run, *words: str, hint: bool = True) -> None:  # type: ignore[no-untyped-def]
    """Exit 2, nothing on standard output, each problem one line, each with what to do below."""
    assert run.code == 2, run
    assert run.out == ""
    assert "Traceback" not in run.err
    assert "Warning" not in run.err
    for word in words:
        assert word in run.err, run.err
    if hint:
        lines = run.err.rstrip("\n").splitlines()
        assert len(lines) % 2 == 0, run.err
        assert all(line.startswith("    ") for line in lines[1::2]), run.err


RECIPES = {
    "unknown": (BASE + "kaolim = 3\n", "m.toml, line 7", "Did you mean", "“kaolin”"),
    "unknown in additions": (BASE + '[additions]\n"tin oxid" = 3\n', "line 8", "“tin oxide”"),
    "negative": (BASE + "kaolin = -3\n", "m.toml, line 7", "negative", "kaolin"),
    "words": (BASE + 'kaolin = "lots"\n', "m.toml, line 7", "lots", "kaolin"),
    "wrong unit": (BASE + 'kaolin = "3 mm"\n', "m.toml, line 7", "weight"),
    "not a number": (BASE + "kaolin = nan\n", "m.toml, line 7", "kaolin"),
    "infinite": (BASE + "kaolin = 1e999\n", "m.toml, line 7", "kaolin"),
    "a list": (BASE + "kaolin = [1, 2]\n", "m.toml, line 7", "kaolin"),
    "a table": (BASE + "kaolin = { parts = 3 }\n", "m.toml, line 7", "kaolin"),
    "twice": (BASE + "silica = 3\n", "m.toml, line 7", "twice"),
    "two names of one": (BASE + "flint = 3\n", "m.toml, line 7", "same material"),
    "nothing": (HEAD + "silica = 0\nkaolin = 0.0\n", "m.toml, line 3", "nothing"),
    "only colourants": (HEAD + '"cobalt oxide" = 3\n"red iron oxide" = 8\n', "m.toml", "no silica"),
    "no flux": (HEAD + "silica = 60\nkaolin = 40\n", "m.toml", "no flux"),
    "only additions": (HEAD.replace("base", "additions") + "silica = 3\n", "m.toml", "[base]"),
    "refers to nothing": (BASE + '"recipe: nowhere" = 5\n', "m.toml, line 7", "nowhere"),
    "refers to itself": (BASE + '"recipe: m.toml" = 5\n', "m.toml, line 7", "circle"),
    "latin-1": (BASE.encode() + "# grün\n".encode("latin-1"), "m.toml, line 7", "UTF-8"),
    "utf-16": (BASE.encode("utf-16"), "m.toml", "UTF-16", "UTF-8"),
    "utf-16 without mark": (BASE.encode("utf-16-le"), "m.toml"),
    "empty": ("", "m.toml", "empty"),
    "blank": (" \n\t\n", "m.toml", "empty"),
    "huge": (BASE + "#" * 5_000_000, "m.toml", "MB"),
    "nested": (BASE + "x = " + "[" * 20_000 + "]" * 20_000, "m.toml"),
    "no toml": ("dear cofire, please melt\n", "m.toml, line 1"),
}


@pytest.mark.parametrize("case", RECIPES)
@pytest.mark.parametrize("command", ["formula", "pair"])
def test_recipes(cofire, case: str, command: str) -> None:  # type: ignore[no-untyped-def]
    text, *words = RECIPES[case]
    path = cofire.write("m.toml", text)
    before = path.read_bytes()
    options = ("--firing", "raku-workshop") if command == "pair" else ()
    complains(cofire(command, path, *options), *words, hint=False)
    assert path.read_bytes() == before


@pytest.mark.parametrize("case", RECIPES)
def test_errors_in_recipes_have_a_hint(cofire, case: str) -> None:  # type: ignore[no-untyped-def]
    complains(cofire("formula", cofire.write("m.toml", RECIPES[case][0])))


FILES = {
    "empty": (b"", "empty"),
    "half a character of utf-16": ("SiO2,Na2O\n70,30\n".encode("utf-16")[:-1], "UTF-16"),
    "utf-16 that does not say so": ("SiO2,Na2O\n70,30\n".encode("utf-16-le"), "not text"),
    "no encoding at all": (b"name,SiO2,Na2O\ngr\x81n,70,30\n", "UTF-8"),
    "only a header": (b"name,colour\n", "colour"),
    "unknown oxides": (b"name\na\n", "oxide"),
    "words": (b"SiO2,Na2O\n70,30\n70,much\n", "line 3", "much"),
    "decimal commas": (b"SiO2,Na2O\n70,5,29,5\n", "line 2"),
    "negative": (b"SiO2,Na2O\n70,-1\n", "line 2", "-1"),
    "infinite": (b"SiO2,Na2O\n70,inf\n", "line 2", "inf"),
    "digits with a bar": (b"SiO2,Na2O\n7_0,30\n", "line 2", "7_0"),
    "colder than can be": (b"SiO2,Na2O,temperature_c\n70,30,-400\n", "line 2", "-400"),
}


@pytest.mark.parametrize("case", FILES)
def test_tables(cofire, case: str) -> None:  # type: ignore[no-untyped-def]
    text, *words = FILES[case]
    complains(cofire("predict", cofire.write("t.csv", text), "--basis", "mol"), "t.csv", *words)


def test_tables_that_are_not_there(cofire) -> None:  # type: ignore[no-untyped-def]
    complains(cofire("predict", "none.csv", "--basis", "mol"), "none.csv", hint=False)
    complains(cofire("predict", cofire.folder, "--basis", "mol"), hint=False)
    path = cofire.write("t.csv", "SiO2,Na2O\n70,30\n")
    complains(cofire("predict", path), "--basis", "mol", "wt", hint=False)
    complains(cofire("predict", path, "--basis", "atoms"), "--basis", hint=False)


@pytest.mark.parametrize("row", ["0,0,5", "0,0,0"])
def test_a_row_without_an_answer_is_always_told(cofire, row: str) -> None:  # type: ignore[no-untyped-def]
    """Only what no model knows, or nothing at all: empty values and a finding."""
    run = cofire("predict", cofire.write("t.csv", f"SiO2,Na2O,Ag\n{row}\n"), "--basis", "mol")
    assert "Warning" not in run.err
    assert run.out.splitlines()[1].strip(",") == ""
    assert "t.csv, line 2" in run.err


def test_the_table_itself_is_never_written_over(cofire) -> None:  # type: ignore[no-untyped-def]
    path = cofire.write("t.csv", "name,SiO2,Na2O\nmine,70,30\n")
    before = path.read_bytes()
    run = cofire("predict", path, "--basis", "mol", "--out", path)
    assert path.read_bytes() == before
    complains(run, "t.csv")


@pytest.mark.parametrize("option", ["--coat", "--wall"])
@pytest.mark.parametrize("said", ["0.3", "", " ", "6", "-1 mm fired", "3 kg", "thick", "3"])
def test_lengths_without_a_meaning(cofire, option: str, said: str) -> None:  # type: ignore[no-untyped-def]
    complains(cofire("fit", "clear-crackle", "--body", "raku", option, said))


CERTIFICATES = {
    "adds up to 140": (b"SiO2,100\nMgO,38\nLOI,2\n", "140"),
    # seen in the trade: bismuth at 80.1 % and a loss of 0.1 % on one sheet
    "contradicts itself": (b"Bi2O3,80.1\nLOI,0.1\n", "80.2"),
    "fired oxides and a loss": (b"CaO,99.5\nMgO,0.5\nLOI,43.9\n", "fired"),
    "negative": (b"SiO2,105\nMgO,-5\nLOI,0\n", "line 2", "MgO"),
    "words": (b"SiO2,much\n", "line 1", "much"),
    "unknown oxides": (b"SiO2,60\nGlitter,40\n", "line 2", "Glitter"),
    "given twice": (b"SiO2,60\nSiO2,40\n", "line 2", "SiO2"),
    "loss given twice": (b"SiO2,90\nLOI,5\nLOI,5\n", "line 3", "LOI"),
    "FeO and Fe2O3 too much": (b"FeO,60\nFe2O3,60\nLOI,0\n", "c.csv"),
    "empty": (b"", "empty"),
    "half a character of utf-16": ("SiO2,100\n".encode("utf-16")[:-1], "line 1"),
    "huge": (b"SiO2,100\n" + b"#" * 5_000_000, "MB"),
}


def snapshot(folder: Path) -> dict[str, bytes]:
    return {str(p.relative_to(folder)): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


@pytest.mark.parametrize("case", CERTIFICATES)
def test_certificates_leave_the_studio_as_it_was(cofire, case: str) -> None:  # type: ignore[no-untyped-def]
    text, *words = CERTIFICATES[case]
    mine = '# my own notes\n[mine]\nnames = ["mine"]\nformula = "CaCO3"\nsource = "me"\n'
    cofire.write("materials/mine.toml", mine)
    path = cofire.write("c.csv", text)
    before = snapshot(cofire.folder)
    run = cofire("materials", "add", path, "--id", "odd-stuff", *ADD)
    assert snapshot(cofire.folder) == before
    complains(run, "c.csv", *words, hint=False)


@pytest.mark.parametrize("case", CERTIFICATES)
def test_errors_in_certificates_have_a_hint(cofire, case: str) -> None:  # type: ignore[no-untyped-def]
    path = cofire.write("c.csv", CERTIFICATES[case][0])
    complains(cofire("materials", "add", path, "--id", "odd-stuff", *ADD))


@pytest.mark.parametrize("key", ["mine", "whiting", "Odd Stuff", "../odd", ""])
def test_ids_that_are_taken_or_none(cofire, key: str) -> None:  # type: ignore[no-untyped-def]
    mine = '# my own notes\n[mine]\nnames = ["mine"]\nformula = "CaCO3"\nsource = "me"\n'
    cofire.write("materials/mine.toml", mine)
    path = cofire.write("c.csv", "SiO2,99.5\nLOI,0.5\n")
    before = snapshot(cofire.folder)
    complains(cofire("materials", "add", path, f"--id={key}", *ADD))
    assert snapshot(cofire.folder) == before


def test_an_id_inside_a_file_of_many_is_taken_too(cofire) -> None:  # type: ignore[no-untyped-def]
    mine = '[odd-stuff]\nnames = ["mine"]\nformula = "CaCO3"\nsource = "me"\n'
    cofire.write("materials/all.toml", mine)
    path = cofire.write("c.csv", "SiO2,99.5\nLOI,0.5\n")
    before = snapshot(cofire.folder)
    run = cofire("materials", "add", path, "--id", "odd-stuff", *ADD)
    assert snapshot(cofire.folder) == before  # else every later command fails
    complains(run, "odd-stuff")


def test_a_name_of_nothing_is_no_name(cofire) -> None:  # type: ignore[no-untyped-def]
    path = cofire.write("c.csv", "SiO2,99.5\nLOI,0.5\n")
    run = cofire("materials", "add", path, "--id", "odd", "--name", "", *ADD[2:])
    complains(run, "name")
    assert "odd.toml" not in run.err  # that file does not exist, so it is no place to look


def test_a_full_disk_leaves_nothing_half_written(cofire, monkeypatch) -> None:  # type: ignore[no-untyped-def]
    def full(_: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    path = cofire.write("c.csv", "SiO2,99.5\nLOI,0.5\n")
    out = cofire.folder / "out.csv"
    before = snapshot(cofire.folder)
    monkeypatch.setattr(os, "fsync", full)
    complains(cofire("materials", "add", path, "--id", "odd", *ADD), "No space", hint=False)
    table = cofire.write("t.csv", "SiO2,Na2O\n70,30\n")
    complains(cofire("predict", table, "--basis", "mol", "--out", out), "No space", hint=False)
    table.unlink()
    assert snapshot(cofire.folder) == before


MATERIAL = '[{id}]\nnames = ["{name}"]\nsource = "me"\nformula = "{formula}"\n'


def test_two_of_ones_own_with_one_name_are_not_guessed_between(cofire) -> None:  # type: ignore[no-untyped-def]
    for key in ("sand-a", "sand-b"):
        text = MATERIAL.format(id=key, name="yard sand", formula="SiO2")
        cofire.write(f"materials/{key}.toml", text)
    path = cofire.write("m.toml", BASE.replace("silica", '"yard sand"'))
    complains(cofire("formula", path), "m.toml, line 6", "sand-a", "sand-b")


def test_one_id_in_two_files_names_both(cofire) -> None:  # type: ignore[no-untyped-def]
    for file in ("a", "b"):
        text = MATERIAL.format(id="sand", name="yard sand", formula="SiO2")
        cofire.write(f"materials/{file}.toml", text)
    complains(cofire("formula", "clear-crackle"), "a.toml", "b.toml, line 1", "sand")


@pytest.mark.parametrize("formula", ["Si2O(", "silica", "CaC0Q3", "", "SiO2··H2O", "UO2", "H2O"])
def test_formulas_that_are_none(cofire, formula: str) -> None:  # type: ignore[no-untyped-def]
    text = MATERIAL.format(id="odd", name="odd", formula=formula)
    cofire.write("materials/odd.toml", text)
    complains(cofire("formula", "clear-crackle"), "odd.toml, line 4", f"“{formula}”")


def test_studios_that_are_not_there(cofire, monkeypatch) -> None:  # type: ignore[no-untyped-def]
    complains(cofire("--studio", "nowhere", "materials"), "nowhere", hint=False)
    monkeypatch.setenv("COFIRE_STUDIO", "elsewhere")
    complains(cofire("materials"), "elsewhere", hint=False)
