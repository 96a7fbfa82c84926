"""Files of editors and synced folders that are ignored."""

from __future__ import annotations

import re
from pathlib import Path

#: How synced folders mark the second of two files that were changed at once, from memory. A glaze
#: called “conflict” is not one.
_CONFLICT = re.compile(r"\([^)]*conflict[^)]*\)|\bsync[ -]conflict\b|\bconflicted copy\b", re.I)


def is_hidden(path: Path) -> bool:
    """Hidden or a backup: “.#x.toml”, “._x.toml”, “x.toml~”."""
    return path.name.startswith((".", "#")) or path.name.endswith(("~", "#"))


def is_conflict_copy(path: Path) -> bool:
    """“clear (conflicted copy).toml”: two people, or two machines, changed one file."""
    return bool(_CONFLICT.search(re.sub(r"[_.]", " ", path.stem)))


def is_stray(path: Path) -> bool:
    """Whether a file is ignored."""
    return is_hidden(path) or is_conflict_copy(path)


def original_of(path: Path) -> Path | None:
    """The file that a conflict copy is a copy of, if it is still there."""
    named = [p for p in path.parent.glob("*.toml") if not is_stray(p)]
    owners = [p for p in named if path.stem.startswith(p.stem)]
    return max(owners, key=lambda p: len(p.stem), default=None)
