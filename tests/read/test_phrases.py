"""Sizes, spans, coats and coolings, as people say them."""

from __future__ import annotations

import pytest

from cofire.errors import QuantityError
from cofire.read.coat import FIRED_PER_DRY, read_coat
from cofire.read.cooling import read_cooling
from cofire.read.size import read_sides
from cofire.read.span import Span, read_span
from cofire.records import Smoke


@pytest.mark.parametrize(
    ("text", "sides"),
    [
        ("12 x 15 cm", (120.0, 150.0)),
        ("12,5x15cm", (125.0, 150.0)),
        ("12.5 × 15 CM", (125.0, 150.0)),
        ("1/2 by 3 1/2 in", (12.7, 88.9)),
        ("5\" x 6'", (127.0, 1828.8)),
        ("12 cm x 150 mm", (120.0, 150.0)),
        ("1 ft 2 in x 15 in", (355.6, 381.0)),
    ],
)
def test_sizes(text: str, sides: tuple[float, float]) -> None:
    assert read_sides(text, "a pot", "Write it.") == pytest.approx(sides)


@pytest.mark.parametrize(
    "text",
    ["", "12", "12 cm", "12 x 15", "12 cm x 15", "x 15 cm", "12 x 15 x 3 cm", "12 x 15 kg",
     "1,200 x 15 cm", "a x b cm", "12 x nan cm", "1 " * 500],
)  # fmt: skip
def test_sizes_that_are_none(text: str) -> None:
    with pytest.raises(QuantityError) as wrong:
        read_sides(text, "a pot", "Write it.")
    assert wrong.value.hint


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("copper carbonate 0-5", Span("copper carbonate", 0.0, 5.0)),
        ("tin oxide 0 to 8 %", Span("tin oxide", 0.0, 8.0)),
        ("silica 10–40", Span("silica", 10.0, 40.0)),
        ("frit, 3110 type 0,5 % - 7,5 per cent", Span("frit, 3110 type", 0.5, 7.5)),
        ("frit 3 110-200", Span("frit 3", 110.0, 200.0)),  # a blank ends a number
        ("x 5--3", Span("x", 5.0, -3.0)),
        ("silica", None),
        ("silica 20", None),
        ("10-40", None),
    ],
)
def test_spans(text: str, meant: Span | None) -> None:
    assert read_span(text) == meant


@pytest.mark.parametrize(
    ("text", "fired_mm"),
    [
        ("0,25 mm fired", 0.25),
        ("10 mil fired", 0.254),
        ("1/64 in dry", 25.4 / 64 * FIRED_PER_DRY),
        ("3 brushed", 0.24),
        ("2 x dipped coats", 0.5),
    ],
)
def test_coats(text: str, fired_mm: float) -> None:
    assert read_coat(text).fired_mm == pytest.approx(fired_mm)


@pytest.mark.parametrize(
    "text", ["", "0.25 mm", "3", "2,5 brushed", "99 dips", "1,200 brushed", "٣ dips", "fired"]
)
def test_coats_that_are_none(text: str) -> None:
    with pytest.raises(QuantityError):
        read_coat(text)


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("20 s air, 30 min bin, water", Smoke(20.0, 30.0, "water", False)),
        ("2 min in air, 10 min in the bin", Smoke(120.0, 10.0, "air", False)),
        ("30 min bin, then air", Smoke(0.0, 30.0, "air", False)),
        ("15 s air", Smoke(15.0, 0.0, "air", False)),
        ("90 C/h", 90.0),
        ("180 F/h", 100.0),
        ("90 °C per hour", 90.0),
        ("0,5 min air,1 h 30 min bin", Smoke(30.0, 90.0, "air", False)),
        ("1/2 min air; 1:30 smoke", Smoke(30.0, 90.0, "air", False)),
    ],
)
def test_coolings_people_write(text: str, meant: Smoke | float) -> None:
    assert read_cooling(text) == meant


@pytest.mark.parametrize(
    "text",
    ["", "fast", "30 min bin, 20 s air", "air, water", "20 air", "-5 s air", "99999 C/h", "3 d bin",
     "water, 20 s air", "20 s air, 20 s air"],
)  # fmt: skip
def test_unreadable_coolings_are_refused(text: str) -> None:
    with pytest.raises(QuantityError):
        read_cooling(text)
