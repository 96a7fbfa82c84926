"""How numbers are written on a page: with their unit and their doubt, their full value beside."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from markupsafe import Markup, escape

from cofire.model.interval import Interval
from cofire.model.outcome import standard_error
from cofire.model.standard_draws import N
from cofire.names import shown
from cofire.read.units import show_temperature
from cofire.show.terminal import clock
from cofire.words import percent


def _data(value: object, text: str) -> Markup:
    """What is shown, and the number behind it to the digit."""
    return Markup('<data value="{}">{}</data>').format(value, text)


def odds(share: float, draws: int = N) -> Markup:
    """“97 %”; of few draws with their error."""
    text = percent(share)
    if draws < N and 0.01 <= share < 0.99:
        text += f" ± {max(100.0 * standard_error(share, draws), 1.0):.0f}"
    return _data(repr(share), text)


def between(interval: Interval, digits: int = 1) -> Markup:
    """“4.2 mm (3.1 to 6.0)”"""
    unit = {"1e-6/K": "×10⁻⁶/K"}.get(interval.unit, interval.unit)
    text = (
        f"{interval.value:.{digits}f} {unit} ({interval.low:.{digits}f} to "
        f"{interval.high:.{digits}f})"
    )
    return _data(repr(interval.value), text)


def apart(interval: Interval, words: str) -> Markup:
    """How far apart cracks are; in words where they are further than is ever drawn."""
    capped = interval.low == interval.high
    return _data(repr(interval.value), words) if capped else between(interval)


def safe(text: object) -> Markup:
    """What people typed, escaped, and what could turn letters round written out."""
    return escape(shown(str(text)))


FILTERS: dict[str, Callable[..., Any]] = {
    "odds": odds,
    "between": between,
    "apart": apart,
    "shown": safe,
    "clock": clock,
    "celsius": show_temperature,
}
