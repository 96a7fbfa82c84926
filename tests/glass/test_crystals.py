"""Solids in a glass against the laws they are said to follow."""

from __future__ import annotations

import numpy as np
import pytest

from cofire.chem.oxides import INDEX
from cofire.glass.crystals import LOCKED, Phase, growth_um, mixed_expansion, phases, stiffening


def levin(glass: float, bulk: float, shear: float, share: float, phase: Phase) -> float:
    """Levin 1967 in its own form, with the lower bound of Hashin & Shtrikman 1963."""
    k = phase.bulk_modulus_gpa
    whole = bulk + share / (1.0 / (k - bulk) + 3.0 * (1.0 - share) / (3.0 * bulk + 4.0 * shear))
    part = (1.0 / whole - 1.0 / bulk) / (1.0 / k - 1.0 / bulk)
    return glass + (phase.alpha_1e6_per_k - glass) * part


def mixed(glass: float, bulk: float, shear: float, share: float, phase: Phase) -> float:
    args = (np.array([v]) for v in (glass, bulk, shear))
    return float(mixed_expansion(*args, np.array([[share]]), [phase])[0])


def test_equally_stiff_parts_mix_by_volume() -> None:
    """With one bulk modulus the rule is that of volumes."""
    quartz = phases()["quartz"]
    for share in (0.0, 0.2, 0.5):
        found = mixed(6.0, quartz.bulk_modulus_gpa, 30.0, share, quartz)
        assert found == pytest.approx(6.0 + share * (quartz.alpha_1e6_per_k - 6.0))


@pytest.mark.parametrize("name", ["cassiterite", "zircon", "quartz", "cristobalite"])
@pytest.mark.parametrize("share", [0.01, 0.1, 0.4])
def test_grains_follow_levin(name: str, share: float) -> None:
    phase = phases()[name]
    assert mixed(7.0, 42.0, 29.0, share, phase) == pytest.approx(
        levin(7.0, 42.0, 29.0, share, phase)
    )


def test_a_sphere_in_a_shell_expands_as_elasticity_says() -> None:
    """Composite sphere by its boundary conditions: u = A r in the grain, B r + C / r² in the glass,
    equal displacement and radial stress at the bond, none at the outside."""
    zircon, share = phases()["zircon"], 0.2
    bulk, shear, glass = 42.0, 29.0, 7.0
    k, alpha = zircon.bulk_modulus_gpa, zircon.alpha_1e6_per_k
    a3 = share  # inner radius cubed, outer 1
    # radial stress: grain 3 k (A - alpha); glass 3 K (B - alpha_g) - 4 G C / r³
    system = np.array([
        [1.0, -1.0, -1.0 / a3],
        [3.0 * k, -3.0 * bulk, 4.0 * shear / a3],
        [0.0, 3.0 * bulk, -4.0 * shear],
    ])  # fmt: skip
    right = np.array([0.0, 3.0 * k * alpha - 3.0 * bulk * glass, 3.0 * bulk * glass])
    _, b, c = np.linalg.solve(system, right)
    assert mixed(glass, bulk, shear, share, zircon) == pytest.approx(b + c)


def test_opacifiers_lower_expansion_by_little() -> None:
    """2.5 per cent of volume of tin oxide: by 0.16e-6/K (the same relation worked elsewhere); by
    stiffness alone it would be 0.43."""
    tin = phases()["cassiterite"]
    assert mixed(7.5, 43.0, 29.0, 0.025, tin) - 7.5 == pytest.approx(-0.16, abs=0.03)


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
