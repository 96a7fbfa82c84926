"""What came out of the kiln: write it down, and learn of it later."""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import Any, ClassVar

from cofire.answers.batch.recipe_code import recipe_code
from cofire.answers.history import read_text
from cofire.answers.tile import Tile
from cofire.errors import CofireError, Place, refusal
from cofire.files import toml
from cofire.files.edits import locked, make_folder
from cofire.files.fired import READ, Fired, add_fired, fired_file, read_fired, tile_of
from cofire.files.library import Library
from cofire.files.places import expanded, toml_files
from cofire.files.recipe_history import history_file, read_history
from cofire.model.conditions import Conditions
from cofire.model.schedule import leavings, planned
from cofire.most import MOST
from cofire.names import flaw
from cofire.read.coat import read_coat
from cofire.read.cooling import read_cooling
from cofire.read.units import millimetres
from cofire.record import Record
from cofire.records import Body, Recipe


@dataclass(frozen=True, eq=False, repr=False)
class FiredAnswer(Record):
    """All records of a recipe, oldest first; ``new`` is the one that was just written."""

    name: str
    file: Path
    new: Fired | None
    fired: tuple[Fired, ...]
    schema: ClassVar = "fired"


@dataclass(frozen=True, eq=False)
class Learned:
    """Tiles on one clay out of the studio's records, and why others are no use."""

    tiles: tuple[Tile, ...]
    left_out: tuple[str, ...]


def write_fired(
    library: Library, wanted: str | Path, said: Mapping[str, Any], when: datetime
) -> FiredAnswer:
    """Write down what came out, by the keys of ``Fired``; with nothing said, read what is there.

    Raises CofireError for a clay, firing or pull that is not known, a photo that is not there, a
    result without clay or coat, and for what cannot be written.
    """
    recipe = library.glaze(wanted)
    path = fired_file(library.studio, library.glaze_file(wanted))
    if not any(said.values()):
        return FiredAnswer(recipe.name, path, None, read_fired(path))
    folder = toml.real(path.parent)
    if not folder.parent.is_relative_to(library.own_studio()):
        raise refusal("fired-outside-studio", Place(path.parent.parent))
    record = _record(library, recipe, said, when, folder.parent)
    make_folder(folder.parent)
    make_folder(folder)
    with locked(folder):
        like = recipe.place.file if recipe.place else None
        everything = add_fired(folder / path.name, record, like)
    return FiredAnswer(recipe.name, path, everything[-1], everything)


def _record(
    library: Library, recipe: Recipe, said: Mapping[str, Any], when: datetime, folder: Path
) -> Fired:
    record = replace(Fired(when.isoformat(sep=" ", timespec="seconds")), **said)
    if record.result and not (record.clay and record.coat):
        raise refusal("result-of-what", result=record.result)
    for name, text in said.items():
        if wrong := flaw(text):
            raise refusal("record-not-for-print", name=name, wrong=wrong)
        if text:
            READ[name](text)
    coats = (read_coat(record.coat),) if record.coat else Conditions.coats
    wall_mm = millimetres(record.wall) if record.wall else Conditions.wall_mm
    changes: dict[str, Any] = {}
    if record.clay:
        changes["clay"] = library.body(library.body(record.clay).id).id
    firing = None
    if record.firing:
        firing = library.firing(library.firing(record.firing).id)
        changes["firing"] = firing.id
    cooling = read_cooling(record.cooling) if record.cooling else None
    # which refuses what no pot has
    at = Conditions(wall_mm=wall_mm, coats=coats, firing=firing, cooling_asked=cooling)
    _refuse_black_without_smoke(record, at)
    if record.pull:
        changes["pull"] = _pull(library, record)
    if record.photo:
        changes["photo"] = _photo(record.photo, folder)
    if recipe.known:
        changes["code"] = recipe_code(recipe)
    return replace(record, **changes)


def _refuse_black_without_smoke(record: Fired, at: Conditions) -> None:
    if record.seen == "black" and at.cooling_curve.path is None:
        raise refusal("black-cracks-without-pull", record.place)


def _pull(library: Library, record: Fired) -> str:
    if not record.firing:
        raise refusal("pull-of-which-firing", pull=record.pull)
    firing = library.firing(record.firing)
    known = [one.name for one in leavings(firing, planned(firing))]
    if record.pull not in known:
        names = ", ".join(f"“{name}”" for name in known) or "none"
        raise refusal("no-such-pull", pull=record.pull, firing=firing.name, known=names)
    return record.pull


def _photo(text: str, folder: Path) -> str:
    """A photo's path from the folder of the recipe. Raises DataFileError if it is not there."""
    path = expanded(text)
    with toml.opened(path):
        pass
    return Path(os.path.relpath(toml.real(path), folder)).as_posix()


def learn(library: Library, body: Body) -> Learned:
    """What the studio's records say of one clay. Recipes that were changed since are taken as they
    were, if ``cofire keep`` or ``set`` kept them. Raises CofireError for a record that cannot be
    read."""
    studio = library.own_studio()
    tiles: list[Tile] = []
    left_out: list[str] = []
    for path in toml_files(studio / "recipes" / "fired"):
        for number, record in enumerate(read_fired(path), 1):
            read = tile_of(record, library.body, library.firing)
            if read is None or read.body.id != body.id:
                continue
            recipe = _as_it_was(library, path, record)
            if recipe is None:
                left_out.append(f"{path.stem} {number}")
                continue
            at = Conditions(
                body=body,
                firing=read.firing,
                wall_mm=read.wall_mm,
                shape=read.shape,
                cooling_asked=read.cooling,
            )
            _refuse_black_without_smoke(record, at)
            seen = read.seen
            tiles.append(Tile(recipe, read.coat, seen.seen, seen.spacing_mm, seen.years, at))
    # the newest say what the kiln and the clay are like now
    return Learned(tuple(tiles[-MOST["tiles"] :]), tuple(left_out))


def _as_it_was(library: Library, path: Path, record: Fired) -> Recipe | None:
    """The recipe of a record's time; None if nobody kept it."""
    try:
        file = library.recipe_file(path.stem)
        recipe = library.recipe(file)
    except CofireError:
        return None
    if not record.code or recipe_code(recipe) == record.code:
        return recipe
    for version in reversed(read_history(history_file(file)).versions):
        if version.code == record.code:
            return read_text(library, version.text, file)
    return None
