"""Crackles are drawn at their true scale."""

from __future__ import annotations

import numpy as np
import pytest

import cofire as package
from cofire.show import crackle
from cofire.show.pictures.crackle import MM, _borders, net_panel


@pytest.mark.parametrize("apart", [2.0, 5.0, 10.0])
def test_cells_are_as_many_as_their_distance_says(apart: float) -> None:
    """One cell to each square of that side, to a tenth or two at the edges."""
    net = crackle.cells(apart, None, 100.0, 40.0)
    assert net is not None
    points, group = net
    inside = ((points >= 0.0) & (points <= [100.0, 40.0])).all(axis=1)
    assert inside.sum() == pytest.approx(100.0 * 40.0 / apart**2, rel=0.15)
    assert not group.any()


def test_black_cells_hold_whole_pale_ones() -> None:
    net = crackle.cells(2.0, 10.0, 100.0, 40.0)
    assert net is not None
    lines, dark = _borders(*net)
    assert 0 < dark.sum() < len(lines)
    black = np.linalg.norm(lines[dark, 1] - lines[dark, 0], axis=1).sum()
    every = np.linalg.norm(lines[:, 1] - lines[:, 0], axis=1).sum()
    # a net of cells s apart has about 2/s of line to the area; a winding one somewhat more
    assert 1.0 <= black / every / (2.0 / 10.0) <= 1.7
    assert every == pytest.approx(2.0 / 2.0 * 100.0 * 40.0, rel=0.15)


def test_lines_end_at_the_edges_of_the_piece() -> None:
    net = crackle.cells(3.0, None, 100.0, 40.0)
    assert net is not None
    lines, _ = _borders(*net)
    assert lines.min() >= -1e-9 and lines[..., 0].max() <= 100.0 + 1e-9
    assert lines[..., 1].max() <= 40.0 + 1e-9


def test_no_cracks_no_picture() -> None:
    assert crackle.cells(None, None, 100.0, 40.0) is None
    assert crackle.cells(200.0, 200.0, 100.0, 40.0) is None
    answer = package.Studio().fit("frit-gloss", "talc-earthenware")
    assert crackle.distances(answer) == (None, None)
    assert net_panel(answer, 0.0) == []
    assert list(crackle.crackle_art(answer, 80)) == []


def test_the_disc_is_as_many_columns_as_millimetres() -> None:
    answer = package.Studio().fit("clear-crackle", "raku")
    *art, words = crackle.crackle_art(answer, 80)
    assert len(art) == 12  # 24 mm, two to a line
    widest = max(len(line.plain) for line in art)
    assert widest == 50 + 2 + crackle.COIN_MM
    assert f"{answer.crackle_mm.value:.2g} mm" in words.plain


def test_the_picture_says_millimetres_of_css() -> None:
    from cofire.show.drawing import Path

    marks = net_panel(package.Studio().fit("clear-crackle", "raku"), 0.0)
    coin = next(m for m in marks if isinstance(m, Path) and m.d.count("C") == 4)
    numbers = [
        float(n) for n in coin.d.replace("M", " ").replace("C", " ").replace("Z", "").split()
    ]
    assert max(numbers[::2]) - min(numbers[::2]) == pytest.approx(24.0 * 96.0 / 25.4, abs=0.1)
    assert pytest.approx(3.78, abs=0.01) == MM
