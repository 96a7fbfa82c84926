"""A studio folder of one's own: made, filled from tables, changed, and its past brought back."""

from __future__ import annotations

import io
import json
import os
import re
import shlex
import stat
import sys
from pathlib import Path

import pytest

from cofire.files.ignored_files import is_conflict_copy, is_hidden
from cofire.files.library import Library
from cofire.files.materials import read_materials
from cofire.files.stock import stock_in
from cofire.files.toml import parse

SHIPPED = sorted((Path(__file__).parents[2] / "recipes").glob("*.toml"))


def tree(folder: Path) -> dict[str, bytes | None]:
    return {
        str(p.relative_to(folder)): p.read_bytes() if p.is_file() else None
        for p in sorted(folder.rglob("*"))
    }


def paste(monkeypatch: pytest.MonkeyPatch, text: str) -> None:
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(text.encode()), "utf-8"))


@pytest.fixture
def bare(cofire):  # type: ignore[no-untyped-def]
    (cofire.folder / "studio.toml").unlink()
    return cofire


def test_init_makes_a_studio_that_checks(bare, monkeypatch: pytest.MonkeyPatch) -> None:  # type: ignore[no-untyped-def]
    run = bare("init", "yard", "--name", 'Saltgrass "Yard"')
    assert run.code == 0, run.err
    folder = bare.folder / "yard"
    for part in ("recipes/firings", "recipes/kilns", "materials/bodies"):
        assert (folder / part).is_dir()
    for text in (b for b in tree(folder).values() if b is not None):
        assert str(bare.folder).encode() not in text  # no paths of this machine
        assert max(len(line) for line in text.decode().splitlines()) <= 100
    monkeypatch.chdir(folder)
    assert bare("check").code == 0
    assert bare("check", ".").code == 0
    assert bare("fit", "slipway-crackle", "--body", "raku").code == 0


def test_init_twice_changes_nothing_and_adds_what_is_missing(bare) -> None:  # type: ignore[no-untyped-def]
    bare("init", "yard")
    folder = bare.folder / "yard"
    (folder / "README.txt").write_text("my own words")
    (folder / "stock.toml").unlink()
    before = tree(folder)
    run = bare("init", "yard")
    assert run.code == 0 and "made  stock.toml" in run.out
    after = tree(folder)
    assert {k: v for k, v in after.items() if k != "stock.toml"} == before
    run = bare("init", "yard")
    assert "nothing was changed" in run.out and tree(folder) == after


def test_what_init_says_next_can_be_pasted(bare) -> None:  # type: ignore[no-untyped-def]
    run = bare("init", "my studio/a b")
    line = next(x for x in run.out.splitlines() if "Next:" in x)
    assert shlex.split(line.split("Next: ")[1].split(", then ")[0]) == ["cd", "my studio/a b"]


@pytest.mark.parametrize(
    "words",
    [
        ("init", "~nobody-of-saltgrass/foo"),
        ("batch", "~nobody-of-saltgrass/x.toml"),
        ("table", "~nobody-of-saltgrass/x"),
        ("keep", "~nobody-of-saltgrass/x"),
        ("history", "~nobody-of-saltgrass/x.toml"),
        ("set", "~nobody-of-saltgrass/x", "kaolin = 3"),
        ("batch", "clear-crackle", "--body", "~nobody-of-saltgrass/x"),
        ("--studio", "~nobody-of-saltgrass/x", "recipes"),
    ],
)
def test_an_unknown_home_folder_is_not_a_bug(cofire, words: tuple[str, ...]) -> None:  # type: ignore[no-untyped-def]
    before = tree(cofire.folder)
    run = cofire(*words)
    assert run.code == 2 and "names a user" in run.err and "~nobody-of-saltgrass" in run.err, run
    assert tree(cofire.folder) == before


def test_a_home_of_ones_own_is_found(cofire, monkeypatch: pytest.MonkeyPatch) -> None:  # type: ignore[no-untyped-def]
    monkeypatch.setenv("HOME", str(cofire.folder))
    cofire.write("recipes/mine.toml", 'surface = "gloss"\n[base]\n"frit-3134-type" = 90\n')
    assert cofire("table", "~/recipes/mine.toml").code == 0
    assert cofire("--studio", "~", "table", "mine").code == 0


def test_faulty_materials_are_said_once(cofire, monkeypatch: pytest.MonkeyPatch) -> None:  # type: ignore[no-untyped-def]
    faulty = "".join(
        f"[m{k}]\nnames = ['m{k}']\nformula = 'Zz'\nsource = 'theoretical'\n" for k in range(5)
    )
    cofire.write("materials/own.toml", faulty)
    text = 'surface = "gloss"\n[base]\n"frit-3134-type" = 80\nkaolin = 9\nsilica = 3\nwhiting = 2\n'
    cofire.write("recipes/mine.toml", text)
    cofire.write("t.csv", "kaolin,9\nsilica,3\nwhiting,2\n")
    reads = []
    monkeypatch.setattr(
        "cofire.files.library.read_materials",
        lambda doc, own: reads.append(doc.path) or read_materials(doc, own=own),
    )
    for words in (
        ("formula", "mine"),
        ("read", "t.csv"),
        ("set", "mine", "kaolin = 8"),
        ("keep", "mine"),
    ):
        reads.clear()
        run = cofire(*words)
        assert run.code == 2 and run.err.count("own.toml") == 5, run.err
        assert sorted({*reads}) == sorted(reads)  # nor is a file read twice
    cofire.folder.joinpath("materials/own.toml").unlink()
    cofire("keep", "mine")
    cofire.write("materials/own.toml", faulty)
    trouble = json.loads(cofire("history", "mine", "--json").out)["versions"][0]["trouble"]
    assert "\n" not in trouble and trouble.endswith("(and 4 more)")


def test_init_keeps_out_of_the_way(bare) -> None:  # type: ignore[no-untyped-def]
    bare.write("a-file", "x")
    assert "not a folder" in bare("init", "a-file").err
    bare.write("odd/recipes", "x")
    before = tree(bare.folder / "odd")
    run = bare("init", "odd")
    assert run.code == 2 and "in the way" in run.err and tree(bare.folder / "odd") == before
    bare("init", "yard")
    run = bare("init", "yard/recipes/inner")
    assert run.code == 2 and "inside the studio" in run.err
    bare.write("mine/recipes/own.toml", "surface = 'gloss'\n[base]\nkaolin = 1\n")
    assert bare("init", "mine").code == 0
    assert [p.name for p in (bare.folder / "mine/recipes").glob("*.toml")] == ["own.toml"]


def test_the_commented_stock_reads_once_uncommented(bare) -> None:  # type: ignore[no-untyped-def]
    bare("init", "yard")
    path = bare.folder / "yard" / "stock.toml"
    text = "".join(
        line.removeprefix("# ")
        for line in path.read_text().splitlines(keepends=True)
        if re.match(r"# (\[|\w+ = )", line)
    )
    stock = stock_in(parse(text, path), Library(None))
    assert stock.currency == "EUR"
    assert sorted((s.have_g, s.price_per_kg) for s in stock.shelf.values() if s.price_per_kg) == [
        (4000.0, 2.5)
    ]


@pytest.mark.parametrize(
    "name", [".#x.toml", "._x.toml", "x.toml~", "#x.toml#", ".DS_Store", ".x.toml.k3b9"]
)
def test_what_editors_leave_is_hidden(name: str) -> None:
    assert is_hidden(Path(name))


@pytest.mark.parametrize(
    ("name", "copy"),
    [
        ("x (conflicted copy).toml", True),
        ("x (Ann's conflicted copy 2026-11-02).toml", True),
        ("x.sync-conflict-20261102-101500-ABC.toml", True),
        ("x_conflicted copy.toml", True),
        ("conflict.toml", False),
        ("conflict-blue.toml", False),
        ("x 2.toml", False),
    ],
)
def test_conflict_copies_are_not_glazes(name: str, copy: bool) -> None:
    assert is_conflict_copy(Path(name)) is copy


def test_strays_are_not_read_and_copies_are_named(cofire) -> None:  # type: ignore[no-untyped-def]
    good = "[my-clay]\nnames = ['yard clay']\nformula = 'SiO2'\nsource = 'theoretical'\n"
    cofire.write("materials/mine.toml", good)
    cofire.write("materials/._mine.toml", b"\x00\x05\x16\x07")
    (cofire.folder / "materials" / ".#mine.toml").symlink_to("nobody@nowhere.1")
    cofire.write("materials/mine.toml~", "broken [")
    assert cofire("check").code == 0
    cofire.write("materials/mine (conflicted copy 2026-11-02).toml", good)
    run = cofire("check")
    assert run.code == 2 and "“mine.toml”" in run.out
    assert run.out.count("conflicted") == 1  # and nothing about ids used twice
    assert cofire("formula", "clear-crackle").code == 0


@pytest.mark.parametrize("shipped", SHIPPED, ids=lambda p: p.stem)
@pytest.mark.parametrize("how", [(), ("--semicolons",), ("--tabs",)])
def test_recipe_to_table_to_recipe_is_the_same(
    cofire, monkeypatch: pytest.MonkeyPatch, shipped: Path, how: tuple[str, ...]
) -> None:  # type: ignore[no-untyped-def]
    first = Library(None).recipe(shipped)
    table = cofire("table", shipped.stem, *how).out
    paste(monkeypatch, table)
    run = cofire(
        "read", "-", "--name", first.name, "--surface", first.surface, "--save", "again.toml"
    )
    assert run.code == 0, run.err
    again = Library(None).recipe(cofire.folder / "again.toml")
    assert (again.name, again.surface) == (first.name, first.surface)
    for section in ("base", "additions"):
        was, now = (
            [(p.material.id, p.amount) for p in getattr(r, section)] for r in (first, again)
        )
        assert now == was


def test_a_batch_weighs_what_was_asked(cofire, monkeypatch: pytest.MonkeyPatch) -> None:  # type: ignore[no-untyped-def]
    out = cofire("table", "clear-crackle", "--dry", "2 kg").out
    assert out.splitlines()[0] == "material,amount (g)"
    grams = {n: float(g) for n, g in re.findall(r'^"?([^"\n]+?)"?,([\d.]+)$', out, re.M)}
    assert sum(grams.values()) - grams["bentonite"] == pytest.approx(2000.0, abs=1e-9)
    assert (grams["kaolin"], grams["bentonite"]) == (240.0, 20.0)
    paste(monkeypatch, out)
    data = json.loads(cofire("read", "-", "--json").out)
    assert data["unit"] == "g" and data["additions_total"] == grams["bentonite"]
    run = cofire("table", "clear-crackle", "--dry", "5 g")
    assert run.code == 2 and "bentonite" in run.err and "finer scale" in run.err
    assert "unit" in cofire("table", "clear-crackle", "--dry", "2").err


def test_read_says_what_it_understood(cofire) -> None:  # type: ignore[no-untyped-def]
    cofire.write("t.csv", "Material;Weight (g)\nflint;1.200,5\nkaolin;300\n+ bentonite;15\n")
    run = cofire("read", "t.csv", "--name", "Trial")
    assert run.code == 0
    said = " ".join(run.out.split())
    for words in ("flint", "silica", "1200.5", "base 1500.5", "kaolin-ideal", "+1.0"):
        assert words in said, words
    assert [p.name for p in cofire.folder.glob("*.toml")] == ["studio.toml"]
    cofire.write("t.csv", "flint,70\nkaolin,30\n")
    assert "no flux" in cofire("read", "t.csv").out
    cofire.write("t.csv", "flint,70 %\nkaolin,20 %\n")
    assert "90 %, not 100" in cofire("read", "t.csv").out


def test_read_names_lines_and_near_names(cofire) -> None:  # type: ignore[no-untyped-def]
    cofire.write("t.csv", "kaolim,12\nsilica,30\nflint,4\nunobtainium x,5\n")
    run = cofire("read", "t.csv")
    assert run.code == 2
    for words in ("line 1", "“kaolin”", "line 3", "line 2 already", "line 4", "unobtainium x"):
        assert words in run.err, words


def test_read_saves_only_whole_recipes_and_replaces_nothing(cofire) -> None:  # type: ignore[no-untyped-def]
    cofire.write("t.csv", "kaolin,12.125\nwhiting,30000.25\nsilica,40\n")
    assert "--surface" in cofire("read", "t.csv", "--save", "t.toml").err
    assert cofire("read", "t.csv", "--save", "t.toml", "--surface", "matte").code == 0
    assert '"whiting" = 30000.25' in (cofire.folder / "t.toml").read_text()
    run = cofire("read", "t.csv", "--save", "t.toml", "--surface", "matte")
    assert run.code == 2 and "already" in run.err
    assert "already" in cofire("table", "clear-crackle", "--csv", "t.csv").err
    assert cofire("read", "nowhere.csv").code == 2


def test_set_copies_a_shipped_recipe_and_keeps_both_versions(cofire) -> None:  # type: ignore[no-untyped-def]
    shipped = Path(Library(None).recipe_file("clear-crackle"))
    before = shipped.read_bytes()
    run = cofire("set", "clear-crackle", "kaolin = 10", "+ tin oxide = 5", "--why", "whiter")
    assert run.code == 0, run.err
    assert "came with cofire" in run.out and "12 → 10" in run.out
    assert shipped.read_bytes() == before
    own = cofire.folder / "recipes" / "clear-crackle.toml"
    assert own.read_text() == before.decode().replace("kaolin = 12", "kaolin = 10").replace(
        "bentonite = 1\n", 'bentonite = 1\n"tin oxide" = 5\n'
    )
    assert cofire("history", "clear-crackle", "--at", "1").out == before.decode()
    assert cofire("history", "clear-crackle", "--at", "2").out == own.read_text()
    data = json.loads(cofire("history", "clear-crackle", "--json").out)
    assert [v["why"] for v in data["versions"]][1] == "whiter"
    assert data["now"] is None


def test_history_computes_what_formula_computes(cofire) -> None:  # type: ignore[no-untyped-def]
    cofire("set", "clear-crackle", "silica = 8", "--why", "stiffer")
    data = json.loads(cofire("history", "clear-crackle", "--json").out)
    for version, recipe in zip(data["versions"], ("1.toml", "2.toml"), strict=True):
        cofire("history", "clear-crackle", "--at", version["number"], "--save", recipe)
        alone = json.loads(cofire("formula", recipe, "--json").out)
        assert version["expansion_1e6_per_k"] == pytest.approx(alone["expansion"]["value"])
    first, second = data["versions"]
    assert second["expansion_1e6_per_k"] < first["expansion_1e6_per_k"]  # silica lowers expansion
    assert second["flows_c"] > first["flows_c"]  # and stiffens
    assert [c["what"] for c in second["changes"]] == ["silica"]
    out = cofire("history", "clear-crackle").out
    assert "silica" in out and "“stiffer”" in out


def test_history_shows_what_is_not_kept_and_brings_back_what_is_gone(cofire) -> None:  # type: ignore[no-untyped-def]
    text = 'surface = "gloss"\n[base]\n"frit-3134-type" = 90\nkaolin = 10 # sack\n'
    path = cofire.write("recipes/mine.toml", text)
    assert "none kept" in cofire("history", "mine").out
    assert cofire("keep", "mine", "--why", "first").code == 0
    path.write_text(text.replace("90", "85"))
    out = cofire("history", "mine").out
    assert "not kept yet" in out and "90 → 85" in out
    assert "version 2" in cofire("keep", "mine").out
    assert "Nothing changed" in cofire("keep", "mine").out
    path.unlink()
    assert cofire("history", "mine").code == 0
    assert cofire("history", "mine", "--at", "1", "--save", "recipes/mine.toml").code == 0
    assert path.read_text() == text
    assert cofire("check").code == 0  # the history is a file like others
    assert "from 1 to 2" in cofire("history", "mine", "--at", "3").err
    assert cofire("history", "mine", "--at", "1", "--save", "recipes/mine.toml").code == 2
    assert cofire("history", "never-was").code == 2


def test_a_material_that_is_gone_does_not_hide_the_history(cofire) -> None:  # type: ignore[no-untyped-def]
    own = "[mine]\nnames = ['yard sand']\nformula = 'SiO2'\nsource = 'theoretical'\n"
    material = cofire.write("materials/mine.toml", own)
    text = 'surface = "gloss"\n[base]\n"frit-3134-type" = 90\n"yard sand" = 10\n'
    path = cofire.write("recipes/mine.toml", text)
    cofire("keep", "mine")
    path.write_text(text.replace("yard sand", "silica"))
    cofire("keep", "mine", "--why", "the sand is gone")
    material.unlink()
    data = json.loads(cofire("history", "mine", "--json").out)
    assert [v["expansion_1e6_per_k"] is None for v in data["versions"]] == [True, False]
    assert "yard sand" in data["versions"][0]["trouble"]
    assert "the sand is gone" in cofire("history", "mine").out


SET_WRONG = {
    "kaolin": "not a change",
    "= 3": "not a change",
    "kaolin = much": "not an amount",
    "kaolin = -3": "negative",
    "kaolin = 3 %": "plain parts",
    "kaolin = 1,234": "1.234 or 1234",
    "kaolin = 1.234 g": "1.234 or 1234",
    "kaolin = 12 g": "some are plain parts",
    "kaolinn = 3": "Did you mean",
    "silica = none": "holds no silica",
    "kaolin = 1e-400": "not a usable number",
    "kaolin = 1e99999999999999999999": "not an amount",
    "kaolin = 12.00000000000000001": "more digits",
    "kaolin = 2 lb 3 oz": "some are plain parts",
}


@pytest.mark.parametrize("change", SET_WRONG)
def test_a_change_that_is_wrong_changes_nothing(cofire, change: str) -> None:  # type: ignore[no-untyped-def]
    text = 'surface = "gloss" # s\n[base]\n"frit-3134-type" = 90\nkaolin = 10\n'
    cofire.write("recipes/mine.toml", text)
    before = tree(cofire.folder)
    run = cofire("set", "mine", change)
    assert run.code == 2 and SET_WRONG[change] in run.err, run
    assert tree(cofire.folder) == before
    run = cofire("set", "mine", "kaolin = 11", change)  # nor does half of two
    assert run.code == 2 and tree(cofire.folder) == before


def test_set_finds_a_material_by_any_of_its_names(cofire) -> None:  # type: ignore[no-untyped-def]
    path = cofire.write(
        "recipes/mine.toml",
        'surface = "gloss"\n[base]\n"frit-3134-type" = "90 g"\nflint = "10 g" # f\n[additions]\n'
        'silica = "1 g"\n',
    )
    assert cofire("set", "mine", "quartz = 12,5 g").code == 0
    assert 'flint = "12.5 g" # f\n' in path.read_text()
    assert cofire("set", "mine", "+ flint = 2 g").code == 0
    assert 'silica = "2 g"\n' in path.read_text()
    assert "Nothing changed" in cofire("set", "mine", "+ flint = 2 g").out
    versions = json.loads(cofire("history", "mine", "--json").out)["versions"]
    assert len(versions) == 3


@pytest.mark.parametrize(
    ("said", "written"),
    [
        ("1.234,5 g", "1234.5 g"),
        ("1,234.5 g", "1234.5 g"),
        ("2 lb 3 oz", "992.233309375 g"),  # 35 x 28.349523125
        ("1 234 g", "1234 g"),
        ("0,5 kg", "500 g"),
        ("1.2340 g", "1.2340 g"),
        ("1e2 g", "100 g"),
    ],
)
def test_what_set_understands_it_writes(cofire, said: str, written: str) -> None:  # type: ignore[no-untyped-def]
    text = 'surface = "gloss"\n[base]\n"frit-3134-type" = "90 g"\nkaolin = "10 g" # sack\n'
    path = cofire.write("recipes/mine.toml", text)
    run = cofire("set", "mine", f"kaolin = {said}")
    assert run.code == 0, run.err
    assert path.read_text() == text.replace("10 g", written)


@pytest.mark.parametrize(
    "changes",
    [
        ("kaolin = 12", "kaolin = 13"),
        ("kaolin = 12", "kaolin = none"),
        ("kaolin = none", "kaolin-ideal = 3"),
        ("whiting = 2", "whiting = 3"),
        ("flint = 2", "silica = 3"),
        ("+ tin oxide = 2", "+ tin oxide = none"),
    ],
)
def test_set_takes_no_contradictions(cofire, changes: tuple[str, str]) -> None:  # type: ignore[no-untyped-def]
    text = 'surface = "gloss"\n[base]\n"frit-3134-type" = 90\nkaolin = 10\n'
    text += '[additions]\n"tin oxide" = 5\n'
    cofire.write("recipes/mine.toml", text)
    before = tree(cofire.folder)
    run = cofire("set", "mine", *changes)
    assert run.code == 2 and re.search("given twice|same line|same material", run.err), run
    assert tree(cofire.folder) == before
    assert cofire("set", "mine", "kaolin = 12", "+ kaolin = 1").code == 0  # two lines, no quarrel


@pytest.mark.skipif(sys.platform == "win32", reason="links")
def test_a_link_to_a_recipe_shares_its_history(cofire) -> None:  # type: ignore[no-untyped-def]
    text = 'surface = "gloss"\n[base]\n"frit-3134-type" = 90\nkaolin = 10\n'
    path = cofire.write("recipes/b.toml", text)
    link = cofire.folder / "recipes" / "sl.toml"
    link.symlink_to("b.toml")
    assert cofire("set", "sl", "kaolin = 3").code == 0
    assert cofire("set", "b", "kaolin = 4").code == 0
    assert cofire("keep", "sl").out.startswith("Nothing changed since version 3")
    assert [p.name for p in (path.parent / "history").iterdir()] == ["b.toml"]
    for name in ("sl", "b"):
        versions = json.loads(cofire("history", name, "--json").out)["versions"]
        assert [v["base"]["kaolin"] for v in versions] == [10, 3, 4]
        assert cofire("history", name, "--at", "1").out == text
    assert link.is_symlink()


def test_a_file_in_the_way_of_folders_is_named(cofire) -> None:  # type: ignore[no-untyped-def]
    text = 'surface = "gloss"\n[base]\n"frit-3134-type" = 90\nkaolin = 10\n'
    cofire.write("recipes/mine.toml", text)
    cofire.write("recipes/history", "mine")
    before = tree(cofire.folder)
    for words in (
        ("keep", "mine"),
        ("set", "mine", "kaolin = 3"),
        ("set", "frit-gloss", "kaolin = 3"),
    ):
        run = cofire(*words)
        assert run.code == 2 and "Move or rename" in run.err and "history" in run.err, run
        assert tree(cofire.folder) == before
    for path in (cofire.folder / "recipes").iterdir():
        path.unlink()
    (cofire.folder / "recipes").rmdir()
    cofire.write("recipes", "mine")
    run = cofire("set", "frit-gloss", "kaolin = 3")
    assert run.code == 2 and "recipes: a file has this name" in run.err


def test_set_without_a_studio_says_how_to_begin(bare) -> None:  # type: ignore[no-untyped-def]
    run = bare("set", "clear-crackle", "kaolin = 10")
    assert run.code == 2 and "cofire init" in run.err
    assert "cofire set" in bare("keep", "clear-crackle").err


def test_read_only_folders_and_files(cofire) -> None:  # type: ignore[no-untyped-def]
    text = 'surface = "gloss"\n[base]\n"frit-3134-type" = 90\nkaolin = 10\n'
    path = cofire.write("recipes/mine.toml", text)
    path.chmod(stat.S_IREAD)
    if os.access(path, os.W_OK):
        pytest.skip("nothing is read-only for this user")
    assert "read-only" in cofire("set", "mine", "kaolin = 11").err
    assert path.read_text() == text and not (path.parent / "history").exists()
    path.chmod(0o644)
    (path.parent / "history").mkdir()
    for folder in (path.parent / "history", path.parent):
        folder.chmod(0o500)
    try:
        run = cofire("set", "mine", "kaolin = 11")
        assert run.code == 2 and "cannot be written" in run.err
        assert cofire("init", "recipes/../recipes").code == 2
        assert path.read_text() == text
    finally:
        for folder in (path.parent, path.parent / "history"):
            folder.chmod(0o700)


def test_a_disk_that_fills_between_history_and_recipe_keeps_both_whole(
    cofire, monkeypatch: pytest.MonkeyPatch
) -> None:  # type: ignore[no-untyped-def]
    text = 'surface = "gloss"\n[base]\n"frit-3134-type" = 90\nkaolin = 10\n'
    path = cofire.write("recipes/mine.toml", text)
    real, calls = os.fsync, []

    def fills(handle: int) -> None:
        calls.append(handle)
        if len(calls) == 2:  # the history was written, the recipe is not
            raise OSError(28, "No space left on device")
        real(handle)

    monkeypatch.setattr(os, "fsync", fills)
    run = cofire("set", "mine", "kaolin = 11")
    assert run.code == 2 and "No space left" in run.err
    assert path.read_text() == text
    assert not (path.parent / "history" / "mine.toml").exists()
    monkeypatch.setattr(os, "fsync", real)
    assert cofire("set", "mine", "kaolin = 11").code == 0
    assert len(json.loads(cofire("history", "mine", "--json").out)["versions"]) == 2
