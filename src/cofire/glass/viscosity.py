"""Viscosity as a curve over temperature (MYEGA, Mauro et al., PNAS 106 (2009) 19780)."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from cofire.arrays import Array
from cofire.glass.engine import Prepared, coefficients, doubt, prepare
from cofire.glass.estimate import UNSURE, Estimate, Width, estimate, interpolate_level, signed_error

#: Bounds of fragility and of the high-temperature limit, as in the fit.
_LN_M = (2.5, 5.0)
_A = (-6.0, 2.0)
#: log10 eta at which intervals have a factor each, beside the first; straight between them. Our
#: choice, where ware is worked: above 10^12 few viscosities are measured.
_ETA = np.array([0.5, 2.5, 5.0, 8.0, 12.0])
#: °C over which a glass turns from hot to one at red heat, where less is measured; our choice.
_RED_HEAT = (1050.0, 850.0)
_FAR, _LOW_FIRE = UNSURE.index("far"), UNSURE.index("low fire")
#: Terms of an interval: what makes the glass unsure, far and low-fire glasses at red heat, and how
#: stiff it is.
N_FREE = len(_ETA) - 1  # those may be narrower
N_TERMS = len(UNSURE) + 2 + N_FREE
#: Above 10^14 Pa·s nothing is measured; the curve is carried on a little and cut here.
STIFFEST = 16.0
KELVIN = 273.15


def unsure_at(unsure: Array, log10_eta: Array, t_c: Array) -> Array:
    """Terms of the interval (..., N_TERMS) of glasses with ``unsure`` (..., 6) where log10 eta and
    temperatures (...) are such."""
    hot, cold = _RED_HEAT
    red = np.clip((hot - t_c) / (hot - cold), 0.0, 1.0)
    between = np.interp(log10_eta, _ETA, np.arange(len(_ETA)))
    stiff = np.maximum(0.0, 1.0 - np.abs(between[..., None] - np.arange(1, len(_ETA))))
    unsure = np.broadcast_to(unsure, (*stiff.shape[:-1], len(UNSURE)))
    at_red_heat = unsure[..., [_FAR, _LOW_FIRE]] * np.broadcast_to(red, stiff.shape[:-1])[..., None]
    return np.concatenate([unsure, at_red_heat, stiff], axis=-1)


def _along(slopes: Array, unsure: Array, log10_eta: Array, t_c: Array) -> Array:
    """``unsure_at(..) @ slopes`` without the terms themselves, which are many for a curve."""
    hot, cold = _RED_HEAT
    count = len(UNSURE)
    red = np.clip((hot - t_c) / (hot - cold), 0.0, 1.0)
    by_red = unsure[..., [_FAR, _LOW_FIRE]] @ slopes[count : count + 2]
    by_stiff = np.interp(log10_eta, _ETA, np.append(0.0, slopes[count + 2 :]))
    return np.asarray(unsure @ slopes[:count] + by_red * red + by_stiff)


@dataclass(frozen=True, eq=False)
class ViscosityCurve:
    """Curves of N glasses; parameters (N,). ``t12_k`` is where eta = 10^12 Pa·s, in kelvin.

    Describes the oxidised, fully molten glass: crystals and undissolved grains make it stiffer.
    """

    t12_k: Array
    m: Array
    a: Array
    variance: Array  # of ln T12
    unsure: Array  # (N, 6), what makes it less sure: ``estimate.UNSURE``
    extra: Array  # half-width for thin oxides at 90 %, log10 Pa·s
    level: float

    def log10_eta(self, t_c: Array | float) -> Array:
        """log10 of Pa·s: temperatures (N,) or a scalar give (N,); (1, T) or (N, T) give (N, T)."""
        t_k = np.asarray(t_c, dtype=float) + KELVIN
        t12, m, a = self._like(t_k)
        x, d = t12 / t_k, 12.0 - a
        growth = np.clip((m / d - 1.0) * (x - 1.0), -30.0, 30.0)
        return np.asarray(np.minimum(a + d * x * np.exp(growth), STIFFEST))

    def slope(self, t_c: Array | float) -> Array:
        """Change of log10 eta by 1 °C, shaped as ``log10_eta``; 0 where the curve is cut."""
        t_k = np.asarray(t_c, dtype=float) + KELVIN
        t12, m, a = self._like(t_k)
        value = self.log10_eta(t_c)
        steep = m / (12.0 - a) - 1.0  # log10 eta is a + d x exp(steep (x - 1))
        return np.where(value < STIFFEST, (a - value) * (1.0 + steep * t12 / t_k) / t_k, 0.0)

    def _like(self, t: Array) -> tuple[Array, ...]:
        shape = (-1, 1) if t.ndim == 2 else (-1,)
        return tuple(v.reshape(shape) for v in (self.t12_k, self.m, self.a))

    def width(self, t_c: Array | float, level: float | None = None) -> Array:
        """Half-width of the interval of log10 eta at a level, shaped as ``log10_eta``."""
        value = self.log10_eta(t_c)
        shape = (-1, 1) if value.ndim == 2 else (-1,)
        width = self._width
        unsure = self.unsure.reshape(*shape, len(UNSURE))
        along = _along(width.slopes, unsure, value, np.asarray(t_c))
        scale = width.scale_along(self.variance.reshape(shape), along)
        q = interpolate_level(level or self.level, coefficients()["levels"], width.q)
        return np.asarray(np.hypot(q * scale, self.extra.reshape(shape)))

    @property
    def _width(self) -> Width:
        return Width.of(coefficients()["viscosity.width"], N_TERMS)

    def sd(self, t_c: Array | float) -> Array:
        """One standard deviation of log10 eta, shaped as ``log10_eta``."""
        return self.width(t_c, 0.9) / 1.6448536

    def error_factors(self, rank: Array) -> Array:
        """Plausible errors (n,) as signed factors of the 90 % half-width, at ranks (n,) from 0, far
        too low, to 1: a glass that is stiffer than predicted is so at every temperature."""
        return signed_error(rank, coefficients()["levels"], self._width.q)

    def estimate(self, t_c: Array | float) -> Estimate:
        """log10 eta with its interval at temperatures (N,)."""
        return estimate(self.log10_eta(t_c), self.width(t_c), self.width(t_c, 0.9))

    def isokom(self, log10_eta: float) -> Array:
        """Temperature (N,), °C, at which the glass has this viscosity. Newton's method in T12/T.

        Raises ValueError for viscosities outside 10^-1 to 10^14 Pa·s.
        """
        if not -1.0 <= log10_eta <= 14.0:
            raise ValueError("isokoms run from log10 eta -1 to 14")
        if log10_eta in self._isokoms:  # asked for again at every step of a search
            return self._isokoms[log10_eta]
        x = np.full_like(self.t12_k, 0.7)
        d = 12.0 - self.a
        slope0 = self.m / d - 1.0
        for _ in range(30):
            e = np.exp(np.clip(slope0 * (x - 1.0), -30.0, 30.0))
            gap = self.a + d * x * e - log10_eta
            step = gap / (d * e * (1.0 + slope0 * x))
            x = np.clip(x - step, 0.05, 3.0)
            if not (np.abs(step) > 1e-13).any():  # NaN, an empty row, is never larger
                break
        t_c = np.asarray(self.t12_k / x - KELVIN)
        t_c.setflags(write=False)
        self._isokoms[log10_eta] = t_c
        return t_c

    def isokom_estimate(self, log10_eta: float) -> Estimate:
        """As ``isokom``, with the interval (°C) that the doubt of log10 eta there makes through the
        slope of the curve. Raises ValueError as ``isokom``."""
        t_c = self.isokom(log10_eta)
        slope = -self.slope(t_c)
        wide90 = self.width(t_c, 0.9) / slope
        wide = wide90 if self.level == 0.9 else self.width(t_c) / slope
        return estimate(t_c, wide, wide90)

    @cached_property
    def _isokoms(self) -> dict[float, Array]:
        return {}


def viscosity(mol: Array | Prepared, level: float = 0.9) -> ViscosityCurve:
    """Curves for moles (N, n_oxides), any total; empty rows give NaN curves."""
    at = prepare(mol)
    t12 = np.exp(at.sum("viscosity.t12"))
    m = np.exp(np.clip(at.sum("viscosity.m"), *_LN_M))
    weights = coefficients()["viscosity.a"]
    a = np.clip(weights[0] + at.x @ weights[1:], *_A)
    return ViscosityCurve(
        t12, m, a, at.variance("viscosity"), at.unsure, doubt(at, "viscosity"), level
    )
