"""Sizes of type that a page is tried in."""

from __future__ import annotations

from itertools import pairwise

import pytest
from reportlab.lib.fonts import tt2ps

from cofire.show.sheets import pdf
from cofire.show.sheets.font_fallback import BOLD, FACE, ITALIC, fonts
from cofire.show.sheets.typesetter import Typesetter


@pytest.mark.parametrize("sizes", [pdf._NORMAL, pdf._COVER, pdf._COVER_LARGE, pdf._LARGE])
def test_type_shrinks_step_by_step(sizes: tuple[float, ...]) -> None:
    """The largest that fits is looked for by halves, so each size has to hold more than the last;
    and none is so much smaller that a page stays half empty."""
    for large, small in pairwise(sizes):
        assert 0.85 * large < small < large


def test_bold_and_italic_are_faces_of_their_own() -> None:
    """What the library of the PDF looks up for its marks of bold and italic; both are bold."""
    fonts()
    assert [tt2ps(FACE, bold, italic) for bold, italic in ((0, 0), (1, 0), (0, 1), (1, 1))] == [
        FACE, BOLD, ITALIC, BOLD,
    ]  # fmt: skip


def test_cells_stand_off_their_neighbours() -> None:
    """By ``pad`` points on each side of every cell, and right by so many millimetres more."""
    fonts()
    s = Typesetter(1.0, 400.0, {})
    made = s.grid(
        [[s.text(word, 8.0) for word in "ab"] for _ in range(2)], [0.5, 0.5], pad=2, gap=4
    )
    for cell in (cell for row in made._cellStyles for cell in row):
        assert (cell.leftPadding, cell.topPadding, cell.bottomPadding) == (2, 2, 2)
        assert cell.rightPadding == pytest.approx(2 + 4 / 25.4 * 72)
