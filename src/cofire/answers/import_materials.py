"""Many materials from one sheet, a row to each, by the checks of a single certificate."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from pathlib import Path
from typing import ClassVar

from cofire.answers.clashes import Clash, Names, OnClash
from cofire.answers.materials import CertificateDetails, read_material
from cofire.answers.oxide_headings import oxide_of, refuse_unknown
from cofire.errors import CofireError, Place, Problems, refusal
from cofire.files import toml
from cofire.files.atomic_write import write_all
from cofire.files.certificates import IGNORED, LOSS, OXYGEN_FOR_F, SPELLINGS, bare_label, spelling
from cofire.files.library import Library
from cofire.files.sheets import Sheet
from cofire.files.table_cells import Line
from cofire.names import plain
from cofire.read.number import Convention
from cofire.record import Record
from cofire.words import plain_digits

_HEADS = {
    "name": r"(the )?(raw )?(material|ingredient)s?( names?)?|names?|called",
    "id": r"ids?|key",
    "others": r"(also called|other names?|synonyms?|aliases|names too)",
    "supplier": r"suppliers?|sold by",
    "date": r"dates?|date of (the )?(certificate|delivery)|certificate date",
    "melts": r"melts?( at)?|melting",
    "dissolves": r"dissolves?( in water)?|soluble|solubility",
}
_NOTHING = {"", "-", "–", "—"}


@dataclass(frozen=True, eq=False, repr=False)
class ImportedMaterial(Record):
    """A material that is written, or would be, and what was read into its row."""

    id: str
    names: tuple[str, ...]
    file: Path
    line: int | None
    remarks: tuple[str, ...]
    known: bool  # how it melts


@dataclass(frozen=True, eq=False, repr=False)
class MaterialsImport(Record):
    """``materials`` are those that can be made. ``written`` says whether they were."""

    sheet: Path
    written: bool
    materials: tuple[ImportedMaterial, ...]
    clashes: tuple[Clash, ...]
    errors: tuple[CofireError, ...]
    remarks: tuple[str, ...]
    schema: ClassVar = "materials.import"
    json_also: ClassVar = ("yes",)

    @property
    def yes(self) -> bool:
        """Whether all of the sheet can be made, but for what is skipped on demand."""
        return not self.errors and all(one.outcome != "left out" for one in self.clashes)


def import_materials(
    library: Library,
    sheet: Sheet,
    *,
    supplier: str = "",
    date: str = "",
    on_clash: OnClash = "stop",
    only_good: bool = False,
    dry_run: bool = False,
    trust: bool = False,
) -> MaterialsImport:
    """Every row of a sheet as a material of the studio.

    Nothing is written where one of them cannot be made, unless with ``only_good``. Raises
    DataFileError without a studio and CompositionError for headings that are no oxides.
    """
    folder = library.own_studio() / "materials"
    columns = _Columns(sheet)
    taken = {key: _file(library, key) for key in library.materials}
    names = Names(taken, str, lambda key, count: f"{key}-{count}", on_clash)
    came_with = Library(None).materials
    made: list[ImportedMaterial] = []
    texts: dict[Path, str] = {}
    errors = list(sheet.errors)
    broken = {error.place.line for error in errors if error.place}
    for row in sheet.rows:
        place = Place(sheet.path, row.number)
        if row.number in broken:
            continue
        said = columns.words(row)
        try:
            if not said["name"]:
                raise refusal("row-without-name", place)
            key = said["id"] or "-".join(re.findall("[a-z0-9]+", plain(said["name"])))
            others = re.split(r"\s*[;,|]\s*", said["others"]) if said["others"] else []
            by, on = said["supplier"] or supplier, said["date"] or date
            for word, value in (("supplier", by), ("date", on)):
                if not value:
                    raise refusal("row-without", place, name=said["name"], what=word)
            if (claimed := names.claim(key, row.number)) is None:
                continue
            dissolves = said["dissolves"].lower() or "no"
            if dissolves not in ("no", "slightly", "yes"):
                raise refusal("no-such-dissolves", place, name=said["name"], said=dissolves)
            called = (said["name"], *filter(None, others))
            details = CertificateDetails(
                claimed, called, by, on, dissolves, overrides=False, melts=said["melts"]
            )
            added, text = read_material(
                library,
                columns.certificate(row),
                sheet.path,
                details,
                trust=trust,
                commas=columns.commas,
                came_with=came_with,
            )
        except CofireError as error:
            toml.collect(errors, in_row(error, said["name"], place))
            continue
        remarks = (*columns.remarks(row), *added.remarks)
        comments = "".join(f"# {remark}\n" for remark in columns.remarks(row))
        made.append(ImportedMaterial(claimed, called, added.file, row.number, remarks, added.known))
        texts[added.file] = comments + text
    answer = MaterialsImport(
        sheet.path, False, tuple(made), tuple(names.clashes), tuple(errors), sheet.remarks
    )
    if dry_run or not made or not (answer.yes or only_good):
        return answer
    folder.mkdir(parents=True, exist_ok=True)
    write_all(texts)
    return replace(answer, written=True)


class _Columns:
    """What each column of a sheet of materials is."""

    def __init__(self, sheet: Sheet) -> None:
        place = Place(sheet.path, sheet.headings.number)
        self._roles: dict[str, int] = {}
        self._oxides: dict[int, str] = {}  # as a certificate labels them
        self._others: dict[int, str] = {}
        for i, head in enumerate(sheet.headings.cells):
            if not head:
                continue
            if role := _role(head):
                if role in self._roles:
                    first = sheet.headings.cells[self._roles[role]]
                    raise refusal(
                        "several-such-columns", place, first=first, second=head, role=role
                    )
                self._roles[role] = i
            elif label := _label(head, place):
                self._oxides[i] = label
            else:
                self._others[i] = head
        if "name" not in self._roles:
            raise refusal("no-names", place)
        strange = [
            head
            for i, head in self._others.items()
            if any(re.search(r"^[<~]?\s*[-+]?[.,]?\d", row.cells[i]) for row in sheet.rows)
        ]
        refuse_unknown(strange, "Correct the heading, or delete the column.", place)
        self.commas: Convention = sheet.convention(self._oxides)

    def words(self, row: Line) -> dict[str, str]:
        """What a row says beside its oxides, by the names of ``_HEADS``."""
        at = self._roles
        return {role: row.cells[at[role]] if role in at else "" for role in _HEADS}

    def certificate(self, row: Line) -> str:
        """Its oxides as the text of a certificate."""
        cells = ((label, row.cells[i]) for i, label in self._oxides.items())
        return "\n".join(f"{label}\t{cell}" for label, cell in cells if cell not in _NOTHING)

    def remarks(self, row: Line) -> list[str]:
        """All other text of a row, which becomes comments."""
        return [f"{head}: {row.cells[i]}" for i, head in self._others.items() if row.cells[i]]


def _role(heading: str) -> str:
    low = heading.lower().strip(" :.*")
    return next((role for role, words in _HEADS.items() if re.fullmatch(words, low)), "")


def _label(heading: str, place: Place) -> str:
    """How a certificate labels this column; empty where it is no oxide, loss or total."""
    if oxide := oxide_of(heading, "wt", place):
        return oxide
    bare = bare_label(plain_digits(heading))
    if (
        LOSS.match(bare)
        or OXYGEN_FOR_F.match(bare)
        or (re.match(r"(total|sum)\b", bare, re.I) and IGNORED.match(bare))
    ):
        return bare
    return spelling(bare) if bare.lower() in SPELLINGS else ""


def _file(library: Library, key: str) -> str:
    material = library.materials[key]
    return material.place.file.name if material.place else "a shipped material"


def in_row(error: CofireError, name: str, place: Place) -> CofireError:
    """The error at the row of the sheet, with the name that stands there."""
    if isinstance(error, Problems):
        return Problems(in_row(one, name, place) for one in error.errors)
    if error.place == place:
        return error
    return type(error)(f"{name}: {error.message}", hint=error.hint, place=place)
