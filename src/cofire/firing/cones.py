"""Heat work as pyrometric cones measure it: published end points, and a law that counts soaks."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import ClassVar

import numpy as np

from cofire.arrays import Array

KELVIN = 273.15
_GAS_J_MOL_K = 8.314462618  # exact, SI 2019
#: Rates of the chart, °C/h over the last 100 °C; nothing is printed outside.
RATES_C_PER_H = (15.0, 60.0, 150.0)


@dataclass(frozen=True, eq=False)
class Cones:
    """The chart and one kinetic law per cone, arrays (C,) from the first to bend to the last.

    A cone bends when the integral of exp(-E/(R T)) dt has grown to its own amount. One activation
    energy for all would miss cones 019 to 013 by up to a whole cone. ``extrapolated`` marks those
    for which the chart prints only two rates and the energy is that of the next cone.
    """

    names: tuple[str, ...]
    end_c: Array  # (C, 3) at RATES_C_PER_H, NaN where nothing is printed
    energy_kj_mol: Array
    log_amount: Array  # natural logarithm of the integral, s
    extrapolated: tuple[bool, ...]


@cache
def cones() -> Cones:
    """The chart, with its laws fitted to it."""
    lines = (Path(__file__).parent / "cones.csv").read_text("utf-8").splitlines()
    rows = list(csv.DictReader(line for line in lines if not line.startswith("#")))
    end_c = np.array([[float(r[k] or "nan") for k in ("c_15", "c_60", "c_150")] for r in rows])
    energy = np.array([_energy(e) for e in end_c])
    complete = np.isfinite(end_c).all(axis=1)
    energy[~complete] = energy[complete][0]
    per_rate = np.array(
        [
            [_ramp_log_integral(t, rate, e) for t, rate in zip(ends, RATES_C_PER_H, strict=True)]
            for ends, e in zip(end_c, energy, strict=True)
        ]
    )
    return Cones(
        tuple(r["cone"] for r in rows),
        end_c,
        energy,
        np.nanmean(per_rate, axis=1),
        tuple(bool(c) for c in ~complete),
    )


def _energy(end_c: Array) -> float:
    """Activation energy, kJ/mol, from end points at the three rates: the slope of ln(rate/T²)
    against 1/T (Kissinger, Anal. Chem. 29 (1957) 1702)."""
    known = np.isfinite(end_c)
    if known.sum() < 3:
        return float("nan")
    t_k = end_c[known] + KELVIN
    slope = np.polyfit(1.0 / t_k, np.log(np.array(RATES_C_PER_H)[known] / t_k**2), 1)[0]
    return float(-slope * _GAS_J_MOL_K / 1000.0)


def _ramp_log_integral(end_c: float, rate_c_per_h: float, energy_kj_mol: float) -> float:
    """ln of the integral of exp(-E/(R T)) dt, s, over a steady climb that ends at ``end_c``."""
    if not np.isfinite(end_c):
        return float("nan")
    t_c = np.linspace(end_c - 100.0, end_c, 401)  # the chart's rates hold for the last 100 °C
    time_s = (t_c - t_c[0]) / rate_c_per_h * 3600.0
    return float(_log_integral(time_s, t_c, np.array([energy_kj_mol]))[0])


def _log_integral(time_s: Array, t_c: Array, energy_kj_mol: Array) -> Array:
    """ln of the integral of exp(-E/(R T)) dt (C,), s, along a history (T,)."""
    exponent = -1000.0 * energy_kj_mol[:, None] / (_GAS_J_MOL_K * (t_c + KELVIN))
    top = exponent.max(axis=1)
    return np.asarray(top + np.log(np.trapezoid(np.exp(exponent - top[:, None]), time_s, axis=1)))


@dataclass(frozen=True)
class HeatWork:
    """How far a history bends cones. ``position`` counts cones from the first of the chart: 4.3 is
    cone number 4 bent and 0.3 of the way to the next; below 0 not even the first bends."""

    position: float
    cone: str  # in words
    short: str  # “08”, or “08+” on the way from it to the next
    equivalent_peak_at_60_c_per_h_c: float  # that would bend cones as far
    last_100_c_per_h: float
    beyond_chart: bool
    extrapolated: bool
    json_hides: ClassVar = ("position", "short", "last_100_c_per_h")


def heat_work(time_s: Array, t_c: Array) -> HeatWork:
    """Cones bent along the ware's history (T,), soak and hold counted."""
    chart = cones()
    done = _log_integral(time_s, t_c, chart.energy_kj_mol) - chart.log_amount
    bent = done >= 0.0
    last = int(np.argmin(bent)) - 1 if not bent.all() else len(bent) - 1
    if last < 0:
        position = float(max(-1.0, done[0] / 5.0))
    elif last == len(bent) - 1:
        position = float(last)
    else:
        position = last + float(done[last] / (done[last] - done[last + 1]))
    at_60 = chart.end_c[:, 1]
    equivalent = float(np.interp(position, np.arange(len(at_60)), at_60))
    rate = _last_rate(time_s, t_c)
    beyond = not RATES_C_PER_H[0] <= rate <= RATES_C_PER_H[-1]
    extrapolated = last < 0 or chart.extrapolated[last]
    words, short = _words(chart, position, last)
    return HeatWork(position, words, short, equivalent, rate, beyond, extrapolated)


def _words(chart: Cones, position: float, last: int) -> tuple[str, str]:
    """In words and in short."""
    if last < 0:
        return f"less than cone {chart.names[0]}", f"under {chart.names[0]}"
    if last == len(chart.names) - 1:
        return f"beyond cone {chart.names[-1]}", f"over {chart.names[-1]}"
    share = position - last
    here, above = chart.names[last], chart.names[last + 1]
    if share < 0.25:
        return f"cone {here}", here
    if share > 0.75:
        return f"nearly cone {above}", above
    return f"between cones {here} and {above}", f"{here}+"


def _last_rate(time_s: Array, t_c: Array) -> float:
    """Mean rate over the last 100 °C before the peak, °C/h."""
    peak = int(np.argmax(t_c))
    below = np.flatnonzero(t_c[: peak + 1] <= t_c[peak] - 100.0)
    if not len(below):
        return float("nan")
    start = below[-1]
    # a soak at the peak is no part of the climb
    end = int(np.argmax(t_c >= t_c[peak] - 1.0))
    return float(3600.0 * (t_c[end] - t_c[start]) / max(time_s[end] - time_s[start], 1e-9))
