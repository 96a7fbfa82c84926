"""Numbers and lists in words, and round ones, against counting by hand."""

from __future__ import annotations

import tomllib
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cofire.files.toml import bare, written
from cofire.round_numbers import round_up, share_out
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


def test_digits() -> None:
    assert small_digits("3MgO·4SiO2") == "3MgO·4SiO₂"
    assert plain_digits("Al₂O₃") == "Al2O3"


@given(st.text(st.characters(blacklist_categories=("Cs",))))
def test_what_is_written_as_toml_reads_back_to_the_letter(text: str) -> None:
    line = f"{bare(text)} = {written({text: [text, 1.5, True]})}"
    assert tomllib.loads(line) == {text: {text: [text, 1.5, True]}}
