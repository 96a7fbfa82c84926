"""Weights as a scale shows them: exact decimals, whole steps, sums right to the last digit."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from itertools import accumulate

from cofire.answers.batch.records import Weighing
from cofire.material_kinds import is_gel, is_soluble
from cofire.records import Material, Part, Recipe
from cofire.round_numbers import share_out


def one_line_each(parts: Sequence[Part]) -> list[Part]:
    """Parts with each material once, as it is weighed; what is not used is left out."""
    merged: dict[str, Part] = {}
    for part in parts:
        if part.amount > 0.0:
            known = merged.get(part.material.id)
            amount = part.amount + (known.amount if known else 0.0)
            merged[part.material.id] = replace(known or part, amount=amount)
    return list(merged.values())


def _exact(part: Part) -> Fraction:
    return Fraction(repr(part.amount))


def weigh_up(recipe: Recipe, base_steps: int, step_g: Decimal) -> tuple[Weighing, ...]:
    """Lines of one bucket in the order in which they are used: what is dissolved or mixed dry
    before the rest, base lines, then additions. Base lines add up to ``base_steps``, an addition
    goes to its own nearest step."""
    base, additions = one_line_each(recipe.base), one_line_each(recipe.additions)
    amounts = [_exact(p) for p in base]
    total = sum(amounts, Fraction(0))
    per_part = base_steps / total
    extra = [_exact(p) * per_part for p in additions]
    steps = share_out(base_steps, amounts) + [round(e) for e in extra]
    exact = [a * per_part for a in amounts] + extra
    parts = [*base, *additions]
    order = sorted(range(len(parts)), key=lambda k: (_used(parts[k].material), k >= len(base) > 0))
    running = accumulate(steps[k] for k in order)
    return tuple(
        Weighing(
            part=parts[k],
            addition=k >= len(base),
            exact_g=float(exact[k] * Fraction(step_g)),
            weigh_g=steps[k] * step_g,
            running_g=so_far * step_g,
        )
        for k, so_far in zip(order, running, strict=True)
    )


def bowls_for(lines: Sequence[Weighing], most: int, step_g: Decimal) -> list[list[int]]:
    """For each line the bowls that it goes into, one after the other, none of more than ``most``
    steps of the scale: a line that fits an empty bowl is weighed at once, a heavier one in equal
    parts."""
    bowl, held = 1, 0
    plan = []
    for line in lines:
        steps = int(line.weigh_g / step_g)
        mine = []
        for part in share_out(steps, [1] * max(1, math.ceil(steps / most))):
            if held and held + part > most:
                bowl, held = bowl + 1, 0
            held += part
            mine.append(bowl)
        plan.append(mine)
    return plan


def in_bowls(
    lines: Sequence[Weighing], plan: Sequence[Sequence[int]], step_g: Decimal
) -> tuple[Weighing, ...]:
    """Lines shared by the bowls of a plan; weights and totals stay as they are."""
    result: list[Weighing] = []
    running = Decimal(0)
    for line, bowls in zip(lines, plan, strict=True):
        steps = int(line.weigh_g / step_g)
        for bowl, part in zip(bowls, share_out(steps, [1] * len(bowls)), strict=True):
            running += part * step_g
            exact_g = line.exact_g * part / steps if steps else line.exact_g
            result.append(
                replace(line, exact_g=exact_g, weigh_g=part * step_g, running_g=running, bowl=bowl)
            )
    return tuple(result)


def _used(material: Material) -> int:
    """0 for what dissolves and goes into the water first, 1 for gels that are shaken dry with the
    next powder, 2 for the rest."""
    return 0 if is_soluble(material) else 1 if is_gel(material) else 2
