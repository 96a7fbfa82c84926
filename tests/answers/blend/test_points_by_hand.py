"""Cups and scales on both sides of their bounds."""

from __future__ import annotations

import numpy as np
import pytest

from cofire.answers.blend.points import (
    Cup,
    enough,
    into_cups,
    points,
    read_cup,
    read_slurry,
    weighed,
)
from cofire.errors import QuantityError


@pytest.mark.parametrize(("least", "size"), [(1.0, 250.0), (2.5, 100.0), (0.5, 500.0)])
def test_a_cup_is_enough_where_its_least_is_five_steps(least: float, size: float) -> None:
    """In 50 g the least is one step: in 250 g it is five."""
    assert enough(least, Cup(50.0, "g", 0.1)) == size


@pytest.mark.parametrize(("steps", "can"), [(0, False), (1, True), (20, True), (21, False)])
def test_a_line_has_up_to_twenty_parts(steps: int, can: bool) -> None:
    if can:
        assert len(points(2, steps).shares) == steps + 1
    else:
        with pytest.raises(QuantityError):
            points(2, steps)


@pytest.mark.parametrize(
    ("cup", "scale", "read"),
    [
        ("50 g", None, Cup(50.0, "g", 0.1, 0.1)),
        ("60 ml", None, Cup(60.0, "ml", 1.0, 0.1)),
        ("60 ml", "2 ml", Cup(60.0, "ml", 2.0, 0.1)),
        ("50 g", "0.5 g", Cup(50.0, "g", 0.5, 0.5)),
        ("1 g", "1 g", Cup(1.0, "g", 1.0, 1.0)),
        ("100 kg", "1 g", Cup(100_000.0, "g", 1.0, 1.0)),
        ("0.9 g", "1 g", None), ("100001 g", "1 g", None), ("1 g", "0.3 g", None),
        ("0 g", None, None), ("50 g", "1 ml", None), ("60 ml", "0.1 g", None),
        ("50 g", "0 g", None),
    ],
)  # fmt: skip
def test_what_is_a_cup(cup: str, scale: str | None, read: Cup | None) -> None:
    """Whole steps of its scale: 0.1 g or 1 ml if nothing else is said, up to 100 kg."""
    if read is None:
        with pytest.raises(QuantityError):
            read_cup(cup, scale)
    else:
        assert read_cup(cup, scale) == read


def test_additions_are_weighed_into_a_cup_of_slurry() -> None:
    """It is filled to its mark in one go, whatever that is; what is weighed goes by 0.1 g."""
    assert read_cup("61.3 ml", additions=True) == Cup(61.3, "ml", 61.3, 0.1)
    assert read_cup("60 ml", "0.01 g", additions=True) == Cup(60.0, "ml", 60.0, 0.01)
    assert read_cup("50 g", additions=True) == Cup(50.0, "g", 0.1, 0.1)


def test_steps_of_a_scale() -> None:
    assert [Cup(50.0, "g", 0.1).steps, Cup(60.0, "ml", 1.0).steps] == [500, 60]
    # a third of 10 steps each: 3.33, and the step that is left over goes to the first
    thirds = into_cups(np.full((1, 3), 1.0 / 3.0), Cup(1.0, "g", 0.1))
    assert thirds.tolist() == [[0.4, 0.3, 0.3]]


@pytest.mark.parametrize(("share", "can"), [(0.1, True), (0.099, False), (0.0, True)])
def test_an_amount_of_a_step_can_be_measured(share: float, can: bool) -> None:
    """Of ten steps; nothing is no amount."""
    shares = np.array([[share, 1.0 - share]])
    if can:
        assert into_cups(shares, Cup(1.0, "g", 0.1)).tolist() == [[share, 1.0 - share]]
    else:
        with pytest.raises(QuantityError, match="g"):
            into_cups(shares, Cup(1.0, "g", 0.1))


def test_grams_to_the_nearest_step() -> None:
    cup = Cup(60.0, "ml", 1.0, 0.5)
    assert weighed(np.array([0.0, 0.5, 0.74, 0.76, 3.2]), cup).tolist() == [0.0, 0.5, 0.5, 1.0, 3.0]
    with pytest.raises(QuantityError):
        weighed(np.array([0.0, 0.49]), cup)


def test_one_density_for_all_or_one_for_each() -> None:
    assert read_slurry(["1.45"], 3).tolist() == [1.45] * 3
    assert read_slurry(["1.45", "1.5"], 2).tolist() == [1.45, 1.5]
    for texts in (["1.45", "1.5"], []):
        with pytest.raises(QuantityError):
            read_slurry(texts, 3)


def test_neighbours_touch() -> None:
    """A line of two parts; a triangle of one part, in which all touch; a grid of one part, in which
    corners across do not."""
    assert points(2, 2).neighbours.tolist() == [[0, 1], [1, 2]]
    assert sorted(points(3, 1).neighbours.tolist()) == [[0, 1], [0, 2], [1, 2]]
    assert sorted(points(4, 1).neighbours.tolist()) == [[0, 1], [0, 2], [1, 3], [2, 3]]
    assert points(4, 1).labels == ("A1", "A2", "B1", "B2")
    middle = points(4, 2).shares[4]
    assert middle.tolist() == [0.25] * 4
