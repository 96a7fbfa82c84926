"""Crackles are drawn at their true scale."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import pytest

import cofire as package
from cofire.show import crackle
from cofire.show.crackle import Line, Point
from cofire.show.drawing import INK, Path
from cofire.show.pictures.crackle import MM, crackle_picture, net_panel

SIDES = (100.0, 40.0)


@pytest.mark.parametrize("apart", [2.0, 3.0, 5.0, 8.0])
def test_cracks_stand_as_far_apart_as_they_say(apart: float) -> None:
    """Every crack makes one piece more; a piece is as large as the square of their distance."""
    black, pale = crackle.net(apart, None, *SIDES)
    assert not black
    assert math.sqrt(SIDES[0] * SIDES[1] / (len(pale) + 1)) == pytest.approx(apart, rel=0.08)


def test_every_crack_ends_at_an_older_one() -> None:
    lines = [line for line, _ in crackle.cracks(*SIDES)][:400]
    for k, line in enumerate(lines):
        for end in (line[0], line[-1]):
            on_rim = min(abs(end[i] - side) for i in (0, 1) for side in (0.0, SIDES[i])) < 1e-6
            older = (_distance(end, other[0], other[-1]) for other in lines[:k])
            assert on_rim or min(older) < 1e-6


def _distance(p: Point, a: Point, b: Point) -> float:
    dx, dy = b[0] - a[0], b[1] - a[1]
    t = ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / (dx * dx + dy * dy)
    t = min(max(t, 0.0), 1.0)
    return math.hypot(p[0] - a[0] - t * dx, p[1] - a[1] - t * dy)


def test_black_cracks_are_as_long_as_their_distance_says() -> None:
    """A net of cells s apart has about 2/s of line to the area; the rim is a part of it."""
    black, pale = crackle.net(2.0, 10.0, *SIDES)
    for lines, apart in ((black, 10.0), ([*black, *pale], 2.0)):
        wanted = 2.0 / apart * SIDES[0] * SIDES[1] - sum(SIDES)
        assert sum(map(_length, lines)) == pytest.approx(wanted, rel=0.15)


def _length(line: Line) -> float:
    return sum(math.dist(a, b) for a, b in pairwise(line))


def test_a_finer_net_keeps_the_cracks_of_a_coarser_one() -> None:
    coarse, fine = (set(crackle.net(apart, None, *SIDES)[1]) for apart in (6.0, 5.9))
    assert coarse < fine


def test_a_net_that_is_black_throughout_has_no_pale_crack() -> None:
    black, pale = crackle.net(4.0, 4.0, *SIDES)
    assert black and not pale


def test_no_crack_leaves_the_piece() -> None:
    for line, _ in crackle.cracks(*SIDES):
        assert all(-1e-9 <= p[i] <= SIDES[i] + 1e-9 for p in line for i in (0, 1))


def test_no_cracks_no_picture() -> None:
    assert crackle.net(None, None, *SIDES) == ([], [])
    answer = package.Studio().fit("frit-gloss", "talc-earthenware")
    assert crackle.distances(answer) == (None, None)
    assert net_panel(answer, 0.0) == []
    assert list(crackle.crackle_art(answer, 80)) == []
    assert len(crackle_picture(answer, SIDES).marks) == 1  # the piece


def test_an_unlikely_net_is_not_drawn() -> None:
    answer = package.Studio().fit("clear-crackle", "raku", cooling="45 s air; 30 min bin")
    _, black, whole = answer.nets
    rare = replace(answer, nets=(answer.nets[0], replace(black, odds=0.1), whole))
    assert crackle.distances(answer)[1] is not None
    assert crackle.distances(rare) == (crackle.distances(answer)[0], None)
    colours = [{mark.stroke for mark in crackle_picture(one, SIDES).marks
                if isinstance(mark, Path)} for one in (answer, rare)]  # fmt: skip
    assert INK in colours[0] and INK not in colours[1]


def test_the_disc_is_as_many_columns_as_millimetres() -> None:
    answer = package.Studio().fit("clear-crackle", "raku")
    *art, words = crackle.crackle_art(answer, 80)
    assert len(art) == 12  # 24 mm, two to a line
    widest = max(len(line.plain) for line in art)
    assert widest == 50 + 2 + crackle.COIN_MM
    assert f"{answer.crackle_mm.value:.2g} mm" in words.plain


def test_the_picture_says_millimetres_of_css() -> None:
    marks = net_panel(package.Studio().fit("clear-crackle", "raku"), 0.0)
    coin = next(m for m in marks if isinstance(m, Path) and m.d.count("C") == 4)
    numbers = [
        float(n) for n in coin.d.replace("M", " ").replace("C", " ").replace("Z", "").split()
    ]
    assert max(numbers[::2]) - min(numbers[::2]) == pytest.approx(24.0 * 96.0 / 25.4, abs=0.1)
    assert pytest.approx(3.78, abs=0.01) == MM
