"""A recipe as a file that people edit further."""

from __future__ import annotations

import json
from collections.abc import Iterable
from pathlib import Path

from cofire.errors import DataFileError, Place
from cofire.files.whole import writing
from cofire.records import Part, Recipe


def recipe_text(recipe: Recipe, notes: str = "") -> str:
    """The recipe in TOML, as it would be written by hand."""
    lines = [f"name = {_quoted(recipe.name)}", f"surface = {_quoted(recipe.surface)}"]
    said = notes or recipe.notes
    if said:
        lines.append(f"notes = {_quoted(said)}")
    if recipe.fluorine_kept != 0.5:
        lines.append(f"fluorine_kept = {recipe.fluorine_kept:g}")
    for key, shares in (("undissolved", recipe.undissolved), ("crystals", recipe.crystals)):
        if shares:
            inside = ", ".join(f"{_quoted(k)} = {v:g}" for k, v in shares.items())
            lines.append(f"{key} = {{ {inside} }}")
    lines += ["", "[base]", *_parts(recipe.base)]
    if recipe.additions:
        lines += ["", "[additions] # per 100 of the base", *_parts(recipe.additions)]
    return "\n".join(lines) + "\n"


def write_recipe(path: Path, recipe: Recipe, notes: str = "") -> None:
    """Write a new file, whole or not at all. Raises DataFileError where one is already."""
    if path.suffix != ".toml":
        raise DataFileError(
            "a recipe's file ends in .toml.", hint=f"Write  {path}.toml", place=Place(path)
        )
    if path.exists():
        raise DataFileError(
            "there is a file of this name already.", hint="Choose another.", place=Place(path)
        )
    with writing(path) as out:
        out.write(recipe_text(recipe, notes))


def _parts(parts: Iterable[Part]) -> list[str]:
    # by id where a name may mean several materials
    return [
        f"{_quoted(p.written if p.written == p.material.name else p.material.id)} = {p.amount:.4g}"
        for p in parts
    ]


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)
