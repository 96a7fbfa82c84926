"""The points of a blend: shares, labels, and what goes into each cup."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from cofire.arrays import Array
from cofire.errors import refusal
from cofire.model.slurry import dry_g_per_ml, read_density
from cofire.read.number import written
from cofire.read.units import VOLUME, WEIGHT, grams, millilitres, plain_unit, split
from cofire.round_numbers import round_up, share_out

Form = Literal["line", "triangle", "grid"]
#: More parts between corners give more cups than a studio mixes; our choice. 21 rows also leave
#: one letter for each.
MOST_STEPS = 20
#: What studio scales and syringes read to, by default; common practice, no source.
SCALE_G, SCALE_ML = 0.1, 1.0
#: An amount of fewer steps of the scale than this may be off by more than a tenth; our choice.
FEW_STEPS = 5


@dataclass(frozen=True, eq=False)
class Points:
    """P points. ``row`` and ``column`` (P,) count from 0; ``shares`` (P, C) of the corners, each
    row summing to 1; ``neighbours`` (E, 2) are points that touch, each pair once."""

    form: Form
    steps: int
    shares: Array
    row: NDArray[np.intp]
    column: NDArray[np.intp]
    neighbours: NDArray[np.intp]

    @property
    def labels(self) -> tuple[str, ...]:
        """A letter for the row and a number along it: “A1” is all of the first corner."""
        return tuple(f"{chr(65 + r)}{c + 1}" for r, c in zip(self.row, self.column, strict=True))


def points(corners: int, steps: int) -> Points:
    """A line between 2 corners, a triangle of 3, or a grid of 4, in ``steps`` parts.

    A triangle has its first corner on top, the second below on the left; a grid has its corners in
    the order of reading. Raises QuantityError for an impossible number of steps.
    """
    if not 1 <= steps <= MOST_STEPS:
        raise refusal("impossible-steps", steps=steps, most_steps=MOST_STEPS)
    n = steps
    shares: list[tuple[float, ...]]
    if corners == 2:
        at = [(0, k) for k in range(n + 1)]
        shares = [((n - k) / n, k / n) for _, k in at]
        touching = [(0, 1)]
    elif corners == 3:
        at = [(r, k) for r in range(n + 1) for k in range(r + 1)]
        shares = [((n - r) / n, (r - k) / n, k / n) for r, k in at]
        touching = [(0, 1), (1, 0), (1, 1)]
    else:
        at = [(r, k) for r in range(n + 1) for k in range(n + 1)]
        shares = [
            ((n - r) * (n - k) / n**2, (n - r) * k / n**2, r * (n - k) / n**2, r * k / n**2)
            for r, k in at
        ]
        touching = [(0, 1), (1, 0)]
    place = {where: p for p, where in enumerate(at)}
    pairs = [
        (p, place[r + down, k + right])
        for (r, k), p in place.items()
        for down, right in touching
        if (r + down, k + right) in place
    ]
    row, column = np.array(at).T
    forms: dict[int, Form] = {2: "line", 3: "triangle", 4: "grid"}
    return Points(forms[corners], n, np.array(shares), row, column, np.array(pairs))


def dry_shares(by_volume: Array, slurry_g_per_ml: Array) -> Array:
    """Shares by volume of slurry (P, C) of these densities (C,) -> shares by dry weight (P, C)."""
    dry = by_volume * dry_g_per_ml(slurry_g_per_ml)
    return np.asarray(dry / dry.sum(axis=1, keepdims=True))


def read_slurry(texts: Sequence[str], corners: int) -> Array:
    """“1.45” or “1.45 g/ml”, one for all or one for each corner -> g/ml (corners,).

    Raises QuantityError for a wrong count or if it is not a slurry.
    """
    if len(texts) not in (1, corners):
        raise refusal("densities-and-slurries", count=len(texts), corners=corners)
    return np.array([read_density(text) for text in texts] * (corners if len(texts) == 1 else 1))


@dataclass(frozen=True)
class Cup:
    """How much goes into one cup, and the steps it is measured in, both in ``unit``; additions are
    weighed in steps of ``scale_g``."""

    size: float
    unit: Literal["g", "ml"]
    scale: float
    scale_g: float = SCALE_G

    @property
    def steps(self) -> int:
        """How many steps of the scale a cup is."""
        return round(self.size / self.scale)


def read_cup(text: str, scale: str | None = None, *, additions: bool = False) -> Cup:
    """“50 g” of dry glaze or “60 ml” of slurry, measured to “0.1 g” or “1 ml”; additions are
    weighed even into a cup of slurry.

    Raises QuantityError, also where the cup is no whole number of steps of the scale.
    """
    size, unit = _amount(text, "a cup", "“50 g” or “60 ml”")
    measured: Literal["g", "ml"] = "g" if additions else unit
    step = SCALE_G if measured == "g" else SCALE_ML
    if scale is not None:
        step, read_to = _amount(scale, "what a scale reads to", "“0.1 g”")
        if read_to != measured:
            raise refusal(
                "cup-in-other-unit",
                measured=measured,
                read_to=read_to,
                example="0.1 g" if measured == "g" else "1 ml",
            )
    if measured != unit:  # the cup is filled with slurry to its mark, whatever that is
        return Cup(size, unit, size, step)
    if not step <= size <= 100_000.0:
        raise refusal("cup-below-the-scale", size=size, unit=unit, step=step)
    if abs(size / step - round(size / step)) > 1e-6:
        raise refusal(
            "cup-not-in-steps",
            size=size,
            unit=unit,
            step=step,
            whole=written(step * max(round(size / step), 1)),
        )
    return Cup(size, unit, step, step if unit == "g" else SCALE_G)


def _amount(text: str, wanted: str, example: str) -> tuple[float, Literal["g", "ml"]]:
    value, unit = split(text, WEIGHT)
    if value <= 0:
        raise refusal("not-as-wanted", text=text, wanted=wanted, example=example)
    if plain_unit(unit) in VOLUME.factors:
        return millilitres(text), "ml"
    return grams(text), "g"


def into_cups(shares: Array, cup: Cup) -> Array:
    """Shares (P, K), each row summing to 1 -> amounts (P, K) in the cup's unit, whole steps of the
    scale that add up to the cup exactly.

    Raises QuantityError if an amount for a cup is too small for the scale.
    """
    least = cup.steps * float(shares[shares > 1e-9].min())
    _must_show(least, cup.scale, cup.unit, cup)
    whole = np.array([share_out(cup.steps, row) for row in shares.tolist()])
    return np.round(whole * cup.scale, 9)


def enough(least: float, cup: Cup) -> float:
    """A round size of cup in which ``least`` steps of this one become enough to be exact."""
    return round_up(cup.size * FEW_STEPS / least)


def weighed(exact_g: Array, cup: Cup) -> Array:
    """Grams that go into cups of slurry, to the nearest step of the scale, the same shape.

    Raises QuantityError if an amount for a cup is too small for the scale.
    """
    scale_g = cup.scale_g
    least = float(exact_g[exact_g > 0.0].min()) / scale_g
    _must_show(least, scale_g, "g", cup)
    return np.round(np.rint(exact_g / scale_g) * scale_g, 9)


def _must_show(least: float, step: float, unit: str, cup: Cup) -> None:
    """Raise QuantityError if the smallest amount for a cup is under one step."""
    if least < 1.0 - 1e-9:
        raise refusal(
            "cup-too-small",
            size=cup.size,
            unit=cup.unit,
            least=least * step,
            step_unit=unit,
            step=step,
            enough=enough(least, cup),
        )
