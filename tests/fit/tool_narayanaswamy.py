"""A coat on a stiff wall while its glass relaxes in structure and in shear: our own integration."""

from __future__ import annotations

import numpy as np

_GAS = 8.314
#: Glass of log10 viscosity 12 at 540 °C, fragility 40; a coat whose glassy expansion is that of its
#: wall, and whose melt expands three times as much.
_T12_K, _FRAGILITY, _SHEAR_PA = 813.0, 40.0, 28.7e9
_BIAXIAL_MPA, _ALPHA_GLASS, _ALPHA_LIQUID = 89.7e3, 7e-6, 25e-6


def relaxed_strain(
    ratio: float, x: float = 0.55, beta: float = 0.6, c_per_h: float = 100.0
) -> float:
    """Stress in the room over the biaxial modulus: a strain, for volume relaxing ``ratio`` times as
    slowly as shear.

    Tool-Narayanaswamy-Moynihan: tau = tau0 exp(x H/RT + (1 - x) H/RT_f), a stretched exponential of
    ``beta`` as a sum of simple ones; shear as Maxwell, biaxial time 1.92 eta/G.
    """
    h = _FRAGILITY * np.log(10.0) * _GAS * _T12_K
    times, weights = _stretched(beta)
    dt, t_k = 1.0, _T12_K + 130.0
    rate = c_per_h / 3600.0
    fictive = np.full(len(times), t_k)
    stress = 0.0
    while t_k > _T12_K - 160.0:
        tf = float(weights @ fictive)
        decades = (x * h / t_k + (1.0 - x) * h / tf - h / _T12_K) / _GAS
        shear_s = 1e12 / _SHEAR_PA * np.exp(decades)
        cooled = t_k - rate * dt
        fictive = cooled + (fictive - cooled) * np.exp(-dt / (ratio * shear_s * times))
        moved = float(weights @ fictive) - tf
        # the wall follows the glassy expansion; what the structure adds is held
        stress -= _BIAXIAL_MPA * (_ALPHA_LIQUID - _ALPHA_GLASS) * moved
        stress *= np.exp(-dt / (1.92 * shear_s))
        t_k = cooled
    return stress / _BIAXIAL_MPA


def _stretched(beta: float) -> tuple[np.ndarray, np.ndarray]:
    """Times and weights of exponentials that add up to exp(-t^beta)."""
    times = np.geomspace(1e-4, 30.0, 24)
    t = np.geomspace(1e-4, 30.0, 400)
    decays = np.exp(-t[:, None] / times)
    ridge = np.vstack([decays, 1e-2 * np.eye(len(times))])
    weights = np.linalg.lstsq(ridge, np.append(np.exp(-(t**beta)), np.zeros(len(times))), None)[0]
    weights = np.maximum(weights, 0.0)
    return times, weights / weights.sum()
