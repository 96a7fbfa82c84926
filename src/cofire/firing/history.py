"""Temperature histories of the kiln's air under a plan, and of the ware."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from cofire.arrays import Array
from cofire.firing.kiln import KilnSpeed, Lid, lid_drop_c, lid_times_s

#: Bisque of about 20 % pores: thermal diffusivity m²/s and volumetric heat capacity J/(m³ K).
#: From memory of porous fireclay and earthenware (k about 0.8 W/(m K), 1900 kg/m³, 1.0 kJ/(kg K)).
DIFFUSIVITY_M2_S = 4.2e-7
HEAT_CAPACITY_J_M3_K = 1.9e6
#: Stefan-Boltzmann constant, W/(m² K⁴), CODATA 2018; emissivity of glazed ware from memory.
STEFAN_BOLTZMANN = 5.670374419e-8
EMISSIVITY = 0.85
#: Natural convection of a pot in still air, W/(m² K); from memory, order of magnitude.
AIR_CONVECTION_W_M2_K = 10.0
KELVIN = 273.15


@dataclass(frozen=True)
class Step:
    """A ramp to ``target_c`` and a hold; a rate of None is as fast as the kiln can."""

    rate_c_per_h: float | None
    target_c: float
    hold_min: float


@dataclass(frozen=True, eq=False)
class History:
    """Air temperature over time, both (T,), and when each ramp and each hold ends."""

    time_s: Array
    air_c: Array
    ramp_end_s: tuple[float, ...]
    hold_end_s: tuple[float, ...]
    too_fast: tuple[int, ...]  # steps (from 1) whose wanted rate the kiln cannot follow


class OutOfReachError(ValueError):
    """A step that this kiln never reaches; ``step`` counts from 1."""

    def __init__(self, step: int, target_c: float, limit_c: float) -> None:
        super().__init__(f"step {step}: {target_c:.0f} °C is beyond the kiln ({limit_c:.0f} °C)")
        self.step, self.target_c, self.limit_c = step, target_c, limit_c


def history(
    steps: Sequence[Step],
    kiln: KilnSpeed,
    *,
    ambient_c: float = 20.0,
    dt_s: float = 20.0,
    most_s: float = np.inf,
) -> History:
    """Air temperature under a plan, a point every ``dt_s`` or closer.

    Ramps are split into temperature slices of equal width; each slice takes the time that the
    slower of plan and kiln needs. Ends with the step in which it gets longer than ``most_s``.
    Raises OutOfReachError where the kiln stops climbing or falling.
    """
    times, temps = [0.0], [ambient_c]
    ramp_end: list[float] = []
    hold_end: list[float] = []
    too_fast: list[int] = []
    for number, step in enumerate(steps, start=1):
        seconds, celsius, limited = _ramp(step, number, temps[-1], kiln, ambient_c, dt_s)
        times.extend(times[-1] + seconds)
        temps.extend(celsius)
        if limited and step.rate_c_per_h is not None:
            too_fast.append(number)
        ramp_end.append(times[-1])
        if step.hold_min > 0.0:
            count = max(2, int(np.ceil(step.hold_min * 60.0 / dt_s)) + 1)
            inside = np.linspace(0.0, step.hold_min * 60.0, count)[1:]
            times.extend(times[-1] + inside)
            temps.extend([step.target_c] * len(inside))
        hold_end.append(times[-1])
        if times[-1] > most_s:
            break
    return History(
        np.array(times), np.array(temps), tuple(ramp_end), tuple(hold_end), tuple(too_fast)
    )


def after_cooling(past: History, kiln: KilnSpeed, ambient_c: float, to_c: float) -> History:
    """The same history and the fall after it, power off and closed, down to ``to_c``."""
    end_c = float(past.air_c[-1])
    if end_c <= to_c or to_c <= ambient_c:
        return past
    per_s = np.log(2.0) * kiln.slowed / (kiln.cooling_half_time_h * 3600.0)
    lasts = np.log((end_c - ambient_c) / (to_c - ambient_c)) / per_s
    after = np.linspace(0.0, lasts, 201)[1:]
    fall = ambient_c + (end_c - ambient_c) * np.exp(-per_s * after)
    return History(
        np.append(past.time_s, past.time_s[-1] + after),
        np.append(past.air_c, fall),
        past.ramp_end_s,
        past.hold_end_s,
        past.too_fast,
    )


def with_lid(
    past: History, openings: Array, lid: Lid, ambient_c: float, share: float = 1.0
) -> History:
    """The same history with a lid that goes up at ``openings`` (K, 2): moment and length, s.

    With the whole drop it is what the pyrometer shows, with a ``share`` of it what ware feels.
    """
    if not len(openings):
        return past
    extra = lid_times_s(openings, lid)
    time_s = np.union1d(past.time_s, extra[extra < past.time_s[-1]])
    time_s = time_s[np.concatenate([[True], np.diff(time_s) > 1e-3])]
    planned = np.interp(time_s, past.time_s, past.air_c)
    drop = lid_drop_c(time_s, planned, openings, lid, ambient_c)
    return History(time_s, planned - share * drop, past.ramp_end_s, past.hold_end_s, past.too_fast)


def _ramp(
    step: Step, number: int, start_c: float, kiln: KilnSpeed, ambient_c: float, dt_s: float
) -> tuple[Array, Array, bool]:
    """Seconds and °C along one ramp, and whether the kiln was slower than the plan."""
    gap = step.target_c - start_c
    if abs(gap) < 1e-9:
        return np.zeros(0), np.zeros(0), False
    slices = max(8, int(np.ceil(abs(gap) / 2.0)))
    edges = np.linspace(start_c, step.target_c, slices + 1)
    middle = 0.5 * (edges[1:] + edges[:-1])
    fastest = kiln.heating(middle, ambient_c) if gap > 0.0 else kiln.cooling(middle, ambient_c)
    if fastest.min() < 1.0:  # °C/h: for a potter the kiln stands still
        limit = float(middle[int(np.argmax(fastest < 1.0))])
        raise OutOfReachError(number, step.target_c, limit)
    wanted = np.full(slices, np.inf if step.rate_c_per_h is None else step.rate_c_per_h)
    rate = np.minimum(wanted, fastest)
    seconds = np.cumsum(abs(gap) / slices / rate * 3600.0)
    limited = bool((fastest < 0.98 * wanted).any())
    fine = np.arange(dt_s, seconds[-1] - 1e-3, dt_s)  # no two points at one moment
    at = np.concatenate([fine, seconds[-1:]])
    celsius = np.interp(at, np.concatenate([[0.0], seconds]), edges)
    return at, celsius, limited


def lag_s(wall_mm: float, t_c: float = 900.0) -> float:
    """Time constant, s, by which a wall trails the air around it.

    Conduction into a wall heated from both sides, (wall/2)²/(2 a) (lag of the middle of a slab in
    a steady ramp; Carslaw & Jaeger, Conduction of Heat in Solids), plus radiative exchange at the
    surface, rho c wall / (2 h) with h = 4 eps sigma T³. Grows with the wall squared.
    """
    half_m = wall_mm / 2000.0
    exchange = 4.0 * EMISSIVITY * STEFAN_BOLTZMANN * (t_c + KELVIN) ** 3
    return half_m**2 / (2.0 * DIFFUSIVITY_M2_S) + HEAT_CAPACITY_J_M3_K * half_m / exchange


def ware(past: History, wall_mm: float) -> Array:
    """Ware temperature (T,), °C: first-order lag behind the air, exact for straight pieces.

    Each piece of the air history is a straight line, for which the lag equation has a closed
    solution, so the step width does not matter. ``wall_mm`` above zero.
    """
    tau = lag_s(wall_mm)
    dt = np.diff(past.time_s)
    trail = np.diff(past.air_c) / dt * tau
    # plain numbers: one by one they are ten times as fast as elements of arrays
    over, all_over = 0.0, [0.0]  # ware minus air
    for behind, kept in zip(trail.tolist(), np.exp(-dt / tau).tolist(), strict=True):
        over = (over + behind) * kept - behind
        all_over.append(over)
    return np.asarray(past.air_c + np.array(all_over))


def until(time_s: Array, temp_c: Array, end_s: float) -> tuple[Array, Array]:
    """The history up to a moment, with a point exactly there."""
    inside = time_s < end_s
    at_end = np.interp(end_s, time_s, temp_c)
    return np.append(time_s[inside], end_s), np.append(temp_c[inside], at_end)


def dwell_s(time_s: Array, temp_c: Array, grid_c: Array) -> Array:
    """Seconds spent near each of the rising, even temperatures ``grid_c`` (G,), shape (G,).

    Each moment is shared between its two neighbours on the grid, so that any quantity that is
    nearly straight between them integrates over time as a sum over the grid. Time outside the
    grid is left out.
    """
    fine = np.linspace(0.0, 1.0, 9)[:-1]
    t = (time_s[:-1, None] + np.diff(time_s)[:, None] * fine).ravel()
    c = (temp_c[:-1, None] + np.diff(temp_c)[:, None] * fine).ravel()
    t, c = np.append(t, time_s[-1]), np.append(c, temp_c[-1])
    seconds = np.diff(t)
    middle = 0.5 * (c[1:] + c[:-1])
    at = (middle - grid_c[0]) / (grid_c[1] - grid_c[0])
    inside = (at >= 0.0) & (at < len(grid_c) - 1)
    low = at[inside].astype(int)
    share = at[inside] - low
    out = np.bincount(low, (1.0 - share) * seconds[inside], len(grid_c))
    out += np.bincount(low + 1, share * seconds[inside], len(grid_c))
    return np.asarray(out)
