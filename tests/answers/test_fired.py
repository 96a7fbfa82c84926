"""Records of what came out of the kiln: written whole, never lost, and learned from."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

RECIPE = 'name = "Mine"\nsurface = "gloss"\n\n[base]\n"frit-3134-type" = 90\nkaolin = 10\n'
BUCKET = 'name = "Reed clear"\nsurface = "gloss"\nripe = "cone 06"\n'
SAID = ("--clay", "yard-raku", "--coat", "3 brushed", "--result", "crazed 4 mm after 2 weeks")


@pytest.fixture
def mine(cofire: Any) -> Path:
    cofire.write("recipes/mine.toml", RECIPE)
    return Path(cofire.folder / "recipes" / "fired" / "mine.toml")


def test_a_record_is_written_beside_the_recipe(cofire: Any, mine: Path) -> None:
    run = cofire("fired", "mine", *SAID, "--words", "“fine” net\tü", "--json")
    assert run.code == 2  # a tab is no plain letter
    assert not mine.exists()
    run = cofire("fired", "mine", *SAID, "--words", "“fine” net, ü\\", "--json")
    assert run.code == 0
    new = json.loads(run.out)["new"]
    assert (new["seen"], new["spacing_mm"]) == ("crazed", 4.0)
    assert new["years"] == pytest.approx(14.0 / 365.25)
    text = mine.read_text("utf-8")
    for line in (
        'clay = "yard-raku"',
        'coat = "3 brushed"',
        'result = "crazed 4 mm after 2 weeks"',
    ):
        assert line in text
    again = json.loads(cofire("fired", "mine", "--json").out)
    assert again["new"] is None
    assert again["fired"][0]["words"] == "“fine” net, ü\\"


def test_nothing_above_a_new_record_changes(cofire: Any, mine: Path) -> None:
    cofire("fired", "mine", *SAID)
    by_hand = mine.read_text("utf-8") + "# my own remark\n"
    mine.write_bytes(by_hand.replace("\n", "\r\n").encode())
    was = mine.read_bytes()
    assert cofire("fired", "mine", "--words", "another").code == 0
    assert mine.read_bytes().startswith(was)
    assert len(json.loads(cofire("fired", "mine", "--json").out)["fired"]) == 2


def test_a_damaged_file_is_refused_and_left_alone(cofire: Any, mine: Path) -> None:
    cofire("fired", "mine", *SAID)
    for wrong, says in (
        ("crazed 4 mm", "pretty"), ("when = ", "when_ = "), ('"3 brushed"', '"3"'), ("[[", "[[[")
    ):  # fmt: skip
        whole = mine.read_text("utf-8")
        mine.write_text(whole.replace(wrong, says), "utf-8")
        damaged = mine.read_bytes()
        run = cofire("fired", "mine", "--words", "another")
        assert run.code == 2 and "mine.toml" in run.err
        assert cofire("check").code == 2
        assert mine.read_bytes() == damaged
        mine.write_text(whole, "utf-8")


@pytest.mark.parametrize(
    ("asked", "says"),
    [
        (("--result", "whole"), "without the clay and the coat"),
        ((*SAID, "--clay", "yard-raku"), "given twice"),
        (("--clay", "nowhere"), "no body"),
        (("--coat", "3"), "coat"),
        (("--clay", "raku", "--coat", "1 dip", "--result", "nice"), "can be seen"),
        (("--pull", "pot 1"), "of which firing"),
        (("--pull", "pot 99", "--firing", "raku-workshop"), "has no pull"),
        (("--photo", "not-there.jpg"), "no such file"),
        (("--wall", "6"), "unit"),
        (("--wall", "0 mm"), "0.5 to 60 mm"),
        (("--wall", "2 mm", "--coat", "3 mm fired"), "thicker"),
        (("--cooling", "in the sea"), "not a way to cool"),
        ((*SAID[:-1], "black 4 mm"), "only on ware that is pulled hot"),
    ],
)
def test_what_cannot_be_is_refused(
    cofire: Any, mine: Path, asked: tuple[str, ...], says: str
) -> None:
    run = cofire("fired", "mine", *asked)
    assert run.code == 2
    assert says in " ".join(run.err.split())
    assert not mine.exists()


def test_a_photo_is_kept_by_its_name(cofire: Any, mine: Path) -> None:
    cofire.write("photos/a b.jpg", b"\xff\xd8")
    run = cofire("fired", "mine", "--photo", "photos/a b.jpg", "--pull", "pot 2",
                 "--firing", "raku-workshop", "--json")  # fmt: skip
    assert json.loads(run.out)["new"]["photo"] == "../photos/a b.jpg"
    assert json.loads(run.out)["new"]["pull"] == "pot 2"


def test_tile_learns_from_records(cofire: Any, mine: Path) -> None:
    assert cofire("tile", "--body", "yard-raku", "--fired").code == 2
    cofire("fired", "clear-crackle", *SAID)
    cofire("fired", "mine", "--clay", "yard-raku", "--coat", "3 brushed", "--result", "whole")
    cofire("fired", "mine", "--clay", "raku", "--coat", "3 brushed", "--result", "whole")
    told = json.loads(cofire("tile", "--body", "yard-raku", "--fired", "--json").out)
    typed = json.loads(cofire(
        "tile", "--body", "yard-raku", "--json", "mine, 3 brushed, whole",
        "clear-crackle, 3 brushed, crazed 4 mm after 2 weeks",
    ).out)  # fmt: skip
    assert told["records"] == 2 and typed["records"] == 0
    for one, end in ((one, end) for one in ("alpha_body_from_tiles",) for end in ("low", "high")):
        assert told[one][end] == pytest.approx(typed[one][end], abs=0.15)


def test_each_record_has_its_own_firing(cofire: Any, mine: Path) -> None:
    pulled = (*SAID[:-1], "black 9 mm", "--firing", "raku-workshop", "--shape", "tile")
    assert cofire("fired", "mine", *pulled).code == 0
    assert cofire("tile", "--body", "yard-raku", "--fired").code == 0
    # typed without a firing the same is refused: nothing says when it met smoke
    assert cofire("tile", "mine, 3 brushed, black 9 mm", "--body", "yard-raku").code == 2


def test_a_record_by_hand_that_cannot_be_is_named(cofire: Any, mine: Path) -> None:
    cofire("fired", "mine", *SAID)
    text = mine.read_text("utf-8")
    mine.write_text(text.replace(SAID[-1], "black 4 mm"), "utf-8")
    run = cofire("tile", "--body", "yard-raku", "--fired")
    assert run.code == 2 and "mine.toml, line" in " ".join(run.err.split())


def test_a_recipe_changed_since_is_taken_as_it_was(cofire: Any, mine: Path) -> None:
    cofire("fired", "mine", *SAID)
    before = json.loads(cofire("tile", "--body", "yard-raku", "--fired", "--json").out)
    cofire("set", "mine", "kaolin = 30", "--why", "stiffer")  # keeps what it was
    after = json.loads(cofire("tile", "--body", "yard-raku", "--fired", "--json").out)
    assert after["alpha_body_from_tiles"] == before["alpha_body_from_tiles"]
    assert after["left_out"] == []
    cofire.write("recipes/mine.toml", RECIPE.replace("= 10", "= 25"))
    cofire("fired", "mine", *SAID)
    cofire.write("recipes/mine.toml", RECIPE.replace("= 10", "= 26"))  # nobody kept it
    lost = json.loads(cofire("tile", "--body", "yard-raku", "--fired", "--json").out)
    assert lost["left_out"] == ["mine 2"] and lost["records"] == 1


def test_a_bought_glaze_is_known_better_for_it(cofire: Any) -> None:
    cofire.write("recipes/bought/reed.toml", BUCKET)
    before = cofire("fit", "reed", "--body", "raku", "--json")
    assert cofire("fired", "reed", *SAID[:-1], "whole").code == 0
    after = cofire("fit", "reed", "--body", "raku", "--json")
    low, high = (json.loads(run.out)["alpha_glaze"]["high"] for run in (after, before))
    assert low < high - 0.5
    assert (cofire.folder / "recipes/bought/fired/reed.toml").is_file()


def test_export_and_import_carry_records_and_buckets(cofire: Any, tmp_path: Path) -> None:
    cofire.write("recipes/mine.toml", RECIPE)
    cofire.write("recipes/bought/reed.toml", BUCKET + 'tiles = ["raku, 1 dip, whole"]\n')
    cofire("fired", "mine", *SAID, "--words", 'she said “so”, \\ and "so"')
    cofire("fired", "mine", "--words", "second")
    cofire("fired", "reed", *SAID)
    names = ("mine.toml", "bought/reed.toml", "fired/mine.toml", "bought/fired/reed.toml")
    files = [cofire.folder / "recipes" / name for name in names]
    assert cofire("export", "all.json").code == 0
    assert cofire("export", "sheets").code == 0
    for source in ("all.json", "sheets"):
        for file in files:
            file.unlink()
        assert cofire("import", source).code == 0
        assert all(file.is_file() for file in files)
        assert cofire("export", f"{source}-again.json").code == 0
        first, again = (
            json.loads((cofire.folder / name).read_text("utf-8"))
            for name in ("all.json", f"{source}-again.json")
        )
        assert first == again
        assert cofire("import", source).code == 0  # all of it is here already


def test_other_records_of_that_name_are_not_overwritten(cofire: Any, mine: Path) -> None:
    cofire("fired", "mine", *SAID)
    cofire("export", "all.json")
    cofire("fired", "mine", "--words", "later")
    was = mine.read_bytes()
    assert cofire("import", "all.json").code == 1
    assert mine.read_bytes() == was


def test_a_recipe_outside_any_studio_is_refused(cofire: Any, tmp_path: Path) -> None:
    (tmp_path / "studio.toml").unlink()
    cofire.write("recipes/mine.toml", RECIPE)
    run = cofire("fired", "recipes/mine.toml", *SAID)
    assert run.code == 2
    assert not (cofire.folder / "recipes/fired").exists()
