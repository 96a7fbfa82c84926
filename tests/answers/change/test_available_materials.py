"""What may come into a recipe."""

from __future__ import annotations

import pytest

from cofire.answers.change.available_materials import at_hand, read_shelf
from cofire.errors import UnknownNameError
from cofire.files.library import Library

LIB = Library.open(None)
SHELF = at_hand(LIB)


def test_nobody_is_led_to_poison() -> None:
    for bad in ("lead", "barium", "cadmium", "soluble-caustic"):
        assert not any(bad in m.cautions for m in SHELF)


def test_names_with_commas_can_be_listed() -> None:
    names = read_shelf(LIB, ["soda-borosilicate frit, 3110 type,kaolin", "silica"])
    assert names == ["soda-borosilicate frit, 3110 type", "kaolin", "silica"]
    with pytest.raises(UnknownNameError):
        read_shelf(LIB, ["kaolin,unobtainium"])
    with pytest.raises(UnknownNameError):
        read_shelf(LIB, [""])
