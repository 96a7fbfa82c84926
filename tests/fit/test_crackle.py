"""Crack spacing against its laws and what every raku potter sees."""

from __future__ import annotations

import numpy as np
import pytest

from cofire.fit.crackle import CONCERTED, SEQUENTIAL, coverage, floor_mm, spacing_mm

Z = np.array(1.976)


def test_renyis_parking_constant() -> None:
    """Rényi 1958: random cars fill 0.74760 of a street; few cars fill what they bring."""
    assert coverage(np.array(1e4)) == pytest.approx(0.7476, abs=2e-4)
    assert coverage(np.array(1e-3)) == pytest.approx(1e-3, rel=2e-3)


def test_parking_by_trying() -> None:
    """The same, by dropping intervals on a line."""
    rng = np.random.default_rng(3)
    length, tries = 400.0, 0.8
    placed: list[float] = []
    for start in rng.uniform(0.0, length - 1.0, int(tries * length)):
        if all(abs(start - other) >= 1.0 for other in placed):
            placed.append(start)
    assert len(placed) / length == pytest.approx(coverage(np.array(tries)), abs=0.05)


def test_the_floor_at_the_onset() -> None:
    """Thouless 1990: 5.6 sqrt(G_c Ebar h)/sigma is 2.4 mm at the onset for 0.3 mm, by hand."""
    one = np.array(31.0)
    floor = floor_mm(one, one, np.array(0.3), Z) * CONCERTED / SEQUENTIAL
    assert floor == pytest.approx(2.36, abs=0.05)


def test_the_floor_is_some_coats_wide() -> None:
    """Shear lag: beside a crack a coat on a like wall regains its stress over 2 to 4 thicknesses to
    either side, so a second crack has no reason to open nearer than about 3; and the law's floor
    at three times the critical stress stays within a few of those lengths."""
    floor = floor_mm(np.array(93.0), np.array(31.0), np.array(0.3), Z) / 0.3
    assert 3.0 < floor < 16.0


def test_coarse_near_the_onset_and_fine_far_above() -> None:
    """Nets of 5 to 20 mm are common for crackles little above the onset, 1 to 3 mm for glazes that
    shrink far too much (common practice, no source)."""
    critical, coat = np.full(4, 31.0), np.full(4, 0.3)
    found = spacing_mm(31.0 * np.array([1.3, 1.8, 3.0, 6.0]), critical, coat, Z)
    assert (np.diff(found) < 0.0).all()
    assert 8.0 < found[0] < 40.0
    assert 1.0 < found[2] < 6.0
    assert spacing_mm(np.array(25.0), np.array(31.0), np.array(0.3), Z) == np.inf


def test_a_thicker_coat_on_the_same_glaze_gives_a_wider_floor() -> None:
    """Shielding grows with the coat: at one stress the floor grows as the root of thickness."""
    thin, thick = (
        floor_mm(np.array(60.0), 0.75 / np.sqrt(1.976 * h * 1e-3), np.array(h), Z)
        for h in (0.2, 0.8)
    )
    assert thick / thin == pytest.approx(2.0)
