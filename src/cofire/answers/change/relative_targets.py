"""Targets relative to the glaze as it is: “SiO2 +0.2”, “expansion -5 %”, “40 C lower”."""

from __future__ import annotations

import re

import numpy as np

from cofire.answers.change.evaluator import RecipeEvaluator
from cofire.answers.change.linear_targets import linear_values
from cofire.answers.change.targets import Target, at_peak, read_absolute, subject
from cofire.errors import refusal
from cofire.files.library import Library
from cofire.model.conditions import Conditions
from cofire.model.evaluation import evaluate_recipe
from cofire.model.glaze_set import glaze_set
from cofire.model.melt_range import melt_range
from cofire.read.number import NUMBER, number, short
from cofire.read.units import difference_c
from cofire.records import Recipe
from cofire.words import plain_digits

#: “SiO2 +0.2”; “SiO2 2 - 3” is a range.
_MORE = re.compile(
    rf"(?P<what>.*\S)\s+(?P<sign>[+\-−–])\s?(?P<by>(?![+\-−–]){NUMBER})\s*(?P<unit>[%°a-zA-Z]*)"
)
_ENDS_IN_NUMBER = re.compile(rf"(?:.*\s)?{NUMBER}\s*[%°a-zA-Z/]*")
_HOW = re.compile(r".*(?:\s(?:at|least|most|about|near|between|from|to|and)|[≥≤<>=:])", re.I)
#: “40 C lower”, “ripe 70 F lower”, “20 C hotter”: a wish for the peak that ripens it.
_SHIFT = re.compile(r"(?:ripe\s+)?(?P<by>.+?)\s+(?P<way>lower|cooler|higher|hotter)", re.I)
#: Kinds that a sign moves; a percentage is a share of the value now, or one more per cent.
_BY_SHARE, _BY_POINTS = ("expansion", "ratio"), ("amount", "share", "weight", "loi")


def read_target(
    text: str, library: Library, recipe: Recipe, at: Conditions | None = None
) -> Target:
    """One target, relative or not. Raises QuantityError for words it cannot read,
    UnknownNameError for names."""
    words = " ".join(plain_digits(short(text)).split())
    at = at or Conditions()
    if match := _SHIFT.fullmatch(words):
        return _shifted(match, recipe, at)
    match = _MORE.fullmatch(words)
    if match is None or _HOW.fullmatch(match["what"]):
        return read_absolute(text, library, recipe)
    if match["sign"] != "+" and _ENDS_IN_NUMBER.fullmatch(match["what"]):
        return read_absolute(text, library, recipe)
    return _moved(match, library, recipe, at)


def _shifted(match: re.Match[str], recipe: Recipe, at: Conditions) -> Target:
    """A peak relative to the recipe's own."""
    by_c = difference_c(match["by"]) * (-1.0 if match["way"].lower() in ("lower", "cooler") else 1)
    own_c = melt_range(*glaze_set(recipe), at).matures_c
    if not np.isfinite(own_c):
        raise refusal("never-ripe", text=match[0], recipe=recipe.name)
    return at_peak(own_c + by_c)


def _moved(match: re.Match[str], library: Library, recipe: Recipe, at: Conditions) -> Target:
    """So much more or less of a quantity than the recipe has."""
    what, unit = match["what"].strip(" :="), match["unit"]
    kind, names, below = subject(what, library, recipe, unit)
    if kind == "stress":  # which has a sign of its own
        return read_absolute(match[0], library, recipe)
    if unit not in ("", "%") or kind not in (*_BY_SHARE, *_BY_POINTS, "unity"):
        raise refusal("value-or-change", text=match[0])
    target = Target(what, kind, 0.0, 0.0, 1.0, "", names, below)
    now = _value_now(target, recipe, at)
    by = float(number(match["by"])) * (1.0 if match["sign"] == "+" else -1.0)
    to = now * (1.0 + 0.01 * by) if unit and kind in _BY_SHARE else now + by
    if not (np.isfinite(now) and to >= 0.0):
        raise refusal("less-than-nothing", text=match[0], now=now)
    percent = " %" if kind in _BY_POINTS else ""
    return read_absolute(f"{what} {round(to, 2 if to >= 1.0 else 4):g}{percent}", library, recipe)


def _value_now(target: Target, recipe: Recipe, at: Conditions) -> float:
    if target.kind == "expansion":
        return float(
            evaluate_recipe(recipe, at.only(fit=False, ripeness=False), 1).expansion_1e6_per_k[0]
        )
    glazes, own = glaze_set(recipe)
    parts = 100.0 * own / sum(part.amount for part in recipe.base)
    as_named = RecipeEvaluator(glazes, np.eye(len(own)), glazes.materials, at, 0.5, ())
    return float(linear_values(target, as_named, parts[None, :])[0])
