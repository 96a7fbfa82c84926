"""A log of a firing, by hand or from a logger: CSV of time and temperature."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from cofire.arrays import Array
from cofire.errors import DataFileError, Place, QuantityError
from cofire.files.readings import read_rows
from cofire.read.units import minutes, temperature_c

_EXAMPLE = (
    "The first line names both columns with their units: “time (min),temperature (C)”; time may "
    "also be h:mm."
)
_TIME_UNITS = {"s": "s", "sec": "s", "min": "min", "h": "h", "hr": "h", "h:mm": "", "hh:mm": ""}


@dataclass(frozen=True, eq=False)
class KilnLog:
    """Readings in the order of time: ``time_h`` (N,) from the first, ``t_c`` (N,)."""

    time_h: Array
    t_c: Array


def read_kiln_log(path: Path) -> KilnLog:
    """Read a log. Raises DataFileError with the line for a clock that jumps back, a time that comes
    twice, a gap, or a column without its unit."""
    log = read_rows(path, _EXAMPLE)
    if len(log.rows) < 4:
        raise DataFileError(
            f"a log needs at least four readings, this has {len(log.rows)}.",
            hint=_EXAMPLE,
            place=Place(path),
        )
    time_at, time_unit, temp_at, temp_unit = _header(log.header, path)
    times: list[float] = []
    temps: list[float] = []
    lines: list[int] = []
    for number, row in log.rows:
        place = Place(path, number)
        try:
            when = row[time_at].strip()
            if ":" not in when:
                when = f"{when} {time_unit}"
            time = minutes(when, log.commas)
            temps.append(temperature_c(f"{row[temp_at].strip()} {temp_unit}", log.commas))
        except IndexError:
            raise DataFileError("this line has too few cells.", place=place) from None
        except QuantityError as problem:
            raise DataFileError(problem.message, hint=problem.hint, place=place) from None
        if times and time == times[-1]:
            raise DataFileError(
                f"the time {when} comes twice.", hint="Keep one of the readings.", place=place
            )
        if times and time < times[-1]:
            raise DataFileError(
                f"the clock jumps back to {when}.",
                hint="Past midnight go on counting: 24:10, 24:20.",
                place=place,
            )
        if not -40.0 <= temps[-1] <= 1400.0:
            raise DataFileError(
                f"{temps[-1]:.0f} °C is no temperature of a kiln.",
                hint="Is the unit in the first line the right one?",
                place=place,
            )
        times.append(time)
        lines.append(number)
    _no_gaps(np.array(times), lines, path)
    return KilnLog((np.array(times) - times[0]) / 60.0, np.array(temps))


def _header(header: list[str], path: Path) -> tuple[int, str, int, str]:
    time = temp = None
    for at, cell in enumerate(header):
        words = [w for w in re.split(r"[^a-z°:]+", cell.lower()) if w]
        units = [w.replace("°", "") for w in words]
        if any(w.startswith(("time", "clock", "elapsed")) for w in words):
            found = [u for u in units if u in _TIME_UNITS]
            if not found:
                raise DataFileError(
                    f"“{cell.strip()}” does not say its unit.", hint=_EXAMPLE, place=Place(path, 1)
                )
            time = (at, _TIME_UNITS[found[0]])
        elif any(w.startswith(("temp", "reading", "pyrometer")) for w in words):
            found = [u for u in units if u in ("c", "f", "k", "celsius", "fahrenheit")]
            if not found:
                raise DataFileError(
                    f"“{cell.strip()}” does not say whether it is °C or °F.",
                    hint=_EXAMPLE,
                    place=Place(path, 1),
                )
            temp = (at, found[0][0].upper())
    if time is None or temp is None:
        raise DataFileError(
            "the first line does not name a time and a temperature.",
            hint=_EXAMPLE,
            place=Place(path, 1),
        )
    return *time, *temp


def _no_gaps(times: Array, lines: list[int], path: Path) -> None:
    if len(times) < 4:
        raise DataFileError("a log needs at least four readings.", place=Place(path))
    steps = np.diff(times)
    usual = float(np.median(steps))
    worst = int(np.argmax(steps))
    if steps[worst] > max(4.0 * usual, 45.0):
        raise DataFileError(
            f"there is a gap of {steps[worst]:.0f} min before this line.",
            hint="Send the climb and the fall as two logs, each without gaps.",
            place=Place(path, lines[worst + 1]),
        )
