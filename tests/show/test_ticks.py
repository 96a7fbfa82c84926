"""Numbers along the axes of a map."""

from __future__ import annotations

from itertools import pairwise
from types import SimpleNamespace
from typing import Any

import pytest

from cofire.show.family_map import ticks_of


@pytest.mark.parametrize(
    ("low", "high", "first", "last"),
    [(0.0, 40.0, 0.0, 40.0), (2.0, 5.0, 2.0, 5.0), (0.0, 0.6, 0.0, 0.6), (7.0, 33.0, 10.0, 30.0)],
)
def test_round_numbers_from_end_to_end(low: float, high: float, first: float, last: float) -> None:
    """Evenly spaced, none beyond an end, and both ends among them where they are round."""
    axis: Any = SimpleNamespace(low=low, high=high)
    ticks = ticks_of(axis, 8)
    assert ticks[0] == pytest.approx(first) and ticks[-1] == pytest.approx(last)
    assert 3 <= len(ticks) <= 8
    gaps = [b - a for a, b in pairwise(ticks)]
    assert gaps == pytest.approx([gaps[0]] * len(gaps))
    assert all(low - 1e-6 <= tick <= high + 1e-6 for tick in ticks)
