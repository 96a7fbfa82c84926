"""Weights as a scale shows them: exact decimals, whole steps, sums right to the last digit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from decimal import ROUND_CEILING, ROUND_HALF_EVEN, Decimal
from fractions import Fraction
from itertools import accumulate

from cofire.answers.batch.records import Units, Weighing
from cofire.errors import QuantityError
from cofire.read.units import GRAMS, WEIGHT, measured
from cofire.records import Part, Recipe
from cofire.round_numbers import share_out

#: gram per unit that a scale shows.
UNIT_G: dict[Units, Decimal] = {"g": GRAMS["g"], "kg": GRAMS["kg"], "oz": GRAMS["oz"],
                                "lb": GRAMS["lb"]}  # fmt: skip
#: More digits than this after the point are those of another system of units.
_MOST_PLACES = 5
#: Digits after the point beside, at least: a hundredth of an ounce hides a quarter of a gram.
_LEAST_PLACES: dict[Units, int] = {"oz": 3}


def read_step(text: str) -> Decimal:
    """The smallest step a scale shows, g. Raises QuantityError for what no scale has."""
    step = measured(text, WEIGHT)
    if not Decimal("0.0001") <= step <= 500:
        raise QuantityError(
            f"a scale with steps of {text} weighs no glaze.",
            hint="Write the smallest step that it shows, e.g. “0.1 g” or “0.01 oz”.",
        )
    return step


def whole_steps(weight_g: Decimal | float, step_g: Decimal, *, up: bool = False) -> int:
    """So many steps of the scale are nearest to a weight, or just enough for it."""
    exact = (weight_g if isinstance(weight_g, Decimal) else Decimal(repr(weight_g))) / step_g
    if up:
        exact -= Decimal("1e-9")  # float dust is no reason to weigh a step more
    return int(exact.to_integral_value(ROUND_CEILING if up else ROUND_HALF_EVEN))


def one_line_each(parts: Sequence[Part]) -> list[Part]:
    """Parts with each material once, as it is weighed; what is not used is left out."""
    found: dict[str, Part] = {}
    for part in parts:
        if part.amount > 0.0:
            known = found.get(part.material.id)
            amount = part.amount + (known.amount if known else 0.0)
            found[part.material.id] = replace(known or part, amount=amount)
    return list(found.values())


def _exact(part: Part) -> Fraction:
    return Fraction(repr(part.amount))


def weigh_up(recipe: Recipe, base_steps: int, step_g: Decimal) -> tuple[Weighing, ...]:
    """What goes into one bucket: base lines that add up to ``base_steps``, then the additions,
    each to its own nearest step."""
    base, additions = one_line_each(recipe.base), one_line_each(recipe.additions)
    amounts = [_exact(p) for p in base]
    whole = sum(amounts, Fraction(0))
    per_part = base_steps / whole
    extra = [_exact(p) * per_part for p in additions]
    steps = share_out(base_steps, amounts) + [round(e) for e in extra]
    exact = [a * per_part for a in amounts] + extra
    running = accumulate(steps)
    return tuple(
        Weighing(
            part=part,
            addition=k >= len(base),
            exact_g=float(exact[k] * Fraction(step_g)),
            weigh_g=steps[k] * step_g,
            running_g=so_far * step_g,
        )
        for k, (part, so_far) in enumerate(zip([*base, *additions], running, strict=True))
    )


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
