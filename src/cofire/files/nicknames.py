"""A person's own names for materials: the studio's ``names.toml``."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from cofire.errors import CofireError, Place, Problems
from cofire.files import toml
from cofire.files.edits import locked, rewrite, text_of
from cofire.records import Material

FILE = "names.toml"
#: Stands on top of a new file.
_HEAD = (
    "# What is written on your bags, and the material meant: its name or id as “cofire materials”\n"
    "# lists it.\n"
)


def nicknames_in(
    doc: toml.Document,
    meant: Callable[[str, Place], Material],
    others: Callable[[str], list[Material]],
    plain: Callable[[str], str],
) -> dict[str, tuple[str, Material]]:
    """Plain name -> (as written, material), of a file of nicknames.

    ``meant`` finds a material by its real name, ``others`` those that carry a name. Raises
    DataFileError or UnknownNameError with the line; Problems lists all.
    """
    found: dict[str, tuple[str, Material]] = {}
    errors: list[CofireError] = []
    for written, name in doc.data.items():
        try:
            if not isinstance(name, str):
                raise doc.refuse("nickname-without-name", written, written=written)
            if known := others(written):
                raise doc.refuse("nickname-hides", written, written=written, id=known[0].id)
            if plain(written) in found:
                raise doc.refuse("nickname-twice", written, written=written)
            found[plain(written)] = written, meant(name, doc.place(written))
        except CofireError as error:
            toml.collect(errors, error)
    if errors:
        raise Problems(errors) if len(errors) > 1 else errors[0]
    return found


def change_nickname(
    studio: Path, written: str, name: str | None, check: Callable[[toml.Document], object]
) -> Path:
    """Add or change a line of the studio's file, or with None take it out; all else in it stays.
    Returns the file.

    ``check`` raises what is wrong with the file as it would be. Raises DataFileError where it
    cannot be written.
    """
    path = studio / FILE
    with locked(studio):
        was = text_of(path) if path.exists() else None
        text = _HEAD if was is None else was
        if written in toml.parse(text.removeprefix("\ufeff"), path).data:
            text = _changed(text, written, name)
        elif name is not None:
            end = "\r\n" if "\r\n" in text else "\n"
            if text and not text.endswith("\n"):
                text += end
            text += f"{toml.bare(written)} = {toml.written(name)}{end}"
        check(toml.parse(text.removeprefix("\ufeff"), path))
        rewrite(path, was, text)
    return path


def _changed(text: str, written: str, name: str | None) -> str:
    import tomlkit

    body = text.removeprefix("\ufeff")
    doc = tomlkit.parse(body)
    wanted = doc.unwrap()
    if name is None:
        del doc[written], wanted[written]
    else:
        item: Any = doc.item(written)
        value = tomlkit.string(name)
        value.trivia.indent, value.trivia.comment_ws, value.trivia.comment, value.trivia.trail = (
            (old := item.trivia).indent, old.comment_ws, old.comment, old.trail
        )  # fmt: skip
        doc[written], wanted[written] = value, name
    made = doc.as_string()
    assert tomlkit.parse(made).unwrap() == wanted
    return text[: len(text) - len(body)] + made
