"""A recipe as a file that people edit further."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from pathlib import Path

from cofire.errors import Place, refusal
from cofire.files.atomic_write import refuse_taken, writing
from cofire.files.toml import read_bytes, written
from cofire.records import Part, Recipe


def recipe_text(recipe: Recipe, notes: str = "", *, digits: int | None = 4) -> str:
    """The recipe in TOML, as written by hand; amounts to ``digits`` digits, or exactly."""
    lines = [f"name = {written(recipe.name)}", f"surface = {written(recipe.surface)}"]
    text = notes or recipe.notes
    if text:
        lines.append(f"notes = {written(text)}")
    if recipe.fluorine_kept != 0.5:
        lines.append(f"fluorine_kept = {recipe.fluorine_kept:g}")
    for key, shares in (("undissolved", recipe.undissolved), ("crystals", recipe.crystals)):
        if shares:
            inside = ", ".join(f"{written(k)} = {v:g}" for k, v in shares.items())
            lines.append(f"{key} = {{ {inside} }}")
    lines += ["", "[base]", *_parts(recipe.base, digits)]
    if recipe.additions:
        lines += ["", "[additions] # on top, in the same parts", *_parts(recipe.additions, digits)]
    return "\n".join(lines) + "\n"


def write_recipe(
    path: Path, recipe: Recipe, notes: str = "", *, digits: int = 4, again: bool = False
) -> None:
    """Write a new file, whole or not at all. Raises DataFileError where one is already, unless it
    is written ``again`` and says just the same."""
    text = recipe_text(recipe, notes, digits=digits)
    if path.suffix != ".toml":
        raise refusal("not-toml", Place(path), path=path)
    if again and path.is_file() and read_bytes(path) == text.encode():
        return
    refuse_taken(path)
    with writing(path, new=True) as out:
        out.write(text)


def _parts(parts: Iterable[Part], digits: int | None) -> list[str]:
    return [f"{written(p.written)} = {_amount(p.amount, digits)}" for p in parts]


def _amount(amount: float, digits: int | None) -> str:
    if digits is not None:
        return f"{amount:.{digits}g}"
    text = f"{Decimal(repr(amount)):f}"  # the shortest that reads back as the same number
    return text.removesuffix(".0")
