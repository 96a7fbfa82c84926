"""A dilatometer's curve of a clay body: CSV of temperature and length change."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from cofire.arrays import Array
from cofire.errors import DataFileError, Place, QuantityError, refusal
from cofire.files.csv_rows import read_rows
from cofire.read.number import number

_EXAMPLE = "The first line names both columns with their units: “temperature (C),dL/L0 (%)”."
#: unit of length change -> strain
_STRAIN = {
    "%": 1e-2, "percent": 1e-2, "ppm": 1e-6, "um/m": 1e-6, "µm/m": 1e-6, "μm/m": 1e-6,
    "mm/m": 1e-3, "1e-6": 1e-6, "10^-6": 1e-6, "1e-3": 1e-3, "10^-3": 1e-3, "1": 1.0, "m/m": 1.0,
    "mm/mm": 1.0, "-": 1.0,
}  # fmt: skip
#: Letters of a heading that say something; our choice.
_HEADING = 200
#: Mean expansion of any fired clay between room and red heat, 1e-6/K; beyond it the unit is wrong.
_PLAUSIBLE_1E6_PER_K = (1.0, 30.0)
#: Ends are extrapolated from this many degrees; readings are at most the gap apart; and the largest
#: step is that of a body half of quartz or cristobalite. Our choice.
_END_SPAN_C = 50.0
_WIDEST_GAP_C = 120.0
_LARGEST_STEP = 5e-3
#: A curve has to reach this, °C, to say anything of a glaze that sets near 500.
_REACHES_C = 450.0


@dataclass(frozen=True, eq=False)
class DilatometerCurve:
    """``t_c`` (N,) rising, ``strain`` (N,) relative to 20 °C, dimensionless."""

    t_c: Array
    strain: Array


def read_curve(path: Path) -> DilatometerCurve:
    """Read a curve. Raises DataFileError, with the line, for a column without a unit, temperatures
    that do not rise, or a unit that cannot be true."""
    read = read_rows(path, _EXAMPLE)
    temp_at, fahrenheit, strain_at, factor, word = _header(read.header, path)
    t_c: list[float] = []
    strain: list[float] = []
    lines: list[int] = []
    for line, row in read.rows:
        place = Place(path, line)
        try:
            temperature = float(number(row[temp_at], read.commas))
            change = float(number(row[strain_at], read.commas))
        except IndexError:
            raise refusal("not-two-numbers", place) from None
        except QuantityError as error:
            raise DataFileError(error.message, hint=error.hint, place=place) from None
        celsius = (temperature - 32.0) / 1.8 if fahrenheit else temperature
        if t_c and celsius <= t_c[-1]:
            raise refusal("temperature-falls", place, read=row[temp_at].strip())
        t_c.append(celsius)
        lines.append(line)
        strain.append(change * factor)
    if len(t_c) < 5:
        raise refusal("curve-of-few-readings", Place(path), hint=_EXAMPLE)
    temperatures, changes = np.array(t_c), np.array(strain)
    if temperatures[-1] < _REACHES_C or temperatures[0] > 120.0:
        raise refusal(
            "curve-too-short",
            Place(path),
            from_c=temperatures[0],
            to_c=temperatures[-1],
            reaches_c=_REACHES_C,
        )
    # relative to 20 °C: colder than the first readings the clay goes on as it began
    early = temperatures <= temperatures[0] + _END_SPAN_C
    if early.sum() < 2:
        early[:2] = True
    slope = float(np.polyfit(temperatures[early], changes[early], 1)[0])
    room = (
        float(np.interp(20.0, temperatures, changes))
        if temperatures[0] <= 20.0
        else float(changes[0]) - slope * (float(temperatures[0]) - 20.0)
    )
    relative = changes - room
    _plausible(temperatures, relative, lines, word, path)
    return DilatometerCurve(temperatures, relative)


def _plausible(t_c: Array, strain: Array, lines: list[int], word: str, path: Path) -> None:
    """Raises DataFileError for what no clay does: a wrong unit, a spike, a gap."""
    warm = t_c >= 200.0
    mean = 1e6 * strain[warm] / (t_c[warm] - 20.0)
    low, high = _PLAUSIBLE_1E6_PER_K
    if not ((mean >= low) & (mean <= high)).all():
        worst = mean[int(np.argmax(np.abs(mean - 8.0)))]
        raise refusal("impossible-expansion-of-clay", Place(path, 1), word=word, worst=worst)
    gap = int(np.argmax(np.diff(t_c)))
    if t_c[gap + 1] - t_c[gap] > _WIDEST_GAP_C:
        raise refusal(
            "gap-in-curve",
            Place(path, lines[gap + 1]),
            from_c=t_c[gap],
            to_c=t_c[gap + 1],
            widest_c=_WIDEST_GAP_C,
        )
    # steps of silica are sudden, but not as sudden as a slip of the pen
    jump = np.abs(np.diff(strain)) > _LARGEST_STEP + 4e-5 * np.diff(t_c)
    if jump.any():
        at = int(np.argmax(jump))
        raise refusal(
            "length-jumps", Place(path, lines[at + 1]), jump=100 * (strain[at + 1] - strain[at])
        )


def _header(header: list[str], path: Path) -> tuple[int, bool, int, float, str]:
    temp = strain = None
    for at, cell in enumerate(header):
        text = " ".join(cell[:_HEADING].split()).lower()
        unit = re.search(r"[(\[]\s*([^)\]]+?)\s*[)\]]\s*$", text)
        named = unit[1].replace("°", "").strip() if unit else ""
        if text.startswith(("temp", "t ", "t(", "t[")):
            if named not in ("c", "f"):
                raise refusal(
                    "scale-not-in-brackets", Place(path, 1), heading=cell.strip(), hint=_EXAMPLE
                )
            temp = (at, named == "f")
        elif text.startswith(("dl", "delta", "expansion", "strain", "length")):
            if named not in _STRAIN:
                raise refusal(
                    "column-without-unit",
                    Place(path, 1),
                    heading=cell.strip(),
                    hint=_EXAMPLE + " Units known: " + ", ".join(list(_STRAIN)[:7]) + ".",
                )
            strain = (at, _STRAIN[named], named)
    if temp is None or strain is None:
        raise refusal("no-columns-of-a-curve", Place(path, 1), hint=_EXAMPLE)
    return *temp, *strain
