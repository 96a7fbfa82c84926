from __future__ import annotations

import json
from typing import Any

import pytest


def test_batch_writes_the_sheets_that_its_answer_tells_of(cofire: Any) -> None:
    pypdf = pytest.importorskip("pypdf")
    asked = ("batch", "clear-crackle", "--dry", "1 kg", "--date", "2026-10-17")
    run = cofire(*asked, "--html", "a.html", "--pdf", "a.pdf", "--json")
    assert run.code == 0, run.err
    assert json.loads(run.out)
    page = (cofire.folder / "a.html").read_text()
    (paper,) = [p.extract_text() for p in pypdf.PdfReader(cofire.folder / "a.pdf").pages]
    for amount in ("600.0", "280.0", "120.0", "10.0", "1010.0"):  # 60, 28, 12 and 1 per 100
        assert f">{amount}<" in page and amount in paper.split()


def test_sheets_that_cannot_be_written_leave_nothing_behind(cofire: Any) -> None:
    run = cofire("batch", "clear-crackle", "--dry", "1 kg", "--pdf", "nowhere/a.pdf")
    assert run.code == 2 and "this folder does not exist" in run.err
    assert not (cofire.folder / "nowhere").exists()


MINE = 'name = "Mine"\nsurface = "gloss"\n[base]\nkaolin = 20\n'
WRITERS = {
    "--html": ("batch", "clear-crackle"),
    "--pdf": ("batch", "clear-crackle"),
    "--svg": ("fit", "clear-crackle", "--body", "raku"),
    "--cards": ("firing", "raku-workshop"),
    "--csv": ("blend", "clear-crackle", "frit-gloss"),
    "--save": ("card",),
}
ENDS = {"--html": "html", "--pdf": "pdf", "--svg": "svg", "--cards": "html", "--csv": "csv",
        "--save": "html"}  # fmt: skip
SVG = [WRITERS["--svg"], ("firing", "raku-workshop"), ("map", "frit-gloss"), WRITERS["--csv"]]


@pytest.mark.parametrize("option", WRITERS)
@pytest.mark.parametrize("name", ["recipes/z.toml", "notes.txt", "stock.csv", "plain"])
def test_nothing_a_person_wrote_is_drawn_over(cofire: Any, option: str, name: str) -> None:
    if option == "--csv" and name.endswith("csv"):
        name = "mine.csv"
    path = cofire.write(name, MINE)
    run = cofire(*WRITERS[option], option, name)
    assert run.code == 2 and name in run.err and run.out == ""
    assert path.read_text() == MINE


@pytest.mark.parametrize("option", WRITERS)
def test_a_file_of_the_right_name_is_only_replaced_when_it_is_ours(
    cofire: Any, option: str
) -> None:
    path = cofire.write(f"mine.{ENDS[option]}", "<!doctype html><title>My own page</title>\n")
    was = path.read_bytes()
    run = cofire(*WRITERS[option], option, path)
    assert run.code == 2 and "already" in run.err and run.out == ""
    assert path.read_bytes() == was
    path.unlink()
    assert cofire(*WRITERS[option], option, path).code in (0, 1)
    first = path.read_bytes()
    again = cofire(*WRITERS[option], option, path)
    assert again.code == (2 if option == "--csv" else 0), again.err
    assert path.read_bytes() == first


@pytest.mark.parametrize("words", SVG)
def test_every_picture_is_guarded(cofire: Any, words: tuple[str, ...]) -> None:
    path = cofire.write("mine.svg", "<svg/>")
    assert cofire(*words, "--svg", path).code == 2 and path.read_text() == "<svg/>"
    assert cofire(*words, "--svg", "recipes/z.toml").code == 2


def test_a_page_and_a_pdf_never_share_a_file(cofire: Any) -> None:
    run = cofire("batch", "clear-crackle", "--html", "o.x", "--pdf", "o.x")
    assert run.code == 2 and "o.html" in run.err
    (cofire.folder / "o.html").symlink_to("o.pdf")
    assert cofire("batch", "clear-crackle", "--html", "o.html", "--pdf", "o.pdf").code == 2
    assert not (cofire.folder / "o.x").exists() and not (cofire.folder / "o.pdf").exists()


@pytest.mark.parametrize("option", ["--title", "--date"])
def test_what_is_not_utf8_cannot_be_a_title(cofire: Any, option: str) -> None:
    run = cofire("batch", "clear-crackle", option, "day \udcff", "--html", "a.html")
    assert run.code == 2 and option in run.err and "UTF-8" in run.err
    assert not (cofire.folder / "a.html").exists()
    assert cofire("batch", "clear-crackle", option, "Dienstag, 釉の日").code == 0


def test_letters_that_the_pdf_lacks_are_reported_on_the_screen(cofire: Any) -> None:
    cofire.write(
        "materials/own.toml",
        '[yard-clay]\nnames = ["高岭土"]\nformula = "Al2Si2O5(OH)4"\nsource = "Saltgrass Yard"\n',
    )
    recipe = MINE.replace("kaolin", '"soda-borosilicate frit, 3110 type" = 80\n"高岭土"')
    cofire.write("recipes/mine.toml", recipe)
    plain = cofire("batch", "mine", "--html", "a.html")
    assert plain.code == 0 and "PDF" not in plain.out
    run = cofire("batch", "mine", "--pdf", "a.pdf")
    assert run.code == 0 and "in the PDF look for yard-clay" in " ".join(run.out.split())
    data = json.loads(cofire("batch", "mine", "--pdf", "a.pdf", "--json").out)
    assert "pdf-letters" in [f["code"] for f in data["sheets"][0]["findings"]]
