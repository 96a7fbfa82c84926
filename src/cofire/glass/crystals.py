"""Solids in the glass: their effect on expansion and flow, and how fast crystals may grow."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np

from cofire.arrays import Array
from cofire.chem.oxides import MOLAR_MASS, vector
from cofire.files import toml

#: Share of space that loose grains fill when they lock (Scott, Nature 188 (1960) 908).
LOCKED = 0.64
#: Intrinsic viscosity of round grains (Einstein 1906).
_EINSTEIN = 2.5
#: Jump distance of growth and entropy of melting in gas constants: an oxygen's size, and the middle
#: of the silicates'; from memory.
_JUMP_M = 3.0e-10
_ENTROPY_R = 5.0
BOLTZMANN_J_K = 1.380649e-23  # exact, SI 2019


@dataclass(frozen=True, eq=False)
class Phase:
    """One kind of solid. ``wt`` (n_oxides,) sums to 1, ``dissolves_wt`` is a per cent of glaze."""

    id: str
    wt: Array
    alpha_1e6_per_k: float
    bulk_modulus_gpa: float
    density_g_cm3: float
    dissolves_wt: tuple[float, float] | None
    source: str
    alpha_to: tuple[float, ...] = ()  # °C, alpha from 20 °C to there, and so on, rising

    def alpha_up_to(self, t_c: Array | float) -> Array:
        """Expansion from 20 °C to temperatures, of the same shape, as far as it is known."""
        if not self.alpha_to:
            return np.full(np.shape(t_c), self.alpha_1e6_per_k)
        return np.asarray(np.interp(t_c, self.alpha_to[::2], self.alpha_to[1::2]))


@cache
def phases() -> dict[str, Phase]:
    """All kinds of solid by name, as ``crystals.toml`` lists them."""
    path = Path(__file__).parent / "crystals.toml"
    out = {}
    for key, row in toml.read(path).data.items():
        grams = vector({o: float(n) for o, n in row["formula"].items()}) * MOLAR_MASS
        dissolves = row.get("dissolves_wt")
        out[key] = Phase(
            key, grams / grams.sum(), float(row["alpha"]), float(row["bulk_modulus"]),
            float(row["density"]), (dissolves[0], dissolves[1]) if dissolves else None,
            row["source"],
            tuple(map(float, row.get("alpha_to", ()))),
        )  # fmt: skip
    return out


def mixed_expansion(
    alpha_glass: Array,
    bulk_gpa: Array,
    shear_gpa: Array,
    volume: Array,
    kinds: list[Phase],
    to_c: Array | float = 300.0,
) -> Array:
    """Expansion (N,), 1e-6/K, from 20 °C to ``to_c`` (N,), of glasses with solids of volume shares
    (N, P) in them.

    Levin's relation (V. M. Levin, Mekh. Tverd. Tela 2 (1967) 88) with the bound of Hashin &
    Shtrikman (J. Mech. Phys. Solids 11 (1963) 127) whose matrix is the glass: every part counts by
    volume and K / (3 K + 4 G of the glass), so a stiff grain pulls less than by its stiffness
    alone. Holds while nothing cracks loose.
    """
    alpha = np.stack([k.alpha_up_to(to_c) for k in kinds], axis=-1) if kinds else np.zeros(0)
    bulk = np.array([k.bulk_modulus_gpa for k in kinds])
    around = 4.0 * shear_gpa
    glass = (1.0 - volume.sum(axis=-1)) * bulk_gpa / (3.0 * bulk_gpa + around)
    grains = volume * bulk / (3.0 * bulk + around[..., None])
    return np.asarray(
        (glass * alpha_glass + (grains * alpha).sum(axis=-1)) / (glass + grains.sum(axis=-1))
    )


def stiffening(volume: Array) -> Array:
    """What solids of volume share (...,) add to log10 of viscosity; inf where they lock.

    Krieger & Dougherty, Trans. Soc. Rheol. 3 (1959) 137: eta / eta_melt =
    (1 - phi/phi_max)^(-2.5 phi_max), round grains of one size.
    """
    room = 1.0 - np.asarray(volume, dtype=float) / LOCKED
    with np.errstate(divide="ignore", invalid="ignore"):
        grown = -_EINSTEIN * LOCKED * np.log10(room)
    return np.where(room > 0.0, grown, np.inf)


def growth_um(time_s: Array, t_c: Array, log10_eta: Array, liquidus_c: Array) -> Array:
    """How large a crystal could have grown along a history, µm, (...,), if one had started.

    Growth by jumps as fast as the melt flows, u = kT/(3 pi a² eta) (1 - exp(-(S/R) dT/T)) (Turnbull
    & Cohen 1949, Stokes-Einstein mobility), with ``time_s`` and ``t_c`` (T,), ``log10_eta``
    (..., T) in Pa·s and the liquidus (...,). Silicate melts of many oxides grow up to this fast and
    often ten times slower; crystals that have to start first may not come at all.
    """
    t_k = np.asarray(t_c, dtype=float) + 273.15
    below = np.asarray(liquidus_c, dtype=float)[..., None] - t_c
    drive = -np.expm1(-_ENTROPY_R * np.maximum(below, 0.0) / t_k)
    mobility = BOLTZMANN_J_K * t_k / (3.0 * np.pi * _JUMP_M**2) * 10.0**-log10_eta
    return np.asarray(1e6 * np.trapezoid(mobility * drive, time_s, axis=-1))
