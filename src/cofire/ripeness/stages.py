"""Sealing, levelling and running of a melting coat, as integrals over its temperature history.

Every function takes log10 of viscosity in Pa·s along a history, shape (..., T), at ``time_s``
(T,), and works on all glazes or draws at once. Integrals are trapezoidal.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cofire.arrays import Array
from cofire.ripeness.melting import eaten_um

#: Middle of the angles at which the edge of a melt starts to creep over bare clay, see ``Melt``.
CREEP_ANGLE_DEG = 90.0
GRAVITY_M_S2 = 9.80665  # standard gravity, CGPM 1901


@dataclass(frozen=True, eq=False)
class Melt:
    """A melt that hangs on a wall; one number or one per glaze (...,).

    Melts of silicate glass stand on smooth oxide ceramics at 40 to 80 degrees; an edge that has to
    climb the slopes of a rough surface, 20 to 40 degrees, waits until it stands as much steeper
    (Gibbs' criterion of pinning). Both from memory; the angle of creep is the sum of their middles.
    """

    surface_tension_n_m: Array | float
    density_kg_m3: Array | float
    creep_angle_deg: Array | float = CREEP_ANGLE_DEG
    clay_stiffens: Array | float = 0.0  # decades of viscosity by a share of clay, by weight


def fluidity(time_s: Array, log10_eta: Array) -> Array:
    """Integral of dt/eta, (...,) in 1/Pa: the one quantity that sealing and levelling need."""
    return np.asarray(np.trapezoid(10.0 ** (-log10_eta), time_s, axis=-1))


def pores_left(fluidity_1_pa: Array, grain_radius_um: float, gamma_n_m: Array | float) -> Array:
    """Share of the first pores still open, (...,).

    Viscous sintering, Mackenzie & Shuttleworth 1949 in its simple form:
    d rho/dt = (3 gamma / (2 eta r)) (1 - rho).
    """
    rate = 1.5 * gamma_n_m / (grain_radius_um * 1e-6)
    return np.asarray(np.exp(-rate * fluidity_1_pa))


def ripple_left(
    fluidity_1_pa: Array, coat_mm: Array | float, ripple_mm: float, gamma_n_m: Array | float
) -> Array:
    """Height of a surface ripple over its first height, (...,).

    Orchard 1962, full rate for any depth:
    (gamma k / 2 eta)(sinh kh cosh kh - kh)/(cosh² kh + k² h²), k = 2 pi / ripple length.
    """
    return np.asarray(np.exp(-_ripple_rate(coat_mm, ripple_mm, gamma_n_m) * fluidity_1_pa))


def _ripple_rate(coat_mm: Array | float, ripple_mm: float, gamma_n_m: Array | float) -> Array:
    k = 2.0 * np.pi / (ripple_mm * 1e-3)
    kh = k * np.asarray(coat_mm) * 1e-3
    e = np.exp(2.0 * kh)  # one exponential instead of three hyperbolic functions
    shape = (e - 1.0 / e - 4.0 * kh) / (e + 1.0 / e + 2.0 + 4.0 * kh**2)
    return np.asarray(0.5 * gamma_n_m * k * shape)


def fluidity_for_pores(left: float, grain_radius_um: float, gamma_n_m: Array | float) -> Array:
    """The integral of dt/eta, 1/Pa, (...,), that leaves this share of pores."""
    rate = 1.5 * np.asarray(gamma_n_m) / (grain_radius_um * 1e-6)
    return np.asarray(-np.log(left) / rate)


def fluidity_for_ripple(
    left: float, coat_mm: Array | float, ripple_mm: float, gamma_n_m: Array | float
) -> Array:
    """The integral of dt/eta, 1/Pa, (...,), that leaves this share of a ripple."""
    return np.asarray(-np.log(left) / _ripple_rate(coat_mm, ripple_mm, gamma_n_m))


def slide_mm(
    fluidity_1_pa: Array,
    coat_mm: Array | float,
    density_kg_m3: Array | float,
    from_top_mm: float = 50.0,
) -> Array:
    """How far the coat slides down an upright wall, mm, (...,): mean over its thickness.

    A coat drained from the top thins as h = sqrt(eta z / (rho g t)) (Jeffreys 1930), so a point
    ``from_top_mm`` below the rim keeps its thickness until the thinning front passes
    and slides ever more slowly afterwards. With F the integral of dt/eta the mean speed
    rho g h²/(3 eta) integrates to rho g h² F/3 before the front, and to (z/3)(1 + ln(F/F0))
    after it, F0 = z/(rho g h²).
    """
    h_m = np.asarray(coat_mm) * 1e-3
    z_m = from_top_mm * 1e-3
    drive = density_kg_m3 * GRAVITY_M_S2 * h_m**2 * fluidity_1_pa
    before = drive / 3.0
    after = z_m / 3.0 * (1.0 + np.log(np.maximum(drive / z_m, 1.0)))
    return np.asarray(1e3 * np.where(drive <= z_m, before, after))


#: Height of the glazed wall above the foot; our choice of an ordinary pot.
WALL_HEIGHT_MM = 100.0
#: What a melt eats of the clay under it counts with this density, kg/m³: that of clay with a
#: quarter of pores (from memory of bisque).
_BISQUE_KG_M3 = 1950.0
#: Temperature at which the melt eats, °C; 100 °C more are 4 % more.
_EATS_C = 1000.0
_NEWTON_STEPS = 8


def _clay_rate(coat_mm: Array, melt: Melt) -> Array:
    """ln of how much stiffer a coat is (...,), by the root of its fluidity, Pa^0.5: the melt eats
    into the clay by the root of it."""
    eaten_mm = 1e-3 * eaten_um(_EATS_C)
    share = _BISQUE_KG_M3 * eaten_mm / (np.asarray(melt.density_kg_m3) * coat_mm)
    return np.asarray(np.log(10.0) * np.maximum(melt.clay_stiffens, 0.0) * share)


def _without_clay(root: Array, rate: Array) -> Array:
    """Integral of dt/eta of the pure melt, 1/Pa, when that with clay in it is the square of a
    ``root``: of exp(rate y) 2 y dy."""
    x = rate * root
    series = root**2 * (1.0 + 2.0 * x / 3.0)  # the same where rounding would spoil it
    exact = ((x - 1.0) * np.exp(np.minimum(x, 500.0)) + 1.0) * 2.0 / np.maximum(rate, 1e-30) ** 2
    return np.asarray(np.where(x < 1e-4, series, exact))


def with_clay(fluidity_1_pa: Array, coat_mm: Array | float, melt: Melt) -> Array:
    """Integral of dt/eta, 1/Pa, (...,), of a coat that takes up the clay under it and stiffens, as
    the glazes of lead do that stay on pots though their melts are thin."""
    rate = _clay_rate(np.asarray(coat_mm), melt)
    some = np.maximum(rate, 1e-30)
    root = np.minimum(
        np.sqrt(fluidity_1_pa), (np.log1p(0.5 * some**2 * fluidity_1_pa) + 1.0) / some
    )
    for _ in range(_NEWTON_STEPS):  # from above, on a curve that bends up
        slope = 2.0 * root * np.exp(rate * root)
        root = root - (_without_clay(root, rate) - fluidity_1_pa) / np.maximum(slope, 1e-30)
    return np.asarray(root**2)


def held_mm2(melt: Melt) -> Array:
    """Section of the bead that surface tension holds up at the glaze line of an upright wall, mm².

    Its weight hangs from the edge, which bare clay pins until it stands at the creep angle, while
    the film above wets: rho g A = gamma (1 - cos angle) (Dussan & Chow 1983, J. Fluid Mech. 137).
    """
    angle = np.deg2rad(melt.creep_angle_deg)
    weight = np.asarray(melt.density_kg_m3) * GRAVITY_M_S2
    return np.asarray(1e6 * melt.surface_tension_n_m * (1.0 - np.cos(angle)) / weight)


def run_mm(flowed_1_pa: Array, coat_mm: Array | float, melt: Melt) -> Array:
    """How far a glaze creeps past its own lower edge, mm, (...,), from an integral of dt/eta that
    is ``with_clay``.

    What slides down gathers in a bead at the glaze line; only what is more than the bead can hold
    runs on, as a film as thick as the coat.
    """
    coat = np.asarray(coat_mm)
    slid = slide_mm(flowed_1_pa, coat, melt.density_kg_m3, WALL_HEIGHT_MM)
    return np.asarray(np.maximum(slid - held_mm2(melt) / coat, 0.0))


def fluidity_for_run(limit_mm: float, coat_mm: Array | float, melt: Melt) -> Array:
    """The integral of dt/eta, 1/Pa, (...,), at which a glaze has run this far past its edge."""
    coat = np.asarray(coat_mm)
    slid_m = 1e-3 * (limit_mm + held_mm2(melt) / coat)
    z_m = WALL_HEIGHT_MM * 1e-3
    drive = np.where(slid_m <= z_m / 3.0, 3.0 * slid_m, z_m * np.exp(3.0 * slid_m / z_m - 1.0))
    flowed = drive / (melt.density_kg_m3 * GRAVITY_M_S2 * (coat * 1e-3) ** 2)
    return _without_clay(np.sqrt(flowed), _clay_rate(coat, melt))


def crystal_minutes(time_s: Array, t_c: Array, liquidus_c: Array, flows_c: Array) -> Array:
    """Minutes (N,) that crystals had to grow along a history (T,) and were not melted again.

    They count from when the melt last was above its liquidus (N,), or first as hot as it needs to
    be to flow at all (N,).
    """
    still_to_come = np.maximum.accumulate(t_c[::-1])[::-1]  # hottest from each moment on, falling
    until_now = np.maximum.accumulate(t_c)
    n = len(t_c)
    last_above = n - np.searchsorted(still_to_come[::-1], liquidus_c, side="left")
    since = np.where(last_above > 0, time_s[np.clip(last_above - 1, 0, n - 1)], time_s[0])
    first = np.searchsorted(until_now, flows_c, side="left")
    flowed = np.where(first < n, time_s[np.clip(first, 0, n - 1)], time_s[-1])
    return np.asarray((time_s[-1] - np.maximum(since, flowed)) / 60.0)
