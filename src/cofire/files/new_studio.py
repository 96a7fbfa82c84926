"""A studio folder as it begins: plain text, nothing but what the person may edit."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from cofire.errors import DataFileError, Place
from cofire.files.atomic_write import writing
from cofire.files.library import STUDIO_MARK, find_studio
from cofire.files.stock import FILE as STOCK
from cofire.files.toml import written

FOLDERS = (
    "recipes",
    "recipes/firings",
    "recipes/kilns",
    "materials",
    "materials/bodies",
)
EXAMPLE = "recipes/low-tide-crackle.toml"

_MARK = """\
# This file makes the folder a studio: cofire finds what lies in it from any folder inside.
name = {name}
"""

_EXAMPLE = """\
# An example, invented at Saltgrass Yard. Change it, copy it, or delete it.
# What stands behind a “#” is for people; cofire does not read it.
name = "Low tide crackle"
surface = "crackle" # gloss, satin, matte, dry matte, crackle or lustre
notes = "Two dips, or three brushed coats."

[base] # parts or weights of any total; names with spaces or commas in quotes
"soda-borosilicate frit, 3110 type" = 65
"calcium borate frit, 3134 type" = 20
kaolin = 15

[additions] # on top of the base, in the same parts
bentonite = 1
# "copper carbonate" = 2   # a line that is not read, until its first “#” is taken out
"""

_STOCK = """\
# What is on the shelf, and what it cost. All of it may be left out; take the “#” away to use a
# line. “cofire batch” then says what is short and what a bucket costs.
# currency = "EUR"         # whatever your money is called
#
# ["soda-borosilicate frit, 3110 type"]
# have = "4 kg"            # g, kg, oz or lb
# price = "12.50 per 5 kg" # or "2.50 / kg"
#
# [kaolin]
# have = "2.5 kg"
"""

_README = """\
{title}

This is a studio folder of cofire. All in it is plain text, made to be read and
edited by you. Work in this folder (or any inside it), and cofire knows what
lies here.

  studio.toml         makes this folder a studio
  stock.toml          what is on the shelf and what it cost, if you like
  recipes/            a file for each glaze; call it by the file's name
  recipes/firings/    a file for each firing
  recipes/kilns/      a file for each kiln
  recipes/history/    what recipes were before; begins with “cofire keep”
  materials/          your suppliers' materials, where they differ from ours
  materials/bodies/   your clays

To begin with (the example is recipes/low-tide-crackle.toml):

  cofire recipes
  cofire formula low-tide-crackle
  cofire set low-tide-crackle "kaolin = 12" --why "less clay, more flow"
  cofire history low-tide-crackle
  cofire check

A recipe from a spreadsheet, and a material from a supplier's certificate:

  cofire read glaze.csv --name "Mine" --surface gloss --save recipes/mine.toml
  cofire materials add certificate.csv --id kaolin-2026 --name kaolin \\
      --supplier "who sold it" --date 2026-11

The folder may lie in a synced folder or under version control: there are no
caches, no databases and no paths of this computer in it. If two machines change
one file at once and the second is put beside the first as a “conflicted copy”,
cofire does not read that copy, and “cofire check” names it until you have
merged it by hand.

Nothing here says that a glaze may touch food. A test tile decides, and your
suppliers' safety data sheets come first.
"""


@dataclass(frozen=True)
class Begun:
    """What was added to a folder, and what was there already and is left as it was."""

    folder: Path
    added: tuple[str, ...]
    left: tuple[str, ...]


def begin_studio(folder: Path, name: str) -> Begun:
    """Make a studio, or add what is missing in one; never changes what is there.

    Raises DataFileError for a file in the way, a folder inside another studio, or one that cannot
    be written.
    """
    if folder.exists() and not folder.is_dir():
        raise DataFileError(
            "this is a file, not a folder.", hint="Name another folder.", place=Place(folder)
        )
    around = find_studio(folder.resolve().parent)
    if around is not None:
        raise DataFileError(
            f"this folder lies inside the studio {around}.",
            hint="Work in that one, or choose a folder outside it.",
            place=Place(folder),
        )
    files = {
        STUDIO_MARK: _MARK.format(name=written(name)),
        STOCK: _STOCK,
        "README.txt": _README.format(title=name),
        EXAMPLE: _EXAMPLE,
    }
    for name_in in (*files, *FOLDERS):
        there = folder / name_in
        if there.exists() and there.is_dir() != (name_in in FOLDERS):
            what = "a folder" if there.is_dir() else "a file"
            raise DataFileError(
                f"there is {what} of this name in the way.",
                hint="Move it away, or choose another folder.",
                place=Place(there),
            )
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
        raise DataFileError(
            f"the folder cannot be made ({problem.strerror}).", place=Place(folder)
        ) from None
    for one, text in files.items():
        path = folder / one
        if path.exists():
            left.append(one)
            continue
        with writing(path) as out:
            out.write(text)
        added.append(one)
    return Begun(folder, tuple(added), tuple(left))
