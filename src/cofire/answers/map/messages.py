"""Sentences of a map."""

from __future__ import annotations

import numpy as np

from cofire.answers.map.axes import OF_BASE, ON_TOP, Axis
from cofire.answers.map.results import MapAnswer, Shown
from cofire.model.crackle import NO_CRACKS_MM
from cofire.words import percent


def amount_words(axis: Axis, value: float) -> str:
    """“12.5 % kaolin”, “2.69 SiO2”, “1.5 tin oxide on top”."""
    if axis.unit == OF_BASE:
        return f"{value:.3g} % {axis.name}"
    return f"{value:.3g} {axis.name}" + (" on top" if axis.unit == ON_TOP else "")


def value_words(shown: Shown, value: float) -> str:
    """“8.93 ×10⁻⁶/K”, “34 %”, “4.2 mm”."""
    if shown.kind == "odds":
        return percent(value)
    if shown.kind == "distance":
        return f"{value:.2g} mm" if value < NO_CRACKS_MM else "too far"
    digits = 2 if abs(value) < 20.0 else 0
    return f"{value:.{digits}f} {shown.unit}"


def map_sentence(answer: MapAnswer) -> str:
    shown, own = answer.shown, answer.own
    where = f"{amount_words(answer.across, own.x)} and {amount_words(answer.up, own.y)}"
    does = shown.said.format(value_words(shown, own.value))
    if shown.kind == "distance" and np.isinf(own.value):
        does = "does not craze"
    text = f"Your recipe, with {where}, {does}."
    if not answer.holds_own:
        text += " It lies outside this map."
    if shown.good == 0 or answer.best is None:
        return text
    asked = f"at {'least' if shown.good > 0 else 'most'} {percent(answer.level or 0.0)}"
    there = answer.nearest or answer.best
    place = (
        f"{amount_words(answer.across, there.x)} and {amount_words(answer.up, there.y)} "
        f"({percent(there.value)})"
    )
    if answer.nearest is not None:
        text += f" The nearest with {asked}: {place}."
    elif shown.good * own.value < shown.good * (answer.level or 0.0):
        text += f" Nowhere on this map is it {asked}; the best is {place}."
    return text
