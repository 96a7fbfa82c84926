"""How numbers and lists are written for people."""

from __future__ import annotations


def percent(share: float, asked: float | None = None) -> str:
    """Odds as people say them; never a false 0 or 100, and with a decimal where what was ``asked``
    is missed by less than a per cent."""
    if share >= 0.995:
        return "over 99 %"
    if share < 0.01:
        return "under 1 %"
    near = asked is not None and share < asked and round(100 * share) == round(100 * asked)
    return f"{100 * share:.1f} %" if near else f"{100 * share:.0f} %"
