"""Where things lie: the shipped data, the studio around a folder, files by their paths."""

from __future__ import annotations

import os
from pathlib import Path

from cofire.errors import Place, refusal

#: A folder holding this file is somebody's studio.
STUDIO_MARK = "studio.toml"
#: Folder among the recipes that holds glazes bought ready-made.
BOUGHT = "bought"
#: Bytes in the name of a file or folder (POSIX NAME_MAX of common file systems).
_LONGEST_NAME = 255


def shipped(kind: str) -> Path:
    """The folder ``materials`` or ``recipes`` that came with cofire (wheel or checkout)."""
    package = Path(__file__).parents[1]
    installed = package / "_data" / kind
    return installed if installed.is_dir() else package.parents[1] / kind


def find_studio(start: Path) -> Path | None:
    """The studio folder that ``start`` lies in, or None."""
    for folder in (start, *start.parents):
        if (folder / STUDIO_MARK).is_file():
            return folder
    return None


def studio_here() -> Path | None:
    """The studio around the current folder, or None. Raises DataFileError where it would be one of
    other people, in a folder above: nobody asked for that."""
    try:
        here = Path.cwd()
    except OSError as problem:
        raise refusal("no-current-folder", reason=problem.strerror) from None
    found = find_studio(here)
    if found not in (None, here) and not _trusted(found, found / STUDIO_MARK):
        raise refusal("studio-of-others", Place(found / STUDIO_MARK), folder=found)
    return found


def _trusted(*paths: Path) -> bool:
    """Whether all these are ours, or root's; yes on a system without such owners."""
    if not hasattr(os, "getuid"):
        return True
    ours = {"0", str(os.getuid()), os.environ.get("SUDO_UID", "0")}
    return all(str(path.lstat().st_uid) in ours for path in paths)


def toml_files(folder: Path) -> list[Path]:
    """The TOML files of a folder, sorted; none where there is no folder. Raises DataFileError where
    it cannot be looked into."""
    try:
        found = [p for p in folder.iterdir() if p.suffix == ".toml"]
        return sorted(found, key=lambda p: p.name)
    except (FileNotFoundError, NotADirectoryError):
        return []
    except OSError as problem:
        raise refusal("folder-cannot-be-read", Place(folder), reason=problem.strerror) from None


def looks_like_path(text: str) -> bool:
    return text.endswith(".toml") or os.sep in text or text.startswith((".", "~"))


def expanded(path: str | Path, place: Place | None = None) -> Path:
    """A path with “~” or “~name” filled in; DataFileError where there is no such person, and for
    what no system can hold as a name."""
    try:
        longest = max((len(os.fsencode(part)) for part in Path(path).parts), default=0)
    except UnicodeEncodeError:  # half a character
        longest = _LONGEST_NAME + 1
    if "\0" in str(path) or longest > _LONGEST_NAME:
        raise refusal("no-name-of-a-file", place, path=ascii(str(path))[1:60])
    try:
        return Path(path).expanduser()
    except RuntimeError:
        raise refusal("no-such-home", place, path=path) from None


def is_there(path: Path) -> bool:
    """Whether there is a file or folder; no for a path that the system refuses."""
    try:
        return path.exists()
    except OSError:
        return False
