"""Headings of a table of compositions: which oxide each column holds, and how it counts."""

from __future__ import annotations

import re
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Literal

from cofire.chem.oxides import INDEX
from cofire.errors import CofireError, Place, Problems, did_you_mean, refusal
from cofire.files.certificates import SPELLINGS, compound_mass, spelling, to_counted
from cofire.files.table_cells import clean
from cofire.words import listed, plain_digits

Basis = Literal["mol", "wt"]
#: Words beside an oxide that say the basis, that say nothing, and that say a unit of no basis here.
_SAYS: dict[str, Basis] = {
    **dict.fromkeys(("wt", "weight", "mass"), "wt"),
    **dict.fromkeys(("mol", "mole", "moles", "molar"), "mol"),
}
_EMPTY = {"%", "pct", "percent", "per", "cent", "in", "amount"}
_OTHER = {
    "ppm", "ppb", "g", "kg", "mg", "at", "atom", "atomic", "cat", "cation", "fraction", "frac",
    "parts", "unity",
}  # fmt: skip
#: An oxide of one element; monoxides without a digit, such as a column “PO”, are only those known.
_OXIDE = re.compile(r"[A-Z][a-z]?\d*O\d*")


@dataclass(frozen=True)
class OxideColumn:
    position: int
    label: str
    oxide: int  # place in OXIDES
    factor: float  # multiplies the cell; gives amounts in the basis of the table


@dataclass(frozen=True)
class Headings:
    """``others`` are the columns of no oxide: heading as ``key`` has it -> position."""

    oxides: tuple[OxideColumn, ...]
    others: dict[str, int]


def key(label: str) -> str:
    """A heading without what does not matter: case, blanks, what cannot be seen."""
    return plain_digits(clean(label)).casefold()


def read_headings(
    labels: Sequence[str], basis: Basis, place: Place | None = None, spared: Collection[str] = ()
) -> Headings:
    """Read in any case, with or without a unit: “sio2”, “SiO2 %”, “SiO2 (wt %)”, “SiO₂ mol%”.

    What is ``spared``, as ``key`` has it, may say another basis: then it is none of the oxides.
    Raises CompositionError where a heading contradicts the ``basis``, or two mean one column.
    """
    oxides: list[OxideColumn] = []
    others: dict[str, int] = {}
    first: dict[str, str] = {}
    errors: list[CofireError] = []
    for position, label in enumerate(labels):
        try:
            oxide = oxide_of(label, basis, place)
        except CofireError as error:
            oxide = None
            if key(label) not in spared:
                errors.append(error)
        column = oxide or key(label)
        if column in first and column:
            errors.append(refusal("column-twice", place, first=first[column], label=label))
            continue
        first[column] = label
        if oxide is None:
            others[column] = position
        else:
            for counted, moles in to_counted(oxide).items():
                ratio = compound_mass(counted) / compound_mass(oxide) if basis == "wt" else 1.0
                oxides.append(OxideColumn(position, label, INDEX[counted], moles * ratio))
    if errors:
        raise Problems(errors) if len(errors) > 1 else errors[0]
    return Headings(tuple(oxides), others)


def refuse_unknown(labels: Sequence[str], remedy: str, place: Place | None = None) -> None:
    """Raises CompositionError where there are such columns; ``remedy`` says how to leave them."""
    if labels:
        leave = [label for label in labels if _leaves(label)]
        guesses = [g for g in (did_you_mean(one, INDEX) for one in labels if one not in leave) if g]
        if leave:
            guesses.append(f"{listed(leave)} leave in the fire and are in no model.")
        raise refusal(
            "no-such-oxide",
            place,
            listed=", ".join(f"“{label}”" for label in labels),
            hint=" ".join([*(guesses or ["Columns are named like SiO2, Al2O3, Na2O."]), remedy]),
        )


def oxide_of(label: str, basis: Basis, place: Place | None) -> str | None:
    """The oxide in a heading as it is spelt, in any state; None where there is none, or none that
    stays in the fire."""
    words = re.findall(r"[^\W_]+|%", plain_digits(clean(label)))
    found = [oxide for oxide in map(_spelt, words) if oxide]
    if len(found) != 1:
        return None
    units = [word.lower() for word in words if not _spelt(word)]
    if not all(unit in _SAYS or unit in _EMPTY or unit in _OTHER for unit in units):
        return None
    if any(unit in _OTHER for unit in units):
        raise refusal("unit-of-no-basis", place, label=label)
    if any(_SAYS.get(unit, basis) != basis for unit in units):
        raise refusal("heading-of-another-basis", place, label=label, basis=basis)
    return found[0]


def _leaves(label: str) -> bool:
    try:
        return not to_counted(spelling(clean(label)))
    except ValueError:
        return False


def _spelt(word: str) -> str | None:
    """As “SiO2”, where it is an oxide that is counted here."""
    known = word.lower() in SPELLINGS or (_OXIDE.fullmatch(word) and re.search(r"\d", word))
    oxide = spelling(word)
    try:
        return oxide if known and to_counted(oxide) else None
    except ValueError:
        return None
