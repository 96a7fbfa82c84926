"""Files of glazes bought ready-made, and what can be asked of them."""

from __future__ import annotations

import json
from typing import Any

import pytest

from cofire.errors import CofireError
from cofire.files.bought import Bought
from cofire.files.library import Library

LIB = Library()
SAID = {"name": "Reed clear", "surface": "gloss", "ripe": "cone 06 to 04"}
FILE = """\
name = "Reed clear" # from a bucket
surface = "gloss"
ripe = "cone 06 to 04"
tiles = ["yard-raku, 3 brushed, crazed 4 mm after 2 weeks"]
"""


def test_a_bucket_is_read() -> None:
    glaze = LIB.glaze({**SAID, "tiles": ["yard-raku, 0.2 mm fired, black 9 mm after 2 weeks"]})
    assert isinstance(glaze, Bought)
    assert (glaze.name, glaze.surface, glaze.ripe) == ("Reed clear", "gloss", ("06", "04"))
    (tile,) = glaze.tiles
    assert tile.body.id == "yard-raku"
    assert (tile.coat.fired_mm, tile.seen.seen, tile.seen.spacing_mm) == (0.2, "black", 9.0)
    assert tile.seen.years == pytest.approx(14.0 / 365.25)


@pytest.mark.parametrize(
    ("ripe", "read"),
    [
        ("cone 06", ("06", "06")),
        ("^05.5 – 04", ("05.5", "04")),
        ("1000 C to 1060 C", (1000.0, 1060.0)),
        ("1832 F", (1000.0, 1000.0)),
    ],
)
def test_where_it_ripens(ripe: str, read: tuple[object, object]) -> None:
    glaze = LIB.glaze({**SAID, "ripe": ripe})
    assert isinstance(glaze, Bought)
    assert glaze.ripe == read


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"ripe": "06"}, "not where it ripens"),
        ({"ripe": "1000"}, "not where it ripens"),
        ({"ripe": "1060 C to 1000 C"}, "high to low"),
        ({"ripe": "cone 06 to 05 to 04"}, "not where it ripens"),
        ({"surface": "shiny"}, "surface"),
        ({"recipe": "secret"}, "unknown key"),
        ({"tiles": ["yard-raku, crazed"]}, "not a tile"),
        ({"tiles": ["yard-raku, 3 brushed, pretty"]}, "can be seen"),
        ({"tiles": ["yard-raku, 3 brushed, whole 4 mm"]}, "can be seen"),
        ({"tiles": ["yard-raku, 3 brushed, crazed 4 mm after lunch"]}, "can be seen"),
        ({"tiles": ["nowhere, 3 brushed, whole"]}, "no body"),
        ({"tiles": ["raku, 3 brushed, whole"] * 21}, "too many"),
    ],
)
def test_what_is_wrong_is_said(change: dict[str, Any], says: str) -> None:
    with pytest.raises(CofireError, match=says):
        LIB.glaze({**SAID, **change})


def test_fit_pair_and_firing_answer(cofire) -> None:  # type: ignore[no-untyped-def]
    cofire.write("recipes/bought/reed.toml", FILE)
    assert cofire("check").code == 0
    run = cofire("fit", "reed", "--body", "yard-raku", "--more")
    assert run.code == 1 and "By its bucket and one tile" in " ".join(run.out.split())
    run = cofire("pair", "Reed clear", "clear-crackle", "--firing", "earthenware-cone-04", "--json")
    codes = [one["code"] for one in json.loads(run.out)["findings"]]
    assert "bought-overlap" in codes and "bought-safety" in codes
    assert json.loads(run.out)["overlaps"] == []
    run = cofire("firing", "earthenware-cone-04", "reed", "--json")
    assert json.loads(run.out)["glazes"][0]["name"] == "Reed clear"
    assert "bought ready-made" in cofire("recipes").out


@pytest.mark.parametrize(
    "asked",
    [
        "formula reed", "batch reed --dry 1kg", "adjust reed --want ripe",
        "blend reed clear-crackle --steps 2", "shake reed --body raku", "table reed",
        "map reed --across kaolin --up silica", "swap reed kaolin", "set reed kaolin=3",
    ],
)  # fmt: skip
def test_what_needs_a_recipe_is_refused(cofire, asked: str) -> None:  # type: ignore[no-untyped-def]
    path = cofire.write("recipes/bought/reed.toml", FILE)
    run = cofire(*asked.split())
    assert run.code == 2
    assert "bought ready-made" in run.err
    assert path.read_text("utf-8") == FILE


def test_a_recipe_of_the_same_name_comes_first() -> None:
    assert LIB.glaze("clear-crackle").known
    assert not LIB.glaze("salt-marsh-clear").known


def test_a_bad_bucket_is_found_by_check(cofire) -> None:  # type: ignore[no-untyped-def]
    cofire.write("recipes/bought/reed.toml", FILE.replace("cone 06 to 04", "cone 99"))
    run = cofire("check")
    assert run.code == 2 and "reed.toml" in run.err + run.out
