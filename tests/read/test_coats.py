"""Coats as people say them: how thick they are once fired."""

from __future__ import annotations

import pytest

from cofire.errors import QuantityError
from cofire.read.coat import read_coat, read_coats


@pytest.mark.parametrize("said", ["brush", "brushed", "brushes", "brushing", "brushings"])
@pytest.mark.parametrize("coats", ["", " coat", " coats", " passes"])
def test_brushed_coats_by_any_word_for_them(said: str, coats: str) -> None:
    assert read_coat(f"3 {said}{coats}").fired_mm == pytest.approx(3 * 0.08)


@pytest.mark.parametrize("said", ["dip", "dips", "dipped", "dipping", "dippings"])
def test_dips_by_any_word_for_them(said: str) -> None:
    assert read_coat(f"2 {said}").fired_mm == pytest.approx(2 * 0.25)


@pytest.mark.parametrize(
    "text", ["3 brushd", "3 brushde coats", "2 diped", "2 x dippd", "3 brushedcoat s", "1 dipper"]
)
def test_a_misspelt_word_is_refused_and_told_what_to_write(text: str) -> None:
    with pytest.raises(QuantityError) as error:
        read_coat(text)
    assert error.value.message == f"“{text}” is not a number of brushed coats or dips."
    assert "“3 brushed” or “1 dip”" in error.value.hint


@pytest.mark.parametrize("text", ["3", "0.3 mm", "brushed 3 times", "dip", "three dips"])
def test_other_words_do_not_say_fired_or_dry(text: str) -> None:
    with pytest.raises(QuantityError, match="fired or dry"):
        read_coat(text)


@pytest.mark.parametrize(
    ("text", "fired_mm"),
    [
        ("0.01 mm fired", 0.01),
        ("5 mm fired", 5.0),
        ("20 dips", 5.0),
        ("62 brushed", 4.96),
        ("8.2 mm dry", 4.0),  # 8.2 * 0.20 / 0.41
        ("0.0205 mm dry", 0.01),
    ],
)
def test_the_thinnest_and_the_thickest(text: str, fired_mm: float) -> None:
    assert read_coat(text).fired_mm == pytest.approx(fired_mm, rel=1e-12)


@pytest.mark.parametrize(
    "text", ["0.009 mm fired", "5.1 mm fired", "21 dips", "63 brushed", "10.3 mm dry", "0 dips"]
)
def test_no_glaze_is_thinner_or_thicker(text: str) -> None:
    with pytest.raises(QuantityError, match="cannot be"):
        read_coat(text)


@pytest.mark.parametrize(
    ("text", "reading"),
    [
        ("1 dip", "1 dip, taken as 0.25 mm fired (common practice, no source)"),
        ("1 brushed", "1 brushed coat, taken as 0.08 mm fired (common practice, no source)"),
        ("3 brushed", "3 brushed coats, taken as 0.24 mm fired (common practice, no source)"),
        ("2 dips", "2 dips, taken as 0.5 mm fired (common practice, no source)"),
        ("0.25 mm fired", "0.25 mm fired"),
        ("0.41 mm dry", "0.41 mm dry, taken as 0.2 mm fired"),
    ],
)
def test_what_is_said_of_a_coat(text: str, reading: str) -> None:
    assert read_coat(text).reading == reading


def test_semicolons_part_coats() -> None:
    assert [c.fired_mm for c in read_coats("3 brushed; 1 dip")] == pytest.approx([0.24, 0.25])
