"""A kiln as one heat capacity with linear losses, and a lid."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cofire.arrays import Array

#: Heat capacity of ware and shelves near red heat, kJ/(kg K); from memory of clay and cordierite.
WARE_KJ_PER_KG_K = 1.05


@dataclass(frozen=True)
class KilnSpeed:
    """The fastest a kiln goes. Empty, with new elements, its rate falls in a straight line from
    cold to ``top_c``; it cools towards the room by halves every ``cooling_half_time_h``.

    That is C dT/dt = P - k C (T - room): ``power_kw`` P gives the capacity C, with which a load
    slows it down and worn elements (``wear``, the share of power they lost) do as well.
    """

    heating_c_per_h: float
    heating_at_top_c_per_h: float
    top_c: float
    cooling_half_time_h: float
    power_kw: float | None = None
    load_kg: float = 0.0
    wear: float = 0.0

    @property
    def capacity_kj_per_k(self) -> float | None:
        """Heat that one degree takes, empty; None when the power is not known."""
        return None if self.power_kw is None else 3600.0 * self.power_kw / self.heating_c_per_h

    @property
    def slowed(self) -> float:
        """Rate with the load over rate without it; 1 when the power is not known."""
        capacity = self.capacity_kj_per_k
        if capacity is None:
            return 1.0
        return capacity / (capacity + WARE_KJ_PER_KG_K * self.load_kg)

    def loss_c_per_h(self, t_c: Array, ambient_c: float) -> Array:
        """What the losses take, as a rate of the empty kiln, °C/h, at (...,)."""
        per_degree = (self.heating_c_per_h - self.heating_at_top_c_per_h) / (self.top_c - ambient_c)
        return np.asarray(np.maximum(per_degree * (t_c - ambient_c), 0.0))

    def heating(self, t_c: Array, ambient_c: float) -> Array:
        """Fastest climb, °C/h, at air temperatures (...,)."""
        power = (1.0 - self.wear) * self.heating_c_per_h
        fastest = self.slowed * (power - self.loss_c_per_h(t_c, ambient_c))
        return np.asarray(np.maximum(fastest, 0.0))

    def cooling(self, t_c: Array, ambient_c: float) -> Array:
        """Fastest fall, °C/h, at air temperatures (...,)."""
        rate = np.log(2.0) / self.cooling_half_time_h
        return np.asarray(self.slowed * rate * np.maximum(t_c - ambient_c, 0.0))

    def power_drawn_kw(self, t_c: Array, c_per_h: Array, ambient_c: float) -> Array:
        """Power it takes to go at a rate (...,), °C/h, at a temperature (...,), kW; NaN when the
        power is not known. Never below zero: a kiln cannot give heat back."""
        if self.power_kw is None:
            return np.full(np.shape(t_c), np.nan)
        share = (c_per_h / self.slowed + self.loss_c_per_h(t_c, ambient_c)) / self.heating_c_per_h
        return np.asarray(self.power_kw * np.clip(share, 0.0, 1.0 - self.wear))


@dataclass(frozen=True)
class Lid:
    """What an open lid does to the thermocouple: ``drop_c`` lower after ``drop_s``; closed again,
    half of the drop is back after ``recovery_s``."""

    drop_c: float
    drop_s: float
    recovery_s: float


#: An open kiln settles where the thermocouple sees half hot wall and half sky; from memory.
_DEEPEST_SHARE = 0.5


def lid_drop_c(time_s: Array, t_c: Array, openings: Array, lid: Lid, ambient_c: float) -> Array:
    """How much colder than planned the kiln is (T,), °C, at rising times (T,) and planned
    temperatures (T,).

    ``openings`` (K, 2) are the rising times at which the lid opens and for how long, s. While it is
    open the drop approaches half of the kiln's excess over the room; closed, it halves at even
    intervals.
    """
    if not len(openings):
        return np.zeros(len(time_s))
    starts, lasts = openings.T
    deepest = _DEEPEST_SHARE * np.maximum(np.interp(starts, time_s, t_c) - ambient_c, 1.0)
    pace = -np.log1p(-np.minimum(lid.drop_c / deepest, 0.95)) / lid.drop_s
    gaps = np.diff(starts) - lasts[:-1]
    opened, closed = np.zeros(len(starts)), np.zeros(len(starts))  # drops when the lid moves
    for k, left in enumerate(np.exp(-pace * lasts)):
        if k:
            opened[k] = closed[k - 1] * 0.5 ** (gaps[k - 1] / lid.recovery_s)
        closed[k] = deepest[k] - (deepest[k] - opened[k]) * left
    of = np.searchsorted(starts, time_s, side="right") - 1  # the last opening before each moment
    since, shut = np.maximum(time_s - starts[of], 0.0), time_s - (starts + lasts)[of]
    up = deepest[of] - (deepest[of] - opened[of]) * np.exp(-pace[of] * since)
    down = closed[of] * 0.5 ** (np.maximum(shut, 0.0) / lid.recovery_s)
    return np.where(of < 0, 0.0, np.where(shut <= 0.0, up, down))


def lid_times_s(openings: Array, lid: Lid) -> Array:
    """Moments (M,), s, at which the drop has to be looked at to be followed."""
    within = np.array([0.0, 0.1, 0.25, 0.5, 1.0])
    since = lid.recovery_s * np.array([0.25, 0.5, 1.0, 1.5, 2.0, 3.0, 4.0, 6.0, 8.0])
    up = openings[:, :1] + within * openings[:, 1:]
    return np.unique(np.concatenate([up, openings.sum(axis=1)[:, None] + since], axis=1))


def fit_heating(time_h: Array, t_c: Array, ambient_c: float) -> tuple[float, float]:
    """Rate of a cold kiln, °C/h, and loss per degree, 1/h, from a climb at full power (N,).

    The climb obeys T = room + (r/k)(1 - exp(-k t)) from its first point on; Gauss-Newton on r and
    k. Raises ValueError where a climb does not slow down or is too short to tell.
    """
    rise, t = t_c - t_c[0], time_h - time_h[0]
    if len(t) < 4 or rise[-1] < 100.0:
        raise ValueError("a climb of at least 100 °C and four readings")
    base = t_c[0] - ambient_c
    rate, k = 1.5 * rise[-1] / t[-1], 0.5
    for _ in range(60):
        decay = np.exp(-k * t)
        gain = rate / k - base
        value = gain * (1.0 - decay)
        by_rate = (1.0 - decay) / k
        by_k = -rate / k**2 * (1.0 - decay) + gain * t * decay
        jacobian = np.stack([by_rate, by_k], axis=1)
        step, *_ = np.linalg.lstsq(jacobian, rise - value, rcond=None)
        largest = max(abs(step[0]) / rate, abs(step[1]) / k)
        scale = min(1.0, 0.5 / max(largest, 1e-12))
        rate, k = rate + scale * step[0], max(k + scale * step[1], 1e-4)
        if largest < 1e-10:
            break
    return float(rate), float(k)


def fit_cooling(time_h: Array, t_c: Array, ambient_c: float) -> float:
    """Half-time of cooling towards the room, h, from a fall with the power off (N,)."""
    if len(time_h) < 3 or t_c[0] - t_c[-1] < 50.0 or t_c.min() <= ambient_c + 5.0:
        raise ValueError(
            "a fall of at least 50 °C in three readings, all 5 °C above the room or more"
        )
    slope = np.polyfit(time_h, np.log(t_c - ambient_c), 1)[0]
    return float(-np.log(2.0) / slope)
