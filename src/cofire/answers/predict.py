"""Compositions in, properties out."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable
from concurrent.futures import ThreadPoolExecutor
from decimal import Decimal
from typing import Any

import numpy as np

from cofire import glass
from cofire.answers.oxide_headings import Basis, OxideColumn, key, read_headings, refuse_unknown
from cofire.arrays import Array, Mask
from cofire.chem.composition import mol_from_wt, shares
from cofire.chem.oxides import OXIDES
from cofire.errors import CofireError, refusal

#: Stiffer glass was not measured, so no more is ever predicted; log10 Pa·s.
STIFFEST_MEASURED = 14.0
#: Temperatures at which a viscosity is worth asking for, °C; our choice.
COLDEST_C, HOTTEST_C = 0.0, 2500.0
#: More than this is no amount of an oxide in any unit.
MOST = 1e9
LEVELS = (0.5, 0.99)
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
#: Headings of columns that name a row.
NAMES = ("name", "id", "row", "sample", "number", "no")
#: Heading of temperatures, °C.
TEMPERATURE = "temperature_c"


def properties(
    mol: Array, temperature_c: Array | None = None, level: float = 0.9
) -> dict[str, Array]:
    """Compositions (N, n_oxides) in moles -> {column: (N,)}; rows of nothing give NaN.

    Intervals hold with probability ``level``, 0.5 to 0.99; ValueError outside. Expansions are in
    1e-6/K, names that end in _c in °C, in _gpa in GPa; ``support`` runs from 0 to 1.

    With ``temperature_c`` (N,) the viscosity at that temperature is added, log10 Pa·s. ``seals_c``,
    ``matures_c`` and ``runs_c`` are isokoms at log10 eta 6, 4 and 2.5: to sort by, no verdict.
    """
    starts = range(0, max(len(mol), 1), glass.CHUNK)

    def piece(start: int) -> dict[str, Array]:
        part = slice(start, start + glass.CHUNK)
        hot = None if temperature_c is None else temperature_c[part]
        return _properties(mol[part], hot, level)

    if len(starts) == 1:
        return piece(0)
    with ThreadPoolExecutor(os.cpu_count()) as pool:  # numpy leaves the other cores free
        pieces = list(pool.map(piece, starts))
    return {column: np.concatenate([p[column] for p in pieces]) for column in pieces[0]}


def _properties(mol: Array, temperature_c: Array | None, level: float) -> dict[str, Array]:
    at = glass.prepare(mol)
    found = {column: estimate(at, level) for column, estimate in _ESTIMATES.items()}
    curve = glass.viscosity(at, level)
    found |= {c: curve.isokom_estimate(log10_eta) for c, log10_eta in ISOKOMS.items()}
    if temperature_c is not None:
        found["log10_viscosity"] = curve.estimate(temperature_c)
    out: dict[str, Array] = {}
    for column, result in found.items():
        out |= {column: result.value, f"{column}_low": result.low, f"{column}_high": result.high}
    if temperature_c is not None:
        for column in ("log10_viscosity", "log10_viscosity_low", "log10_viscosity_high"):
            out[column] = np.minimum(out[column], STIFFEST_MEASURED)
    out["support"] = glass.support_grade(at)
    return out


def moles(columns: Iterable[tuple[OxideColumn, Array]], rows: int, basis: Basis) -> Array:
    """Amounts (rows,) of each column -> moles (rows, n_oxides) that sum to 1; NaN for nothing."""
    amounts = np.zeros((rows, len(OXIDES)))
    for column, values in columns:
        amounts[:, column.oxide] += values * column.factor
    return mol_from_wt(amounts) if basis == "wt" else shares(amounts)


def impossible_amounts(values: Array) -> Mask:
    """Where values (N,) are no amount of an oxide."""
    return np.asarray(~((values >= 0.0) & (values <= MOST)))  # also true of NaN


def impossible_temperatures(values: Array) -> Mask:
    """Where values (N,), °C, are no temperature of a glaze."""
    return np.asarray(~((values >= COLDEST_C) & (values <= HOTTEST_C)))


def no_amount(column: str, text: str, value: float) -> CofireError:
    """What is wrong with a value that is no amount."""
    wrong = "negative" if value < 0.0 else "no amount of an oxide"
    return refusal("impossible-amount-of-oxide", column=column, text=text, wrong=wrong)


def no_temperature(column: str, text: str) -> CofireError:
    """What is wrong with a value that is no temperature of a glaze."""
    return refusal(
        "no-temperature-of-a-glaze",
        column=column,
        text=text,
        coldest_c=COLDEST_C,
        hottest_c=HOTTEST_C,
    )


def predict(
    compositions: Any,
    basis: object,
    temperature_c: Any = None,
    level: object = 0.9,
    ignore: Iterable[str] = (),
) -> dict[str, Array]:
    """Columns by heading, such as a dictionary or a data frame -> ``properties`` of its rows.

    Headings are read as in ``cofire predict``. Raises CompositionError for anything else than
    columns (N,) of oxides with amounts from 0 up, temperatures (N,) of 0 to 2500 °C, and a level of
    0.5 to 0.99. Columns of ``NAMES`` are carried along; others that are no oxide have to stand in
    ``ignore``.
    """
    checked = _basis(basis)
    level = _level(level)
    names = _names(compositions)
    left_out = _ignored(ignore)
    labels = [name for name in names if key(name) not in left_out]
    headings = read_headings(labels, checked)
    for label in names:
        if key(label) in left_out and read_headings([label], checked).oxides:
            raise refusal("ignored-oxide", label=label)
    others = {label: labels[position] for label, position in headings.others.items()}
    kept = [label for plain, label in others.items() if plain.rstrip(".") in NAMES]
    if temperature_c is None and TEMPERATURE in others:
        temperature_c = compositions[others[TEMPERATURE]]
    refuse_unknown(
        [one for plain, one in others.items() if one not in kept and plain != TEMPERATURE],
        "List columns to leave out in ignore=[…].",
    )
    if not headings.oxides:
        raise refusal("no-oxide-column", hint="Columns are named like SiO2, Al2O3, Na2O.")
    columns = [(one, _numbers(compositions[one.label], one.label)) for one in headings.oxides]
    for one, values in columns:
        if (bad := np.flatnonzero(impossible_amounts(values))).size:
            raise no_amount(f"{one.label}, row {bad[0]}", f"{values[bad[0]]:g}", values[bad[0]])
    lengths = {one.label: len(values) for one, values in columns}
    carried = {label: np.asarray(compositions[label]) for label in kept}
    lengths |= {label: len(values) for label, values in carried.items()}
    hot = None
    if temperature_c is not None:
        hot = _numbers(temperature_c, "temperature_c")
        lengths["temperature_c"] = len(hot)
        if (bad := np.flatnonzero(impossible_temperatures(hot))).size:
            raise no_temperature(f"temperature_c, row {bad[0]}", f"{hot[bad[0]]:g}")
    if len(set(lengths.values())) > 1:
        told = ", ".join(f"{label} has {n}" for label, n in lengths.items())
        raise refusal("columns-of-unequal-length", told=told)
    rows = next(iter(lengths.values()))
    return carried | properties(moles(columns, rows, checked), hot, level)


def _basis(basis: object) -> Basis:
    for known in ("mol", "wt"):
        if isinstance(basis, str) and basis == known:
            return known
    raise refusal("no-such-basis", basis=basis)


def _level(level: object) -> float:
    real = isinstance(level, int | float | np.integer | np.floating) and not isinstance(level, bool)
    if not real or not LEVELS[0] <= float(level) <= LEVELS[1]:  # type: ignore[arg-type]
        raise refusal("no-such-level", level=level)
    return float(level)  # type: ignore[arg-type]


def _names(compositions: Any) -> list[str]:
    """The headings of a dictionary or a data frame."""
    try:
        keyed = hasattr(compositions, "keys")
        names = list(compositions.keys() if keyed else compositions.columns)
    except (AttributeError, TypeError):
        raise refusal("no-columns", kind=type(compositions).__name__) from None
    for name in names:
        if not isinstance(name, str):
            raise refusal("heading-is-no-text", name=name)
    return names


def _ignored(ignore: Iterable[str]) -> set[str]:
    if isinstance(ignore, str):
        ignore = [ignore]
    try:
        return {key(label) for label in ignore}
    except TypeError:
        raise refusal("ignore-is-no-list") from None


def _numbers(column: Any, label: str) -> Array:
    """A column of numbers (N,)."""
    try:
        values = np.asarray(column)
        if values.ndim == 1 and values.dtype == object and all(map(_is_real, values)):
            values = values.astype(float)
    except (ArithmeticError, TypeError, ValueError):
        raise refusal("no-column-of-numbers", label=label) from None
    hidden = isinstance(column, np.ma.MaskedArray) and np.ma.getmaskarray(column).any()
    if values.ndim != 1 or values.dtype.kind not in "iuf" or hidden:
        raise refusal("no-column-of-numbers", label=label)
    return values.astype(float)


def _is_real(value: object) -> bool:
    real = isinstance(value, int | float | Decimal | np.integer | np.floating)
    return real and not isinstance(value, bool)
