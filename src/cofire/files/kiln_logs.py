"""A log of a firing, by hand or from a logger: CSV of time and temperature."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from cofire.arrays import Array
from cofire.errors import DataFileError, Place, QuantityError, refusal
from cofire.files.csv_rows import read_rows
from cofire.read.units import minutes, temperature_c

_EXAMPLE = (
    "The first line names both columns with their units: “time (min),temperature (C)”; time may "
    "also be h:mm."
)
#: What people write where nobody read the pyrometer.
_NO_READING = frozenset(("", "-", "–", "—", "?"))
_TIME_UNITS = {"s": "s", "sec": "s", "min": "min", "h": "h", "hr": "h", "h:mm": "", "hh:mm": ""}


@dataclass(frozen=True, eq=False)
class KilnLog:
    """Readings in the order of time: ``time_h`` (N,) from the first, ``t_c`` (N,). ``gaps`` are the
    readings after which one or more are missing, ``missing`` counts lines without a reading."""

    time_h: Array
    t_c: Array
    gaps: tuple[int, ...] = ()
    missing: int = 0


def read_kiln_log(path: Path) -> KilnLog:
    """Read a log; lines without a reading are left out. Raises DataFileError with the line for a
    clock that jumps back, a time that comes twice, or a column without its unit."""
    log = read_rows(path, _EXAMPLE)
    if len(log.rows) < 4:
        raise refusal("log-of-few-lines", Place(path), count=len(log.rows), hint=_EXAMPLE)
    time_at, time_unit, temp_at, temp_unit = _header(log.header, path)
    times: list[float] = []
    temps: list[float] = []
    missing = 0
    for number, row in log.rows:
        place = Place(path, number)
        try:
            when = row[time_at].strip()
            if ":" not in when:
                when = f"{when} {time_unit}"
            time = minutes(when, log.commas)
            read = row[temp_at].strip() if temp_at < len(row) else ""
            if read in _NO_READING:
                missing += 1
                continue
            temps.append(temperature_c(f"{read} {temp_unit}", log.commas))
        except IndexError:
            raise refusal("too-few-cells", place) from None
        except QuantityError as problem:
            raise DataFileError(problem.message, hint=problem.hint, place=place) from None
        if times and time == times[-1]:
            raise refusal("time-twice", place, when=when)
        if times and time < times[-1]:
            raise refusal("clock-jumps-back", place, when=when)
        if not -40.0 <= temps[-1] <= 1400.0:
            raise refusal("impossible-kiln-temperature", place, celsius=temps[-1])
        times.append(time)
    if len(times) < 4:
        raise refusal("log-of-few-readings", Place(path))
    steps = np.diff(times)
    gaps = np.flatnonzero(steps > max(4.0 * float(np.median(steps)), 45.0))
    time_h = (np.array(times) - times[0]) / 60.0
    return KilnLog(time_h, np.array(temps), tuple(int(at) for at in gaps), missing)


def _header(header: list[str], path: Path) -> tuple[int, str, int, str]:
    time = temp = None
    for at, cell in enumerate(header):
        words = [w for w in re.split(r"[^a-z°:]+", cell.lower()) if w]
        units = [w.replace("°", "") for w in words]
        if any(w.startswith(("time", "clock", "elapsed")) for w in words):
            found = [u for u in units if u in _TIME_UNITS]
            if not found:
                raise refusal(
                    "column-without-unit", Place(path, 1), heading=cell.strip(), hint=_EXAMPLE
                )
            time = (at, _TIME_UNITS[found[0]])
        elif any(w.startswith(("temp", "reading", "pyrometer")) for w in words):
            found = [u for u in units if u in ("c", "f", "k", "celsius", "fahrenheit")]
            if not found:
                raise refusal("scale-not-said", Place(path, 1), heading=cell.strip(), hint=_EXAMPLE)
            temp = (at, found[0][0].upper())
    if time is None or temp is None:
        raise refusal("no-columns-of-a-log", Place(path, 1), hint=_EXAMPLE)
    return *time, *temp
