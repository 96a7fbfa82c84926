"""What ``cofire export`` wrote, read back: kind -> id -> what its file said."""

from __future__ import annotations

import io
import json
from collections.abc import Callable, Iterable
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import Any

from cofire.chem.oxides import INDEX
from cofire.errors import Place, refusal
from cofire.files import toml
from cofire.files.sheets import Sheet
from cofire.files.table_cells import Line, clean, split_rows, stated_separator, text_of
from cofire.read.number import convention, number

#: kind -> folder and folder inside that hold its files
FOLDERS = {
    "recipes": ("recipes", ""),
    "bought": ("recipes", "bought"),
    "fired": ("recipes", "fired"),
    "fired-bought": ("recipes/bought", "fired"),
    "firings": ("recipes", "firings"),
    "kilns": ("recipes", "kilns"),
    "materials": ("materials", ""),
    "bodies": ("materials", "bodies"),
    "cautions": ("materials", "cautions"),
}
#: Kinds whose files hold several things, each under its id.
SEVERAL = ("materials", "cautions")
#: Files of a studio that hold one table each.
SINGLE = ("stock", "names", "studio")
#: Headings of a sheet of parts of recipes, and of a sheet of materials before their oxides.
PART = ("recipe", "name", "surface", "notes", "fluorine_kept", "section", "material", "id",
        "amount", "unit", "own")  # fmt: skip
FACTS = (
    "id", "names", "default_for", "formula", "loi_percent", "melts", "melting", "melts_like",
    "dissolves", "grain", "d50_um", "sieve_mesh", "cautions", "source", "supplier", "date", "note",
    "rare", "own", "overrides",
)  # fmt: skip
_LISTS = ("names", "default_for", "cautions")
_WORDS = ("formula", "dissolves", "grain", "source", "supplier", "date", "note")
SPREAD = " spread"
SCHEMA = "cofire.export"
#: A row of a sheet by its headings, without empty cells.
Row = dict[str, str]
#: kind -> id -> what its file says; of sheets of recipes all rows, of materials the row.
Said = dict[str, dict[str, Any]]


def is_exported(path: Path) -> bool:
    """Whether a file or folder looks like one that ``cofire export`` wrote. Raises DataFileError
    for a file that cannot be read."""
    if path.is_dir() or path.suffix.lower() == ".json":
        return True
    raw = toml.read_bytes(path)
    if raw.startswith(b"PK"):
        return False
    first = text_of(raw, path, []).lstrip("\ufeff").split("\n", 1)[0]
    heads = [clean(one) for one in first.replace(";", ",").replace("\t", ",").split(",")]
    return bool(_kind_of([one.strip('" ') for one in heads], path))


def read_exported(path: Path) -> Said:
    """What an exported file, or a folder of sheets, says.

    Raises DataFileError for what was not written by ``cofire export``.
    """
    if path.is_dir():
        sheets = sorted(one for one in path.glob("*.csv"))
        if not sheets:
            raise refusal("no-exported-sheets", Place(path))
        said: Said = {}
        for one in sheets:
            said |= in_sheet(toml.read_bytes(one), one)
        return said
    raw = toml.read_bytes(path)
    return _in_json(raw, path) if path.suffix.lower() == ".json" else in_sheet(raw, path)


def _in_json(raw: bytes, path: Path) -> Said:
    try:
        data = json.loads(raw.decode("utf-8-sig"))
        if data["schema"]["name"] != SCHEMA:
            raise KeyError
    except (ValueError, KeyError, TypeError, RecursionError):
        raise refusal("no-export", Place(path)) from None
    known = (*FOLDERS, *SINGLE, "curves")
    for kind, found in data.items():
        if kind != "schema" and (kind not in known or not isinstance(found, dict)):
            raise refusal("no-exported-kind", Place(path), kind=kind)
        for key, one in found.items() if kind in FOLDERS else ():
            if not isinstance(one, dict):
                raise refusal("not-as-exported", Place(path), kind=kind, id=key)
    return {kind: data[kind] for kind in known if kind in data}


def in_sheet(raw: bytes, path: Path) -> Said:
    """What one exported sheet says. Raises DataFileError with the line."""
    text = text_of(raw, path, []).replace("\r\n", "\n").replace("\r", "\n")
    stated, text = stated_separator(text)
    head = text.lstrip("\ufeff\n").split("\n", 1)[0]  # cells may hold whole files
    separator = stated or next((sign for sign in "\t;" if sign in head), ",")
    lines = [Line(n, tuple(cells)) for n, cells in split_rows(io.StringIO(text), separator, path)]
    lines = [line for line in lines if any(cell.strip() for cell in line.cells)]
    heads = [clean(cell) for cell in lines[0].cells] if lines else []
    kind = _kind_of(heads, path)
    if not kind:
        raise refusal("no-export", Place(path))
    rows: list[tuple[int, Row]] = []
    for line in lines[1:]:
        if any(cell for cell in line.cells[len(heads) :]):
            at = Place(path, line.number)
            raise refusal("too-many-cells", at, cells=len(line.cells), heads=len(heads))
        rows.append((line.number, {h: c for h, c in zip(heads, line.cells, strict=False) if c}))
    if kind in ("recipes", "materials"):
        return {kind: _grouped(kind, heads, rows, path)}
    if kind == "curves":
        return {kind: {row.get("file", ""): row.get("text", "") for _, row in rows}}
    return {kind: _from_lines(kind, rows, path)}


def _kind_of(heads: list[str], path: Path) -> str:
    """Which sheet has these headings; an empty string for none that was exported."""
    given = set(heads)
    if {"recipe", "name", "section", "material", "amount"} <= given:
        return "recipes"
    if {"id", "names", "loi_percent"} <= given:
        return "materials"
    if given == {"file", "text"}:
        return "curves"
    stem = path.stem.lower()
    if given == {"id", "key", "value"} and stem in FOLDERS:
        return stem
    if given == {"key", "value"} and stem in SINGLE:
        return stem
    return ""


def _grouped(
    kind: str, heads: list[str], rows: list[tuple[int, Row]], path: Path
) -> dict[str, Any]:
    """Rows of each recipe, or the row of each material."""
    known = PART if kind == "recipes" else (*FACTS, *INDEX, *(o + SPREAD for o in INDEX))
    if strange := [head for head in heads if head and head not in known]:
        raise refusal("no-exported-column", Place(path, 1), column=strange[0])
    found: dict[str, Any] = {}
    for line, row in rows:
        key = row.get("recipe" if kind == "recipes" else "id", "")
        if not key or (kind == "materials" and key in found):
            name = "exported-twice" if key else "row-without-name"
            raise refusal(name, Place(path, line), id=key)
        if kind == "recipes":
            found.setdefault(key, []).append(row)
        else:
            found[key] = row
    return found


def _from_lines(kind: str, rows: list[tuple[int, Row]], path: Path) -> dict[str, Any]:
    """Tables out of the lines of their files; the numbered ones are lists again."""
    texts: dict[str, list[str]] = {}
    for _, row in rows:
        said = f"{row.get('key', '')} = {row.get('value', '')}"
        texts.setdefault(row.get("id", ""), []).append(said)
    read = {key: toml.parse("\n".join(lines), path).data for key, lines in texts.items()}
    if kind in SINGLE:
        return read.get("", {})
    return {key: _listed(one) if kind != "cautions" else one for key, one in read.items()}


def stock_sheet(sheet: Sheet) -> tuple[Sheet, str]:
    """An exported sheet of stock as people write theirs, and its currency; another sheet as it
    is."""
    if set(filter(None, sheet.headings.cells)) != {"key", "value"}:
        return sheet, ""
    text = "\n".join(" = ".join(row.cells[:2]) for row in sheet.rows)
    data = toml.parse(text, sheet.path).data
    currency = data.pop("currency", "")
    heads = ("material", "have", "price")
    rows = []
    for key, said in data.items():
        if not isinstance(said, dict) or set(said) - set(heads):
            raise refusal("no-export", Place(sheet.path))
        first = next(row for row in sheet.rows if key in row.cells[0])
        cells = (key, *(str(said.get(one, "")) for one in heads[1:]))
        rows.append(Line(first.number, cells))
    return replace(sheet, headings=Line(sheet.headings.number, heads), rows=tuple(rows)), currency


def _listed(data: Any) -> Any:
    if not isinstance(data, dict):
        return data
    inside = {key: _listed(value) for key, value in data.items()}
    tables = all(isinstance(one, dict) for one in inside.values())
    if inside and tables and list(inside) == [str(n) for n in range(1, len(inside) + 1)]:
        return list(inside.values())
    return inside


def recipe_of(rows: Iterable[Row], means: Callable[[str, str], bool], path: Path) -> dict[str, Any]:
    """What the file of a recipe says, of its rows. Where a name ``means`` another material than
    the row, its id stands there."""
    rows = list(rows)
    commas = convention(row.get("amount", "") for row in rows)
    first = rows[0]
    data: dict[str, Any] = {k: first[k] for k in ("name", "surface", "notes") if k in first}
    if "fluorine_kept" in first and float(number(first["fluorine_kept"], commas)) != 0.5:
        data["fluorine_kept"] = float(number(first["fluorine_kept"], commas))
    for row in rows:
        section, written = row.get("section", ""), row.get("material", "")
        if section not in ("base", "additions", "undissolved", "crystals"):
            raise refusal("no-exported-section", Place(path), recipe=first["recipe"], said=section)
        amounts = data.setdefault(section, {})
        meant = row.get("id", "")
        if meant and (written in amounts or not means(written, meant)):
            written = meant
        if written in amounts:
            raise refusal("exported-twice", Place(path), id=f"{first['recipe']}: {written}")
        amount = number(row.get("amount", ""), commas)
        weight = section in ("base", "additions") and row.get("unit") == "g"
        amounts[written] = f"{Decimal(amount):f} g" if weight else float(amount)
    return {k: data[k] for k in sorted(data, key=lambda k: k in ("base", "additions"))}


def material_of(row: Row) -> dict[str, Any]:
    """What the file of a material says, of its row."""
    commas = convention(cell for head, cell in row.items() if head.removesuffix(SPREAD) in INDEX)

    def share(cell: str) -> float:
        return float(number(cell, commas))

    data: dict[str, Any] = {key: row[key].split("\n") for key in _LISTS if key in row}
    data |= {key: row[key] for key in _WORDS if key in row}
    if "d50_um" in row:
        data["d50"] = f"{row['d50_um']} um"
    if "sieve_mesh" in row:
        data["sieve"] = f"{float(row['sieve_mesh']):.0f} mesh"
    if row.get("melting", "stated") == "stated":
        data["melts"] = row.get("melts", "never")
    data |= {key: True for key in ("rare", "overrides") if row.get(key, "").lower() == "true"}
    data["analysis"] = {oxide: share(row[oxide]) for oxide in INDEX if oxide in row}
    data["loi"] = share(row["loi_percent"]) if "loi_percent" in row else 0.0
    spread = {oxide: share(row[oxide + SPREAD]) for oxide in INDEX if oxide + SPREAD in row}
    return data | ({"spread": spread} if spread else {})


def file_text(data: dict[str, Any]) -> str:
    """A file that says this, in TOML."""
    plain = {k: v for k, v in data.items() if not isinstance(v, dict) and not _is_tables(v)}
    lines = [f"{toml.bare(key)} = {toml.written(value)}" for key, value in plain.items()]
    for key, value in data.items():
        if key not in plain:
            head = f"[{toml.bare(key)}]"
            for one in value if isinstance(value, list) else [value]:
                lines += ["", head if isinstance(value, dict) else f"[{head}]"]
                lines += [f"{toml.bare(k)} = {toml.written(v)}" for k, v in one.items()]
    return "\n".join(lines).lstrip("\n") + "\n"


def _is_tables(value: object) -> bool:
    return isinstance(value, list) and bool(value) and all(isinstance(one, dict) for one in value)
