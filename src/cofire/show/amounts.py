"""Amounts and money in words, the same on a terminal and on paper."""

from __future__ import annotations

from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal

from cofire.answers.batch.scale import UNIT_G, Units

#: What is smaller than this part of the last digit is float dust, and no reason to buy more.
_DUST = Decimal("1e-6")


def bulk(gram: Decimal | float | None, units: Units, *, on_shelf: bool = False) -> str:
    """A weight to shop by, in the larger or the smaller unit of a system; nothing for None.

    It is rounded up, and stock down, so that there is always enough.
    """
    if gram is None:
        return ""
    exact = gram if isinstance(gram, Decimal) else Decimal(repr(gram))
    if units in ("oz", "lb"):
        large = exact >= UNIT_G["lb"]
        unit: Units = "lb" if large else "oz"
        grid = Decimal("0.01")
    else:
        large = exact >= UNIT_G["kg"]
        unit = "kg" if large else "g"
        grid = Decimal("0.001" if large else "0.1")
    steps = exact / UNIT_G[unit] / grid
    whole = (steps + _DUST if on_shelf else steps - _DUST).to_integral_value(
        ROUND_FLOOR if on_shelf else ROUND_CEILING
    )
    return f"{max(whole, Decimal(0)) * grid:f} {unit}"


def money(amount: Decimal | float, currency: str) -> str:
    """“3.20 GBP”"""
    return f"{amount:.2f} {currency}".rstrip()
