"""Numbers as people weigh and remember them: whole steps that add up, and round ones."""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction

_ROUND = (1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0)


def share_out(total: int, amounts: Sequence[Fraction | float]) -> list[int]:
    """Whole steps in proportion to ``amounts`` that add up to ``total`` exactly: each is rounded
    down, and the rest goes to the largest remainders, the first of equals first."""
    exact = [Fraction(repr(a)) if isinstance(a, float) else Fraction(a) for a in amounts]
    whole = sum(exact, Fraction(0))
    exact = [total * amount / whole for amount in exact]
    steps = [int(e) for e in exact]
    by_remainder = sorted(range(len(exact)), key=lambda k: steps[k] - exact[k])
    for k in by_remainder[: total - sum(steps)]:
        steps[k] += 1
    return steps


def round_up(value: float) -> float:
    """The next number that one remembers: 1, 1.5, 2, 2.5, 3, 4, 5, 6, 8 or 10 times a power of
    ten."""
    size = 10.0 ** math.floor(math.log10(value))
    return next(m for m in _ROUND if m * size >= value * (1.0 - 1e-9)) * size
