"""Solids in a glass against the laws they are said to follow."""

from __future__ import annotations

import numpy as np
import pytest

from cofire.chem.oxides import INDEX
from cofire.glass.crystals import LOCKED, growth_um, mixed_expansion, phases, stiffening


def test_equally_stiff_parts_mix_by_volume() -> None:
    """Turner 1946: with one bulk modulus the rule is that of volumes."""
    quartz = phases()["quartz"]
    volume = np.array([[0.0], [0.2], [0.5]])
    glass = np.full(3, 6.0)
    mixed = mixed_expansion(glass, np.full(3, quartz.bulk_modulus_gpa), volume, [quartz])
    assert mixed == pytest.approx(6.0 + volume[:, 0] * (quartz.alpha_1e6_per_k - 6.0))


def test_a_stiff_solid_counts_for_more_than_its_volume() -> None:
    """Turner 1946, worked by hand: 10 % of a solid six times as stiff as the glass counts 0.4."""
    zircon = phases()["zircon"]
    bulk = zircon.bulk_modulus_gpa / 6.0
    mixed = mixed_expansion(np.array([7.0]), np.array([bulk]), np.array([[0.1]]), [zircon])
    assert mixed[0] == pytest.approx((0.9 * 7.0 + 0.6 * zircon.alpha_1e6_per_k) / 1.5)


def test_dilute_suspensions_follow_einstein() -> None:
    """Einstein 1906: eta = eta0 (1 + 2.5 phi) for few round grains."""
    assert 10.0 ** stiffening(np.array(1e-4)) == pytest.approx(1.0 + 2.5e-4, abs=1e-7)


def test_crowded_suspensions_lock() -> None:
    """Krieger & Dougherty 1959: half full stiffens the melt about ninefold, packed grains lock."""
    assert 10.0 ** stiffening(np.array(0.45)) == pytest.approx((1 - 0.45 / 0.64) ** -1.6)
    assert np.isinf(stiffening(np.array([LOCKED, 0.8]))).all()
    assert (np.diff(stiffening(np.linspace(0.0, 0.63, 64))) > 0).all()


def test_window_glass_devitrifies_about_as_fast_as_measured() -> None:
    """Crystals in soda-lime window glass grow up to about 10 µm a minute, near 950 °C, where its
    viscosity is about 10^4 Pa·s; liquidus about 1010 °C (Milne 1952, J. Soc. Glass Technol. 36;
    from memory). The law is an upper bound of the right order."""
    minute = np.array([0.0, 60.0])
    grown = growth_um(minute, np.full(2, 950.0), np.full((1, 2), 4.0), np.array([1010.0]))[0]
    assert 10.0 < grown < 100.0


def test_nothing_grows_above_the_liquidus() -> None:
    hour = np.linspace(0.0, 3600.0, 10)
    above = growth_um(hour, np.full(10, 1000.0), np.full((1, 10), 3.0), np.array([990.0]))
    assert above[0] == 0.0


def test_phases_are_what_their_names_say() -> None:
    """Zircon is 67.2 % ZrO2, wollastonite 48.3 % CaO, anorthite 36.6 % Al2O3 (theoretical)."""
    for name, oxide, share in (
        ("zircon", "ZrO2", 0.672), ("wollastonite", "CaO", 0.483), ("anorthite", "Al2O3", 0.366)
    ):  # fmt: skip
        assert phases()[name].wt[INDEX[oxide]] == pytest.approx(share, abs=0.001)
    for phase in phases().values():
        assert phase.wt.sum() == pytest.approx(1.0)
