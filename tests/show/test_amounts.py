"""Amounts to shop by and times, by hand."""

from __future__ import annotations

from decimal import Decimal

import pytest

from cofire.show.amounts import bulk, money
from cofire.show.odds_rows import bar
from cofire.show.terminal import clock


@pytest.mark.parametrize(
    ("gram", "units", "shelf", "said"),
    [
        (None, "g", False, ""),
        (12.31, "g", False, "12.4 g"),
        (12.39, "g", True, "12.3 g"),
        (Decimal("12.3"), "g", False, "12.3 g"),
        (0.1 + 0.2, "g", False, "0.3 g"),  # float dust
        (999.96, "g", False, "1000.0 g"),
        (1000.4, "g", False, "1.001 kg"),
        (1000.6, "g", True, "1.000 kg"),
        (Decimal("28.349523125"), "oz", False, "1.00 oz"),
        (Decimal("453.59237"), "oz", False, "1.00 lb"),
        (Decimal("2267.96185"), "lb", True, "5.00 lb"),
        (30.0, "oz", False, "1.06 oz"),  # 1.0582
        (30.0, "oz", True, "1.05 oz"),
        (-3.0, "g", True, "0.0 g"),
    ],
)
def test_nobody_comes_home_with_too_little(gram, units, shelf, said) -> None:  # type: ignore[no-untyped-def]
    assert bulk(gram, units, on_shelf=shelf) == said


def test_money_and_clock() -> None:
    assert money(Decimal("3.2"), "GBP") == "3.20 GBP" and money(0.5, "") == "0.50"
    assert [clock(m) for m in (0.0, 59.4, 59.6, 376.0, 1500.0)] == [
        "0:00", "0:59", "1:00", "6:16", "25:00",
    ]  # fmt: skip


def test_a_bar_is_as_long_as_its_shares() -> None:
    """Whatever the shares, the bar is as long, and no share is more than a cell off."""
    lengths = set()
    for shares in ((0.0, 1.0, 0.0), (0.2, 0.5, 0.3), (0.333, 0.333, 0.334), (0.01, 0.98, 0.01)):
        text = bar(shares, ("red", "green", "blue"))
        lengths.add(len(text.plain))
        drawn = dict.fromkeys(("red", "green", "blue"), 0)
        for span in text.spans:
            drawn[str(span.style)] += span.end - span.start
        for share, cells in zip(shares, drawn.values(), strict=True):
            assert abs(share * len(text.plain) - cells) <= 1.0
    assert len(lengths) == 1
