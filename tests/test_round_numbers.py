"""Round numbers and shares, against counting by hand."""

from __future__ import annotations

from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cofire.round_numbers import round_up, share_out


@given(st.floats(1e-3, 1e6))
def test_the_next_round_number_is_near_and_never_less(value: float) -> None:
    up = round_up(value)
    assert value * (1.0 - 1e-9) <= up <= 1.5 * value * (1.0 + 1e-9)
    assert len(f"{up:.6e}".split("e")[0].rstrip("0").replace(".", "")) <= 2


@pytest.mark.parametrize("total", [1, 7, 10])
def test_shares_are_as_near_as_any(total: int) -> None:
    for amounts in ([1 / 3, 2 / 3], [0.1, 0.2, 0.7], [5.0, 5.0, 1.0]):
        exact = [total * a / sum(amounts) for a in amounts]
        ours = share_out(total, amounts)
        assert sum(ours) == total
        off = sum(abs(a - b) for a, b in zip(ours, exact, strict=True))
        for other in product(range(total + 1), repeat=len(amounts)):
            if sum(other) == total:
                worse = sum(abs(a - b) for a, b in zip(other, exact, strict=True))
                assert off <= worse + 1e-9
