"""All that a studio's files say, for other programs: one JSON file, or a folder of CSV files."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, ClassVar

from cofire.errors import refusal
from cofire.files import toml
from cofire.files.atomic_write import refuse_taken, writing
from cofire.files.edits import make_folder
from cofire.files.exported import FACTS, FOLDERS, PART, SCHEMA, SEVERAL, SPREAD
from cofire.files.library import Library
from cofire.files.nicknames import FILE as NAMES
from cofire.files.places import STUDIO_MARK
from cofire.files.recipes import has_weights
from cofire.files.stock import FILE as STOCK
from cofire.record import VERSION, Record
from cofire.records import Material

#: kind -> file of the studio
_FILES = {"stock": STOCK, "names": NAMES, "studio": STUDIO_MARK}


@dataclass(frozen=True, eq=False, repr=False)
class Exported(Record):
    """Files written, and how many things of each kind they hold."""

    files: tuple[Path, ...]
    things: dict[str, int]
    schema: ClassVar = "export"


def export(library: Library, to: Path, *, shipped: bool) -> Exported:
    """Write new files: JSON if ``to`` ends in .json, else CSV into that folder. Only a studio's own
    things, or the ``shipped`` ones too.

    Raises DataFileError for a file that is there already or cannot be written, for nothing to
    write, and what is wrong with a file to be read.
    """
    said = said_in(library, shipped)
    things = {kind: len(found) for kind, found in said.items() if kind in FOLDERS}
    if not any(said.values()):
        raise refusal("nothing-to-export")
    if to.suffix == ".json":
        head = {"schema": {"name": SCHEMA, "version": VERSION}}
        text = json.dumps(head | said, ensure_ascii=False, indent=1, default=str) + "\n"
        texts = {to: text}
    else:
        texts = {to / f"{name}.csv": text for name, text in sheets_of(library, said) if text}
    for path in texts:
        refuse_taken(path)
    if to.suffix != ".json":
        make_folder(to)
    for path, text in texts.items():
        with writing(path) as out:
            out.write(text)
    return Exported(tuple(texts), things)


def said_in(library: Library, shipped: bool) -> dict[str, dict[str, Any]]:
    """kind -> id -> what its file says; of the studio's single files the whole."""
    said: dict[str, dict[str, Any]] = {}
    curves: dict[str, str] = {}
    for kind, (folder, inner) in FOLDERS.items():
        found = said.setdefault(kind, {})
        for path, own in library.files(folder, inner):
            if not own and not shipped:
                continue
            data = toml.read(path).data
            for key, one in (data if kind in SEVERAL else {path.stem: data}).items():
                found.setdefault(key, one)
            curve = data.get("expansion", {}).get("curve") if kind == "bodies" else None
            if curve:
                curves.setdefault(curve, toml.read_text(path.parent / curve))
    for kind, name in _FILES.items():
        path = (library.studio or Path()) / name
        if library.studio and path.is_file() and path.stat().st_size:  # studio.toml may be empty
            said[kind] = toml.read(path).data
    return said | ({"curves": curves} if curves else {})


def sheets_of(library: Library, said: dict[str, dict[str, Any]]) -> Iterator[tuple[str, str]]:
    """(name, CSV); recipes and materials as they are used, the others as their files say."""
    yield "recipes", _csv(PART, [row for key in said["recipes"] for row in _parts(library, key)])
    overrides = {key for key, one in said["materials"].items() if one.get("overrides")}
    yield (
        "materials",
        _materials([library.materials[key] for key in said["materials"]], overrides),
    )
    for kind in ("bought", "fired", "fired-bought", "bodies", "firings", "kilns", "cautions"):
        rows = [(key, *one) for key, data in said[kind].items() for one in _lines(data)]
        yield kind, _csv(("id", "key", "value"), rows)
    for kind in _FILES:
        yield kind, _csv(("key", "value"), list(_lines(said.get(kind, {}))))
    yield "curves", _csv(("file", "text"), list(said.get("curves", {}).items()))


def _csv(header: tuple[str, ...], rows: list[Any]) -> str:
    """Text in the form of RFC 4180; empty without rows."""
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerows([header, *rows])
    return out.getvalue() if rows else ""


def _parts(library: Library, key: str) -> Iterator[tuple[object, ...]]:
    """A row for each part; amounts are exact, those of other recipes are counted out."""
    recipe = library.recipe(key)
    facts = (key, recipe.name, recipe.surface, recipe.notes, recipe.fluorine_kept)
    path = library.recipe_file(key)
    data = toml.read(path).data
    own = library.studio is not None and path.is_relative_to(library.studio)
    unit = "g" if has_weights(data) else "parts"
    for section, parts in (("base", recipe.base), ("additions", recipe.additions)):
        for part in parts:
            yield (*facts, section, part.written, part.material.id, repr(part.amount), unit, own)
    for material_id, percent in recipe.undissolved.items():
        yield (*facts, "undissolved", material_id, material_id, repr(percent), "%", own)
    for crystal, percent in recipe.crystals.items():
        yield (*facts, "crystals", crystal, "", repr(percent), "%", own)


def _materials(materials: list[Material], overrides: set[str]) -> str:
    """A row for each; oxides and their spread in wt % of the raw material, several names in one
    cell on lines of their own."""

    def used(of: Callable[[Material], dict[str, float]]) -> list[str]:
        return list(dict.fromkeys(oxide for one in materials for oxide in of(one)))

    oxides, spread = used(lambda m: m.oxides_wt_percent), used(lambda m: m.spread_wt_percent)
    rows = []
    for one in materials:
        facts = [_cell(getattr(one, fact, one.id in overrides)) for fact in FACTS]
        rows.append([
            *facts,
            *(_cell(one.oxides_wt_percent.get(oxide)) for oxide in oxides),
            *(_cell(one.spread_wt_percent.get(oxide)) for oxide in spread),
        ])  # fmt: skip
    return _csv((*FACTS, *oxides, *(oxide + SPREAD for oxide in spread)), rows)


def _cell(value: object) -> str:
    if isinstance(value, tuple):
        return "\n".join(value)
    return "" if value is None else str(value)


def _lines(data: dict[str, Any], within: str = "") -> Iterator[tuple[str, str]]:
    """(key, value) as TOML writes them; tables of a list are numbered."""
    for key, value in data.items():
        name = within + toml.bare(key)
        if isinstance(value, list) and value and all(isinstance(one, dict) for one in value):
            value = {str(n): one for n, one in enumerate(value, 1)}
        if isinstance(value, dict):
            yield from _lines(value, f"{name}.")
        else:
            yield (
                name,
                toml.written(value if isinstance(value, list | str | int | float) else str(value)),
            )
