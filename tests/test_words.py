"""Numbers and lists in words."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from cofire.words import listed, percent, plain_digits, small_digits, volume


def test_lists() -> None:
    assert [listed("ABC"[:k]) for k in range(4)] == ["", "A", "A and B", "A, B and C"]
    assert listed("AB", "or") == "A or B"
    assert listed("ABCDE", most=3) == "A, B and 3 more"
    assert listed("ABC", most=3) == "A, B and C"


def test_odds_are_never_none_or_all() -> None:
    assert [percent(p) for p in (0.0, 0.009, 0.5, 0.994, 1.0)] == [
        "under 1 %", "under 1 %", "50 %", "99 %", "over 99 %",
    ]  # fmt: skip
    assert [percent(p, cell=True) for p in (0.0, 0.5, 1.0)] == ["<1", "50", ">99"]
    assert percent(0.797, 0.8) == "79.7 %"


@given(st.floats(1.0, 1e6))
def test_a_volume_is_read_off_a_jug_to_half_a_per_cent(ml: float) -> None:
    number, unit = volume(ml).split()
    read = float(number) * {"ml": 1.0, "l": 1000.0}[unit]
    assert abs(read - ml) <= max(0.005 * ml, 0.5)
    assert len(number.replace(".", "")) <= 3 or ml > 99_000.0


def test_digits() -> None:
    assert small_digits("3MgO·4SiO2") == "3MgO·4SiO₂"
    assert plain_digits("Al₂O₃") == "Al2O3"
