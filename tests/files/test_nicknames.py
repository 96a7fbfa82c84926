"""names.toml: a person's own names for materials."""

from __future__ import annotations

from pathlib import Path

import pytest

import cofire

RECIPE = 'surface = "gloss"\n[base]\nRIO = 10\n"frit-3134-type" = 90\n'


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "studio.toml").write_text("")
    (tmp_path / "recipes").mkdir()
    return tmp_path


def test_a_nickname_stands_wherever_a_material_is_named(folder: Path) -> None:
    (folder / "names.toml").write_text('"RIO" = "red iron oxide" # on the bag\n')
    (folder / "recipes" / "mine.toml").write_text(RECIPE)
    studio = cofire.Studio(folder)
    assert studio.material("rio").material.id == "red-iron-oxide"
    assert studio.recipe("mine").parts[0].material.id == "red-iron-oxide"
    assert studio.check(folder).errors == ()
    assert "red-iron-oxide" in [one.id for one in studio.materials("rio").materials]


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ('"flint" = "talc"', "“flint” is the name of a material already: “silica”"),
        ('"Talc-Ideal" = "silica"', "name of a material already"),
        ('"Rio" = "nonsuch"', "there is no material “nonsuch”"),
        ('"Rio" = "RIO 2"', "there is no material “RIO 2”"),
        ('"R-I-O" = 3', "has no material"),
        ('"rio_2" = "talc"', "stands here twice"),
    ],
)
def test_a_bad_line_is_named(folder: Path, line: str, said: str) -> None:
    (folder / "names.toml").write_text(f'# mine\n"RIO 2" = "red iron oxide"\n{line}\n')
    errors = cofire.Studio(folder).check(folder / "names.toml").errors
    assert len(errors) == 1
    assert said in errors[0].message
    assert errors[0].place is not None and errors[0].place.line == 3
    with pytest.raises(cofire.CofireError, match=r"names\.toml, line 3"):
        cofire.Studio(folder).material("unheard-of")
    assert cofire.Studio(folder).material("talc").material.id == "talc-ideal"  # real names go on


def test_calling_a_material_adds_one_line(folder: Path) -> None:
    before = '# my bags\r\n"RIO" = "red iron oxide" # by the door\r\nY = "yellow iron oxide"'
    (folder / "names.toml").write_bytes(before.encode())
    studio = cofire.Studio(folder)
    with pytest.raises(cofire.CofireError) as refused:
        studio.material("the pink bag")
    assert 'cofire materials call "the pink bag"' in refused.value.hint
    studio.call_material("the pink bag", "RIO")
    text = (folder / "names.toml").read_bytes().decode()
    assert text == before + '\r\n"the pink bag" = "red-iron-oxide"\r\n'
    assert studio.material("The Pink Bag").material.id == "red-iron-oxide"


@pytest.mark.parametrize(
    ("nickname", "name"), [("flint", "talc"), ("RIO", "nonsuch"), ("", "talc"), ("rio", "talc")]
)
def test_a_name_refused_leaves_the_file(folder: Path, nickname: str, name: str) -> None:
    (folder / "names.toml").write_text('"RIO" = "red iron oxide"\n')
    text = (folder / "names.toml").read_text()
    with pytest.raises(cofire.CofireError):
        cofire.Studio(folder).call_material(nickname, name)
    assert (folder / "names.toml").read_text() == text


def test_without_a_studio_no_name_can_be_remembered(tmp_path: Path, monkeypatch) -> None:  # type: ignore[no-untyped-def]
    monkeypatch.chdir(tmp_path)
    with pytest.raises(cofire.CofireError):
        cofire.Studio().call_material("RIO", "red iron oxide")
    with pytest.raises(cofire.CofireError) as refused:
        cofire.Studio().material("mag carb")
    assert refused.value.hint == (
        "Did you mean “magnesium carbonate” or “light magnesium carbonate”?"
    )


def test_a_nickname_said_again_is_not_written_again(folder: Path) -> None:
    studio = cofire.Studio(folder)
    studio.call_material("RIO", "red iron oxide")
    text = (folder / "names.toml").read_text()
    assert studio.call_material("rio", "ferric oxide").nickname == "RIO"
    assert (folder / "names.toml").read_text() == text


def test_a_nickname_is_changed_and_forgotten_on_demand_alone(folder: Path) -> None:
    before = '# mine\r\n"bag 7" = "whiting" # by the door\r\n\r\nRIO = "red iron oxide" # tin\r\n'
    (folder / "names.toml").write_bytes(before.encode())
    studio = cofire.Studio(folder)
    with pytest.raises(cofire.CofireError, match="your name for whiting already"):
        studio.call_material("Bag-7", "silica")
    assert (folder / "names.toml").read_bytes().decode() == before
    studio.call_material("Bag-7", "silica", change=True)
    assert (folder / "names.toml").read_bytes().decode() == before.replace("whiting", "silica")
    assert studio.material("bag 7").material.id == "silica"
    assert [one.nickname for one in studio.nicknames().nicknames] == ["bag 7", "RIO"]
    studio.forget_nickname("bag-7")
    left = before.replace('"bag 7" = "whiting" # by the door\r\n', "")
    assert (folder / "names.toml").read_bytes().decode() == left
    assert cofire.Studio(folder).material("RIO").material.id == "red-iron-oxide"
    with pytest.raises(cofire.CofireError, match="no name of your own"):
        studio.forget_nickname("bag 7")


def test_the_name_of_a_material_is_refused_without_a_line_that_is_not_there(folder: Path) -> None:
    with pytest.raises(cofire.CofireError) as refused:
        cofire.Studio(folder).call_material("kaolin", "silica")
    assert "name of a material already" in refused.value.message
    assert refused.value.place is None
    assert "line" not in refused.value.hint
