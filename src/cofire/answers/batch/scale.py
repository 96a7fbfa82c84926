"""Scales: their steps, and weights in the units that they show."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_HALF_EVEN, Decimal
from itertools import accumulate
from typing import Literal

from cofire.errors import refusal
from cofire.read.units import GRAMS, WEIGHT, measured

Units = Literal["g", "kg", "oz", "lb"]


@dataclass(frozen=True)
class Scale:
    """The smallest step that a scale shows, g, and the units it shows it in."""

    step_g: Decimal
    units: Units = "g"


#: gram per unit that a scale shows.
UNIT_G: dict[Units, Decimal] = {"g": GRAMS["g"], "kg": GRAMS["kg"], "oz": GRAMS["oz"],
                                "lb": GRAMS["lb"]}  # fmt: skip

#: More digits than this after the point are those of another system of units.
_MOST_PLACES = 5

#: Digits after the point beside, at least: a hundredth of an ounce hides a quarter of a gram.
_LEAST_PLACES: dict[Units, int] = {"oz": 3}


def read_step(text: str) -> Decimal:
    """The smallest step a scale shows, g. Raises QuantityError for an impossible step."""
    step = measured(text, WEIGHT)
    if not Decimal("0.0001") <= step <= 500:
        raise refusal("no-scale-for-glaze", text=text)
    return step


def usual_most(step_g: Decimal) -> Decimal:
    """What a scale of this step carries, g, where that is not said; common practice, no source:
    30 000 steps, and a kitchen scale of grams 5 kg."""
    return min(30_000 * step_g, max(Decimal(5000), 5000 * step_g))


def read_most(text: str, step_g: Decimal) -> Decimal:
    """The most a scale carries, g. Raises QuantityError for one that weighs no glaze."""
    most = measured(text, WEIGHT)
    if not 100 * step_g <= most <= 1_000_000:
        raise refusal("scale-carries-too-little", text=text, step_g=float(step_g))
    return most


def whole_steps(weight_g: Decimal | float, step_g: Decimal, *, up: bool = False) -> int:
    """The number of steps of the scale nearest to a weight, or just enough for it."""
    exact = (weight_g if isinstance(weight_g, Decimal) else Decimal(repr(weight_g))) / step_g
    if up:
        exact -= Decimal("1e-9")  # float dust is no reason to weigh a step more
    return int(exact.to_integral_value(ROUND_CEILING if up else ROUND_HALF_EVEN))


def shown_in(
    weights_g: Sequence[Decimal], units: Units, step_g: Decimal
) -> tuple[list[Decimal], list[Decimal]]:
    """Weights and running totals in other units, both as printed: each running total is the sum
    of the weights above it, to the last digit. In units in which a step of the scale has few
    digits nothing is rounded; in others running totals are, to less than a step.
    """
    step = (step_g / UNIT_G[units]).normalize()
    exponent = step.as_tuple().exponent
    assert isinstance(exponent, int)
    places = max(0, -exponent)
    if places > _MOST_PLACES:
        places = max(0, -step.adjusted())
    grid = Decimal(1).scaleb(-places)
    running = [(total / UNIT_G[units]).quantize(grid) for total in accumulate(weights_g)]
    before = [Decimal(0), *running[:-1]]
    return [now - then for now, then in zip(running, before, strict=True)], running


def shown_beside(weights_g: Sequence[Decimal], units: Units, step_g: Decimal) -> list[Decimal]:
    """Weights in the other system of units, each rounded for itself to less than half a step, so
    that the same weight always reads the same."""
    places = max(_LEAST_PLACES.get(units, 0), -(step_g / UNIT_G[units]).adjusted())
    grid = Decimal(1).scaleb(-places)
    return [(weight / UNIT_G[units]).quantize(grid) for weight in weights_g]


def pounds_and_ounces(units: Units, step_g: Decimal) -> bool:
    """Whether a scale in pounds with this step shows ounces beside them: “2 lb 2.05 oz”."""
    step = (step_g / UNIT_G["lb"]).normalize().as_tuple().exponent
    return units == "lb" and isinstance(step, int) and step < -3


def shown_words(
    weights_g: Sequence[Decimal], units: Units, step_g: Decimal
) -> tuple[list[str], list[str]]:
    """Weights and running totals as the scale shows them, without the unit that stands over the
    column; pounds with ounces have theirs."""
    if not pounds_and_ounces(units, step_g):
        shown, running = shown_in(weights_g, units, step_g)
        return [f"{w:f}" for w in shown], [f"{w:f}" for w in running]
    ounces = shown_in(weights_g, "oz", step_g)
    both = [[f"{oz // 16:f} lb {oz % 16:f} oz" for oz in some] for some in ounces]
    return both[0], both[1]
