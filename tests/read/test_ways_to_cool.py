"""Ways to cool, in potters' words."""

from __future__ import annotations

import pytest

from cofire.errors import CofireError, QuantityError
from cofire.files.library import Library
from cofire.read.cooling import read_cooling
from cofire.records import Smoke


@pytest.mark.parametrize(
    ("text", "means"),
    [
        ("20 s air, 30 min bin, water", Smoke(20.0, 30.0, "water", False)),
        ("20 s in the air; 5 min in the bin; then air", Smoke(20.0, 5.0, "air", False)),
        ("1 min air, 10 s fan, 30 min sawdust",
         Smoke(60.0, 30.0, "air", False, 10.0, 0.0, "sawdust")),
        ("15 s before a fan, 30 min in smoke", Smoke(0.0, 30.0, "air", False, 15.0)),
        ("5 s spray, 1 h buried in sawdust, water",
         Smoke(0.0, 60.0, "water", False, 0.0, 5.0, "buried")),
        ("5 s under the mist, 1 h buried", Smoke(0.0, 60.0, "air", False, 0.0, 5.0, "buried")),
        ("quench", Smoke(0.0, 0.0, "water", False)),
        # the place may come first
        ("buried 40 min", Smoke(0.0, 40.0, "air", False, 0.0, 0.0, "buried")),
        ("buried in sawdust for 1 h, then water",
         Smoke(0.0, 60.0, "water", False, 0.0, 0.0, "buried")),
        ("still air 20 s, fan 5 s, in the sawdust for 30 min",
         Smoke(20.0, 30.0, "air", False, 5.0, 0.0, "sawdust")),
        ("24 h bin", Smoke(0.0, 1440.0, "air", False)),
        ("0 s air", Smoke(0.0, 0.0, "air", False)),
    ],
)  # fmt: skip
def test_what_happens_to_a_pulled_pot(text: str, means: Smoke) -> None:
    assert read_cooling(text) == means


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("20 s fridge", "not a way to cool"),
        ("sawdust", "not a way to cool"),
        ("20 air, 5 min bin", "unit"),
        ("air 20, 5 min bin", "unit"),
        ("buried", "not a way to cool"),
        ("buried min", "not a time"),
        ("air 20 s fan", "not a time"),
        ("24:01 bin", "not a waiting time"),
        ("-1 s air", "not a waiting time"),
        ("water, quench", "not in order"),
        ("30 h bin", "not a waiting time"),
        ("5 s spray, 20 s air, 5 min bin", "not in order"),
        ("5 min bin, 20 min sawdust", "not in order"),
    ],
)
def test_what_is_refused(text: str, says: str) -> None:
    with pytest.raises(QuantityError, match=says) as error:
        read_cooling(text)
    assert error.value.hint


@pytest.mark.parametrize(
    ("text", "rate"), [("1 C/h", 1.0), ("3000 C/h", 3000.0), ("0.9 C/h", None), ("3001 C/h", None)]
)
def test_kilns_cool_within_bounds(text: str, rate: float | None) -> None:
    if rate is None:
        with pytest.raises(QuantityError):
            read_cooling(text)
    else:
        assert read_cooling(text) == rate


WAYS = """air = "10 s"
fan = "8 s"
spray = "5 s"
bin = "20 min"
bed = "sawdust"
then = "water"
"""


def firing_file(cofire, ways: str):  # type: ignore[no-untyped-def]
    shipped = Library.open(None).firing("raku-one-load").place.file.read_text(encoding="utf-8")
    return cofire.write("mine.toml", shipped.split("[smoke]")[0] + "[smoke]\n" + ways)


def test_a_firing_says_it_in_the_same_words(cofire) -> None:  # type: ignore[no-untyped-def]
    smoke = Library.open(None).firing(firing_file(cofire, WAYS)).smoke
    assert smoke == read_cooling("10 s air, 8 s fan, 5 s spray, 20 min sawdust, water")


@pytest.mark.parametrize(
    ("was", "said"),
    [
        ('fan = "8 s"', 'fan = "-8 s"'),
        ('spray = "5 s"', 'spray = "2 h"'),
        ('bed = "sawdust"', 'bed = "mud"'),
    ],
)
def test_a_firing_with_impossible_ways_is_refused(cofire, was: str, said: str) -> None:  # type: ignore[no-untyped-def]
    path = firing_file(cofire, WAYS.replace(was, said))
    with pytest.raises(CofireError):
        Library.open(None).firing(path)
