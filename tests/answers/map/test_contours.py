"""Contours against fields whose lines are known."""

from __future__ import annotations

import numpy as np
import pytest

from cofire.answers.map.contours import (
    areas_above,
    between_points,
    carried_on,
    contour_lines,
    finer,
    round_levels,
)
from cofire.arrays import Array

X, Y = np.linspace(-2.0, 2.0, 61), np.linspace(-1.5, 1.5, 41)
GRID = np.meshgrid(X, Y)
DOME: Array = 1.0 - np.hypot(*GRID)


def length(line: Array) -> float:
    return float(np.hypot(*np.diff(line, axis=0).T).sum())


def area(line: Array) -> float:
    x, y = line[:, 0], line[:, 1]
    return float(0.5 * abs((x[:-1] * y[1:] - x[1:] * y[:-1]).sum()))


@pytest.mark.parametrize("radius", [0.3, 0.8, 1.3])
def test_a_circle_is_one_closed_line(radius: float) -> None:
    (line,) = contour_lines(X, Y, DOME, 1.0 - radius)
    assert np.array_equal(line[0], line[-1])
    assert length(line) == pytest.approx(2 * np.pi * radius, rel=0.01)
    assert area(line) == pytest.approx(np.pi * radius**2, rel=0.02)


def test_a_plane_gives_a_straight_line() -> None:
    values = 2.0 * GRID[0] + 3.0 * GRID[1]
    (line,) = contour_lines(X, Y, values, 0.7)
    assert 2.0 * line[:, 0] + 3.0 * line[:, 1] == pytest.approx(0.7)
    assert length(line) == pytest.approx(np.hypot(*(line[-1] - line[0])))
    ends = sorted(np.round(line[[0, -1]], 9).tolist())
    assert ends == [[-1.9, 1.5], [2.0, -1.1]]  # from edge to edge


def test_an_area_closes_along_the_edge_of_the_map() -> None:
    (half,) = areas_above(X, Y, GRID[0], 0.5)
    assert area(half) == pytest.approx(1.5 * 3.0)
    (whole,) = areas_above(X, Y, GRID[0], -9.0)
    assert area(whole) == pytest.approx(4.0 * 3.0)
    assert areas_above(X, Y, GRID[0], 9.0) == ()


def test_a_ring_is_two_lines() -> None:
    ring = -np.abs(np.hypot(*GRID) - 0.9)
    inner, outer = sorted(area(line) for line in areas_above(X, Y, ring, -0.2))
    assert outer - inner == pytest.approx(np.pi * (1.1**2 - 0.7**2), rel=0.03)


def test_saddles_do_not_cross() -> None:
    saddle = np.array([[1.0, 0.0], [0.0, 1.0]])
    ends = np.array([0.0, 1.0])
    for level in (0.4, 0.6):
        lines = contour_lines(ends, ends, saddle, level)
        assert len(lines) == 2
        # the high corners are joined below their mean, and apart above it
        joined = level < 0.5
        for line in lines:
            near_low = min(np.hypot(*(line.mean(axis=0) - c)) for c in ([1, 0], [0, 1]))
            near_high = min(np.hypot(*(line.mean(axis=0) - c)) for c in ([0, 0], [1, 1]))
            assert (near_low < near_high) == joined


def test_lines_stop_where_there_is_no_value() -> None:
    holed = np.where(GRID[0] > 1.0, np.nan, GRID[1])
    (line,) = contour_lines(X, Y, holed, 0.01)
    assert line[:, 0].max() <= 1.0
    carried = carried_on(holed, 2)
    assert np.nanmax(np.abs(carried - GRID[1])) < 1e-12
    assert np.isfinite(carried).sum() == np.isfinite(holed).sum() + 2 * len(Y)


def test_reading_between_points_and_finer_tables() -> None:
    plane = 2.0 * GRID[0] - GRID[1]
    x, y = np.array([-1.93, 0.0, 1.234]), np.array([-0.77, 1.5])
    assert between_points(X, Y, plane, x, y) == pytest.approx(2.0 * x - y[:, None])
    four = finer(plane, 4)
    assert four.shape == (161, 241)
    assert four[::4, ::4] == pytest.approx(plane)
    assert four == pytest.approx(
        2.0 * np.linspace(-2, 2, 241) - np.linspace(-1.5, 1.5, 161)[:, None]
    )
    square = np.tile(X**2, (len(Y), 1))  # cubics go through parabolas
    assert finer(square, 2)[0, 3:-3] == pytest.approx(np.linspace(-2, 2, 121)[3:-3] ** 2)


@pytest.mark.parametrize(
    ("low", "high", "most", "levels"),
    [
        (7.3, 9.9, 5, (7.5, 8.0, 8.5, 9.0, 9.5)),
        (-60.0, 140.0, 9, (-40.0, -20.0, 0.0, 20.0, 40.0, 60.0, 80.0, 100.0, 120.0)),
        (0.0, 1.0, 4, (0.2, 0.4, 0.6, 0.8)),
        (3.0, 3.0, 5, ()),
        (float("nan"), 1.0, 5, ()),
    ],
)
def test_levels_are_round(low: float, high: float, most: int, levels: tuple[float, ...]) -> None:
    assert round_levels(low, high, most) == pytest.approx(levels)
