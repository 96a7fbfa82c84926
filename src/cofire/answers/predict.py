"""A table of oxide compositions in, properties out, in chunks so that a million rows fit."""

from __future__ import annotations

import csv
import itertools
import os
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Literal

import numpy as np

from cofire import glass
from cofire.arrays import Array
from cofire.chem.composition import mol_from_wt, shares
from cofire.chem.oxides import INDEX, OXIDES
from cofire.errors import DataFileError, Place, QuantityError, did_you_mean, refusal
from cofire.files.certificates import oxide_mass, to_counted
from cofire.read.number import number

Basis = Literal["mol", "wt"]
#: Some rows: their names, and columns (N,).
Chunk = tuple[list[str], dict[str, Array]]
CHUNK_ROWS = 20_000
#: Stiffer glass was not measured, so no more is ever predicted; log10 Pa·s.
STIFFEST_MEASURED = 14.0
#: Temperatures at which a viscosity is worth asking for, °C; our choice.
_COLDEST_C, _HOTTEST_C = 0.0, 2500.0
#: More than this is no amount of an oxide in any unit.
_MOST = 1e9
_EXAMPLE = "The first line names the columns: name,SiO2,B2O3,…"
ISOKOMS = {"seals_c": 6.0, "matures_c": 4.0, "runs_c": 2.5}

#: output column -> what the engine calls it
_ESTIMATES: dict[str, Callable[[glass.Prepared, float], glass.Estimate]] = {
    "expansion": glass.expansion,
    "expansion_20_400": glass.expansion_20_400,
    "glass_transition_c": glass.glass_transition,
    "strain_c": glass.strain_point,
    "annealing_c": glass.annealing_point,
    "youngs_modulus_gpa": glass.youngs_modulus,
    "liquidus_c": glass.liquidus,
}


@dataclass(frozen=True)
class _Column:
    position: int
    oxide: int
    factor: float  # multiplies the cell; gives amounts in the basis of the table


@dataclass(frozen=True)
class _Layout:
    name: int | None
    temperature: int | None
    columns: tuple[_Column, ...]
    width: int


def properties(
    mol: Array, temperature_c: Array | None = None, level: float = 0.9
) -> dict[str, Array]:
    """Compositions (N, n_oxides) in moles -> {column: (N,)}; rows of nothing give NaN.

    Intervals hold with probability ``level``, 0.5 to 0.99; ValueError outside.

    With ``temperature_c`` (N,) the viscosity at that temperature is added. ``seals_c``,
    ``matures_c`` and ``runs_c`` are isokoms at log10 eta 6, 4 and 2.5: to sort by, no verdict.
    """
    starts = range(0, max(len(mol), 1), glass.CHUNK)

    def piece(start: int) -> dict[str, Array]:
        part = slice(start, start + glass.CHUNK)
        hot = None if temperature_c is None else temperature_c[part]
        return _properties(mol[part], hot, level)

    if len(starts) == 1:
        return piece(0)
    with ThreadPoolExecutor(os.cpu_count()) as pool:  # numpy lets them run side by side
        pieces = list(pool.map(piece, starts))
    return {column: np.concatenate([p[column] for p in pieces]) for column in pieces[0]}


def _properties(mol: Array, temperature_c: Array | None, level: float) -> dict[str, Array]:
    at = glass.prepare(mol)
    out: dict[str, Array] = {}
    for column, estimate in _ESTIMATES.items():
        result = estimate(at, level)
        out[column], out[f"{column}_low"], out[f"{column}_high"] = (
            result.value,
            result.low,
            result.high,
        )
    curve = glass.viscosity(at, level)
    for column, log10_eta in ISOKOMS.items():
        out[column] = curve.isokom(log10_eta)
    if temperature_c is not None:
        eta = curve.estimate(temperature_c)
        for column, values in (("", eta.value), ("_low", eta.low), ("_high", eta.high)):
            out[f"log10_viscosity{column}"] = np.minimum(values, STIFFEST_MEASURED)
    out["support"] = glass.support(at).grade
    return out


def predict_rows(
    lines: Iterable[str],
    path: Path,
    basis: Basis,
    *,
    level: float = 0.9,
    ignore: bool = False,
    say: Callable[[str], None],
) -> Iterator[Chunk]:
    """Read CSV ``lines``: names and properties (N,), some thousand rows at a time.

    Rows with nothing in them have no numbers and are told through ``say``. Raises DataFileError
    with the line for a cell that is no number, a negative amount or an unknown column.
    """
    reader = csv.reader(lines)
    header = next(reader, None)
    if not header or not any(h.strip() for h in header):
        raise refusal("table-without-rows", Place(path), hint=_EXAMPLE)
    layout = _read_header(header, path, basis, ignore)
    started = False
    rows = _numbered(reader, path)
    while chunk := list(itertools.islice(rows, CHUNK_ROWS)):
        amounts, temperatures = _numbers(chunk, layout, path)
        mol = mol_from_wt(amounts) if basis == "wt" else shares(amounts)
        out = properties(mol, temperatures, level)
        started = True
        nothing, unknown = amounts.sum(axis=1) == 0.0, np.isnan(out["expansion"])
        for k in np.flatnonzero(unknown):
            why = "no oxide" if nothing[k] else "no oxide that the models know"
            say(f"{Place(path, chunk[k][0])}: this row holds {why} and is left empty.")
        names = [row[layout.name] if layout.name is not None else "" for _, row in chunk]
        yield names, out
    if not started:
        yield [], properties(np.zeros((0, len(OXIDES))))


def write_csv(chunks: Iterable[Chunk], out: IO[str]) -> None:
    """What ``predict_rows`` gives, as CSV under the names of the columns."""
    writer = csv.writer(out, lineterminator="\n")
    for k, (names, columns) in enumerate(chunks):
        if k == 0:
            writer.writerow(["name", *columns])
        writer.writerows(_format(names, np.column_stack(list(columns.values()))))


def _format(names: list[str], values: Array) -> Iterator[list[str]]:
    for name, row in zip(names, values.tolist(), strict=True):
        # NaN is the only number unlike itself; it is shown as an empty cell
        yield [name, *(f"{v:.6g}" if v == v else "" for v in row)]


def _numbered(reader: Iterator[list[str]], path: Path) -> Iterator[tuple[int, list[str]]]:
    while True:
        try:
            row = next(reader)
        except StopIteration:
            return
        except csv.Error as problem:
            raise refusal("no-csv-rows", Place(path), problem=problem) from None
        yield reader.line_num, row  # type: ignore[attr-defined]


def _read_header(header: list[str], path: Path, basis: Basis, ignore: bool) -> _Layout:
    place = Place(path, 1)
    name = temperature = None
    columns: list[_Column] = []
    seen: set[str] = set()
    unknown: list[str] = []
    for position, raw in enumerate(header):
        label = raw.strip().lstrip("\ufeff")
        if label in seen:
            raise refusal("column-twice", place, label=label)
        seen.add(label)
        if label == "name":
            name = position
        elif label == "temperature_c":
            temperature = position
        elif column := _oxide_column(label, position, basis):
            columns.append(column)
        else:
            unknown.append(label)
    if unknown and not ignore:
        listed = ", ".join(f"“{label}”" for label in unknown)
        guesses = [g for g in (did_you_mean(label, INDEX) for label in unknown) if g]
        raise refusal(
            "no-such-oxide",
            place,
            listed=listed,
            hint=" ".join(guesses or ["Columns are named like SiO2, Al2O3, Na2O."])
            + " Add --ignore to leave such columns out.",
        )
    if not columns:
        raise refusal("no-oxide-column", place, hint=_EXAMPLE)
    return _Layout(name, temperature, tuple(columns), len(header))


def _oxide_column(label: str, position: int, basis: Basis) -> _Column | None:
    try:
        counted = to_counted(label)
    except ValueError:
        return None
    if counted is None:
        return None
    oxide, moles = counted
    i = INDEX[oxide]
    mass_ratio = oxide_mass(oxide) / oxide_mass(label)
    return _Column(position, i, moles * (mass_ratio if basis == "wt" else 1.0))


def _numbers(
    chunk: list[tuple[int, list[str]]], layout: _Layout, path: Path
) -> tuple[Array, Array | None]:
    wanted = [c.position for c in layout.columns]
    if layout.temperature is not None:
        wanted.append(layout.temperature)
    try:
        cells = np.array([[float(row[p]) if row[p] else 0.0 for p in wanted] for _, row in chunk])
        amounts, hot = np.split(cells, [len(layout.columns)], axis=1)
        usable = bool(
            ((amounts >= 0.0) & (amounts <= _MOST)).all()
            and ((hot >= _COLDEST_C) & (hot <= _HOTTEST_C)).all()
            and all(len(row) == layout.width for _, row in chunk)
            and not any("_" in row[p] for _, row in chunk for p in wanted)  # 7_0 is no 70
        )
    except (ValueError, IndexError):
        usable = False
    if not usable:
        cells = _slowly(chunk, wanted, layout, path)
    amounts = np.zeros((len(chunk), len(OXIDES)))
    for k, column in enumerate(layout.columns):
        amounts[:, column.oxide] += cells[:, k] * column.factor
    if layout.temperature is None:
        return amounts, None
    blank = np.array([not row[layout.temperature].strip() for _, row in chunk])
    return amounts, np.where(blank, np.nan, cells[:, -1])


def _slowly(
    chunk: list[tuple[int, list[str]]], wanted: list[int], layout: _Layout, path: Path
) -> Array:
    """Cell by cell, to find the one that is wrong or merely untidy."""
    n_amounts, width = len(layout.columns), layout.width
    cells = np.zeros((len(chunk), len(wanted)))
    for r, (line, row) in enumerate(chunk):
        place = Place(path, line)
        if any(cell.strip() for cell in row[width:]):
            raise refusal("more-cells-than-headings", place, cells=len(row), width=width)
        row.extend([""] * (max(wanted) + 1 - len(row)))
        for k, position in enumerate(wanted):
            text = row[position].strip()
            if not text:
                continue
            try:
                value = float(number(text, "point"))
            except QuantityError as error:
                raise DataFileError(error.message, hint=error.hint, place=place) from None
            if k < n_amounts and not 0.0 <= value <= _MOST:
                raise refusal(
                    "impossible-amount-of-oxide",
                    place,
                    text=text,
                    wrong="negative" if value < 0.0 else "no amount of an oxide",
                )
            if k >= n_amounts and not _COLDEST_C <= value <= _HOTTEST_C:
                raise refusal(
                    "no-temperature-of-a-glaze",
                    place,
                    text=text,
                    coldest_c=_COLDEST_C,
                    hottest_c=_HOTTEST_C,
                )
            cells[r, k] = value
    return cells
