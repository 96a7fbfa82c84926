"""What ``adjust`` says yes to is so: in the recipe it saves, as ``pair`` judges it."""

from __future__ import annotations

from pathlib import Path

import pytest

from cofire.answers.adjust import adjust
from cofire.answers.change.problem import Allowed
from cofire.answers.change.targets import read_wish
from cofire.answers.pair import pair
from cofire.files.library import Library
from cofire.files.recipe_writer import write_recipe
from cofire.model.conditions import Conditions
from cofire.records import Recipe

LIB = Library.open(None)
DAY = Conditions(LIB.body("raku"), LIB.firing("raku-workshop"))


def of_others(folder: Path) -> Recipe:
    """A recipe made of two others, which share silica and kaolin."""
    path = folder / "both.toml"
    path.write_text(
        'name = "Both"\nsurface = "gloss"\n[base]\n"recipe: frit-gloss" = 70\n'
        '"recipe: satin-white" = 30\n',
        encoding="utf-8",
    )
    return LIB.recipe(path)


def test_what_is_left_out_is_out_although_all_else_is_well() -> None:
    kaolin, _ = LIB.material("kaolin")
    glaze = LIB.recipe("frit-gloss")
    answer = adjust(LIB, glaze, [], Conditions(), Allowed(left_out=[kaolin]))
    assert all(kaolin.id not in proposal.base for proposal in answer.proposals)


@pytest.mark.parametrize("wish", ["ripe at 920 C", "expansion 6.5"])
@pytest.mark.parametrize("name", ["white-crackle", "frit-gloss"])
def test_a_yes_is_the_yes_of_pair(name: str, wish: str, tmp_path: Path) -> None:
    glaze = LIB.recipe(name)
    answer = adjust(LIB, glaze, [read_wish(wish, LIB, glaze)], DAY)
    path = tmp_path / "saved.toml"
    write_recipe(path, answer.proposals[0].recipe)
    assert not answer.yes or pair(LIB, [LIB.recipe(path)], DAY).yes


def test_a_recipe_of_recipes_has_each_material_once(tmp_path: Path) -> None:
    both = of_others(tmp_path)
    ids = [p.material.id for p in both.base]
    assert len(ids) == len(set(ids))
    path = tmp_path / "saved.toml"
    write_recipe(path, both)
    again = LIB.recipe(path)
    assert [p.material.id for p in again.base] == ids
    assert [p.amount for p in again.base] == pytest.approx([p.amount for p in both.base], rel=1e-3)


@pytest.mark.parametrize(
    ("wish", "low", "high"),
    [
        ("expansion at least 6", 6.0, 99.0),
        ("expansion 6 to 6.2", 6.0, 6.2),
        ("expansion at most 5", 0.0, 5.0),
    ],
)
def test_an_end_is_an_end(wish: str, low: float, high: float) -> None:
    glaze = LIB.recipe("frit-gloss")
    answer = adjust(LIB, glaze, [read_wish(wish, LIB, glaze)], Conditions())
    best = answer.proposals[0]
    met = next(m for m in best.wishes if m.wish.text == wish)
    assert met.met == (low <= met.value <= high)
    assert met.met


def test_what_is_no_glaze_comes_last() -> None:
    """Alumina hydrate alone expands little, but melts to nothing."""
    glaze = LIB.recipe("does-not-work")
    answer = adjust(LIB, glaze, [read_wish("expansion 2", LIB, glaze)], DAY)
    glazes = [proposal.seen is not None for proposal in answer.proposals]
    assert glazes == sorted(glazes, reverse=True)
