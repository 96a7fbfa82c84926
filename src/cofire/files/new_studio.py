"""A studio folder as it begins: plain text, nothing but what the person may edit."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import ClassVar

from cofire.errors import Place, refusal
from cofire.files.atomic_write import writing
from cofire.files.new_names import refuse_flawed
from cofire.files.places import STUDIO_MARK, find_studio
from cofire.files.stock import FILE as STOCK
from cofire.files.toml import written
from cofire.record import Record

FOLDERS = ("recipes", "recipes/firings", "recipes/kilns", "materials", "materials/bodies")
EXAMPLE = "recipes/slipway-crackle.toml"

#: What the files say at first; {name} stands for the studio's.
_TEXTS = Path(__file__).with_name("new_studio_files")


@dataclass(frozen=True, repr=False)
class Begun(Record):
    """Files added to a folder, and files that were there already."""

    folder: Path
    added: tuple[str, ...]
    left: tuple[str, ...]
    schema: ClassVar = "init"


def begin_studio(folder: Path, name: str) -> Begun:
    """Make a studio, or add what is missing in one; never changes what is there.

    Raises DataFileError for a file in the way, a folder inside another studio, or one that cannot
    be written.
    """
    if folder.exists() and not folder.is_dir():
        raise refusal("file-not-folder", Place(folder))
    refuse_flawed(folder.resolve())
    around = find_studio(folder.resolve().parent)
    if around is not None:
        raise refusal("inside-another-studio", Place(folder), around=around)
    files = {
        one: (_TEXTS / Path(one).name).read_text(encoding="utf-8")
        for one in (STUDIO_MARK, STOCK, "README.txt", EXAMPLE)
    }
    files[STUDIO_MARK] = files[STUDIO_MARK].format(name=written(name))
    files["README.txt"] = files["README.txt"].format(title=name)
    for name_in in (*files, *FOLDERS):
        there = folder / name_in
        if there.exists() and there.is_dir() != (name_in in FOLDERS):
            what = "a folder" if there.is_dir() else "a file"
            raise refusal("in-the-way", Place(there), what=what)
    if (folder / "recipes").is_dir() and any((folder / "recipes").glob("*.toml")):
        files.pop(EXAMPLE)  # who has recipes needs no example
    added: list[str] = []
    left: list[str] = []
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for one in FOLDERS:
            (left if (folder / one).exists() else added).append(f"{one}/")
            (folder / one).mkdir(exist_ok=True)
    except OSError as problem:
        raise refusal("folder-cannot-be-made", Place(folder), reason=problem.strerror) from None
    for one, text in files.items():
        path = folder / one
        if path.exists():
            left.append(one)
            continue
        with writing(path, new=True) as out:
            out.write(text)
        added.append(one)
    return Begun(folder, tuple(added), tuple(left))
