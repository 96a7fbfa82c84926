"""Cracks in a chilled wall against handbook values."""

from __future__ import annotations

import numpy as np
import pytest

from cofire.fit.shock import edge_crack_mpa_m05, held_mpa


@pytest.mark.published
@pytest.mark.parametrize(("power", "printed"), [(0, 1.1215), (1, 0.6829), (2, 0.5255)])
def test_edge_crack_under_even_and_rising_stress(power: int, printed: float) -> None:
    """Edge crack in a half-plane under sigma (x/a)^n: K = 1.1215, 0.6829, 0.5255 sigma sqrt(pi a)
    (Tada, Paris & Irwin, The Stress Analysis of Cracks Handbook; Fett & Munz 1997)."""
    wall, depth, layers = 10.0, 1.0, 4000
    x = (np.arange(layers) + 0.5) * wall / layers
    found = edge_crack_mpa_m05((x / depth) ** power, wall, depth) / np.sqrt(np.pi * depth * 1e-3)
    assert found == pytest.approx(printed, rel=0.012)


def test_layers_as_coarse_as_the_walls_are_enough() -> None:
    """A parabola, tension at the faces, with 24 layers as with 2000."""
    found = []
    for layers in (24, 2000):
        x = (np.arange(layers) + 0.5) / layers
        stress = 1.0 - 6.0 * x + 6.0 * x**2
        found.append([edge_crack_mpa_m05(stress, 6.0, d) for d in (0.3, 0.6, 1.5)])
    np.testing.assert_allclose(found[0], found[1], rtol=0.03)


def test_stresses_of_a_held_wall_add_up_to_nothing_and_a_cold_skin_is_pulled() -> None:
    strain = np.array([1e-4, 4e-4, 6e-4, 4e-4, 1e-4])
    stress = held_mpa(strain, 20.0)
    assert stress.sum() == pytest.approx(0.0, abs=1e-9)
    assert stress[0] > 0.0 > stress[2]
    assert stress[0] == pytest.approx(20e3 * (strain.mean() - 1e-4))
