"""The grammar of numbers: one meaning or a refusal that names both."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cofire.errors import QuantityError
from cofire.read import number as grammar
from cofire.read.number import (
    LONGEST,
    LONGEST_TEXT,
    convention,
    items,
    number,
    short,
    whole_number,
    written,
)

READ = {
    "12": "12", "12.5": "12.5", "12,5": "12.5", "12.": "12", ".5": "0.5", ",125": "0.125",
    "0,250": "0.25", "0.125": "0.125", "007": "7", "1.2345": "1.2345", "1234,567": "1234.567",
    "1 234,5": "1234.5", "1’234.5": "1234.5", "1\u202f234": "1234",
    "1\u00a0234\u00a0567": "1234567",
    "1.234,5": "1234.5", "1,234.567": "1234.567", "1,234,567": "1234567",
    "1.234.567,8": "1234567.8",
    "7.2e-6": "0.0000072", "7,200E-6": "0.0000072", "1e5": "100000", "7.2e−6": "0.0000072",
    "+3": "3", "-5": "-5", "− 5": "-5", "–5,5": "-5.5", " 4 ": "4",
    "1/4": "0.25", "1⁄4": "0.25", "2 1/2": "2.5", "2½": "2.5", "½": "0.5", "-3/8": "-0.375",
}  # fmt: skip
EITHER = {
    "1,200": ("1.200", "1200"), "1.500": ("1.500", "1500"), "12,345": ("12.345", "12345"),
    "-1.250": ("1.250", "1250"), "999,999": ("999.999", "999999"),
}  # fmt: skip
REFUSED = [
    "", " ", "-", ".", ",", "nan", "inf", "-Infinity", "1_000", "0x10", "1e", "e5", "1e5e5", "--5",
    "+-5", "1.2.3", "1,2,3", "12,34,567", "1.234.5", "1,234,56", "0,123,456", "1 23", "1234 567",
    "1 234 5", "1/0", "2 3/2", "1.5/2", "1 1 1/2", "1²", "١٢", "１２", "12٣", "1e400", "1e-400",
    "1e99999999999", "1e9", "1e-16", "9" * 61, "five", "12 g", "12%", "1\n2", "1..2", "12,",
]  # fmt: skip


@pytest.mark.parametrize("text", READ)
def test_numbers_people_write(text: str) -> None:
    assert number(text) == Decimal(READ[text])


@pytest.mark.parametrize("text", EITHER)
def test_what_could_mean_two_things_is_refused_with_both(text: str) -> None:
    with pytest.raises(QuantityError) as wrong:
        number(text)
    said = f"{wrong.value.message} {wrong.value.hint}"
    assert all(one in said for one in EITHER[text])
    for way in wrong.value.hint.removeprefix("Write ").removesuffix(".").split(" or "):
        assert number(way) in {Decimal(one) for one in EITHER[text]}  # the hint can be followed


@pytest.mark.parametrize("text", REFUSED)
def test_what_is_no_number(text: str) -> None:
    with pytest.raises(QuantityError) as wrong:
        number(text)
    assert wrong.value.hint and len(str(wrong.value)) < 200


@pytest.mark.parametrize(
    ("text", "commas", "wanted"),
    [
        ("1,234", "decimal", "1.234"), ("1,234", "thousands", "1234"),
        ("1.234", "thousands", "1.234"), ("1.234", "point", "1.234"), ("1,234", "point", None),
        ("1.234", "decimal", None), ("12,5", "thousands", "12.5"),
    ],
)  # fmt: skip
def test_a_table_settles_what_a_comma_means(text: str, commas, wanted: str | None) -> None:  # type: ignore[no-untyped-def]
    if wanted is None:
        with pytest.raises(QuantityError, match="may be"):
            number(text, commas)
    else:
        assert number(text, commas) == Decimal(wanted)


@pytest.mark.parametrize(
    ("cells", "wanted"),
    [
        (["12,5", "1,234"], "decimal"), (["12.5", "1,234"], "thousands"), (["1,234", "5"], ""),
        (["1.234", "850"], ""), (["1.234", "0.850"], "thousands"), (["12,5", "12.5"], ""),
        (["< 0,01 %", "lots", ""], "decimal"), (["1.234,5 g"], "decimal"), (["1e5", "1/4"], ""),
    ],
)  # fmt: skip
def test_conventions_are_read_off_what_is_plain(cells: list[str], wanted: str) -> None:
    assert convention(cells) == wanted


@given(st.decimals("-99999999", "99999999", places=6))
def test_what_is_written_reads_back(value: Decimal) -> None:
    text = written(value)
    assert number(text) == value
    assert number(text.replace(".", ",")) == value


@given(st.floats(-1e8, 1e8, allow_subnormal=False).filter(lambda v: v == 0 or abs(v) > 1e-9))
def test_floats_are_written_to_twelve_digits(value: float) -> None:
    assert float(number(written(value))) == pytest.approx(value, rel=1e-11)


@given(st.text("0123456789., '’-−+eE/½%_ ٣²\u00a0g", max_size=20))
def test_anything_typed_is_a_number_or_a_refusal(text: str) -> None:
    try:
        value = number(text)
    except QuantityError:
        return
    assert value.is_finite() and abs(value) < 10**9
    # nothing is read that is not there: its digits are those of the text
    if "/" not in text and "½" not in text and "e" not in text.lower():
        digits = "".join(c for c in text if c in "0123456789").strip("0")
        assert "".join(c for c in f"{value:f}" if c in "0123456789").strip("0") == digits


class Measured:
    """A pattern that remembers how long the texts are that it is tried on."""

    def __init__(self, pattern: re.Pattern[str]) -> None:
        self._pattern, self.longest = pattern, 0

    def __getattr__(self, name: str) -> Any:
        def tried(text: str) -> Any:
            self.longest = max(self.longest, len(text))
            return getattr(self._pattern, name)(text)

        return tried


@pytest.mark.parametrize("unit", ["9", "1,", "1.", "1 234 ", "1/", "½", "-", "1e", " "])
def test_no_pattern_is_tried_on_a_long_text(monkeypatch: pytest.MonkeyPatch, unit: str) -> None:
    """However long a text is, the work on it is that of a short one."""
    tried = {name: Measured(getattr(grammar, name)) for name in ("_ALONE", "_BODY", "_GROUPED")}
    for name, pattern in tried.items():
        monkeypatch.setattr(grammar, name, pattern)
    for end in ("", "x"):
        with pytest.raises(QuantityError):
            number(unit * 2000 + end)
        convention([unit * 2000 + end])
    assert tried["_ALONE"].longest <= LONGEST
    assert max(pattern.longest for pattern in tried.values()) <= LONGEST_TEXT
    assert tried["_BODY"].longest > 0


def test_counts_and_lists() -> None:
    assert whole_number("14") == 14 and whole_number("1 200") == 1200
    for text in ("2.5", "1,200", "1_0"):
        with pytest.raises(QuantityError):
            whole_number(text)
    assert items("20 s air,0,5 h bin; water") == ["20 s air", "0,5 h bin", "water"]
    with pytest.raises(QuantityError, match="too long"):
        short("x" * (LONGEST_TEXT + 1))
