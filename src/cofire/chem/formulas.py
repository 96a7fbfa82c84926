"""Mineral formulas -> atoms, and the table of known ones.

periodictable supplies atomic weights and reads each part of a formula. Reading takes it about
0.2 s to load, so formulas that the shipped materials use are kept in ``known_formulas.json``;
``python -m cofire.chem.formulas materials/*.toml`` writes it anew, and a test compares it all.
"""

from __future__ import annotations

import re

from cofire.chem.oxides import KNOWN_FORMULAS
from cofire.words import plain_digits

_PART = re.compile(r"^(\d+(?:\.\d+)?)?\s*(.+)$")
#: What formulas of minerals are written with; periodictable knows mixtures and isotopes besides.
_SIGNS = re.compile(r"[A-Za-z0-9()\s.·*+•⋅×]*")
_OXIDE = re.compile(r"(?:\d+(?:\.\d+)?)?\s*[A-Z][a-z]?\d*O\d*")
_WATER = re.compile(r"\d+(?:\.\d+)?\s*H2O(?![0-9A-Za-z(])")

#: No formula unit of a mineral has as many atoms; our choice.
_MOST_ATOMS = 10_000


def atoms(formula: str) -> dict[str, float]:
    """Atoms in one formula unit, e.g. ``"Al2O3·2SiO2·2H2O"`` -> ``{"Al": 2, "Si": 2, ...}``.

    Parts may be joined with ``·``, ``*``, ``+`` or a full stop; a number before a part multiplies
    all of it. Raises ValueError with the reason when the text is not a formula, or when a full stop
    in it could also mark a decimal.
    """
    known = KNOWN_FORMULAS.get(formula)
    return dict(known) if known is not None else parse(formula)


def parse(formula: str) -> dict[str, float]:
    """As ``atoms``, always by periodictable, never from the table."""
    from periodictable.formulas import formula as read

    total: dict[str, float] = {}
    for part in _parts(formula):
        match = _PART.match(part.strip())
        if not match:
            raise ValueError(f"“{formula}” has an empty part")
        # The leading number is taken off first: periodictable binds it to the first group only.
        times = float(match[1] or 1)
        try:
            read_atoms = read(match[2]).atoms
        except Exception as problem:  # pyparsing and periodictable raise several unrelated types
            raise ValueError(f"“{match[2]}” is not a chemical formula") from problem
        if not all(0 < count <= _MOST_ATOMS for count in (times, *read_atoms.values())):
            raise ValueError(f"“{match[2]}” is not a chemical formula: its numbers cannot be")
        for element, count in read_atoms.items():
            symbol = str(element)
            total[symbol] = total.get(symbol, 0.0) + times * float(count)
    return total


def _parts(formula: str) -> list[str]:
    """What is joined, with full stops read as what they are."""
    text = plain_digits(formula).replace("[", "(").replace("]", ")")
    if not _SIGNS.fullmatch(text):
        raise ValueError(f"“{formula}” is not a chemical formula")
    pieces = re.split(r"[·*+•⋅×]", text)
    parts, sure = [], True
    for piece in pieces:
        split, certain = _at_stops(piece)
        parts += split
        sure = sure and certain
    if sure or all(_OXIDE.fullmatch(part.strip()) for part in parts):  # “K2O.Al2O3.6SiO2”
        return parts
    raise ValueError(
        f"a full stop in “{formula}” can join parts or mark a decimal: write · to join"
    )


def _at_stops(piece: str) -> tuple[list[str], bool]:
    """A piece parted at the full stops that join, and whether each was sure to be read so.

    A stop before a letter, after a letter or bracket, or before water joins. After a count of 0 or
    1 (“K0.5”), and in the number before a part, it marks a decimal.
    """
    lead = re.match(r"\s*\d+\.\d+\s*(?=[A-Z(\[])", piece)
    at = piece.find(".", lead.end() if lead else 0)
    while at >= 0:
        before, after = piece[:at].rstrip(), piece[at + 1 :].lstrip()
        count = re.search(r"\d+$", before)
        decimal = count is not None and count[0] in ("0", "1") and after[:1].isdigit()
        if not decimal:
            surely = not after[:1].isdigit() or count is None or _WATER.match(after) is not None
            rest, certain = _at_stops(after)
            return [before, *rest], surely and certain
        at = piece.find(".", at + 1)
    return [piece], True


def write_table(formulas: list[str]) -> None:
    """Write ``known_formulas.json`` for these formulas and every oxide we count."""
    import json
    from pathlib import Path

    import periodictable

    from cofire.chem import oxides

    wanted = sorted({*oxides.OXIDES, *formulas})
    elements = sorted({*oxides.FATE, *oxides.LEAVES, "O"})
    table = {
        "source": f"periodictable {periodictable.__version__}; written by "
        "python -m cofire.chem.formulas, do not edit",
        "atomic_weights": {e: periodictable.elements.symbol(e).mass for e in elements},
        "formulas": {f: parse(f) for f in wanted},
    }
    path = Path(oxides.__file__).parent / "known_formulas.json"
    path.write_text(json.dumps(table, indent=1, ensure_ascii=False) + "\n", "utf-8")


if __name__ == "__main__":  # python -m cofire.chem.formulas materials/*.toml
    import sys
    import tomllib
    from pathlib import Path

    tables = [tomllib.loads(Path(name).read_text("utf-8")) for name in sys.argv[1:]]
    write_table([m["formula"] for table in tables for m in table.values() if "formula" in m])
