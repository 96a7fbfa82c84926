"""What was seen on a tile, as people write it."""

from __future__ import annotations

import pytest

from cofire.errors import QuantityError
from cofire.read.came_out import CameOut, read_came_out


@pytest.mark.parametrize(
    ("text", "seen", "mm", "days"),
    [
        ("crazed", "crazed", None, 3.0),
        ("Crazed 4 mm", "crazed", 4.0, 3.0),
        ("black 9 mm after 2 weeks", "black", 9.0, 14.0),
        ("black 1 cm after a day", "black", 10.0, 1.0),
        ("whole after a year", "whole", None, 365.25),
        ("whole after 1.5 months", "whole", None, 45.6),
        ("shivered after 58 years", "shivered", None, 58 * 365.25),
        ("crazed 0.2 mm", "crazed", 0.2, 3.0),
        ("crazed 200 mm", "crazed", 200.0, 3.0),
    ],
)
def test_it_is_read(text: str, seen: str, mm: float | None, days: float) -> None:
    read = read_came_out(text)
    assert isinstance(read, CameOut)
    assert (read.seen, read.spacing_mm) == (seen, mm)
    assert 365.25 * read.years == pytest.approx(days, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("", "can be seen"),
        ("4 mm", "can be seen"),
        ("cracked", "can be seen"),
        ("whole 4 mm", "can be seen"),
        ("shivered 4 mm", "can be seen"),
        ("crazed 4", "unit"),
        ("crazed 4 mm after", "unit"),
        ("crazed after soon", "can be seen"),
        ("crazed 0.19 mm", "0.19 mm apart"),
        ("crazed 201 mm", "201 mm apart"),
        ("whole after 59 years", "59 years old"),
        ("whole after 0 days", "0 years old"),
    ],
)
def test_nothing_is_guessed(text: str, why: str) -> None:
    with pytest.raises(QuantityError, match=why):
        read_came_out(text)
