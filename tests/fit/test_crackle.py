"""Crack spacing against its laws and what every raku potter sees."""

from __future__ import annotations

import numpy as np
import pytest
from plane_strain import channel_energy

from cofire.fit.cracking import Z_CHANNEL, channel_factor
from cofire.fit.crackle import _car_parking, coverage, floor_mm, spacing_mm

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


def test_the_table_of_parking_is_read_as_a_search_would() -> None:
    """Beside numpy's own search in the same table, far beyond both its ends too."""
    fallen = np.concatenate([[0.0, 1e-9, 1e-6, 1e4, 1e9, np.nan], np.geomspace(1e-8, 1e5, 999)])
    assert coverage(fallen) == pytest.approx(np.interp(fallen, *_car_parking()), nan_ok=True)


def test_the_floor_undoes_what_cracks_set_free() -> None:
    """One crack between two at y relief lengths frees 2 tanh(y/2) - tanh(y) of a lone one's energy
    (Xia & Hutchinson 2000): the floor of the stress that just pays for it is y relief lengths."""
    y = np.array([1e-2, 0.3, 1.0, 2.5, 6.0, 11.0])
    frees = 2.0 * np.tanh(0.5 * y) - np.tanh(y)
    stress = 50.0 / np.sqrt(frees)
    assert floor_mm(stress, np.array(50.0), np.array(0.4), Z) == pytest.approx(Z * 0.4 * y)


def test_a_lone_crack_across_the_coat() -> None:
    """Hutchinson & Suo 1992: Z = 1.976 on a like body; finite elements come within 1 %."""
    assert channel_energy(80.0) == pytest.approx(Z_CHANNEL, rel=0.012)


@pytest.mark.parametrize("stiffness", [0.5, 3.0, 6.0])
def test_a_lone_crack_on_a_softer_and_a_stiffer_body(stiffness: float) -> None:
    ours = channel_factor(np.array(stiffness), np.array(1.0))
    assert ours == pytest.approx(channel_energy(160.0, stiffness), rel=0.06)


@pytest.mark.parametrize(("apart", "stiffness"), [(3.0, 1.0), (4.0, 1.0), (6.0, 1.0), (8.0, 3.0)])
def test_the_floor_against_finite_elements(apart: float, stiffness: float) -> None:
    """One more crack between two that stand ``apart`` pays off from the stress on at which
    2 G(apart/2) - G(apart) is the fracture energy; there the floor is half of ``apart``."""
    z = channel_factor(np.array(stiffness), np.array(1.0))
    freed = 2.0 * channel_energy(0.5 * apart, stiffness) - channel_energy(apart, stiffness)
    over = np.sqrt(z / freed)  # stress over the critical one
    floor = floor_mm(over * 31.0, np.array(31.0), np.array(1.0), z)
    assert floor == pytest.approx(0.5 * apart, rel=0.2)


@pytest.mark.published
def test_the_law_of_cracks_that_come_together() -> None:
    """Thouless 1990 (J. Am. Ceram. Soc. 73, 2144): 5.6 sqrt(G_c Ebar h)/sigma for an array that
    comes at once; shear lag has r² = tanh y - y sech² y with y = L/(2 Z h) for it."""
    for over in (2.0, 3.0, 5.0):
        y = np.linspace(0.01, 3.0, 3000)
        at = np.interp(over**-2, np.tanh(y) - y / np.cosh(y) ** 2, y)
        printed = 5.6 * np.sqrt(Z_CHANNEL) / over  # in coat thicknesses
        assert 2.0 * Z_CHANNEL * at == pytest.approx(printed, rel=0.3)


def test_coarse_near_the_onset_and_fine_far_above() -> None:
    """Nets of 5 to 20 mm are common for crackles little above the onset, 1 to 3 mm for glazes that
    shrink far too much (common practice, no source)."""
    critical, coat = np.full(4, 31.0), np.full(4, 0.3)
    pull, onset = 31.0 * np.array([1.5, 1.8, 3.0, 6.0]), np.full(4, 45.0)
    found = spacing_mm(pull, onset, critical, coat, np.full(4, Z))
    assert (np.diff(found) < 0.0).all()
    assert 8.0 < found[0] < 40.0
    assert 1.0 < found[2] < 6.0
    below = (np.array(v) for v in (40.0, 45.0, 31.0, 0.3, Z))
    assert spacing_mm(*below) == np.inf


@pytest.mark.parametrize("pull", [45.0, 60.0, 80.0])
def test_a_thick_coat_gives_the_coarser_net(pull: float) -> None:
    """At one mismatch near the onset nets are 10, 12 and 15 mm at 0.15, 0.25 and 0.4 mm (common
    practice: thin for a fine net, thick for a coarse one), though the thick coat crazes sooner."""
    coat = np.array([0.15, 0.25, 0.4])
    critical = 0.75 / np.sqrt(2.6 * coat * 1e-3)
    found = spacing_mm(np.full(3, pull), 0.9 * critical, critical, coat, np.full(3, 2.6))
    assert (np.diff(found) > 0.0).all()
    assert found[2] / found[0] == pytest.approx(1.5, abs=0.6)


def test_flaws_are_single_below_a_fixed_stress() -> None:
    few = spacing_mm(*(np.array(v) for v in (30.0, 28.0, 25.0, 0.3, Z)))
    assert 100.0 < few < np.inf


def test_a_thicker_coat_at_one_stress_gives_a_wider_floor() -> None:
    """Shielding grows with the coat, though more of it pays for cracks."""
    thin, thick = (
        floor_mm(np.array(60.0), 0.75 / np.sqrt(1.976 * h * 1e-3), np.array(h), Z)
        for h in (0.2, 0.8)
    )
    assert 1.3 < thick / thin < 3.0
