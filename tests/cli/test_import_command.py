"""``cofire import`` and ``cofire materials import``."""

from __future__ import annotations

import io

import openpyxl

BOOK = "recipe;kaolin;borax;cone\nSea;10,5;90;06\nFog;5;95;04\n"


def test_exit_codes_and_words(cofire, monkeypatch) -> None:  # type: ignore[no-untyped-def]
    cofire.write("book.csv", BOOK)
    run = cofire("import", "book.csv", "--surface", "gloss", "--dry-run")
    assert run.code == 0 and "2 recipes can be written" in run.out
    assert not (cofire.folder / "recipes").exists()
    run = cofire("import", "book.csv", "--surface", "gloss")
    assert run.code == 0 and "2 recipes written" in run.out
    assert '"kaolin" = 10.5\n' in (cofire.folder / "recipes" / "sea.toml").read_text()
    assert cofire("check").code == 0
    run = cofire("import", "book.csv", "--surface", "gloss")
    assert run.code == 1 and "sea.toml" in run.out and "Nothing is written" in run.out
    run = cofire("import", "book.csv")
    assert run.code == 1
    assert cofire("import", "none.csv").code == 2
    cofire.write("book.csv", "\n")
    assert cofire("import", "book.csv").code == 2


def test_unknown_materials_stand_there_once(cofire) -> None:  # type: ignore[no-untyped-def]
    cofire.write("book.csv", "recipe,borax,kaolni\nA,1,2\nB,3,4\nC,5,\n")
    run = cofire("import", "book.csv", "--surface", "gloss", "--only-good")
    assert run.code == 1 and run.out.count("“kaolni”") <= 1 and "1 recipe written" in run.out


def test_a_workbook_and_what_is_pasted(cofire, monkeypatch) -> None:  # type: ignore[no-untyped-def]
    book = openpyxl.Workbook()
    assert book.active is not None
    for row in (["recipe", "borax", "kaolin"], ["Sea", 90, 10.125]):
        book.active.append(row)
    raw = io.BytesIO()
    book.save(raw)
    cofire.write("book.xlsx", raw.getvalue())
    assert cofire("import", "book.xlsx", "--surface", "gloss").code == 0
    assert '"kaolin" = 10.125\n' in (cofire.folder / "recipes" / "sea.toml").read_text()
    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(BOOK.encode())))
    assert cofire("import", "-", "--surface", "gloss", "--on-clash", "rename").code == 0
    assert (cofire.folder / "recipes" / "sea-2.toml").is_file()


def test_materials(cofire) -> None:  # type: ignore[no-untyped-def]
    cofire.write("list.csv", "name,SiO2 %,MgO %,LOI\nyard talc,62,32,6\n")
    words = ("materials", "import", "list.csv", "--supplier", "Tide", "--date", "2026-11")
    assert cofire(*words, "--dry-run").code == 0
    run = cofire(*words)
    assert run.code == 0 and "1 material written" in run.out
    assert cofire("materials", "show", "yard talc").code == 0
    run = cofire(*words)
    assert run.code == 1 and "yard-talc.toml" in run.out
    assert cofire("materials", "import", "list.csv").code == 1
