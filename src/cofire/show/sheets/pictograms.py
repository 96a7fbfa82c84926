"""Hazard pictograms; ``pictograms.toml`` beside this has their marks and words."""

from __future__ import annotations

from cofire.files.toml import beside
from cofire.records import GHS
from cofire.show.drawing import Path, Picture

_DATA = beside(__file__, "pictograms.toml")
#: What each diamond says, by its name.
GHS_WORDS: dict[str, str] = _DATA["words"]
#: Plain words on a black plate, by the code of a caution.
ACT_SIGNS: dict[str, str] = _DATA["acts"]
#: The same, by the signs of a caution.
SIGN_WORDS: dict[str, str] = _DATA["signs"]


def pictogram(name: str) -> Picture:
    """One diamond, 100 by 100. KeyError for a name that is not in ``records.GHS``."""
    marks = (*_DATA["frame"].values(), *_DATA[name].values())
    return Picture(100.0, 100.0, tuple(Path(*mark) for mark in marks), GHS_WORDS[name])


def in_order(names: set[str]) -> list[str]:
    """Those of the diamonds that are named, gravest first."""
    return [name for name in GHS if name in names]
