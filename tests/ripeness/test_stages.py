"""Sealing, levelling and running against their laws and against one another."""

from __future__ import annotations

import numpy as np
import pytest

from cofire.files.library import Library
from cofire.model.conditions import Conditions
from cofire.model.glaze_draws import MIDDLE, draw_glazes
from cofire.model.glaze_set import glaze_set
from cofire.records import Part, Recipe
from cofire.ripeness.melting import eaten_um
from cofire.ripeness.stages import (
    Melt,
    crystal_minutes,
    fluidity_for_pores,
    fluidity_for_ripple,
    fluidity_for_run,
    held_mm2,
    pores_left,
    ripple_left,
    run_mm,
    slide_mm,
    with_clay,
)

TEN_MINUTES = 600.0
DENSITY_KG_M3 = 2450.0
MELT = Melt(0.3, DENSITY_KG_M3)


def fluidity_at(log10_eta: float, seconds: float = TEN_MINUTES) -> np.ndarray:
    return np.array(seconds / 10.0**log10_eta)


@pytest.mark.parametrize(("grain_um", "log10_eta"), [(10.0, 7.0), (25.0, 6.6), (50.0, 6.3)])
def test_sealed_in_ten_minutes(grain_um: float, log10_eta: float) -> None:
    """Mackenzie & Shuttleworth 1949: pores down to 5 % when 1.5 gamma t / (eta r) = ln 20."""
    assert pores_left(fluidity_at(log10_eta - 0.15), grain_um, 0.3) < 0.05
    assert pores_left(fluidity_at(log10_eta + 0.15), grain_um, 0.3) > 0.05


@pytest.mark.parametrize(
    ("ripple_mm", "log10_eta"), [(1.0, 5.0), (2.0, 4.2), (3.0, 3.6), (6.0, 2.5)]
)
def test_levelled_in_ten_minutes(ripple_mm: float, log10_eta: float) -> None:
    """Orchard 1962, coat 0.25 mm, gamma 0.3 N/m, ripple down to 5 %: worked by hand."""
    assert ripple_left(fluidity_at(log10_eta - 0.1), 0.25, ripple_mm, 0.3) < 0.05
    assert ripple_left(fluidity_at(log10_eta + 0.1), 0.25, ripple_mm, 0.3) > 0.05


@pytest.mark.parametrize(
    ("hours", "slid_mm", "log10_eta"),
    [
        (1 / 6, 1.0, 2.5), (1 / 6, 3.0, 2.0), (1 / 6, 10.0, 1.5),
        (4.0, 1.0, 3.9), (4.0, 3.0, 3.4), (4.0, 10.0, 2.9),
    ],
)  # fmt: skip
def test_slid(hours: float, slid_mm: float, log10_eta: float) -> None:
    """Mean speed of a falling film, rho g h² / (3 eta) (Nusselt 1916), coat 0.25 mm."""
    slid = slide_mm(fluidity_at(log10_eta, 3600.0 * hours), 0.25, DENSITY_KG_M3)
    assert np.log10(slid) == pytest.approx(np.log10(slid_mm), abs=0.1)


def test_orchards_limits() -> None:
    """Thin coat: gamma k⁴ h³ / (3 eta); deep one: gamma k / (2 eta) (Orchard 1962)."""
    gamma, flow = 0.3, np.array(1e-3)
    for ripple_mm, coat_mm, rate in (
        (10.0, 0.05, lambda k, h: gamma * k**4 * h**3 / 3.0),
        (0.5, 5.0, lambda k, h: gamma * k / 2.0),
    ):
        k, h = 2.0 * np.pi / (ripple_mm * 1e-3), coat_mm * 1e-3
        small = flow / rate(k, h)
        assert ripple_left(small, coat_mm, ripple_mm, gamma) == pytest.approx(
            np.exp(-1e-3), rel=1e-5
        )


def test_a_drained_coat_slides_ever_more_slowly() -> None:
    """Jeffreys 1930: at a depth z below the rim a coat thins as sqrt(eta z / (rho g t)). Summed
    numerically here."""
    eta, depth_m, coat_m = 30.0, 0.05, 0.25e-3
    t = np.geomspace(1e-3, 8 * 3600.0, 200_000)
    thick = np.minimum(coat_m, np.sqrt(eta * depth_m / (DENSITY_KG_M3 * 9.80665 * t)))
    slid = np.trapezoid(DENSITY_KG_M3 * 9.80665 * thick**2 / (3.0 * eta), t)
    assert slide_mm(np.array(t[-1] / eta), 0.25, DENSITY_KG_M3) == pytest.approx(
        1e3 * slid, rel=1e-3
    )


def test_bead_is_of_the_order_of_the_capillary_length_squared() -> None:
    """gamma / (rho g), 12.5 mm² for 0.3 N/m and 2450 kg/m³, bounds any bead held on a wall
    (Dussan & Chow 1983: twice that for the whole range of contact angles)."""
    assert 0.2 < held_mm2(MELT) / 12.5 < 2.0


def test_thick_coats_run_and_thin_ones_stay() -> None:
    coats = np.array([0.1, 0.25, 0.5])
    thin, common, thick = run_mm(with_clay(fluidity_at(1.9, 3600.0), coats, MELT), coats, MELT)
    assert thin == common == 0.0
    assert thick > 6.0


def test_crystals_count_from_the_last_time_above_the_liquidus() -> None:
    time_s = np.array([0.0, 3600.0, 4200.0, 4500.0, 8100.0])
    t_c = np.array([20.0, 943.0, 943.0, 916.0, 916.0])
    minutes = crystal_minutes(
        time_s,
        t_c,
        np.array([900.0, 930.0, 1100.0, 1100.0]),
        np.array([700.0, 700.0, 943.0, 990.0]),
    )
    assert minutes[0] == pytest.approx(0.0)  # melted away to the end
    assert 60.0 <= minutes[1] <= 65.0  # since it cooled through 930 °C
    assert minutes[2] == pytest.approx((8100.0 - 3600.0) / 60.0)  # never above; soft since the peak
    assert minutes[3] == pytest.approx(0.0)  # never soft enough


@pytest.mark.parametrize("coat_mm", [0.1, 0.25, 0.6])
def test_fluidities_that_are_needed_turn_round_what_they_do(coat_mm: float) -> None:
    """The inverse of sealing, levelling and running against the laws themselves."""
    melt = Melt(0.3, 2400.0)
    f = fluidity_for_pores(0.05, 25.0, 0.3)
    assert pores_left(f, 25.0, 0.3) == pytest.approx(0.05)
    f = fluidity_for_ripple(0.05, coat_mm, 2.5, 0.3)
    assert ripple_left(f, coat_mm, 2.5, 0.3) == pytest.approx(0.05)
    for limit in (1.0, 6.0, 30.0, 80.0):
        f = fluidity_for_run(limit, coat_mm, melt)
        assert run_mm(with_clay(f, coat_mm, melt), coat_mm, melt) == pytest.approx(limit, rel=1e-6)


# clay that a melt takes up


def test_a_melt_that_clay_does_not_stiffen_flows_as_it_would() -> None:
    flow = np.geomspace(1e-3, 1e4, 30)
    assert with_clay(flow, 0.25, MELT) == pytest.approx(flow, rel=1e-9)


@pytest.mark.parametrize("stiffens", [0.5, 3.0, 8.0, 40.0])
def test_a_coat_with_clay_follows_its_own_equation(stiffens: float) -> None:
    """d(flow of the pure melt) = 10^(b share) d(flow), the share by the root of the flow:
    integrated step by step, and inverted."""
    melt = Melt(0.3, 2500.0, clay_stiffens=stiffens)
    flowed = np.concatenate([[0.0], np.geomspace(1e-6, 100.0, 200_001)])
    share = 1950.0 / 2500.0 * 1e-3 * eaten_um(1000.0) / 0.25 * np.sqrt(flowed)
    step = 0.5 * (10.0 ** (stiffens * share[1:]) + 10.0 ** (stiffens * share[:-1]))
    pure = np.cumsum(step * np.diff(flowed))
    some = np.array([100_000, 150_000, 180_000, 200_000])
    assert with_clay(pure[some], 0.25, melt) == pytest.approx(flowed[1:][some], rel=1e-4)


def test_clay_holds_up_thin_melts_of_lead_more_than_of_boron() -> None:
    """Lead glazes fired at 1060 °C stay on pots while borate frits of that fluidity run off (common
    practice, no source): the engine's own slopes of viscosity with clay tell them apart."""
    lib = Library()
    slopes = []
    for name in ("lead-bisilicate", "frit-3134-type"):
        material = lib.material(name)[0]
        glazes, own = glaze_set(Recipe("x", "x", (Part(name, 100.0, material),), (), "gloss"))
        slopes.append(draw_glazes(glazes, own[None], Conditions(), MIDDLE).clay_stiffens[0])
    assert slopes[0] > 1.5 * slopes[1] > 0.0


def test_a_larger_angle_of_creep_holds_more() -> None:
    flat, steep = (held_mm2(Melt(0.3, 2400.0, angle)) for angle in (40.0, 90.0))
    assert flat / steep == pytest.approx(1.0 - np.cos(np.deg2rad(40.0)))
