"""What is liquid in a batch that is heated: materials melt over a range and earlier in company,
molten salts take up silica, and grains dissolve in the melt around them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from cofire.arrays import Array
from cofire.glass.crystals import BOLTZMANN_J_K, LOCKED

#: Materials turn liquid evenly from so far below to so far above their melting point, K: minerals
#: are mixtures; from memory of hot-stage pictures of feldspars and borates.
_WIDTH_K = 50.0
#: How much earlier two materials melt in each other's company, K: sodium disilicate beside quartz
#: at 793 for 874 °C (Kracek 1930), carbonates of soda and potash at 709 for 851 and 891 °C,
#: albite beside quartz at 1062 for 1118 °C; all from memory, their middle.
_EUTECTIC_K = 100.0
#: Moles of silica that a mole of an oxide of a molten salt takes up: alkalis, lead and boric oxide
#: as disilicates, which form from 700 to 800 °C (Kracek 1930), the earths that borates hold
#: as metasilicates (theoretical). Hrma and others, J. Non-Cryst. Solids 357 (2011) 820: fine quartz
#: beside raw borates and carbonates is gone below 800 °C.
TAKES_SILICA = {
    **dict.fromkeys(("Li2O", "Na2O", "K2O", "B2O3", "PbO"), 2.0),
    **dict.fromkeys(("CaO", "MgO", "SrO", "BaO", "ZnO"), 1.0),
}
#: Undersaturation that drives grains into solution, and the jump that carries them, m: D = kT/(jump
#: eta), Eyring. From memory; the silica of soda-lime melts dissolves so within a factor of 3.
_DRIVE, _JUMP_M = 0.3, 3.0e-10
#: Standard deviation of ln radius of ground grains; from memory of sieve curves of milled flint.
_SIZES_SD = 0.7
#: So far below the liquidus of the finished glaze a melt is full before it has taken up any grains,
#: K; half as far it takes up half of them. Lever rule on diagrams from memory: quartz in soda glass
#: to 80 % silica 600, in albite to 60 % silica 385, magnesia in nepheline 300; their middle.
_SATURATES_K = 400.0
_KELVIN = 273.15
_NOTHING_MOL = 1e-9

#: Of double or single precision.
Floats = Array | NDArray[np.float32]


class Size(NamedTuple):
    """Grains of one middle radius, µm, the standard deviation of the doubt of its logarithm, and
    the kind of crystal that they are, if it is known."""

    radius_um: float
    doubt: float
    kind: str


@dataclass(frozen=True, eq=False)
class Batch:
    """P glazes of M materials: ``share`` (P, M) of the fired weight, which stands for volume; where
    each melts by itself, °C (M,), -inf for glass; moles in a fired gram that molten salts have to
    take up, and those of silica that it takes up when molten (M,); and its grains."""

    share: Array
    melts_c: Array
    needs_mol_g: Array
    takes_mol_g: Array
    sizes: tuple[Size, ...]

    def grains(self, t_c: Array) -> Grains:
        """What is solid at rising, even temperatures (G,) before grains dissolve."""
        sizes = sorted(set(self.sizes))
        share = self.share[:, :, None]
        others = np.maximum(share.sum(axis=1, keepdims=True) - share, 0.0)
        # a eutectic takes of a material about as much as there is of all the others
        early = np.minimum(others / np.maximum(share, 1e-9), 1.0)
        late = self.melts_c[:, None]
        molten = early * _molten(t_c, late - _EUTECTIC_K) + (1.0 - early) * _molten(t_c, late)
        solid = share * (1.0 - molten)
        takes = (self.takes_mol_g[:, None] * share * molten).sum(axis=1)
        # a salt that is solid yet waits for its own melting
        taken = (self.takes_mol_g == 0.0)[:, None] * solid
        needs = (self.needs_mol_g[:, None] * taken).sum(axis=1)
        part = np.minimum(takes / np.maximum(needs, _NOTHING_MOL), 1.0)
        solid = solid - part[:, None, :] * taken
        by_size = np.zeros((len(sizes), len(self.share), len(t_c)))
        for k, size in enumerate(self.sizes):
            by_size[sizes.index(size)] += solid[:, k]
        some = np.flatnonzero(by_size.any(axis=(1, 2)))
        some = some if len(some) else np.array([0])  # nothing but glass
        return Grains(t_c, tuple(sizes[k] for k in some), by_size[some].astype(np.float32))


def _molten(t_c: Array, melts_c: Array) -> Array:
    return np.asarray(np.clip(0.5 + 0.5 * (t_c - melts_c) / _WIDTH_K, 0.0, 1.0))


@dataclass(frozen=True, eq=False)
class Grains:
    """Share of the coat that is solid by temperature (G,), by size of grain (S,) in glazes:
    (S, P, G), before grains dissolve."""

    t_c: Array
    sizes: tuple[Size, ...]
    solid: NDArray[np.float32]

    def at(self, t_c: Array, glaze: NDArray[np.intp]) -> NDArray[np.float32]:
        """(S, ..., N) at temperatures (..., N) of draws (N,) of the glazes that ``glaze`` says."""
        first, step = float(self.t_c[0]), float(self.t_c[1] - self.t_c[0])
        part = np.clip((t_c - first) / step, 0.0, len(self.t_c) - 1.001).astype(np.float32)
        low = part.astype(np.int32)
        part -= low
        low += (glaze * len(self.t_c)).astype(np.int32)
        rows = self.solid.reshape(len(self.solid), -1)
        steps = np.diff(rows, axis=1, append=np.float32(0.0))
        return np.stack(
            [r.take(low) + s.take(low) * part for r, s in zip(rows, steps, strict=True)]
        )


@dataclass(frozen=True, eq=False)
class Steps:
    """A history in K steps: temperature and the highest so far, °C (K,), and the integral of dt/eta
    of the melt without grains in each of them, 1/Pa, (K, N)."""

    t_c: Array
    hottest_c: Array
    flow: NDArray[np.float32]


def diffused_um2(t_c: Floats, flowed_1_pa: Floats) -> Array:
    """What grains lose off the square of their radius, µm², while the melt flows by the integral of
    dt/eta, 1/Pa, at a temperature: R² = R0² - 2 S integral(D dt)."""
    return np.asarray(2.0 * _DRIVE * _diffused_um2(t_c) * flowed_1_pa)


def _diffused_um2(t_c: Floats | float) -> Array:
    """Integral of D dt, µm², while the melt flows by a dt/eta of 1/Pa."""
    return np.asarray(1e12 * BOLTZMANN_J_K / _JUMP_M * (t_c + _KELVIN))


def eaten_um(t_c: float) -> float:
    """How deep a melt eats into a flat wall while it flows by a dt/eta of 1/Pa, µm; it grows by the
    root of that: 2 S (integral(D dt) / pi)^(1/2), a plane that gives off into a half space (Crank,
    The Mathematics of Diffusion, 1975, eq. 3.15)."""
    return float(2.0 * _DRIVE * np.sqrt(_diffused_um2(t_c) / np.pi))


def undissolved(lost_um2: Floats, radius_um: Floats | float) -> Array:
    """Share of grains left (...,) of a middle radius, whose sizes spread about it: shrinking cores,
    each (1 - lost / R²)^1.5."""
    log, left, steps = _sizes()
    first, step = float(log[0]), float(log[1] - log[0])
    with np.errstate(divide="ignore"):
        at = np.log(lost_um2 / np.asarray(radius_um, dtype=np.float32) ** 2)
    place = np.clip((at - first) / step, 0.0, len(log) - 1.001)
    low = place.astype(np.int32)
    place -= low
    return np.asarray(left.take(low) + steps.take(low) * place)


def saturated(liquidus_c: Floats, t_c: Floats) -> Array:
    """Share of grains (...,) that a melt has no room for at a temperature, however long it has,
    when the finished glaze has such a liquidus."""
    return np.asarray(np.clip((liquidus_c - t_c) / _SATURATES_K, 0.0, 1.0))


@cache
def _sizes() -> tuple[Array, NDArray[np.float32], NDArray[np.float32]]:
    """ln of lost/R², the share that is left, by weight, and how much more at the next."""
    log = np.linspace(-12.0, 6.0, 361)
    z = np.linspace(-4.0, 4.0, 161)
    weight = np.exp(-0.5 * z**2)
    lost = np.exp(log[:, None] - 2.0 * _SIZES_SD * z)
    left = np.maximum(1.0 - lost, 0.0) ** 1.5 @ (weight / weight.sum())
    return log, left.astype(np.float32), np.diff(left, append=left[-1]).astype(np.float32)


def slack(grains: Floats, others: Floats | float, packing: Floats | float = LOCKED) -> Array:
    """Factor (...,) on the fluidity of a melt that holds ``others`` already, when a share of
    ``grains`` is solid too; 0 where they lock at ``packing`` (Krieger & Dougherty, Trans. Soc.
    Rheol. 3 (1959) 137)."""
    room = np.maximum(1.0 - grains / np.maximum(packing - others, 1e-6), 0.0)
    return np.asarray(room ** (2.5 * packing))
