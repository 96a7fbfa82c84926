"""Names, places and small files: what each rule says, from both sides."""

from __future__ import annotations

import os
import tomllib
from pathlib import Path

import pytest

from cofire.errors import CofireError
from cofire.files import read_cautions
from cofire.files.edits import locked, make_folder, must_be_writable, rewrite, with_amount
from cofire.files.ignored_files import is_hidden, is_stray, original_of
from cofire.files.materials import cautions_of
from cofire.files.new_names import checked_name, flaw, flaws, refuse_flawed, twin
from cofire.files.places import expanded, find_studio, looks_like_path, toml_files
from cofire.findings import Finding

# names


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("clear.toml", ""),
        ("a" * 195 + ".toml", ""),
        ("a" * 196 + ".toml", "it has 201 bytes; 200 are safe everywhere"),
        ("é" * 100, ""),
        ("é" * 100 + "a", "it has 201 bytes; 200 are safe everywhere"),
        ("a:b", "Windows has no “:” in names"),
        ("a?.toml", "Windows has no “?” in names"),
        ("clear.", "Windows drops the “.” at its end"),
        ("clear ", "it ends in a blank"),
        ("CON.toml", "Windows keeps “CON” for a device"),
        ("lpt9", "Windows keeps “lpt9” for a device"),
        ("com1 .tar.gz", "Windows keeps “com1” for a device"),
        ("com0", ""),
        ("console.toml", ""),
        ("red.con", ""),
    ],
)
def test_names_that_every_system_can_hold(name: str, says: str) -> None:
    assert flaw(name) == says


def test_a_new_name_has_no_blanks_around_it() -> None:
    assert checked_name("  Tide   pool ") == "Tide pool"
    for name in ("", "   ", "a\u202eb", "sp\u0430r"):
        with pytest.raises(CofireError):
            checked_name(name)


def test_twins_differ_by_case_or_by_how_accents_are_stored(tmp_path: Path) -> None:
    (tmp_path / "Tide.toml").touch()
    (tmp_path / "e\u0301.toml").touch()
    assert twin(tmp_path / "tide.toml") == "Tide.toml"
    assert twin(tmp_path / "é.toml") == "e\u0301.toml"
    assert twin(tmp_path / "Tide.toml") == twin(tmp_path / "tides.toml") == ""
    assert twin(tmp_path / "none" / "x.toml") == ""
    with pytest.raises(CofireError):
        refuse_flawed(tmp_path / "tide.toml")
    refuse_flawed(tmp_path / "Tide.toml")  # it is there, and keeps its name
    refuse_flawed(tmp_path / "tides.toml")
    (tmp_path / "tide.toml").touch()
    assert list(flaws(tmp_path / "tide.toml")) == [
        "“Tide.toml” beside it differs only by case, or by how accents are stored"
    ]
    assert list(flaws(tmp_path / "con")) == ["Windows keeps “con” for a device"]


@pytest.mark.parametrize(
    ("name", "hidden"),
    [(".x.toml", True), ("#x.toml#", True), ("x.toml~", True), ("#x", True), ("x#", True),
     ("x.toml", False), ("x~.toml", False)],
)  # fmt: skip
def test_files_of_editors(name: str, hidden: bool) -> None:
    assert is_hidden(Path(name)) is is_stray(Path(name)) is hidden


def test_a_conflict_copy_belongs_to_the_longest_name_it_begins_with(tmp_path: Path) -> None:
    copy = tmp_path / "clear blue (conflicted copy).toml"
    for name in ("clear.toml", "clear blue.toml", "blue.toml", copy.name):
        (tmp_path / name).touch()
    assert original_of(copy) == tmp_path / "clear blue.toml"
    (tmp_path / "clear blue.toml").unlink()
    assert original_of(copy) == tmp_path / "clear.toml"
    (tmp_path / "clear.toml").unlink()
    assert original_of(copy) is None


# places


@pytest.mark.parametrize(
    ("text", "is_path"),
    [("mine", False), ("mine.toml", True), (f"a{os.sep}b", True), (".", True), ("~", True),
     ("toml", False), ("a.b", False)],
)  # fmt: skip
def test_what_looks_like_a_path(text: str, is_path: bool) -> None:
    assert looks_like_path(text) is is_path


@pytest.mark.parametrize(("letters", "fine"), [(255, True), (256, False)])
def test_names_of_files_have_255_bytes_at_most(letters: int, fine: bool) -> None:
    path = Path("a") / ("b" * letters)
    if fine:
        assert expanded(path) == path
    else:
        with pytest.raises(CofireError):
            expanded(path)


@pytest.mark.parametrize("path", ["a\0b", "half a \ud800", "~nobody-of-that-name/x"])
def test_what_no_system_can_hold(path: str) -> None:
    with pytest.raises(CofireError):
        expanded(path)


def test_a_studio_is_found_from_any_folder_in_it(tmp_path: Path) -> None:
    inner = tmp_path / "yard" / "recipes" / "old"
    inner.mkdir(parents=True)
    assert find_studio(inner) is None
    (tmp_path / "yard" / "studio.toml").touch()
    assert find_studio(inner) == find_studio(tmp_path / "yard") == tmp_path / "yard"
    assert find_studio(tmp_path) is None
    (inner / "studio.toml").mkdir()  # a folder is no mark
    assert find_studio(inner) == tmp_path / "yard"


def test_toml_files_in_order(tmp_path: Path) -> None:
    for name in ("b.toml", "a.toml", "c.txt", "toml"):
        (tmp_path / name).touch()
    assert [p.name for p in toml_files(tmp_path)] == ["a.toml", "b.toml"]
    assert toml_files(tmp_path / "none") == toml_files(tmp_path / "a.toml") == []


# cautions that were read


@pytest.mark.parametrize(
    ("text", "read"),
    [
        ("# a b\nlead galena\n", {("lead", "galena")}),
        ("lead\nlead galena of mine\nlead galena", {("lead", "galena")}),
        ("#lead galena\n\n", set()),
    ],
)
def test_a_line_of_two_words_is_a_caution_that_was_read(
    tmp_path: Path, text: str, read: set[tuple[str, str]]
) -> None:
    (tmp_path / read_cautions.NAME).write_text(text)
    assert read_cautions.read_cautions(tmp_path) == read


def test_lines_are_added_below_whole_ones(tmp_path: Path) -> None:
    (tmp_path / read_cautions.NAME).write_text("# mine")
    found = Finding("lead", "danger", "Lead.", act="mixing", materials=("b", "a"))
    read_cautions.keep_as_read(tmp_path, [found])
    assert (tmp_path / read_cautions.NAME).read_text() == "# mine\nlead a\nlead b\n"
    before = (tmp_path / read_cautions.NAME).stat()
    read_cautions.keep_as_read(tmp_path, [found])  # nothing is new
    assert (tmp_path / read_cautions.NAME).stat().st_mtime_ns == before.st_mtime_ns


@pytest.mark.parametrize(("size", "read"), [(1_000_000, 1), (1_000_001, 0)])
def test_a_list_of_more_than_a_megabyte_is_not_ours(tmp_path: Path, size: int, read: int) -> None:
    (tmp_path / read_cautions.NAME).write_text("a b\n".ljust(size, "\n"))
    assert len(read_cautions.read_cautions(tmp_path)) == read


# files that a person wrote

TEXT = '# mine\nname = "x"\n\n[base] # by weight\n  silica = 20 # fine\n  kaolin = 5\n'
PATH = Path("x.toml")


@pytest.mark.parametrize(
    ("section", "key", "amount", "was", "now"),
    [
        ("base", "silica", "21.5", "silica = 20 # fine", "silica = 21.5 # fine"),
        ("base", "kaolin", None, "  kaolin = 5\n", ""),
        # a new line below the last, with its indent
        ("base", "tin oxide", "3", "kaolin = 5\n", 'kaolin = 5\n  "tin oxide" = 3\n'),
        ("additions", "zircon", "3", "kaolin = 5\n",
         "kaolin = 5\n\n[additions] # on top, in the same parts\nzircon = 3\n"),
    ],
)  # fmt: skip
@pytest.mark.parametrize("mark", ["", "\ufeff"])
@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_one_amount_moves_and_every_other_byte_stays(
    section: str, key: str, amount: str | None, was: str, now: str, mark: str, end: str
) -> None:
    text = mark + TEXT.replace("\n", end)
    made = with_amount(text, PATH, section, key, amount)
    assert made == mark + TEXT.replace(was, now).replace("\n", end)
    assert tomllib.loads(made.removeprefix("\ufeff"))["name"] == "x"


def test_a_last_line_without_its_end_gets_one() -> None:
    assert with_amount("[base]\nsilica = 1", PATH, "base", "kaolin", "2") == (
        "[base]\nsilica = 1\nkaolin = 2\n"
    )
    assert with_amount("", PATH, "base", "kaolin", "2").endswith("\nkaolin = 2\n")


def test_an_empty_table_gets_its_first_line_below_its_heading() -> None:
    text = "[base]\nsilica = 1\n\n[additions] # none\n\n[other]\n"
    assert with_amount(text, PATH, "additions", "tin", "2") == text.replace(
        "# none\n", "# none\ntin = 2\n"
    )


def test_what_changed_meanwhile_is_not_written_over(tmp_path: Path) -> None:
    path = tmp_path / "x.toml"
    rewrite(path, None, "one\n")
    assert path.read_text() == "one\n"
    rewrite(path, "one\n", "two\r\n")
    assert path.read_bytes() == b"two\r\n"
    for was in (None, "one\n"):
        with pytest.raises(CofireError):
            rewrite(path, was, "three\n")
    with pytest.raises(CofireError):
        rewrite(tmp_path / "new.toml", "one\n", "three\n")
    assert path.read_bytes() == b"two\r\n" and len(list(tmp_path.iterdir())) == 1


def test_a_file_that_its_owner_locked(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "x.toml"
    must_be_writable(path)  # none is there
    path.touch()
    must_be_writable(path)
    monkeypatch.setattr(os, "access", lambda *_: False)
    must_be_writable(tmp_path / "other.toml")
    with pytest.raises(CofireError):
        must_be_writable(path)


def test_folders_are_made_unless_a_file_is_in_the_way(tmp_path: Path) -> None:
    make_folder(tmp_path / "new")
    make_folder(tmp_path / "new")
    assert (tmp_path / "new").is_dir()
    (tmp_path / "file").touch()
    for path in (tmp_path / "file", tmp_path / "none" / "new"):
        with pytest.raises(CofireError):
            make_folder(path)


def test_of_two_writers_one_waits_and_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("cofire.files.edits._PATIENCE_S", 0.05)
    with locked(tmp_path):
        with pytest.raises(CofireError), locked(tmp_path):
            pass
        with locked(tmp_path.parent):  # another folder is free
            pass
    with locked(tmp_path):
        pass
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("dissolves", "glass", "code"),
    [("yes", False, "borate"), ("partly", False, "borate-mineral"), ("yes", True, None),
     ("no", False, None)],
)  # fmt: skip
def test_boron_that_dissolves_is_a_danger_to_the_unborn(
    dissolves: str, glass: bool, code: str | None
) -> None:
    codes = cautions_of({"B2O3": 50.0}, dissolves, glass=glass)
    assert [one for one in codes if one.startswith("borate")] == ([code] if code else [])
