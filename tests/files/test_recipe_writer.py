"""A recipe that is written reads back, with all that it says."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from cofire.errors import CofireError
from cofire.files.library import Library
from cofire.files.recipe_writer import recipe_text, write_recipe
from cofire.records import Recipe

LIB = Library()


def said(recipe: Recipe) -> tuple[object, ...]:
    return (
        recipe.name,
        recipe.surface,
        recipe.notes,
        recipe.fluorine_kept,
        dict(recipe.undissolved),
        dict(recipe.crystals),
        [(p.material.id, p.amount) for p in recipe.base],
        [(p.material.id, p.amount) for p in recipe.additions],
    )


@pytest.mark.parametrize("name", [path.stem for path, _ in LIB.files("recipes")])
def test_every_demo_recipe_comes_back(name: str, tmp_path: Path) -> None:
    recipe = LIB.recipe(name)
    path = tmp_path / "written.toml"
    write_recipe(path, recipe, digits=12)
    assert said(LIB.recipe(path)) == said(recipe)


def test_all_that_a_recipe_may_say_comes_back(tmp_path: Path) -> None:
    recipe = replace(
        LIB.recipe("white-crackle"),
        name="Tin “white” \\ 100 %",
        notes='Two\nlines, and a "quote".',
        fluorine_kept=0.35,
        undissolved={"tin-oxide": 62.5},
        crystals={"wollastonite": 4.0},
    )
    path = tmp_path / "written.toml"
    write_recipe(path, recipe)
    assert said(LIB.recipe(path)) == said(recipe)
    assert "notes" in recipe_text(recipe, "said here") and "Two" not in recipe_text(recipe, "mine")


def test_nothing_is_written_over(tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    path.write_text("mine")
    with pytest.raises(CofireError):
        write_recipe(path, LIB.recipe("frit-gloss"))
    with pytest.raises(CofireError):
        write_recipe(tmp_path / "mine.txt", LIB.recipe("frit-gloss"))
    assert [p.name for p in tmp_path.iterdir()] == ["mine.toml"] and path.read_text() == "mine"
