"""Steam tests in words."""

from __future__ import annotations

import pytest

from cofire.errors import CofireError
from cofire.read.steam import read_steam
from cofire.records import Steam


@pytest.mark.parametrize(
    ("text", "steam"),
    [
        ("5 bar, 2 h", Steam(5.0, 2.0)),
        ("3.4 bar, 90 min", Steam(3.4, 1.5)),
        ("10BAR, 1 h", Steam(10.0, 1.0)),
    ],
)
def test_pressure_and_time(text: str, steam: Steam) -> None:
    assert read_steam(text) == steam


@pytest.mark.parametrize(
    "text", ["", "5", "5 bar", "2 h, 5 bar", "50 bar, 2 h", "5 bar, 200 h", "-1 bar, 1 h"]
)
def test_what_is_no_steam_test(text: str) -> None:
    with pytest.raises(CofireError):
        read_steam(text)
