"""Many recipes from one sheet: which can be made, and what stands in the way of the others."""

from __future__ import annotations

import re
from collections.abc import Collection
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path
from typing import ClassVar

from cofire.answers.clashes import Clash, Names, OnClash
from cofire.answers.findings.texts import finding
from cofire.answers.table import understand
from cofire.errors import CofireError, Place, Problems, UnknownNameError, refusal
from cofire.files import toml
from cofire.files.atomic_write import write_all
from cofire.files.library import Library
from cofire.files.recipe_sheets import Layout, SheetRecipe, read_recipes
from cofire.files.recipe_writer import recipe_text
from cofire.files.recipes import read_recipe
from cofire.files.sheets import Sheet
from cofire.files.tables import TableRow, Unit
from cofire.findings import Finding
from cofire.model.analysis import analyse
from cofire.model.solids import mixture
from cofire.names import plain
from cofire.record import Record
from cofire.records import SURFACES, Recipe, Surface
from cofire.words import listed

#: Other spellings of surfaces.
_SPELT = {"glossy": "gloss", "matt": "matte", "mat": "matte", "dry matt": "dry matte"}
#: Names that some systems keep for devices.
_DEVICES = re.compile(r"con|prn|aux|nul|(com|lpt)\d", re.I)
_LONGEST_NAME = 80


@dataclass(frozen=True, eq=False, repr=False)
class ImportedRecipe(Record):
    """A recipe that is written, or would be; ``lines`` as they stood in the sheet."""

    recipe: Recipe
    file: Path
    line: int | None
    unit: Unit
    lines: tuple[TableRow, ...]
    json_also: ClassVar = ("recipe.name", "recipe.surface", "recipe.notes")
    json_hides: ClassVar = ("recipe",)


@dataclass(frozen=True, eq=False)
class UnknownMaterial:
    """A name that is no material, or several; how many recipes or rows need it, and where first."""

    written: str
    count: int
    line: int | None
    message: str
    hint: str


@dataclass(frozen=True, eq=False, repr=False)
class ImportAnswer(Record):
    """``recipes`` are those that can be made. ``written`` says whether they were."""

    sheet: Path
    layout: Layout
    written: bool
    recipes: tuple[ImportedRecipe, ...]
    unknown: tuple[UnknownMaterial, ...]
    clashes: tuple[Clash, ...]
    errors: tuple[CofireError, ...]
    findings: tuple[Finding, ...]
    schema: ClassVar = "import"
    json_also: ClassVar = ("yes",)

    @property
    def yes(self) -> bool:
        """Whether all of the sheet can be made, but for what is skipped on demand."""
        stopped = any(clash.outcome == "left out" for clash in self.clashes)
        return not (self.unknown or self.errors or stopped)


def import_recipes(
    library: Library,
    sheet: Sheet,
    *,
    into: Path | None = None,
    surface: Surface | None = None,
    notes: Collection[str] = (),
    on_clash: OnClash = "stop",
    only_good: bool = False,
    dry_run: bool = False,
) -> ImportAnswer:
    """Every recipe of a sheet as a file of its own in the studio, or ``into`` a folder.

    Nothing is written where one of them cannot be made, unless with ``only_good``. Raises
    DataFileError without a studio and for headings that do not say what is what.
    """
    folder = into or library.own_studio() / "recipes"
    if into and not into.is_dir():
        raise refusal("no-such-folder", Place(into))
    importing = _Importing(library, sheet, folder, surface, on_clash)
    read = read_recipes(sheet, importing.is_material, notes)
    importing.errors += read.errors
    importing.findings += [finding("table", remark=remark) for remark in read.remarks]
    for one in read.recipes:
        importing.take(one)
    importing.finish()
    answer = ImportAnswer(
        sheet.path,
        read.layout,
        False,
        tuple(importing.recipes),
        tuple(importing.unknown.values()),
        tuple(importing.names.clashes),
        tuple(sorted(importing.errors, key=lambda e: (e.place and e.place.line) or 0)),
        tuple({(f.message, f.subject): f for f in importing.findings}.values()),
    )
    if dry_run or not answer.recipes or not (answer.yes or only_good):
        return answer
    if into is None:
        folder.mkdir(parents=True, exist_ok=True)
    write_all(importing.texts)
    return replace(answer, written=True)


class _Importing:
    """What was found in a sheet so far."""

    def __init__(
        self,
        library: Library,
        sheet: Sheet,
        folder: Path,
        surface: Surface | None,
        on_clash: OnClash,
    ) -> None:
        self.library, self.sheet, self.folder, self.surface = library, sheet, folder, surface
        self.recipes: list[ImportedRecipe] = []
        self.texts: dict[Path, str] = {}  # what their files will say
        self.unknown: dict[str, UnknownMaterial] = {}
        self.errors: list[CofireError] = []
        self.findings: list[Finding] = []
        self.names = Names(
            _taken(library, folder), plain, lambda name, count: f"{name} {count}", on_clash
        )
        self._refused: dict[str, CofireError | None] = {}  # by name of a material
        self._without_surface: list[SheetRecipe] = []

    def is_material(self, name: str) -> bool:
        return self._material_error(name) is None

    def _material_error(self, name: str) -> CofireError | None:
        """Why a name is no material; looked up once."""
        if name not in self._refused:
            try:
                self.library.material(name)
                self._refused[name] = None
            except UnknownNameError as error:
                self._refused[name] = error
        return self._refused[name]

    def take(self, one: SheetRecipe) -> None:
        """Sorts a recipe into those that can be made and those that cannot."""
        if one.broken:  # said already; its unknown materials count all the same
            self._known(one.table.rows)
            return
        try:
            _require_file_name(one)
        except CofireError as error:
            self.errors.append(error)
            return
        name = self.names.claim(one.name, one.place.line)
        if name is None:
            return
        known = self._known(one.table.rows)
        strange = len(known) < len(one.table.rows)
        try:
            surface = self._surface(one)
            answer = understand(
                self.library,
                replace(one.table, rows=tuple(known), remarks=()),
                self.sheet.path,
                name,
                surface,
            )
            if not strange:  # else it is not whole
                mixture(answer.recipe, analyse(answer.recipe).mol[None, :])
        except CofireError as error:
            if not strange or (error.place and error.place.line):
                toml.collect(self.errors, _placed(error, one))
            return
        if strange or surface is None:
            return
        stem = plain(name).replace(" ", "-")
        stem = f"{stem}-glaze" if _DEVICES.fullmatch(stem) else stem
        self.findings += [
            f if f.code == "shared-name" else replace(f, subject=name) for f in answer.findings
        ]
        made = ImportedRecipe(
            replace(answer.recipe, id=stem, notes=one.notes),
            self.folder / f"{stem}.toml",
            one.place.line,
            one.table.unit,
            one.table.rows,
        )
        self.recipes.append(made)
        self.texts[made.file] = _checked_text(self.library, made)

    def _known(self, rows: Collection[TableRow]) -> list[TableRow]:
        """Those that are materials; of the others each is counted once."""
        unknown: dict[str, tuple[TableRow, CofireError]] = {}
        for row in rows:
            if error := self._material_error(row.written):
                unknown.setdefault(plain(row.written), (row, error))
        for key, (row, error) in unknown.items():
            first = UnknownMaterial(row.written, 0, row.line, error.message, error.hint)
            before = self.unknown.get(key, first)
            self.unknown[key] = replace(before, count=before.count + 1)
        return [row for row in rows if plain(row.written) not in unknown]

    def _surface(self, one: SheetRecipe) -> Surface | None:
        if not one.surface:
            if self.surface is None:
                self._without_surface.append(one)
            return self.surface
        low = " ".join(one.surface.lower().split())
        for surface in SURFACES:
            if surface == _SPELT.get(low, low):
                return surface
        known = listed([f"“{word}”" for word in SURFACES], "or")
        raise refusal("no-such-surface", one.place, name=one.name, said=one.surface, known=known)

    def finish(self) -> None:
        """What is missing in many recipes is said once."""
        if self._without_surface:
            names = listed([one.name for one in self._without_surface], most=4)
            place = self._without_surface[0].place
            known = "|".join(SURFACES)
            self.errors.append(refusal("without-surface", place, names=names, known=known))


def _placed(error: CofireError, one: SheetRecipe) -> CofireError:
    """The error where it stands; one of the whole recipe in its first line."""
    if isinstance(error, Problems):
        return Problems(_placed(each, one) for each in error.errors)
    if error.place and error.place.line:
        return error
    told = error.message if one.name in error.message else f"{one.name}: {error.message}"
    return type(error)(told, hint=error.hint, place=one.place)


def _require_file_name(one: SheetRecipe) -> None:
    if not re.search(r"[^\W_]", one.name) or len(one.name) > _LONGEST_NAME:
        raise refusal(
            "no-name-for-a-file", one.place, name=one.name[:_LONGEST_NAME], most=_LONGEST_NAME
        )


def _taken(library: Library, folder: Path) -> dict[str, str]:
    """Who has each name of a recipe: files of the studio, of the folder, and what is shipped."""
    taken: dict[str, str] = {}
    files = [path for path, _ in library.files("recipes")]
    for path in (*sorted(folder.glob("*.toml")), *files):
        names = [path.stem]
        with suppress(CofireError):  # its file name counts all the same
            names.append(str(toml.read(path).data.get("name", "")))
        for name in filter(None, names):
            taken.setdefault(plain(name), path.name)
    return taken


def _checked_text(library: Library, one: ImportedRecipe) -> str:
    """What its file says, which has to read back as the same recipe."""
    text = recipe_text(one.recipe, digits=None)
    back = read_recipe(toml.parse(text, one.file), library.material, library.recipe)
    for mine, theirs in ((one.recipe.base, back.base), (one.recipe.additions, back.additions)):
        assert [(p.material.id, p.amount) for p in mine] == [
            (p.material.id, p.amount) for p in theirs
        ]
    assert (one.recipe.name, one.recipe.notes.strip()) == (back.name, back.notes)
    return text
