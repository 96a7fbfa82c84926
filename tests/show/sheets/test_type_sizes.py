"""Sizes of type that a page is tried in."""

from __future__ import annotations

from itertools import pairwise

import pytest

from cofire.show.sheets import pdf


@pytest.mark.parametrize("sizes", [pdf._NORMAL, pdf._COVER, pdf._COVER_LARGE, pdf._LARGE])
def test_type_shrinks_step_by_step(sizes: tuple[float, ...]) -> None:
    """The largest that fits is looked for by halves, so each size has to hold more than the last;
    and none is so much smaller that a page stays half empty."""
    for large, small in pairwise(sizes):
        assert 0.85 * large < small < large
