"""Stress in a glaze coat from the mismatch of two expansions. Tension is positive."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cofire.arrays import Array


def mismatch_strain(
    alpha_glaze_1e6_per_k: Array, alpha_body_1e6_per_k: Array, set_c: Array, room_c: float = 20.0
) -> Array:
    """Free strain difference on cooling from set to room, dimensionless, (...,).

    Mean expansions between the two temperatures. Positive: the glaze wants to shrink more than
    the body and ends in tension.
    """
    return np.asarray((alpha_glaze_1e6_per_k - alpha_body_1e6_per_k) * 1e-6 * (set_c - room_c))


#: Where silica changes form, °C (quartz: 573 °C sharp, e.g. Heaney et al., Rev. Mineral. 29 (1994);
#: cristobalite: 220 to 270 °C by author), and over how many degrees cristobalite's step is spread
#: in a body; from memory.
QUARTZ_C, CRISTOBALITE_C = 573.0, 226.0
_CRISTOBALITE_WIDTH_C = 15.0
#: Strain of quartz grains from 20 °C, a third of their growth in volume, by temperature (Skinner,
#: in Handbook of Physical Constants, 1966, and Carpenter et al., Am. Mineral. 83 (1998) 2; from
#: memory): 20e-6/K to 550 °C, and 0.4 % around 573 °C.
_QUARTZ_AT_C = np.array([20, 100, 200, 300, 400, 500, 550, 565, 571, 575, 579, 700, 900.0])
_QUARTZ = 1e-2 * np.array(
    [0, 0.12, 0.27, 0.43, 0.64, 0.90, 1.03, 1.08, 1.11, 1.48, 1.50, 1.49, 1.45]
)
#: How much of its strain the inversion is, per cent of length.
QUARTZ_STEP_PERCENT = 0.40


def _quartz_strain(t_c: Array | float) -> Array:
    return np.asarray(np.interp(t_c, _QUARTZ_AT_C, _QUARTZ))


def _cristobalite_step(t_c: Array | float) -> Array:
    across = (np.asarray(t_c) - CRISTOBALITE_C) / (0.25 * _CRISTOBALITE_WIDTH_C)
    return np.asarray(1.0 / (1.0 + np.exp(-across)))


def body_strain(
    t_c: Array,
    alpha_1e6_per_k: Array,
    to_c: float,
    cristobalite_step: Array,
    quartz: Array,
    room_c: float = 20.0,
) -> Array:
    """Strain of a body from room to ``t_c`` (...,), dimensionless.

    Its mean expansion between room and ``to_c`` is known, and holds what silica does within that
    range; ``cristobalite_step`` is a strain, ``quartz`` the share of the strain of free quartz that
    the body takes up. The rest is straight and goes on beyond ``to_c``.
    """
    t = np.asarray(t_c, dtype=float)
    strain = alpha_1e6_per_k * 1e-6 * (t - room_c)
    for share, law in ((cristobalite_step, _cristobalite_step), (quartz, _quartz_strain)):
        if np.any(share):  # most bodies lack one
            strain = strain + share * (law(t) - law(to_c) * (t - room_c) / (to_c - room_c))
    return np.asarray(strain)


#: Moisture has an early stage, three to four times faster in the first hours (Savage et al., J. Am.
#: Ceram. Soc. 91 (2008), abstract seen): up to this share of what ten years bring.
EARLY_SHARE = 0.16
_GAS_J_MOL_K = 8.314462618  # exact, SI 2019
ROOM_K = 293.15


def grown(strain_in_ten_years: Array, years: Array | float, early: Array | float = 0.0) -> Array:
    """Moisture expansion of a fired body after some years at room temperature, a strain: it grows
    as the fourth root of time (Wilson et al., Phys. Rev. Lett. 90 (2003) 125503; Hall, Wilson &
    Hoff, J. Am. Ceram. Soc. 94 (2011) 3651, data to 58 years). ``early`` (0 to 1) is how much of
    ``EARLY_SHARE`` came at first."""
    clock = (np.asarray(years) / 10.0) ** 0.25
    return np.asarray(strain_in_ten_years * (clock + EARLY_SHARE * np.asarray(early)))


def years_at_room(hours: float, t_c: float, activation_j_mol: Array | float) -> Array:
    """Years at 20 °C that take up as much moisture as hours at ``t_c``: Arrhenius."""
    faster = np.exp(np.asarray(activation_j_mol) / _GAS_J_MOL_K * (1 / ROOM_K - 1 / (t_c + 273.15)))
    return np.asarray(hours / 8766.0 * faster)


def steam_c(bar: float) -> float:
    """Temperature of saturated steam at a gauge pressure, °C: Antoine's equation of water from 99
    to 374 °C (from memory; 152 °C at 4 bar, 159 °C at 5 bar)."""
    return float(1810.94 / (8.14019 - np.log10((bar + 1.01325) * 750.062)) - 244.485)


def biaxial_gpa(youngs_gpa: Array | float, poisson: Array | float) -> Array:
    """E/(1 - nu): stiffness of a sheet stretched both ways, GPa."""
    return np.asarray(np.asarray(youngs_gpa) / (1.0 - np.asarray(poisson)))


def plane_strain_gpa(youngs_gpa: Array | float, poisson: Array | float) -> Array:
    """E/(1 - nu²): stiffness that counts in energy release, GPa."""
    return np.asarray(np.asarray(youngs_gpa) / (1.0 - np.asarray(poisson) ** 2))


@dataclass(frozen=True, eq=False)
class TwoLayers:
    """A coat on a wall, all (...,): moduli in GPa, thicknesses in mm."""

    glaze_gpa: Array | float
    glaze_poisson: Array | float
    coat_mm: Array | float
    body_gpa: Array | float
    body_poisson: Array | float
    wall_mm: Array | float

    @property
    def biaxial_gpa(self) -> tuple[Array, Array]:
        """E/(1 - nu) of coat and wall, GPa."""
        return (
            biaxial_gpa(self.glaze_gpa, self.glaze_poisson),
            biaxial_gpa(self.body_gpa, self.body_poisson),
        )

    @property
    def stiffness(self) -> Array:
        """Twelve times the bending stiffness of the two layers each for itself, GPa mm³."""
        eg, eb = self.biaxial_gpa
        return np.asarray(eg * np.asarray(self.coat_mm) ** 3 + eb * np.asarray(self.wall_mm) ** 3)


def closed_pot_mpa(strain: Array, of: TwoLayers, sides: int = 1) -> Array:
    """Coat stress on a wall that cannot bend (a closed pot), MPa, (...,).

    Membrane balance: sigma = E'_g eps / (1 + n E'_g h_g / (E'_b h_b)), E' biaxial.
    """
    eg, eb = of.biaxial_gpa
    share = sides * eg * of.coat_mm / (eb * of.wall_mm)
    return np.asarray(1e3 * eg * strain / (1.0 + share))


def flat_tile_mpa(strain: Array, of: TwoLayers) -> Array:
    """Mean coat stress on a tile glazed on one face and free to bend, MPa, (...,).

    Two-layer plate, Timoshenko 1925 (his bimetal strip with biaxial moduli): the bend gives way
    by curvature kappa = 6 eps (1+m)² / (h (3 (1+m)² + (1+mn)(m² + 1/(mn)))).
    """
    eg, eb = of.biaxial_gpa
    m, n = np.asarray(of.coat_mm) / of.wall_mm, eg / eb
    h = np.asarray(of.coat_mm) + of.wall_mm
    curvature = (
        6.0 * strain * (1 + m) ** 2 / (h * (3 * (1 + m) ** 2 + (1 + m * n) * (m**2 + 1 / (m * n))))
    )
    return np.asarray(1e3 * curvature * of.stiffness / (6.0 * h * of.coat_mm))


def tile_bending_mpa(mean_mpa: Array, of: TwoLayers) -> Array:
    """Half of what the stress differs by between the faces of the coat and of the body of such a
    tile (2, ...), MPa: a tile whose coat pulls bends so that the glazed side is hollow."""
    eg, eb = of.biaxial_gpa
    force = mean_mpa * of.coat_mm  # N/mm, with 1e-3 GPa
    h = np.asarray(of.coat_mm) + of.wall_mm
    curvature = 6.0 * force * h / of.stiffness
    return np.stack([0.5 * eg * of.coat_mm * curvature, 0.5 * eb * of.wall_mm * curvature])
