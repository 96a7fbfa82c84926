"""Pieces and the slurry they are dipped in, by hand."""

from __future__ import annotations

import math

import pytest

from cofire.answers.batch.pieces import SIZES, Size


def test_slurry_to_dip_in() -> None:
    """A mug of 8 cm, 10 cm high, leaves a ring 15 mm wide in a bucket of 11 cm; a tile of 10 cm
    stands in a trough of 13 by 3 cm, as thin as paper."""
    bucket_ml = math.pi * 5.5**2 * 10.0
    mug_ml = math.pi * 4.0**2 * 10.0
    assert SIZES["mug"].to_dip_ml == pytest.approx(bucket_ml - mug_ml)
    assert SIZES["tile"].to_dip_ml == pytest.approx(13.0 * 3.0 * 10.0)


def test_a_pots_faces() -> None:
    """Wall and floor inside, the wall alone outside: a foot is bare."""
    wall_m2, floor_m2 = math.pi * 0.12 * 0.15, math.pi * 0.06**2
    pot = {faces: Size("pot", 120.0, 150.0, faces).area_m2 for faces in ("inside", "outside")}
    assert pot["inside"] == pytest.approx(wall_m2 + floor_m2)
    assert pot["outside"] == pytest.approx(wall_m2)
    assert SIZES["pot"].area_m2 == pytest.approx(2.0 * wall_m2 + floor_m2)
