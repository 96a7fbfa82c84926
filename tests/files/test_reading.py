"""Bad input: one clear sentence with file and line and what to do, never a traceback."""

from __future__ import annotations

from pathlib import Path

import pytest

from cofire.errors import CofireError, Problems
from cofire.files.library import Library

GOOD = 'surface = "gloss"\n[base]\n"calcium borate frit, 3134 type" = 90\nkaolin = 10\n'


@pytest.fixture(scope="module")
def library() -> Library:
    return Library(None)


def complaint(library: Library, tmp_path: Path, text: str | bytes) -> str:
    path = tmp_path / "glaze.toml"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    with pytest.raises(CofireError) as caught:
        library.recipe(path)
    return str(caught.value)


BAD = {
    "unknown material": (GOOD + "kaolim = 3\n", 5, "Did you mean", "kaolin"),
    "negative": (GOOD + "silica = -3\n", 5, "negative", "silica"),
    "text for a number": (GOOD + 'silica = "lots"\n', 5, "not an amount", "silica"),
    "true for a number": (GOOD + "silica = true\n", 5, "should be a number", "silica"),
    "infinite": (GOOD + "silica = inf\n", 5, "not a usable number", "silica"),
    "not a number": (GOOD + "silica = nan\n", 5, "not a usable number", "silica"),
    "wrong unit": (GOOD + 'silica = "3 °C"\n', 5, "not a unit of weight", "120 g"),
    "weights and parts mixed": (GOOD + 'silica = "3 g"\n', 2, "some are plain parts", "unit"),
    "the same key twice": (GOOD + "kaolin = 3\n", 5, "written twice", "added together"),
    "two names of one material": (GOOD + "flint = 3\nquartz = 3\n", 6, "same material", "flint"),
    "nothing in it": ('surface = "gloss"\n[base]\nkaolin = 0\n', 2, "adds up to nothing", "above"),
    "no base": ('surface = "gloss"\n', None, "no [base]", "Add"),
    "no surface": ("[base]\nkaolin = 1\n", None, "no “surface”", "Add"),
    "unknown surface": (GOOD.replace("gloss", "shiny"), 1, "cannot be “shiny”", "crackle"),
    "unknown key": ('colour = "red"\n' + GOOD, 1, "unknown key “colour”", "Known here"),
    "decimal comma": (GOOD + "silica = 3,5\n", 5, "cannot be read here", "point"),
    "unclosed quote": (GOOD + '"silica = 3\n', 5, "cannot be read here", "quotes"),
    "wrong encoding": (GOOD.encode() + b"# gr\xfcn\n", 5, "not UTF-8", "UTF-8"),
    "UTF-16": (GOOD.encode("utf-16"), None, "UTF-16", "UTF-8"),
    "empty": ("  \n\n", None, "empty", ""),
}


@pytest.mark.parametrize("case", BAD)
def test_bad_recipes_say_where_and_what_to_write(
    library: Library, tmp_path: Path, case: str
) -> None:
    text, line, *words = BAD[case]
    said = complaint(library, tmp_path, text)
    assert "glaze.toml" in said
    if line:
        assert f"line {line}:" in said, said
    for word in words:
        assert word in said


def test_every_bad_line_is_named_at_once(library: Library, tmp_path: Path) -> None:
    path = tmp_path / "glaze.toml"
    path.write_text(GOOD + "kaolim = 3\nsilica = -1\n[additions]\ntinn = 4\n")
    with pytest.raises(Problems) as caught:
        library.recipe(path)
    assert [e.place.line for e in caught.value.errors if e.place] == [5, 6, 8]


def test_a_huge_file_is_refused_before_it_is_read(library: Library, tmp_path: Path) -> None:
    path = tmp_path / "glaze.toml"
    with path.open("wb") as out:
        out.truncate(200_000_000)
    with pytest.raises(CofireError, match="more than 4 MB"):
        library.recipe(path)


@pytest.mark.skipif(not Path("/dev/zero").exists(), reason="no file without an end here")
def test_a_file_without_an_end_is_refused(library: Library) -> None:
    with pytest.raises(CofireError, match="pipe or a device"):
        library.recipe(Path("/dev/zero"))


def test_missing_files_and_folders_are_told(library: Library, tmp_path: Path) -> None:
    with pytest.raises(CofireError, match="no file"):
        library.recipe(tmp_path / "none.toml")
    with pytest.raises(CofireError, match="folder"):
        library.recipe(tmp_path)
    with pytest.raises(CofireError, match="Did you mean “clear-crackle”"):
        library.recipe("cleer-crackle")


def test_recipes_may_build_on_each_other_but_not_in_a_circle(tmp_path: Path) -> None:
    (tmp_path / "studio.toml").touch()
    book = tmp_path / "recipes"
    book.mkdir()
    (book / "one.toml").write_text('surface = "gloss"\n[base]\n"recipe: two" = 100\n')
    (book / "two.toml").write_text('surface = "gloss"\n[base]\n"recipe: one" = 100\n')
    with pytest.raises(CofireError, match=r"circle: one → two → one"):
        Library(tmp_path).recipe("one")
    (book / "two.toml").write_text(GOOD)
    recipe = Library(tmp_path).recipe("one")
    assert [(p.amount, p.material.id) for p in recipe.parts][1][0] == pytest.approx(10.0)


def test_a_studio_comes_first_and_must_say_when_it_overrides(tmp_path: Path) -> None:
    (tmp_path / "studio.toml").touch()
    mine = tmp_path / "materials"
    mine.mkdir()
    file = mine / "mine.toml"
    known = next(iter(Library(None).materials))
    text = f'[{known}]\nnames = ["mine"]\nformula = "SiO2"\nsource = "theoretical"\n'
    file.write_text(text)
    with pytest.raises(CofireError, match=r"line 1: .*also the id of a shipped material"):
        _ = Library(tmp_path).materials
    file.write_text(text + "overrides = true\n")
    assert Library(tmp_path).materials[known].own


BAD_MATERIALS = {
    "sums to 140": ("analysis = { SiO2 = 100, Al2O3 = 38 }\nloi = 2", "140.0 %"),
    "formula that does not parse": ('formula = "Si2O("', "cannot be read"),
    "element of unknown fate": ('formula = "UO2"', "holds U"),
    "nothing left": ('formula = "H2O"', "nothing of"),
    "unknown oxide": ("analysis = { SiO3 = 100 }\nloi = 0", "Did you mean “SiO2”"),
    "neither": ("note = 'x'", "neither a formula nor an analysis"),
    "negative oxide": ("analysis = { SiO2 = -5 }\nloi = 105", "cannot"),
    # a certificate seen in the trade printed Bi2O3 80.1 % and a loss of 0.1 %
    "oxides and loss cannot both be true": ("analysis = { Bi2O3 = 80.1 }\nloi = 0.1", "80.2 %"),
    "formula and analysis disagree": (
        'formula = "CaCO3"\nanalysis = { CaO = 30.4, MgO = 21.9 }\nloi = 47.7',
        "disagree",
    ),
}


@pytest.mark.parametrize("case", BAD_MATERIALS)
def test_bad_materials_are_refused_with_reason(tmp_path: Path, case: str) -> None:
    body, words = BAD_MATERIALS[case]
    (tmp_path / "materials").mkdir()
    file = tmp_path / "materials" / "mine.toml"
    file.write_text(f'[odd-stuff]\nnames = ["odd stuff"]\nsource = "test"\n{body}\n')
    with pytest.raises(CofireError) as caught:
        _ = Library(tmp_path).materials
    assert words in str(caught.value)
    assert "mine.toml, line" in str(caught.value)
