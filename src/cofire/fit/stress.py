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


#: Where silica changes form with a step in length, °C, and over how many degrees it is spread in a
#: body (quartz: 573 °C sharp, e.g. Heaney et al., Rev. Mineral. 29 (1994); cristobalite: 220 to 270
#: °C by author; widths from memory).
QUARTZ_C, CRISTOBALITE_C = 573.0, 226.0
_QUARTZ_WIDTH_C, _CRISTOBALITE_WIDTH_C = 8.0, 15.0


def stepped_strain(
    t_c: Array,
    alpha_1e6_per_k: Array,
    to_c: float,
    cristobalite_step: Array,
    quartz_step: Array,
    room_c: float = 20.0,
) -> Array:
    """Strain of a body from room to ``t_c`` (...,), dimensionless.

    Its mean expansion between room and ``to_c`` holds the cristobalite step; the rest is straight,
    goes on beyond ``to_c``, and takes the quartz step on the way.
    """

    def step(at_c: float, width_c: float, t: Array | float) -> Array:
        return np.asarray(1.0 / (1.0 + np.exp(-(np.asarray(t) - at_c) / (0.25 * width_c))))

    low_in_mean = step(CRISTOBALITE_C, _CRISTOBALITE_WIDTH_C, to_c)
    high_in_mean = step(QUARTZ_C, _QUARTZ_WIDTH_C, to_c)
    whole = alpha_1e6_per_k * 1e-6 * (to_c - room_c)
    straight = (whole - cristobalite_step * low_in_mean - quartz_step * high_in_mean) / (
        to_c - room_c
    )
    strain = straight * (t_c - room_c)
    for size, at_c, width_c in (
        (cristobalite_step, CRISTOBALITE_C, _CRISTOBALITE_WIDTH_C),
        (quartz_step, QUARTZ_C, _QUARTZ_WIDTH_C),
    ):
        if np.any(size):  # most bodies lack one
            strain = strain + size * step(at_c, width_c, t_c)
    return np.asarray(strain)


def grown(strain_in_ten_years: Array, years: float) -> Array:
    """Moisture expansion of a fired body after some years, a strain: it grows as the fourth root of
    time (Wilson et al., Phys. Rev. Lett. 90 (2003) 125503; Hall, Wilson & Hoff, J. Am. Ceram. Soc.
    94 (2011) 3651, data to 58 years)."""
    return np.asarray(strain_in_ten_years * (years / 10.0) ** 0.25)


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
