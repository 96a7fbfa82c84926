"""What came out of the kiln: plain text beside the recipe, append only."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import ClassVar, TypeVar, get_args

from cofire.errors import CofireError, Place, QuantityError, refusal
from cofire.files import toml
from cofire.files.edits import rewrite, text_of
from cofire.read.came_out import CameOut, read_came_out
from cofire.read.coat import Coat, read_coat
from cofire.read.cooling import read_cooling
from cofire.read.units import millimetres
from cofire.record import Record
from cofire.records import Body, Firing, Shape, Smoke

_HEAD = """\
# What came out of the kiln with {name}, oldest first.
# “cofire fired” adds to the end and changes nothing above it.
"""
#: The lines of a record, in their order, and how each that is a quantity is read.
READ: dict[str, Callable[[str], object]] = {
    "clay": str, "coat": read_coat, "result": read_came_out, "firing": str, "pull": str,
    "cooling": read_cooling, "wall": millimetres, "shape": str, "code": str, "photo": str,
    "words": str,
}  # fmt: skip
#: Bytes of such a file: some ten thousand records; our choice.
MAX_BYTES = 8_000_000
T = TypeVar("T")


@dataclass(frozen=True, eq=False, repr=False)
class Fired(Record):
    """One record, as it is written; what was not said is empty. ``code`` tells which version of the
    recipe it was, ``photo`` is a file's path from the folder of the recipe."""

    when: str
    clay: str = ""
    coat: str = ""
    result: str = ""
    firing: str = ""
    pull: str = ""
    cooling: str = ""
    wall: str = ""
    shape: str = ""
    code: str = ""
    photo: str = ""
    words: str = ""
    place: Place | None = None
    json_also: ClassVar = ("seen", "spacing_mm", "years")
    json_hides: ClassVar = ("place",)

    @property
    def came_out(self) -> CameOut | None:
        return read_came_out(self.result) if self.result else None

    @property
    def seen(self) -> str | None:
        return self.came_out.seen if self.came_out else None

    @property
    def spacing_mm(self) -> float | None:
        return self.came_out.spacing_mm if self.came_out else None

    @property
    def years(self) -> float | None:
        """How old it was when it was looked at."""
        return self.came_out.years if self.came_out else None


@dataclass(frozen=True, eq=False)
class FiredTile:
    """A record of which a clay or a glaze can be learned: where the coat lay, and what was seen."""

    body: Body
    coat: Coat
    seen: CameOut
    firing: Firing | None = None
    cooling: Smoke | float | None = None
    wall_mm: float = 6.0
    shape: Shape = "tile"


def fired_file(studio: Path | None, recipe: Path) -> Path:
    """Where the records of a recipe's file are kept: beside it, or for one that is not in the
    ``studio`` in that one's recipes."""
    recipe = toml.real(recipe)
    own = studio is None or recipe.is_relative_to(studio)
    return (recipe.parent if own or studio is None else studio / "recipes") / "fired" / recipe.name


def read_fired(path: Path) -> tuple[Fired, ...]:
    """All records, oldest first; none without a file. Raises DataFileError with the damaged
    line."""
    if not path.exists():
        return ()
    return _records(text_of(path, MAX_BYTES), path)


def _records(text: str, path: Path) -> tuple[Fired, ...]:
    doc = toml.parse(text.removeprefix("\ufeff").replace("\r\n", "\n"), path, most_lines=MAX_BYTES)
    top = toml.Table(doc, doc.data, what="the file")
    tables = top.list_of("fired")
    top.finish()
    records = []
    for table in tables:
        when = table.text("when")
        try:
            datetime.fromisoformat(when)
        except ValueError:
            raise table.refuse("when-is-no-moment", "when") from None
        said = {key: table.text(key, "") for key in READ}
        for key, text_ in said.items():
            if text_:
                _checked(table, key, text_)
        table.finish()
        if said["shape"] and said["shape"] not in get_args(Shape):
            raise table.refuse("shape-in-record", "shape", shapes=", ".join(get_args(Shape)))
        records.append(Fired(when, **said, place=doc.place(*table.path)))
    return tuple(records)


def _checked(table: toml.Table, key: str, text: str) -> None:
    try:
        READ[key](text)
    except QuantityError as error:
        raise table.fail(f"“{key}”: {error.message}", key, hint=error.hint) from None


def add_fired(path: Path, record: Fired, like: Path | None) -> tuple[Fired, ...]:
    """Add a record to the end of a file in a folder that is there, whole or not at all; returns all
    records. The file is open to no more people than the one it is ``like``.

    Raises DataFileError where it would not read back as it was, is full, or cannot be written.
    """
    was = text_of(path, MAX_BYTES) if path.exists() else None
    before = read_fired(path)
    text = _HEAD.format(name=path.name) if was is None else was
    said = {key: getattr(record, key) for key in READ}
    lines = [f"{key} = {toml.written(text)}\n" for key, text in said.items() if text]
    text = (text if text.endswith("\n") else text + "\n") + "\n[[fired]]\n"
    text += f"when = {toml.written(record.when)}\n" + "".join(lines)
    if len(text.encode()) > MAX_BYTES:
        raise refusal("records-are-full", Place(path), megabytes=MAX_BYTES / 1e6)
    after = _records(text, path)
    last = after[-1]
    same = last.when == record.when and all(getattr(last, key) == said[key] for key in said)
    if len(after) != len(before) + 1 or not same:
        raise refusal("record-not-to-be-kept", Place(path))
    rewrite(path, was, text, like)
    return after


def tile_of(
    record: Fired, body: Callable[[str], Body], firing: Callable[[str], Firing]
) -> FiredTile | None:
    """What can be learned of a record; None where it says no clay, coat or result."""
    seen = record.came_out
    if not (record.clay and record.coat and seen):
        return None

    def named(read: Callable[[str], T], name: str) -> T:
        try:
            return read(name)
        except CofireError as error:
            raise type(error)(error.message, hint=error.hint, place=record.place) from None

    return FiredTile(
        named(body, record.clay),
        read_coat(record.coat),
        seen,
        named(firing, record.firing) if record.firing else None,
        read_cooling(record.cooling) if record.cooling else None,
        millimetres(record.wall) if record.wall else FiredTile.wall_mm,
        record.shape or FiredTile.shape,  # type: ignore[arg-type]
    )
