"""When a stressed coat cracks (crazing) or is pushed off (shivering), by energy release."""

from __future__ import annotations

import numpy as np

from cofire.arrays import Array

#: Fracture toughness of soda-lime glass, MPa m^0.5 (0.75-0.77: high-temperature glass property
#: tables, Seward & Vascott 2005; 0.77, ASME J. Eng. Mater. Technol. 112 (1990) 151). No measured
#: toughness of a glaze was found, so it is drawn with the spread below (from memory).
TOUGHNESS_MPA_M05 = 0.75
TOUGHNESS_SPREAD = 0.08
#: In moist air cracks creep on until the fracture energy is about half of that in vacuum
#: (float and Pyrex: 5-6 J/m² in vacuum, about 2.5 in water; abstract of “The fracture energy of
#: glass”), so toughness falls by the root of it.
MOIST_SHARE_OF_ENERGY = 0.5

#: Fracture energy in shear over that in opening, typical of interfaces (Hutchinson & Suo 1992,
#: 1 + tan²((1 - 0.25) psi) with psi near 80 degrees; from memory).
SHEAR_FACTOR = 4.0

#: Dimensionless energy release, G = Z sigma² h / Ebar (Hutchinson & Suo 1992, Adv. Appl. Mech.
#: 29, 63; from memory): a channel crack across a coat on a like substrate, and a coat spalling.
Z_CHANNEL = 1.976
Z_SPALL = 0.343


def channel_factor(glaze_gpa: Array, body_gpa: Array) -> Array:
    """Z for a channel crack in a coat on a body of other stiffness (plane-strain moduli), (...,).

    A softer body holds the coat less, so Z grows with a = (E_g - E_b)/(E_g + E_b) (Beuth 1992,
    Int. J. Solids Struct. 29, 1657). Z = 1.976 (1 - a)^-0.7 follows our own finite-element model
    (tests/fit/plane_strain.py) within 5 % for a coat of half to eight times the body's stiffness.
    """
    a = (glaze_gpa - body_gpa) / (glaze_gpa + body_gpa)
    return np.asarray(Z_CHANNEL * (1.0 - a) ** -0.7)


def critical_stress_mpa(
    coat_mm: Array | float,
    toughness_mpa_m05: Array | float = TOUGHNESS_MPA_M05,
    z: Array | float = Z_CHANNEL,
) -> Array:
    """Tension at which a crack runs across the coat, MPa: sigma = K_Ic / sqrt(Z h)."""
    return np.asarray(toughness_mpa_m05 / np.sqrt(z * np.asarray(coat_mm) * 1e-3))


def in_moist_air(toughness_mpa_m05: Array | float) -> Array:
    """Toughness that is left after long exposure to moist air."""
    return np.asarray(np.asarray(toughness_mpa_m05) * np.sqrt(MOIST_SHARE_OF_ENERGY))


def spalling_limit_mpa(
    coat_mm: Array, body_toughness_mpa_m05: Array, coat_gpa: Array, body_gpa: Array
) -> Array:
    """Compression, MPa, negative, (...,), at which a coat that spalls releases as much energy as
    the body takes to break; moduli in plane strain.

    Z = 0.343 (Hutchinson & Suo 1992) for a crack that runs in the body just below the coat. Beyond
    it a sharp edge or rim with a flaw could let go; if there is none the crack has to start by
    shear, which takes ``SHEAR_FACTOR`` times the energy. A weak criterion: published ones are few,
    and the bond between coat and body is not known.
    """
    per_area = body_toughness_mpa_m05**2 / body_gpa * coat_gpa
    return np.asarray(-np.sqrt(per_area / (Z_SPALL * np.asarray(coat_mm) * 1e-3)))
