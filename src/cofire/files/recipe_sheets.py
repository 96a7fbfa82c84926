"""A sheet of many recipes, long or wide -> the rows of each. Asks whether a name is a material."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass, field
from typing import Literal

from cofire.errors import CofireError, Place, Problems, refusal
from cofire.files.sheets import Sheet
from cofire.files.table_cells import ADDED, BASE, Columns, Line, amount_heading
from cofire.files.tables import RowsOfTable, TableRead, Unit
from cofire.read.amounts import is_amount
from cofire.read.number import Convention

#: One line to a material; one to a recipe; or one column to a recipe.
Layout = Literal["long", "a recipe a row", "a recipe a column"]

_HEADS = {
    "name": r"(the )?(recipe|glaze)s?( names?)?|names?|titles?|called",
    "material": r"(raw )?(materials?|ingredients?|components?|chemicals?|items?)( names?)?",
    "unit": r"units?",
    "section": r"\+|(is )?(an )?add(ed|s)?|additions?\??|additives?|sections?|kinds?|"
    r"base/additions?|base or additions?",
    "cone": r"(firing )?cones?",
    "surface": r"surfaces?|finish",
    "notes": r"notes?|remarks?|comments?|description",
}
_YES = {"yes", "y", "x", "true", "1", "✓"}
_NO = {"no", "n", "false", "0", "-", "–", "—"}
_DATE = re.compile(r"\d{4}-\d\d-\d\d|\d{1,2}([./-])\d{1,2}\1(\d\d|\d{4})")
_NOTHING = {"-", "–", "—"}
#: How a row of amounts is handed to the reader of one table.
_ROW = Columns(name=0, amount=1, unit=2, section=3, width=4)


@dataclass(frozen=True)
class SheetRecipe:
    """One recipe as it stands in a sheet; ``surface`` is what it says there, if anything. A
    ``broken`` one has errors, and only some of its rows."""

    name: str
    place: Place
    table: TableRead
    surface: str = ""
    notes: str = ""
    broken: bool = False


@dataclass(frozen=True)
class SheetRead:
    """All recipes of a sheet, and the errors of those that are broken."""

    layout: Layout
    recipes: tuple[SheetRecipe, ...]
    errors: tuple[CofireError, ...]
    remarks: tuple[str, ...]


@dataclass
class _Draft:
    """A recipe while its rows are gathered."""

    name: str
    line: int
    rows: list[Line] = field(default_factory=list)
    said: list[tuple[str, str, str]] = field(default_factory=list)  # heading, material, words


def read_recipes(
    sheet: Sheet, is_material: Callable[[str], bool], as_notes: Collection[str] = ()
) -> SheetRead:
    """The recipes of a sheet; columns under headings in ``as_notes`` are kept as notes.

    Raises DataFileError where the headings do not say what is what.
    """
    heads = sheet.headings.cells
    place = Place(sheet.path, sheet.headings.number)
    noted = {_low(one) for one in as_notes}
    named = {_low(cell) for cell in (*heads, *(row.cells[0] for row in sheet.rows))}
    if missing := noted - named:
        raise refusal("no-such-heading", place, column=sorted(missing)[0], hint=_listed(heads))
    roles = {i: "notes" if _low(h) in noted else _role(h) for i, h in enumerate(heads) if h}
    at = _positions(roles, heads, place)
    amounts = [
        i for i, h in enumerate(heads) if i not in at.values() and _is_amounts(h, roles.get(i, ""))
    ]
    errors = list(sheet.errors)
    if "name" in at and "material" in at:
        layout: Layout = "long"
        if len(amounts) != 1:
            name = "no-amounts" if not amounts else "several-amounts"
            listed = ", ".join(f"“{heads[i]}”" for i in amounts)
            raise refusal(name, place, listed=listed, first=heads[amounts[0]] if amounts else "")
        drafts = _long(sheet, at, amounts[0], roles, errors)
        commas = sheet.convention(amounts)
    elif _in_rows(sheet, at, is_material, place):
        layout = "a recipe a row"
        drafts, commas = _by_rows(sheet, at, roles, is_material, errors)
    else:
        layout = "a recipe a column"
        if amounts and len(amounts) == sum(not role for i, role in roles.items() if i):
            raise refusal("sheet-of-one-recipe", place, heading=heads[amounts[0]])
        drafts, commas = _by_columns(sheet, at, roles, is_material, noted, errors)
    if sheet.errors and layout != "a recipe a row":
        drafts = []  # a line that cannot be read may belong to any of them
    return _finished(sheet, layout, drafts, commas, errors)


def _low(text: str) -> str:
    return text.lower().strip(" :.*")


def _role(heading: str) -> str:
    low = _low(heading) or heading
    return next((role for role, words in _HEADS.items() if re.fullmatch(words, low)), "")


def _is_amounts(heading: str, role: str) -> bool:
    return bool(heading) and not role and amount_heading(heading.lower()) is not None


def _listed(heads: Sequence[str]) -> str:
    return "The headings are " + ", ".join(f"“{head}”" for head in heads if head) + "."


def _positions(roles: dict[int, str], heads: Sequence[str], place: Place) -> dict[str, int]:
    """Where the columns with a meaning of their own stand. There may be any number of notes."""
    found: dict[str, int] = {}
    for i, role in roles.items():
        if role and role != "notes":
            if role in found:
                first = heads[found[role]]
                raise refusal("two-headings-alike", place, first=first, second=heads[i], role=role)
            found[role] = i
    return found


def _in_rows(
    sheet: Sheet, at: dict[str, int], is_material: Callable[[str], bool], place: Place
) -> bool:
    """Whether a wide sheet has its recipes in rows: where its materials are tells that."""
    heads = sheet.headings.cells
    if "material" in at:
        return False
    across = sum(is_material(_bare(head)) for head in heads[1:] if head)
    down = sum(is_material(_bare(row.cells[0])) for row in sheet.rows if row.cells[0])
    if across == down and not ("name" in at and re.search("recipe|glaze", heads[at["name"]], re.I)):
        raise refusal("no-layout", place)
    return across >= down


def _bare(name: str) -> str:
    """Without the sign of an addition."""
    return re.sub(r"^(?:\+|(?:add|plus)\b)\s*:?\s*(?=\S)", "", name, flags=re.I)


def _long(
    sheet: Sheet, at: dict[str, int], amount: int, roles: dict[int, str], errors: list[CofireError]
) -> list[_Draft]:
    drafts: dict[str, _Draft] = {}
    draft: _Draft | None = None
    unit = amount_heading(sheet.headings.cells[amount].lower()) or ""
    used = {at["name"], at["material"], amount, at.get("unit"), at.get("section")}
    for row in sheet.rows:
        cells, place = row.cells, Place(sheet.path, row.number)
        if name := cells[at["name"]]:
            draft = drafts.setdefault(name, _Draft(name, row.number))
        if draft is None:
            errors.append(refusal("row-without-recipe", place))
            continue
        material = cells[at["material"]]
        for i, said in enumerate(cells):
            if said and i not in used:
                draft.said.append((_key(sheet, roles, i), material, said))
        if not material and not cells[amount]:
            continue  # only remarks
        try:
            section = _section(cells[at["section"]], place) if "section" in at else ""
        except CofireError as error:
            errors.append(error)
            draft.rows.append(Line(row.number, ("", "", "", "?")))
            continue
        said_unit = cells[at["unit"]] if "unit" in at else ""
        draft.rows.append(Line(row.number, (material, cells[amount], said_unit or unit, section)))
    return list(drafts.values())


def _section(said: str, place: Place) -> str:
    """What a column of additions says, in the words of a table of one recipe."""
    low = said.lower().strip(" :.")
    if not low or low in _NO or re.fullmatch(r"base.*", low):
        return "" if not low else "base"
    if low in _YES or ADDED.match(low):
        return "additions"
    raise refusal("no-yes-or-no", place, said=said)


def _by_rows(
    sheet: Sheet,
    at: dict[str, int],
    roles: dict[int, str],
    is_material: Callable[[str], bool],
    errors: list[CofireError],
) -> tuple[list[_Draft], Convention]:
    heads = sheet.headings.cells
    name_at, unit_at = at.get("name", 0), at.get("unit")
    columns = [
        i
        for i, head in enumerate(heads)
        if i != name_at and head and _holds_amounts(sheet, i, roles[i], is_material)
    ]
    drafts = []
    for row in sheet.rows:
        name = row.cells[name_at]
        if not name:
            errors.append(refusal("row-without-name", Place(sheet.path, row.number)))
            continue
        draft = _Draft(name, row.number)
        for i, said in enumerate(row.cells):
            if i in columns:
                unit = row.cells[unit_at] if unit_at is not None else ""
                _add(draft, row.number, (heads[i], said, unit, ""))
            elif said and i not in (name_at, unit_at):
                draft.said.append((_key(sheet, roles, i), "", said))
        drafts.append(draft)
    return drafts, sheet.convention(columns)


def _holds_amounts(
    sheet: Sheet, position: int, role: str, is_material: Callable[[str], bool]
) -> bool:
    head = sheet.headings.cells[position]
    if role in ("cone", "surface", "notes", "unit"):
        return False
    cells = [row.cells[position] for row in sheet.rows if row.cells[position]]
    return role == "section" or is_material(_bare(head)) or any(map(_is_like_amount, cells))


def _is_like_amount(cell: str) -> bool:
    """Whether it begins as an amount and is no date, so that no amount passes for a note."""
    if _DATE.fullmatch(cell):
        return False
    return is_amount(cell) or bool(re.match(r"[<>~+]?\s*[.,]?\d", cell))


def _add(draft: _Draft, line: int, cells: tuple[str, str, str, str]) -> None:
    """One cell of a wide sheet. What is empty or nothing is not in the recipe."""
    material, said = cells[:2]
    low = _low(material) or material
    divides = bool(ADDED.match(low) or BASE.match(low)) and not said
    nothing = not said or said in _NOTHING or re.fullmatch(r"0+([.,]0+)?", said)
    if divides or not nothing:
        draft.rows.append(Line(line, cells))


def _by_columns(
    sheet: Sheet,
    at: dict[str, int],
    roles: dict[int, str],
    is_material: Callable[[str], bool],
    noted: Collection[str],
    errors: list[CofireError],
) -> tuple[list[_Draft], Convention]:
    """Rows of a material, and rows of a cone, a surface and notes between them."""
    heads = sheet.headings.cells
    first = at.get("material", 0)
    notes = [i for i, role in roles.items() if role == "notes" and i != first]
    others = (first, at.get("section"), at.get("unit"), *notes)
    columns = [i for i, head in enumerate(heads) if head and i not in others]
    drafts = {i: _Draft(heads[i], sheet.headings.number) for i in columns}
    for row in sheet.rows:
        name, place = row.cells[first], Place(sheet.path, row.number)
        if not name:
            errors.append(refusal("row-without-material", place))
            return [], ""
        said = {i: row.cells[i] for i in columns if row.cells[i]}
        role = "notes" if _low(name) in noted else _role(name)
        amounts = is_material(_bare(name)) or any(map(_is_like_amount, said.values()))
        if role in ("cone", "surface", "notes") or (said and role != "section" and not amounts):
            key = role if role in ("cone", "surface") else f"{name}: "
            key = "" if _role(name) == "notes" else key
            for i, words in said.items():
                drafts[i].said.append((key, "", words))
            continue
        try:
            section = _section(row.cells[at["section"]], place) if "section" in at else ""
        except CofireError as error:
            errors.append(error)
            return [], ""
        unit = row.cells[at["unit"]] if "unit" in at else ""
        for i in columns:
            _add(drafts[i], row.number, (name, row.cells[i], unit, section))
            for k in notes:
                if row.cells[i] and row.cells[k]:
                    drafts[i].said.append(("", name, row.cells[k]))
    return list(drafts.values()), sheet.convention(columns)


def _key(sheet: Sheet, roles: dict[int, str], position: int) -> str:
    """“cone”, “surface”, nothing for remarks, else the heading with a colon."""
    role, head = roles.get(position, ""), sheet.headings.cells[position]
    if role in ("cone", "surface"):
        return role
    return "" if role == "notes" and _role(head) == "notes" else f"{head}: "


def _finished(
    sheet: Sheet,
    layout: Layout,
    drafts: Iterable[_Draft],
    commas: Convention,
    errors: list[CofireError],
) -> SheetRead:
    recipes: list[SheetRecipe] = []
    remarks = list(sheet.remarks)
    broken = {error.place.line for error in errors if error.place}
    for draft in drafts:
        place = Place(sheet.path, draft.line)
        found: list[CofireError] = []
        table = _table(draft, place, commas, found)
        said = list(dict.fromkeys(words for key, _, words in draft.said if key == "surface"))
        if len({one.lower() for one in said}) > 1:
            listed = ", ".join(f"“{one}”" for one in said)
            found.append(refusal("several-surfaces", place, name=draft.name, listed=listed))
        for error in found:
            errors += error.errors if isinstance(error, Problems) else (error,)
        for remark in table.remarks:
            said_of = remark
            if layout == "a recipe a row":  # all of it is one line
                said_of = re.sub(r"^line \d+ stands below", "what stands behind", remark)
            remarks.append(f"{draft.name}: {said_of}")
        lost = bool(broken & {draft.line, *(row.number for row in draft.rows)})
        surface = said[0] if said else ""
        recipes.append(
            SheetRecipe(draft.name, place, table, surface, _notes(draft), bool(found) or lost)
        )
    once = {str(error): error for error in errors}
    return SheetRead(layout, tuple(recipes), tuple(once.values()), tuple(dict.fromkeys(remarks)))


def _table(draft: _Draft, place: Place, commas: Convention, errors: list[CofireError]) -> TableRead:
    """The rows of a recipe as a table of one; what is wrong in it goes to ``errors``."""
    remarks: list[str] = []
    rows = RowsOfTable(place.file, _ROW, commas, remarks)
    for line in draft.rows:
        if line.cells[3] != "?":  # said to be wrong already
            rows.take(line)
    unit: Unit = "parts"
    try:
        if not draft.rows:
            raise refusal("recipe-without-material", place, name=draft.name)
        unit = rows.finish()
    except CofireError as error:
        errors.append(_named(error, draft.name))
    return TableRead(tuple(rows.rows), unit, "", rows.total, tuple(dict.fromkeys(remarks)))


def _named(error: CofireError, name: str) -> CofireError:
    """The error with the recipe in which it stands."""
    if error.message.startswith(f"“{name}”"):
        return error
    if isinstance(error, Problems):
        return Problems(_named(one, name) for one in error.errors)
    return type(error)(f"{name}: {error.message}", hint=error.hint, place=error.place)


def _notes(draft: _Draft) -> str:
    """Everything beside the amounts, once each; with its material where only that line says it."""
    by_words: dict[tuple[str, str], list[str]] = {}
    for key, material, words in draft.said:
        if key != "surface":
            by_words.setdefault((key, words), []).append(material)
    rows = {row.cells[0] for row in draft.rows}
    first = draft.rows[0].cells[0] if draft.rows else ""
    texts = []
    for (key, words), materials in by_words.items():
        plain = key == "cone" and re.match(r"cone|\^", words, re.I)
        said = words if plain else f"cone {words}" if key == "cone" else f"{key}{words}"
        of_line = first not in materials and set(materials) < rows and all(materials)
        texts.append(f"{', '.join(materials)}: {said}" if of_line else said)
    return "; ".join(texts)
