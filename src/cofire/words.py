"""Numbers and lists in words."""

from __future__ import annotations

import re
from collections.abc import Sequence

_SMALL = str.maketrans("0123456789", "₀₁₂₃₄₅₆₇₈₉")
_PLAIN = str.maketrans("₀₁₂₃₄₅₆₇₈₉", "0123456789")


def percent(share: float, asked: float | None = None, *, cell: bool = False) -> str:
    """Odds as people say them; never a false 0 or 100, and with a decimal where what was ``asked``
    is missed by less than a per cent. In a ``cell`` without the sign: “>99”, “57”."""
    if share >= 0.995:
        return ">99" if cell else "over 99 %"
    if share < 0.01:
        return "<1" if cell else "under 1 %"
    near = asked is not None and share < asked and round(100 * share) == round(100 * asked)
    text = f"{100 * share:.1f}" if near else f"{100 * share:.0f}"
    return text if cell else f"{text} %"


_AGES = {
    0.1: "five weeks", 0.25: "three months", 0.5: "half a year", 1.0: "a year", 10.0: "ten years"
}  # fmt: skip


def age_words(years: float) -> str:
    """“a year”, “ten years”, “2.5 years”."""
    return _AGES.get(years, f"{years:g} years")


def listed(items: Sequence[str], last: str = "and", most: int | None = None) -> str:
    """“A, B and C”; of more than ``most`` the first few, and how many more there are."""
    if most is not None and len(items) > most:
        return f"{', '.join(items[: most - 1])} and {len(items) - most + 1} more"
    if len(items) < 2:
        return "".join(items)
    return f"{', '.join(items[:-1])} {last} {items[-1]}"


def counted(count: int, thing: str) -> str:
    """“one note”, “7 notes”."""
    return f"one {thing}" if count == 1 else f"{count} {thing}s"


def volume(ml: float, most_ml: float | None = None) -> str:
    """“850 ml”, “4.64 l”, “12.3 l”: as read on a jug. Volumes with the same ``most_ml`` share their
    unit: ml up to 10 l."""
    if ml < 999.5 if most_ml is None else most_ml < 9_995.0:
        return f"{ml:.0f} ml"
    return f"{ml / 1000.0:.2f} l" if ml < 9_995.0 else f"{ml / 1000.0:.1f} l"


def plain_digits(text: str) -> str:
    """SiO₂ -> SiO2: people copy formulas with their small digits."""
    return text.translate(_PLAIN)


def small_digits(formula: str) -> str:
    """SiO2 -> SiO₂, 3MgO·4SiO2 -> 3MgO·4SiO₂"""
    return re.sub(r"(?<=[A-Za-z)])\d+", lambda n: n[0].translate(_SMALL), formula)
