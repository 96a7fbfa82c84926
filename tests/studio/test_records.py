"""What all records of the program keep to, whoever wrote them: looked at one by one."""

from __future__ import annotations

import importlib
import pkgutil
from dataclasses import fields, is_dataclass

import pytest

import cofire
from cofire.record import Record

#: They collect while something is read or planned, or stand for somebody at the page.
CHANGES = {"Names", "Crew", "_Draft", "Session", "Code", "Guard"}
#: Lines of a list: alike if all in them is alike. Any other answer is only itself.
ALIKE = {"ShelfItem", "StockItem", "Begun"}
HOLDS_ARRAYS = ("Array", "Mask", "NDArray")


def classes() -> list[type]:
    """Every dataclass of the program, once."""
    names = [m.name for m in pkgutil.walk_packages(cofire.__path__, "cofire.")]
    modules = [importlib.import_module(name) for name in names if "__main__" not in name]
    found = {
        one
        for module in modules
        for one in vars(module).values()
        if isinstance(one, type)
        and one.__module__ == module.__name__
        and is_dataclass(one)
        and "__dataclass_params__" in vars(one)
    }
    return sorted(found, key=lambda one: (one.__module__, one.__name__))


ALL = classes()


@pytest.mark.parametrize("cls", ALL, ids=lambda one: f"{one.__module__}.{one.__name__}")
def test_a_record(cls: type) -> None:
    how = cls.__dataclass_params__  # type: ignore[attr-defined]
    # what one answer holds nothing else can change
    assert how.frozen is (cls.__name__ not in CHANGES)
    if issubclass(cls, Record):
        # each is short in print, as Record says
        assert "__repr__" not in vars(cls)
        assert how.eq is (cls.__name__ in ALIKE)
    else:
        assert how.repr
    # arrays cannot be compared in one word: what holds some is only itself
    if any(word in str(f.type) for f in fields(cls) for word in HOLDS_ARRAYS):
        assert not how.eq
