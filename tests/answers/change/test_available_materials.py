"""What may come into a recipe."""

from __future__ import annotations

import pytest

from cofire.answers.change.available_materials import available_materials, read_allowed
from cofire.errors import UnknownNameError
from cofire.files.library import Library

LIB = Library.open(None)
SHELF = available_materials(LIB)


def test_poison_is_never_proposed() -> None:
    for bad in ("lead", "barium", "cadmium", "soluble-caustic"):
        assert not any(bad in m.cautions for m in SHELF)


def test_names_with_commas_can_be_listed() -> None:
    names = read_allowed(LIB, ["soda-borosilicate frit, 3110 type,kaolin", "silica"])
    assert names == ["soda-borosilicate frit, 3110 type", "kaolin", "silica"]
    with pytest.raises(UnknownNameError):
        read_allowed(LIB, ["kaolin,unobtainium"])
    with pytest.raises(UnknownNameError):
        read_allowed(LIB, [""])
