"""Bounds of hints, with materials that are made up."""

from __future__ import annotations

from dataclasses import replace

import pytest

from cofire.errors import QuantityError
from cofire.files.hints import Hints, distance
from cofire.read.number import number, short
from cofire.records import Material

SAND = Material("sand", ("plain sand",), {"SiO2": 100.0}, 0.0, "test")


def offered(wanted: str, *some: Material, most: int = 3) -> list[str]:
    return Hints({one.name: one for one in some}).of(wanted, most)


def frit(name: str) -> Material:
    return replace(SAND, id=name.replace(" ", "-"), names=(name,))


@pytest.mark.parametrize(("percent", "meant"), [(3.0, True), (2.9, False)])
def test_what_is_named_by_a_metal_holds_three_per_cent_of_it(percent: float, meant: bool) -> None:
    earth = replace(SAND, names=("magnesium earth",), oxides_wt_percent={"MgO": percent})
    assert offered("magnesium", earth) == ["magnesium earth"] * meant


def test_eighty_letters_are_looked_at() -> None:
    """The number of a frit has four figures; its last is the eightieth letter, or beyond."""
    one = frit("type 3134")
    assert offered(" " * 76 + "3134", one) == ["type 3134"]
    assert offered(" " * 77 + "3134", one) == []


def test_the_number_of_a_frit_counts_and_a_mesh_does_not() -> None:
    some = frit("type 3134"), frit("type 3124")
    assert offered("3134 type", *some) == ["type 3134"]
    assert offered("type 9999", *some) == []
    # three figures are a mesh, whatever they are
    assert offered("sand 200", replace(SAND, names=("sand 325",))) == ["sand 325"]


def test_no_more_are_offered_than_asked_for() -> None:
    some = [frit(f"talc {place}") for place in ("dunes", "pits", "shores", "rivers")]
    assert len(offered("talc", *some)) == 3
    assert len(offered("talc", *some, most=1)) == 1


def test_a_formula_is_itself() -> None:
    lime = replace(SAND, names=("white stuff",), formula="CaCO3")
    assert offered("ca CO3", lime, SAND) == ["white stuff"]


@pytest.mark.parametrize(
    ("one", "other", "most", "away"),
    [("abc", "abc", 2, 0), ("abc", "abd", 2, 1), ("abc", "ab", 2, 1), ("abc", "acb", 2, 1),
     ("abcd", "badc", 2, 2), ("abc", "xyz", 1, 2), ("a", "abc", 1, 2), ("abc", "a", 2, 2)],
)  # fmt: skip
def test_letters_away(one: str, other: str, most: int, away: int) -> None:
    assert distance(one, other, most) == distance(other, one, most) == away


def test_sixty_figures_and_four_hundred_letters_at_most() -> None:
    """Nobody types more in one go."""
    assert number("0" * 59 + "7") == 7
    with pytest.raises(QuantityError):
        number("0" * 60 + "7")
    assert short("x" * 400) == "x" * 400
    with pytest.raises(QuantityError):
        short("x" * 401)
