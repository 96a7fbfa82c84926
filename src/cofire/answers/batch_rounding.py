"""What a scale's steps do to a glaze, and what to do where they are too coarse."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal

import numpy as np

from cofire.answers.batch_records import Bucket, Rounding, Units, Weighing
from cofire.answers.family import family_of, glance
from cofire.answers.weighing import UNIT_G
from cofire.records import Recipe

#: A line of fewer steps of the scale than this may be off by more than 5 %, which a colour shows;
#: our choice, the same as in “cofire shake”.
FEW_STEPS = 10
#: Rounding can be seen when it moves a glaze so far: a third of how far the models miss, and about
#: a place in the kiln; our choice.
_SEEN_1E6_PER_K, _SEEN_C = 0.1, 10.0
#: A line that is off by more than this, per cent, is worth a word; our choice.
_SEEN_PERCENT = 5.0
#: Steps of the scale that a premix is weighed in at least, so that it is right to 2.5 %; our
#: choice.
_PREMIX_STEPS = 20
#: Millilitres in which a gram is dissolved: boric acid and borax, the least soluble of what
#: dissolves, take that much of warm water (about 5 g in 100 ml of cold; from memory).
_ML_PER_G = 50.0
#: Nobody mixes more than this to weigh a trace; our choice.
_MOST_G = 50_000.0
#: More premixes than this go wrong; our choice.
_MOST_PREMIXES = 2


def rounding(
    recipe: Recipe, buckets: Sequence[Bucket], step_g: Decimal, units: Units = "g"
) -> Rounding:
    """The line that rounding changes most, and what the whole rounding does to expansion and to
    the temperature of 10^4 Pa·s, in the bucket where that is most.

    Raises CompositionError for solids that lock a glaze.
    """
    lines = [w for bucket in buckets for w in bucket.weighings]
    worst = max(lines, key=lambda w: abs(_off(w)))
    family, exact = family_of(recipe)
    key = {m.id: k for k, m in enumerate(family.materials)}
    rows = [exact]
    for weights in dict.fromkeys(tuple(w.weigh_g for w in b.weighings) for b in buckets):
        row = np.zeros_like(exact)
        for line, weight in zip(buckets[0].weighings, weights, strict=True):
            row[key[line.part.material.id]] += float(weight)
        rows.append(row)
    seen = glance(family, np.array(rows))
    moves = seen.alpha_1e6_per_k[1:] - seen.alpha_1e6_per_k[0]
    moves_c = seen.flows_c[1:] - seen.flows_c[0]
    most, most_c = (float(v[np.argmax(np.abs(v))]) for v in (moves, moves_c))
    few = too_few(buckets[0], step_g)
    found = Rounding(
        worst=worst,
        worst_percent=100.0 * _off(worst),
        moves_1e6_per_k=most,
        moves_c=most_c,
        matters=abs(100.0 * _off(worst)) > _SEEN_PERCENT,
        advice=_advice(buckets[0], few, step_g, len(buckets), units) if few else "",
    )
    return replace(found, matters=True) if felt_by_glass(found) else found


def felt_by_glass(found: Rounding) -> bool:
    """Whether expansion or melting move so far that somebody could tell."""
    return abs(found.moves_1e6_per_k) >= _SEEN_1E6_PER_K or abs(found.moves_c) >= _SEEN_C


def _off(line: Weighing) -> float:
    return float(line.weigh_g) / line.exact_g - 1.0


def too_few(bucket: Bucket, step_g: Decimal) -> list[Weighing]:
    """Lines that the scale does not show well enough, the least first."""
    few = [w for w in bucket.weighings if w.exact_g < FEW_STEPS * float(step_g)]
    return sorted(few, key=lambda w: w.exact_g)


def round_up(value: float) -> float:
    """The next number that one remembers: 1, 1.5, 2, 3, 4, 5, 6, 8 or 10 times a power of ten."""
    size = 10.0 ** math.floor(math.log10(value))
    nice = (1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0)
    return next(m for m in nice if m * size >= value * (1.0 - 1e-9)) * size


def enough_g(bucket: Bucket, step_g: Decimal, units: Units = "g") -> float:
    """A round weight of base in which every line of the bucket has steps enough."""
    base_g = float(sum(w.weigh_g for w in bucket.weighings if not w.addition))
    least = min(w.exact_g for w in bucket.weighings)
    one = float(UNIT_G["oz" if units in ("oz", "lb") else "g"])
    return one * round_up(base_g * FEW_STEPS * float(step_g) / least / one)


def _advice(
    bucket: Bucket, few: Sequence[Weighing], step_g: Decimal, buckets: int, units: Units
) -> str:
    together = " Or weigh it once for all buckets and share out the wet glaze." * (buckets > 1)
    name = few[0].part.material.name
    first = (
        f"{_say(few[0].exact_g, units, 2)} of {name} is too little for a scale with steps of "
        f"{_say(float(step_g), units)}. {_enough(bucket, step_g, units)}"
    )
    carrier = _carrier(bucket)
    diluted = [
        _solution(line, step_g, units)
        if line.part.material.dissolves == "yes"
        else _premix(line, carrier, step_g, units)
        for line in few[:_MOST_PREMIXES]
    ]
    said = " ".join(text for text in diluted if text)
    return first + (f". Or dilute what is too little. {said}" if said else ".") + together


def _carrier(bucket: Bucket) -> Weighing | None:
    """The base material that takes up a premix: the most there is of what does not dissolve."""
    base = [w for w in bucket.weighings if not w.addition and w.part.material.dissolves != "yes"]
    return max(base, key=lambda w: w.weigh_g, default=None)


def _pure(line: Weighing, step_g: Decimal, units: Units) -> float:
    """A round weight, g, that the scale shows well and that is enough."""
    one = float(UNIT_G["oz" if units in ("oz", "lb") else "g"])
    return one * round_up(max(_PREMIX_STEPS * float(step_g), line.exact_g) / one)


def _solution(line: Weighing, step_g: Decimal, units: Units) -> str:
    """How to measure little of what dissolves: by the millilitre."""
    pure, name = _pure(line, step_g, units), line.part.material.name
    return (
        f"Dissolve {_say(pure, units)} of {name} in warm water, make it up to "
        f"{pure * _ML_PER_G:.4g} ml, and take {line.exact_g * _ML_PER_G:.3g} ml of that for the "
        f"{name}, and as much less water."
    )


def _premix(line: Weighing, carrier: Weighing | None, step_g: Decimal, units: Units) -> str:
    """How to weigh little of a material with more of another: 1 : 9, or 1 : 99."""
    if carrier is None or carrier.part.material.id == line.part.material.id:
        return ""
    times = 10 if 10 * line.exact_g >= FEW_STEPS * float(step_g) else 100
    take = round(times * line.exact_g / float(step_g)) * step_g
    less = (take * (times - 1) / times / step_g).to_integral_value() * step_g
    if less > carrier.weigh_g or not take:
        return ""
    pure = _pure(line, step_g, units)
    name, other = line.part.material.name, carrier.part.material.name
    return (
        f"Mix {_say(pure, units)} of {name} well with {_say(pure * (times - 1), units)} of "
        f"{other}; take {_say(float(take), units)} of that for the {name}, and "
        f"{_say(float(less), units)} less of {other}."
    )


def _enough(bucket: Bucket, step_g: Decimal, units: Units) -> str:
    enough = enough_g(bucket, step_g, units)
    if enough > _MOST_G:
        return "Use a finer scale"
    return f"Mix {_say(enough, units)} of base or more, or use a finer scale"


def _say(weight_g: float, units: Units, digits: int = 5) -> str:
    """In grams or ounces, as the scale has it."""
    if units in ("oz", "lb"):
        return f"{weight_g / float(UNIT_G['oz']):.{digits}g} oz"
    return f"{weight_g:.{digits}g} g"
