"""What a kiln can do, learnt from one or two logs of it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import ClassVar

import numpy as np

from cofire.arrays import Array
from cofire.errors import refusal
from cofire.files import toml
from cofire.files.atomic_write import refuse_taken
from cofire.files.kiln_logs import KilnLog
from cofire.files.library import Library
from cofire.firing.kiln import WARE_KJ_PER_KG_K, fit_cooling, fit_heating
from cofire.names import is_identifier
from cofire.read.number import written
from cofire.record import Record
from cofire.records import Kiln

#: Readings this near the highest belong to the hold, °C.
_PEAK_C = 4.0
#: A climb that nearly stops on its way was held, or not at full power: share of its mean rate.
_STALLS = 0.15
#: Every kiln loses more than this, 1/h, so its climb bends; our choice.
_LEAST_LOSS_PER_H = 0.05


@dataclass(frozen=True, eq=False, repr=False)
class KilnFit(Record):
    """A kiln's speeds from logs, and how far the fitted curves lie from the readings (°C)."""

    heating_c_per_h: float
    heating_at_top_c_per_h: float
    top_c: float
    cooling_half_time_h: float
    heating_misses_c: float | None
    cooling_misses_c: float | None
    base: Kiln | None
    json_also: ClassVar = ("limit_c",)

    @property
    def limit_c(self) -> float:
        """Where it would stand still at full power."""
        slope = (self.heating_c_per_h - self.heating_at_top_c_per_h) / (self.top_c - 20.0)
        return float("inf") if slope <= 0.0 else 20.0 + self.heating_c_per_h / slope


@dataclass(frozen=True, eq=False, repr=False)
class KilnLogAnswer(Record):
    """What logs tell of a kiln, the ``text`` of its file, and where that was written, if it was."""

    learnt: KilnFit
    text: str
    file: Path | None
    gaps: int = 0  # places where readings are missing
    schema: ClassVar = "kiln-log"


def kiln_file(library: Library, key: str) -> Path:
    """Where a new kiln of the studio goes. Raises CofireError where it cannot."""
    if not is_identifier(key):
        raise refusal("no-id-of-a-kiln", key=key)
    path = library.own_studio() / "recipes" / "kilns" / f"{key}.toml"
    refuse_taken(path)
    return path


def learn_kiln(
    logs: list[KilnLog], base: Kiln | None, ambient_c: float, load_kg: float = 0.0
) -> KilnFit:
    """Fit climbs and falls; what no log shows is taken from ``base``. The kiln is learnt as it is
    empty: the power of ``base`` tells what ``load_kg`` took.

    Raises CompositionError when a log shows neither, or when something is missing without a base.
    """
    climbs, falls = [], []
    for log in logs:
        peak = float(log.t_c.max())
        top = np.flatnonzero(log.t_c >= peak - _PEAK_C)
        # what went on in a gap beside the top nobody saw: it may have been a hold
        up = slice(0, top[0] + (top[0] - 1 not in log.gaps))
        down = slice(top[-1] + (top[-1] in log.gaps), None)
        if len(log.t_c[up]) and log.t_c[up][-1] - log.t_c[0] >= 100.0:
            climbs.append((log.time_h[up], log.t_c[up]))
        if len(log.t_c[down]) and log.t_c[down][0] - log.t_c[-1] >= 50.0:
            falls.append((log.time_h[down], log.t_c[down]))
    if not climbs and not falls:
        raise refusal("no-climb-no-fall")
    if base is None and not (climbs and falls):
        raise refusal("half-a-log", only="climb" if climbs else "fall")
    if load_kg > 0.0 and (base is None or base.power_kw is None):
        raise refusal("load-without-power")
    heating = heating_top = top_c = 0.0
    missed_up = missed_down = None
    if climbs:
        time_h, t_c = max(climbs, key=lambda c: float(c[1][-1] - c[1][0]))
        _at_full_power(time_h, t_c)
        rate, k = fit_heating(time_h, t_c, ambient_c)
        if k < _LEAST_LOSS_PER_H:
            raise refusal("straight-climb", rate=rate)
        top_c = float(t_c[-1])
        heating, heating_top = rate, rate - k * (top_c - ambient_c)
        start = t_c[0] - ambient_c
        curve = t_c[0] + (rate / k - start) * (1.0 - np.exp(-k * (time_h - time_h[0])))
        missed_up = float(np.sqrt(np.mean((curve - t_c) ** 2)))
        empty = _empty_over_loaded(rate, base, load_kg)
        heating, heating_top = empty * heating, empty * heating_top
    elif base:
        heating, heating_top, top_c = (
            base.heating_c_per_h,
            base.heating_at_top_c_per_h,
            base.top_c,
        )
    half = base.cooling_half_time_h if base else 0.0
    if falls:
        time_h, t_c = max(falls, key=lambda c: float(c[1][0] - c[1][-1]))
        half, missed_down = _cooling(time_h, t_c, ambient_c)
        if load_kg > 0.0 and base is not None:
            capacity = 3600.0 * (base.power_kw or 0.0) / heating
            half *= capacity / (capacity + WARE_KJ_PER_KG_K * load_kg)
    return KilnFit(heating, heating_top, top_c, half, missed_up, missed_down, base)


def _empty_over_loaded(loaded_c_per_h: float, base: Kiln | None, load_kg: float) -> float:
    """Rate of the cold empty kiln over that with the load: with heat capacity C the empty kiln
    climbs at P / C, with the load at P / (C + load)."""
    if load_kg <= 0.0 or base is None or base.power_kw is None:
        return 1.0
    share = WARE_KJ_PER_KG_K * load_kg * loaded_c_per_h / (3600.0 * base.power_kw)
    if share >= 0.95:
        raise refusal("load-takes-all", load_kg=load_kg, power_kw=base.power_kw)
    return 1.0 / (1.0 - share)


def _cooling(time_h: Array, t_c: Array, ambient_c: float) -> tuple[float, float]:
    try:
        half = fit_cooling(time_h, t_c, ambient_c)
    except ValueError as problem:
        raise refusal("fall-too-short", problem=problem) from None
    if not half > 0.0:
        raise refusal("no-cooling-in-log")
    start = t_c[0] - ambient_c
    curve = ambient_c + start * 0.5 ** ((time_h - time_h[0]) / half)
    return half, float(np.sqrt(np.mean((curve - t_c) ** 2)))


def _at_full_power(time_h: Array, t_c: Array) -> None:
    """Raises CompositionError for a climb that cannot have been at full power throughout."""
    if len(time_h) < 4:
        raise refusal("climb-of-few-readings", count=len(time_h))
    rates = np.diff(t_c) / np.diff(time_h)
    mean = (t_c[-1] - t_c[0]) / (time_h[-1] - time_h[0])
    stalled = np.flatnonzero((rates < _STALLS * mean)[:-1])
    if len(stalled):
        at = t_c[stalled[0]]
        raise refusal("climb-stalls", at=at)


def kiln_text(fit: KilnFit, name: str, source: str) -> str:
    """The kiln as a file for the studio."""
    base = fit.base
    lines = [
        f"name = {toml.written(name)}",
        f'heating_cold = "{fit.heating_c_per_h:.0f} C/h"',
        f'heating_at_top = "{max(fit.heating_at_top_c_per_h, 1.0):.0f} C/h"',
        f'top = "{fit.top_c:.0f} C"',
        f'cooling_half_time = "{60.0 * fit.cooling_half_time_h:.0f} min"',
    ]
    if base:
        if base.power_kw:
            lines.insert(1, f'power = "{written(base.power_kw)} kW"')
        if base.volts:
            lines.insert(2, f'volts = "{written(base.volts)} V"')
        lines += [
            f"fuel = {toml.written(base.fuel)}",
            f'ware_above_pyrometer = "{written(base.reads_off_c)} C"',
            f'lid_drop = "{written(base.lid_drop_c)} C"',
            f'lid_drop_after = "{written(base.lid_drop_s)} s"',
            f'lid_recovery = "{written(base.lid_recovery_s)} s"',
            f'top_to_bottom = "{written(base.top_to_bottom_c)} C"',
        ]
    lines.append(f"source = {toml.written(source)}")
    return "\n".join(lines) + "\n"
