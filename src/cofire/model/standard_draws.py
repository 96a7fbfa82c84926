"""The one set of random draws that every answer reads.

All glazes, bodies and firings read the same draws, so one glaze has one answer whatever it is
called and whatever stands beside it. Fewer draws are the first of the same. Errors of the glass
models are smooth functions of composition times these draws: near glasses err alike.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from statistics import NormalDist
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from cofire.arrays import Array

#: Draws of an answer: odds of 80 % then have a standard error of 0.4 per cent. A multiple of
#: ``N_ANALYSES``, so that each analysis counts alike.
N = 10_240
#: Distinct analyses among them: draw i uses analysis i modulo this; opposite deviations come in
#: pairs, so that their mean is the stated analysis.
N_ANALYSES = 128
#: Waves that carry one smooth error over compositions: the correlation of two glasses is then met
#: to about 0.1. Our choice.
_WAVES = 32

#: Everything that is drawn. The place in this list seeds its draws: add at the end.
Source = Literal[
    "pyrometer", "place", "coat", "toughness", "toughness of the glass", "viscosity", "expansion",
    "stiffness", "surface tension", "liquidus", "analyses", "dissolving", "weighing", "slips",
    "body expansion", "body stiffness", "body poisson", "body cristobalite", "body quartz",
    "body curve", "body moisture", "body toughness", "body conduction", "body inside", "smoke ends",
    "body work ratio", "body flaws", "uneven heat", "flaws of the coat", "slow growth",
    "relaxation", "early moisture", "steam energy", "rail", "pot", "edge energy", "rim",
    "body strength", "quartz taken up", "crack starts", "soaked",
    "melting", "diffusion", "packing", "grain size", "pull", "creep angle", "grains hold",
    "stiff end", "heat in air", "heat in a bin", "lustre ends",
]  # fmt: skip
_SOURCES: tuple[str, ...] = Source.__args__  # type: ignore[attr-defined]


def _generator(source: Source, stream: int = 0) -> np.random.Generator:
    return np.random.default_rng((_SOURCES.index(source), stream))


@cache
def normals(source: Source, n: int = N, stream: int = 0) -> Array:
    """Standard normal draws (n,) of one source; ``stream`` counts independent ones of its kind."""
    draws = _generator(source, stream).standard_normal(n)
    draws.flags.writeable = False
    return draws


#: Deviates of the table of ranks, as many on either side of 0: even, so that it is read by place.
_TABLE_TO, _TABLE_STEPS = 6.0, 2400


@cache
def _ranks() -> tuple[Array, Array]:
    """Ranks of even deviates, and the steps between them."""
    ranks = np.array(
        [NormalDist().cdf(v) for v in np.linspace(-_TABLE_TO, _TABLE_TO, _TABLE_STEPS + 1)]
    )
    return ranks, np.diff(ranks)


def rank_of(z: Array) -> Array:
    """Rank (...,), 0 to 1, of standard normal deviates (...,)."""
    ranks, steps = _ranks()
    place = (np.clip(z, -_TABLE_TO, _TABLE_TO) + _TABLE_TO) * (0.5 * _TABLE_STEPS / _TABLE_TO)
    low = np.minimum(place.astype(np.intp), _TABLE_STEPS - 1)
    return np.asarray(ranks[low] + steps[low] * (place - low))


@dataclass(frozen=True, eq=False)
class SmoothError:
    """Standard normal errors over positions, (P, d) -> (P, n), that near positions share.

    A sum of waves in random directions (Rahimi & Recht, NIPS 20 (2007) 1177) whose correlation
    follows the Matern 3/2 kernel of ``reach``, the kernel that the glass models predict with: the
    wave numbers then follow a t distribution with 3 degrees of freedom (Rasmussen & Williams,
    Gaussian Processes, 2006, eq. 4.15). At any one position the error is exactly normal.
    """

    source: Source
    reach: float

    def at(self, positions: Array, n: int) -> NDArray[np.float32]:
        """Errors (P, n) at positions (P, d)."""
        return np.asarray(self._weights(positions) @ self._amplitudes(n).T)

    def each(self, positions: Array, n: int, size: int) -> NDArray[np.float32]:
        """As ``at`` for ``size`` independent errors at once, (n, P, size)."""
        weights = self._weights(positions)
        amplitudes = _amplitudes(self.source, n, size)
        return np.asarray(np.moveaxis(amplitudes @ weights.T, 1, 2))

    def _weights(self, positions: Array) -> NDArray[np.float32]:
        """(P, 2 waves), each row of length one."""
        phase = positions @ _wave_numbers(positions.shape[1], self.reach).T
        waves = np.concatenate([np.cos(phase), np.sin(phase)], axis=1)
        return np.asarray(waves / np.sqrt(_WAVES), dtype=np.float32)

    def _amplitudes(self, n: int) -> NDArray[np.float32]:
        return _amplitudes(self.source, n)[:, 0]


@cache
def _amplitudes(source: Source, n: int, size: int = 1) -> NDArray[np.float32]:
    """(n, size, 2 waves)."""
    return _generator(source, 1).standard_normal((n, size, 2 * _WAVES), dtype=np.float32)


@cache
def _wave_numbers(dimensions: int, reach: float) -> Array:
    rng = np.random.default_rng((len("waves"), dimensions))
    heavy = np.sqrt(rng.chisquare(3.0, (_WAVES, 1)) / 3.0)
    return np.asarray(rng.standard_normal((_WAVES, dimensions)) / heavy / reach)
