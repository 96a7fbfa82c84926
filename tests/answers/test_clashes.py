"""Two things of one name, and own files in the place of shipped ones: said, not taken silently."""

from __future__ import annotations

from pathlib import Path

import pytest

import cofire
from cofire.files.library import Library

GLAZE = 'name = "{name}"\nsurface = "gloss"\n[base]\n"3110 type frit" = 90\nkaolin = 10\n'
TALC = """[our-talc]
names = ["talc"]
analysis = { SiO2 = 61.2, MgO = 30.9, Al2O3 = 0.9, CaO = 0.6 }
loi = 5.8
source = "invented"
"""


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "studio.toml").write_text("")
    (tmp_path / "recipes").mkdir()
    (tmp_path / "materials").mkdir()
    return tmp_path


def codes(folder: Path) -> list[tuple[str, str]]:
    return [(note.code, note.subject) for note in cofire.Studio(folder).check().notes]


def test_a_name_of_two_recipes_means_neither(folder: Path) -> None:
    for one in ("a", "b"):
        (folder / "recipes" / f"{one}.toml").write_text(GLAZE.format(name="Eel Pond"))
    studio = cofire.Studio(folder)
    with pytest.raises(cofire.CofireError) as refused:
        studio.recipe("eel pond")
    assert "recipes/a.toml" in refused.value.message and "recipes/b.toml" in refused.value.message
    assert studio.recipe("b").id == "b"
    told = codes(folder)
    assert ("one-name", "recipes/a.toml") in told and ("one-name", "recipes/b.toml") in told


def test_files_that_differ_only_in_punctuation_clash(folder: Path) -> None:
    for one in ("eel-pond", "eel_pond"):
        (folder / "recipes" / f"{one}.toml").write_text(GLAZE.format(name=one))
    with pytest.raises(cofire.CofireError, match="several files"):
        cofire.Studio(folder).recipe("eel pond")


def test_a_persons_own_recipe_goes_before_a_shipped_one_of_its_name(folder: Path) -> None:
    shipped = cofire.Studio(folder).recipe("clear-crackle").name
    (folder / "recipes" / "mine.toml").write_text(GLAZE.format(name=shipped))
    assert cofire.Studio(folder).recipe(shipped).id == "mine"


def test_what_is_made_of_a_recipe_that_was_replaced_says_so(folder: Path) -> None:
    assert not [f for f in cofire.Studio(folder).formula("cobalt-gloss").findings
                if f.code == "made-of-yours"]  # fmt: skip
    (folder / "recipes" / "frit-gloss.toml").write_text(GLAZE.format(name="Mine"))
    found = [f for f in cofire.Studio(folder).formula("cobalt-gloss").findings
             if f.code == "made-of-yours"]  # fmt: skip
    assert len(found) == 1
    assert "recipes/frit-gloss.toml" in found[0].message
    notes = cofire.Studio(folder).check("recipes").notes
    assert [(n.code, n.subject) for n in notes] == [("hides-shipped", "recipes/frit-gloss.toml")]
    assert "“cobalt-gloss” is made of it" in notes[0].message


def test_materials_that_hide_others_are_told(folder: Path) -> None:
    (folder / "materials" / "talc.toml").write_text(TALC)
    assert ("hides-name", "materials/talc.toml, line 1") in codes(folder)
    text = TALC.replace("our-talc", "talc-czech") + "overrides = true\n"
    (folder / "materials" / "talc.toml").write_text(text)
    assert ("hides-shipped", "materials/talc.toml, line 1") in codes(folder)


def test_nothing_that_came_with_cofire_clashes() -> None:
    for kind in (("recipes", ""), ("materials", "bodies"), ("recipes", "firings"),
                 ("recipes", "kilns")):  # fmt: skip
        assert all(len(files) == 1 for files in Library(None).names(*kind).values())
