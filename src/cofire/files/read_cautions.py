"""Which cautions were read in a studio: a plain list in its folder, a line to each.

Until a caution of a material stands there, answers on a screen show it in full. Whoever deletes a
line, or the file, sees them again.
"""

from __future__ import annotations

from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path

from cofire.errors import CofireError
from cofire.files.atomic_write import writing
from cofire.findings import Finding

NAME = "cautions-read.txt"
_HEAD = (
    "# Cautions that were shown in full on a screen of this studio: caution, material.\n"
    "# Delete a line, or this file, to see them in full again.\n"
)
#: A file that is longer was not written by us.
_MOST_BYTES = 1_000_000


def read_cautions(studio: Path) -> frozenset[tuple[str, str]]:
    """Caution and material id of every line; nothing where the file cannot be read."""
    lines = (line.split() for line in _text(studio).splitlines() if not line.startswith("#"))
    return frozenset((words[0], words[1]) for words in lines if len(words) == 2)


def keep_as_read(studio: Path, findings: Iterable[Finding]) -> None:
    """Add the cautions of materials among some findings. Where that cannot be written they are
    shown in full again."""
    shown = {(f.code, material) for f in findings for material in f.materials}
    if new := sorted(shown - read_cautions(studio)):
        text = _text(studio) or _HEAD
        text += "\n" * (not text.endswith("\n"))
        with suppress(CofireError, OSError), writing(studio / NAME) as out:
            out.write(text + "".join(f"{code} {material}\n" for code, material in new))


def _text(studio: Path) -> str:
    path = studio / NAME
    with suppress(OSError):
        if path.is_file() and path.stat().st_size <= _MOST_BYTES:
            return path.read_text(encoding="utf-8", errors="replace")
    return ""
