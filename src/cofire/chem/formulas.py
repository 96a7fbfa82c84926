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

#: No formula unit of a mineral has as many atoms; our choice.
_MOST_ATOMS = 10_000


def atoms(formula: str) -> dict[str, float]:
    """Atoms in one formula unit, e.g. ``"Al2O3·2SiO2·2H2O"`` -> ``{"Al": 2, "Si": 2, ...}``.

    Parts may be joined with ``·``, ``*`` or ``+``; a number before a part multiplies all of it.
    Raises ValueError with the reason when the text is not a formula.
    """
    known = KNOWN_FORMULAS.get(formula)
    return dict(known) if known is not None else parse(formula)


def parse(formula: str) -> dict[str, float]:
    """As ``atoms``, always by periodictable, never from the table."""
    from periodictable.formulas import formula as read

    total: dict[str, float] = {}
    for part in re.split(r"[·*+•⋅]", plain_digits(formula)):
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
