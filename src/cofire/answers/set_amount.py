"""Change one amount in a recipe's own file, and remember what it was."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import ClassVar

from cofire.answers.batch.recipe_code import recipe_code
from cofire.answers.history import (
    Change,
    Properties,
    SavedVersion,
    changes_between,
    checked_why,
    is_last,
    is_shipped,
    properties_of,
    read_text,
)
from cofire.errors import CofireError, CompositionError, Place, refusal
from cofire.files import toml
from cofire.files.atomic_write import refuse_taken
from cofire.files.edits import locked, make_folder, must_be_writable, rewrite, text_of, with_amount
from cofire.files.library import Library
from cofire.files.recipe_history import history_file, read_history, with_version, write_history
from cofire.names import plain
from cofire.read.amounts import amount_of
from cofire.read.number import written
from cofire.record import Record

_NONE = ("none", "nothing", "no", "out")
#: The reason of a version that is kept before a change.
_BEFORE = "as it was before the next change"
#: Digits of an amount that a computer keeps (IEEE 754 double precision).
_DIGITS = 15


@dataclass(frozen=True)
class WantedChange:
    """One change: a material's name, its amount in TOML (None: take it out), and whether it is an
    addition."""

    name: str
    amount: str | None
    addition: bool


@dataclass(frozen=True, eq=False, repr=False)
class SetAnswer(Record):
    """``copied_from`` is the shipped file that was copied, or None. ``kept`` is the version after
    the change, None if nothing changed."""

    file: Path
    copied_from: Path | None
    changes: tuple[Change, ...]
    before: Properties | None
    after: Properties | None
    kept: SavedVersion | None
    schema: ClassVar = "set"


def read_wanted(text: str) -> WantedChange:
    """“kaolin = 12”, “+ tin oxide = 5”, “silica = none”. Raises QuantityError."""
    name, equals, words = text.rpartition("=")
    name, words = name.strip(), words.strip()
    addition = name.startswith("+")
    name = name.lstrip("+").strip().strip('"')
    if not equals or not name or not words:
        raise refusal("no-change", text=text)
    if words.lower() in _NONE:
        return WantedChange(name, None, addition)
    amount = amount_of(words)
    if sum(c.isdigit() for c in words) > _DIGITS:
        raise refusal("too-many-digits", said=words)
    if amount.unit == "%":
        raise refusal("no-amount-of-a-recipe", said=words)
    number = written(amount.value)
    return WantedChange(
        name, toml.written(f"{number} g") if amount.unit == "g" else number, addition
    )


def set_amounts(
    library: Library, path: Path, wanted: Sequence[WantedChange], why: str, when: datetime
) -> SetAnswer:
    """Change amounts in a recipe's file; all else in it stays as it is, byte for byte.

    A shipped recipe is copied into the studio first. Raises CompositionError or DataFileError when
    the change makes no recipe or cannot be written; then nothing has changed.
    """
    why = checked_why(why)
    copied = path if is_shipped(library, path) else None
    target = path if copied is None else _own(library, path)
    with locked(toml.real(target).parent):
        old = text_of(path)
        new = old
        for one, line in _lines(library, old, target, wanted):
            new = with_amount(new, target, *line, one.amount)
        read_text(library, new, target)
        data = [toml.parse(t.removeprefix("\ufeff"), target).data for t in (old, new)]
        changes = changes_between(data[0], data[1])
        (before, _), (after, trouble) = properties_of(library, [old, new], target)
        if trouble:
            raise CompositionError(trouble, hint="The recipe stays as it is.", place=Place(target))
        if not changes:
            return SetAnswer(target, None, (), before, after, None)
        must_be_writable(target)
        was = read_history(history_file(target))
        codes = [recipe_code(read_text(library, text, target)) for text in (old, new)]
        history = was
        # a run that was killed between both files has kept what it was about to write
        done = was.versions and was.versions[-1].why == why
        if not (done and is_last(was, codes[1], data[1]) and is_last(was, codes[0], data[0], 2)):
            if not is_last(was, codes[0], data[0]):
                first = _BEFORE if copied is None else "as it came with cofire"
                history = with_version(history, old, first, codes[0], when)
            history = with_version(history, new, why, codes[1], when)
        # history first: a reason is never lost, and a recipe never changes without it
        write_history(was, history, path if copied is None else None)
        try:
            rewrite(target, old if copied is None else None, new)
        except BaseException:
            with suppress(CofireError):  # or else the next run finds it done
                write_history(history, was, target)
            raise
    kept = SavedVersion(history.versions[-1], True, history.path)
    return SetAnswer(target, copied, changes, before, after, kept)


def _own(library: Library, path: Path) -> Path:
    target = library.own_studio(path) / "recipes" / path.name
    refuse_taken(target)
    make_folder(target.parent)
    return target


def _lines(
    library: Library, text: str, path: Path, wanted: Sequence[WantedChange]
) -> list[tuple[WantedChange, tuple[str, str]]]:
    """Each change with the section and key of its line, which may be new."""
    data = toml.parse(text.removeprefix("\ufeff"), path).data
    meant: dict[tuple[str, str], WantedChange] = {}
    for one in wanted:
        place = _line(library, data, one)
        if place is None and one.amount is None:
            held = [key for section in ("base", "additions") for key in data.get(section, {})]
            raise refusal(
                "recipe-holds-no-such",
                Place(path),
                one=one.name,
                hint="It has " + ", ".join(held) + ".",
            )
        if place is None:
            library.material(one.name)  # raises an error if there is none
            place = ("additions" if one.addition else "base", one.name)
        if place in meant:
            first = meant[place].name
            name = "amount-said-twice" if first == one.name else "same-line-twice"
            raise refusal(name, Place(path), first=first, one=one.name)
        meant[place] = one
    return [(one, line) for line, one in meant.items()]


def _line(
    library: Library, data: dict[str, object], wanted: WantedChange
) -> tuple[str, str] | None:
    """Section and key of the line that is meant, by name or by material; the base comes first."""
    try:
        meant = library.material(wanted.name)[0].id
    except CofireError:
        meant = ""
    for section in ("additions",) if wanted.addition else ("base", "additions"):
        table = data.get(section)
        for key in table if isinstance(table, dict) else ():
            if plain(key) == plain(wanted.name):
                return section, key
            try:
                if meant and library.material(key)[0].id == meant:
                    return section, key
            except CofireError:
                continue
    return None
