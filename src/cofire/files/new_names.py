"""Names for new things, and for new files that every system and every synced folder can hold."""

from __future__ import annotations

import os
import unicodedata
from collections.abc import Iterator
from pathlib import Path

from cofire import names
from cofire.errors import Place, refusal

#: Names of devices on Windows, with any ending, and signs that its names cannot hold (from memory
#: of its documentation).
_DEVICES = frozenset(
    ("con", "prn", "aux", "nul", *(f"{port}{n}" for port in ("com", "lpt") for n in "123456789¹²³"))
)
_SIGNS = '<>:"/\\|?*'
#: Bytes; systems take 255, and programs that sync or encrypt add to a name. Our choice.
_LONGEST = 200


def checked_name(name: str) -> str:
    """A name for something new, without blanks around it. Raises DataFileError for one that cannot
    be seen, or that passes for another."""
    name = " ".join(name.split())
    if not name:
        raise refusal("empty-name")
    if wrong := names.flaw(name):
        raise refusal("bad-name", name=name, wrong=wrong)
    if wrong := names.mixed(name):
        raise refusal("mixed-scripts", name=name, wrong=wrong)
    return name


def flaw(name: str) -> str:
    """Why some system cannot hold a file of this name, or an empty string."""
    if wrong := names.flaw(name):
        return wrong
    if sign := next((c for c in name if c in _SIGNS), ""):
        return f"Windows has no “{sign}” in names"
    if name[-1:] in (".", " "):
        return "Windows drops the “.” at its end" if name[-1] == "." else "it ends in a blank"
    if (device := name.split(".")[0].rstrip()).lower() in _DEVICES:
        return f"Windows keeps “{device}” for a device"
    if (size := len(os.fsencode(name))) > _LONGEST:
        return f"it has {size} bytes; {_LONGEST} are safe everywhere"
    return ""


def twin(path: Path) -> str:
    """The name of another file there that differs only by case, or by how accents are stored: some
    systems take the two as one. An empty string if there is none."""
    try:
        others = sorted(other.name for other in path.parent.iterdir())
    except OSError:
        return ""
    return next((o for o in others if o != path.name and _same(o, path.name)), "")


def refuse_flawed(path: Path) -> None:
    """Raises DataFileError where a new file cannot have this name everywhere; what is there already
    keeps its name."""
    if os.path.lexists(path):
        return
    if wrong := flaw(path.name) or names.mixed(path.name):
        raise refusal("bad-file-name", Place(path), name=path.name, wrong=wrong)
    if other := twin(path):
        raise refusal("name-has-a-twin", Place(path), name=path.name, other=other)


def flaws(path: Path) -> Iterator[str]:
    """What is wrong with the name of a file that is there."""
    if wrong := flaw(path.name) or names.mixed(path.name):
        yield wrong
    if other := twin(path):
        yield f"“{other}” beside it differs only by case, or by how accents are stored"


def _same(one: str, other: str) -> bool:
    return _folded(one) == _folded(other)


def _folded(name: str) -> str:
    return unicodedata.normalize("NFC", name).casefold()
