"""When a stressed coat cracks (crazing) or is pushed off (shivering), by energy release."""

from __future__ import annotations

import numpy as np

from cofire.arrays import Array

#: Fracture toughness of soda-lime glass, MPa m^0.5 (0.75-0.77: high-temperature glass property
#: tables, Seward & Vascott 2005; 0.77, ASME J. Eng. Mater. Technol. 112 (1990) 151). No measured
#: toughness of a glaze was found, so it is drawn with the spread below (from memory). New surface
#: costs glasses about the same energy, 3.5 to 5.3 J/m² in six of them (Wiederhorn, J. Am. Ceram.
#: Soc. 52 (1969), abstract seen), so that a stiffer glass is tougher, by the root of its modulus;
#: window glass has 74 GPa (Seward & Vascott).
TOUGHNESS_MPA_M05, _TOUGHNESS_AT_GPA = 0.75, 74.0
TOUGHNESS_SPREAD = 0.08
#: A crack has to start at a flaw shallower than the coat: it starts at this many times the stress
#: at which energy lets it run, 1 sd of its logarithm beside it. What makes the onsets of crazing
#: agree with the guard rail of ``model.law_draws``, where pots were glazed pots or flat tiles.
FLAW_FACTOR: dict[str, float] = {"pot": 1.8, "both-sides": 1.8, "tile": 1.3}
FLAW_SPREAD = 0.28
#: Of that, what is left on ware pulled red-hot: tongs, ash and sawdust scratch a coat that has just
#: set, so that little more than energy is needed; crackles on raku clay do show black nets (common
#: practice, no source).
PULLED_FLAWS = 0.6
#: Slow growth in moist air: share of the onset at once that is left after days, straight between
#: them in the logarithm of time, and no less later, where growth has its threshold. From the speed
#: of cracks in soda-lime glass, K = 0.50 (v / 1e-6 m/s)^(1/17) and at least 0.27 MPa m^0.5
#: (Wiederhorn, J. Am. Ceram. Soc. 50 (1967) 407, from memory), counted from the onset.
_GROWS_DAYS = np.array([60.0 / 86400.0, 3.0, 30.0, 365.25])
_GROWS_LEFT = np.array([1.0, 0.77, 0.73, 0.71])
#: What is left is known to 0.1 (90 %) after a year: the loss varies by this share (1 sd).
SLOW_SPREAD = 0.2
#: Energy that a spalling edge takes over that of a crack that runs in the body below the coat: one
#: with a flaw at the edge, up to twice that for what starts partly in shear; our choice.
EDGE_ENERGY = (1.0, 2.0)
#: Dimensionless energy release, G = Z sigma² h / Ebar (Hutchinson & Suo 1992, Adv. Appl. Mech.
#: 29, 63; from memory): a channel crack across a coat on a like substrate, and a coat spalling.
Z_CHANNEL = 1.976
Z_SPALL = 0.343


def toughness_mpa_m05(youngs_gpa: Array | float, deviate: Array | float = 0.0) -> Array:
    """Fracture toughness of glazes (...,), MPa m^0.5, so many standard deviations off the middle:
    K = (2 gamma E)^0.5, gamma the energy of new surface."""
    stiffer = np.sqrt(np.asarray(youngs_gpa) / _TOUGHNESS_AT_GPA)
    return np.asarray((TOUGHNESS_MPA_M05 + TOUGHNESS_SPREAD * np.asarray(deviate)) * stiffer)


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


def left_of_onset(years: float, loss: Array | float = 1.0) -> Array:
    """Share (...,) of the onset at once that still starts cracks after years of moist air.

    ``loss`` (...,) is how far the draw is from the middle law, 1 for the middle.
    """
    days = 365.25 * max(years, 1e-9)
    left = float(np.interp(np.log(days), np.log(_GROWS_DAYS), _GROWS_LEFT))
    return np.asarray(1.0 - (1.0 - left) * np.asarray(loss))


def at_rim(
    coat_mm: Array | float, wall_mm: Array | float, coat_gpa: Array | float, body_gpa: Array | float
) -> Array:
    """Hoop stress near a rim glazed on its outside alone, over that of the coat elsewhere, (...,).

    Coat and wall bend outwards there: sqrt(3) (h_g/h_b)(E_g/E_b) more within about sqrt(R h_b) of
    the rim (edge moment of a long cylinder, Timoshenko & Woinowsky-Krieger 1959; theoretical).
    """
    return np.asarray(1.0 + np.sqrt(3.0) * np.asarray(coat_mm) / wall_mm * coat_gpa / body_gpa)


def spalling_limit_mpa(
    coat_mm: Array, body_toughness_mpa_m05: Array, coat_gpa: Array, body_gpa: Array
) -> Array:
    """Compression, MPa, negative, (...,), at which a coat that spalls releases as much energy as
    the body takes to break; moduli in plane strain.

    Z = 0.343 (Hutchinson & Suo 1992) for a crack that runs in the body just below the coat from a
    sharp edge with a flaw; ``EDGE_ENERGY`` times the energy where there is none. A weak criterion:
    published ones are few, and the bond between coat and body is not known.
    """
    per_area = body_toughness_mpa_m05**2 / body_gpa * coat_gpa
    return np.asarray(-np.sqrt(per_area / (Z_SPALL * np.asarray(coat_mm) * 1e-3)))


def rim_limit_mpa(coat_mm: Array, rim_mm: Array, strength_mpa: Array) -> Array:
    """Compression, MPa, negative, (...,), that pulls a coat off a rim of radius ``rim_mm``.

    The coat pushes off the rim with |sigma| h / R (a membrane round a curve, theoretical), until
    the bisque below tears at its tensile strength.
    """
    return np.asarray(-strength_mpa * rim_mm / coat_mm)
