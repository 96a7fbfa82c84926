"""Effects of a scale's steps on a glaze, and advice if they are too coarse."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal

import numpy as np

from cofire.answers.batch.mixing import start_ml
from cofire.answers.batch.records import Bucket, Rounding, Weighing
from cofire.answers.batch.scale import UNIT_G, Scale, Units
from cofire.material_kinds import is_soluble
from cofire.model.conditions import Conditions
from cofire.model.evaluation import evaluate
from cofire.model.glaze_set import glaze_set
from cofire.records import Recipe
from cofire.round_numbers import round_up
from cofire.words import listed

#: A line of fewer steps of the scale than this may be off by more than 5 %, which a colour shows;
#: our choice, the same as in “cofire shake”.
FEW_STEPS = 10
#: Rounding can be seen when it moves a glaze so far: a third of how far the models miss, and about
#: a place in the kiln; our choice.
_SEEN_1E6_PER_K, _SEEN_C = 0.1, 10.0
#: A line that is off by more than this, per cent, is reported; our choice.
_SEEN_PERCENT = 5.0
#: Steps of the scale that a premix, and what is taken of it, are weighed in at least: half a step
#: on both is 5 % together, no worse than ten steps weighed directly; our choice.
_PREMIX_STEPS = 20
#: Parts of a premix that hold one of the material; our choice, round numbers.
_TIMES = (5, 10, 20, 50, 100)
#: A premix or a solution is at most this many times the weight it is for; our choice.
_MOST_TIMES = 2.0
#: Grams that 100 g of water dissolve at 25 °C (CRC Handbook of Chemistry and Physics, from memory;
#: hydrates reckoned from the anhydrous salt): what is harmless enough to stand about dissolved.
_DISSOLVES_G_PER_100_ML = {
    "boric-acid": 5.8, "borax-decahydrate": 6.0, "borax-pentahydrate": 4.6, "borax-anhydrous": 3.2,
    "soda-ash": 30.7, "sodium-bicarbonate": 10.3,
}  # fmt: skip
#: A cold studio dissolves less, and strong soda burns: half of what dissolves, and 0.1 g/ml at
#: most; our choice.
_OF_WHAT_DISSOLVES, _MOST_G_PER_ML = 0.5, 0.1
#: Measured in a cylinder to half a millilitre, this is right to 2.5 %; our choice.
_LEAST_ML = 20.0
#: More of the water than this is not brought by a solution; our choice.
_OF_THE_WATER = 0.5
#: The largest batch that is advised for weighing a trace; our choice.
_MOST_G = 50_000.0
#: More premixes than this go wrong; our choice.
_MOST_PREMIXES = 3


def rounding(
    recipe: Recipe, buckets: Sequence[Bucket], step_g: Decimal, units: Units = "g"
) -> Rounding:
    """The line that rounding changes most, and the effect of all rounding on expansion and on the
    temperature of 10^4 Pa·s, in the worst bucket.

    Raises CompositionError for solids that lock a glaze.
    """
    lines = [w for bucket in buckets for w in bucket.weighings]
    worst = max(lines, key=lambda w: abs(_off(w)))
    glazes, exact = glaze_set(recipe)
    key = {m.id: k for k, m in enumerate(glazes.materials)}
    rows = [exact]
    for weights in dict.fromkeys(tuple(w.weigh_g for w in b.weighings) for b in buckets):
        row = np.zeros_like(exact)
        for line, weight in zip(buckets[0].weighings, weights, strict=True):
            row[key[line.part.material.id]] += float(weight)
        rows.append(row)
    seen = evaluate(glazes, np.array(rows), Conditions())[0]
    moves = seen.expansion_1e6_per_k[1:] - seen.expansion_1e6_per_k[0]
    moves_c = seen.melts_c[1:] - seen.melts_c[0]
    most, most_c = (float(v[np.argmax(np.abs(v))]) for v in (moves, moves_c))
    few = too_few(buckets[0], step_g)
    result = Rounding(
        worst=worst,
        worst_percent=100.0 * _off(worst),
        moves_1e6_per_k=most,
        moves_c=most_c,
        matters=abs(100.0 * _off(worst)) > _SEEN_PERCENT,
        advice=_advice(buckets[0], few, Scale(step_g, units), len(buckets)) if few else "",
    )
    return replace(result, matters=True) if felt_by_glass(result) else result


def felt_by_glass(found: Rounding) -> bool:
    """Whether expansion or melting change noticeably."""
    return abs(found.moves_1e6_per_k) >= _SEEN_1E6_PER_K or abs(found.moves_c) >= _SEEN_C


def _off(line: Weighing) -> float:
    return float(line.weigh_g) / line.exact_g - 1.0


def too_few(bucket: Bucket, step_g: Decimal) -> list[Weighing]:
    """Lines that are too small for the scale, smallest first."""
    few = [w for w in bucket.weighings if w.exact_g < FEW_STEPS * float(step_g)]
    return sorted(few, key=lambda w: w.exact_g)


def enough_g(bucket: Bucket, step_g: Decimal, units: Units = "g") -> float:
    """A round weight of base in which every line of the bucket has enough steps."""
    base_g = float(sum(w.weigh_g for w in bucket.weighings if not w.addition))
    least = min(w.exact_g for w in bucket.weighings)
    one = float(UNIT_G["oz" if units in ("oz", "lb") else "g"])
    return one * round_up(base_g * FEW_STEPS * float(step_g) / least / one)


def _advice(bucket: Bucket, few: Sequence[Weighing], scale: Scale, buckets: int) -> str:
    """A larger batch or a finer scale; for each line a way to dilute it, if there is one."""
    carrier = _carrier(bucket)
    left_g = carrier.weigh_g if carrier else Decimal(0)
    ways: list[str] = []
    without: list[Weighing] = []
    for line in few:
        text, brings_g = "", Decimal(0)
        if len(ways) == _MOST_PREMIXES:
            pass
        elif is_soluble(line.part.material):
            text = _solution(line, bucket, buckets, scale)
        elif carrier:
            text, brings_g = _premix(line, carrier, left_g, bucket, buckets, scale)
        left_g -= brings_g
        if text:
            ways.append(text)
        else:
            without.append(line)
    first = (
        f"{_say(few[0].exact_g, scale.units, 2)} of {few[0].part.material.name} is too little for "
        f"a scale with steps of {_say(float(scale.step_g), scale.units)}. {_enough(bucket, scale)}."
    )
    if ways:
        first += f" Or dilute the small amounts. {' '.join(ways)} Label the rest."
    if without:
        names = listed([w.part.material.name for w in without])
        first += f" For {names} only a {_only(bucket, scale)} helps."
    if buckets > 1:
        first += " Or weigh it once for all buckets and share out the wet glaze."
    return first


def _carrier(bucket: Bucket) -> Weighing | None:
    """The base material for a premix: the largest one that does not dissolve."""
    base = [w for w in bucket.weighings if not w.addition and not is_soluble(w.part.material)]
    return max(base, key=lambda w: w.weigh_g, default=None)


def _pure(scale: Scale) -> float:
    """A round weight, g, that the scale shows well."""
    one = float(UNIT_G["oz" if scale.units in ("oz", "lb") else "g"])
    return one * round_up(_PREMIX_STEPS * float(scale.step_g) / one)


def _solution(line: Weighing, bucket: Bucket, buckets: int, scale: Scale) -> str:
    """How to measure a little of a soluble material as a solution; empty if it is poisonous or the
    batch has too little water."""
    soluble = _DISSOLVES_G_PER_100_ML.get(line.part.material.id)
    if soluble is None:
        return ""
    pure, name = _pure(scale), line.part.material.name
    strongest = min(_OF_WHAT_DISSOLVES * soluble / 100.0, _MOST_G_PER_ML)
    made_ml = round_up(max(pure / strongest, _LEAST_ML * pure / line.exact_g))
    take_ml = line.exact_g * made_ml / pure
    begin_ml = start_ml(float(bucket.total_g), bucket.waters)
    if take_ml > _OF_THE_WATER * begin_ml or made_ml > _MOST_TIMES * begin_ml * buckets:
        return ""
    return (
        f"Dissolve {_say(pure, scale.units)} of {name} in warm water, make it up to "
        f"{made_ml:.4g} ml, and take {take_ml:.3g} ml of that for the {name}, and as much less "
        "water to begin with."
    )


def _premix(
    line: Weighing, carrier: Weighing, left_g: Decimal, bucket: Bucket, buckets: int, scale: Scale
) -> tuple[str, Decimal]:
    """How to weigh little of a material with more of another, and how much of that other it brings,
    at most ``left_g``; empty if that is not better than weighing it directly."""
    none = "", Decimal(0)
    enough = _PREMIX_STEPS * float(scale.step_g)
    times = next((n for n in _TIMES if n * line.exact_g >= enough), None)
    if times is None or carrier.part.material.id == line.part.material.id:
        return none
    take = round(times * line.exact_g / float(scale.step_g)) * scale.step_g
    less = (take * (times - 1) / times / scale.step_g).to_integral_value() * scale.step_g
    pure = _pure(scale)
    base_g = float(sum(w.weigh_g for w in bucket.weighings if not w.addition))
    if less > left_g or pure * times > _MOST_TIMES * base_g * buckets:
        return none
    name, other = line.part.material.name, carrier.part.material.name
    text = (
        f"Mix {_say(pure, scale.units)} of {name} well with "
        f"{_say(pure * (times - 1), scale.units)} of {other}; take "
        f"{_say(float(take), scale.units)} of that for the {name}, and "
        f"{_say(float(less), scale.units)} less of {other}."
    )
    return text, less


def _only(bucket: Bucket, scale: Scale) -> str:
    larger = "" if enough_g(bucket, scale.step_g, scale.units) > _MOST_G else "larger batch or a "
    return f"{larger}finer scale"


def _enough(bucket: Bucket, scale: Scale) -> str:
    enough = enough_g(bucket, scale.step_g, scale.units)
    if enough > _MOST_G:
        return "Use a finer scale"
    return f"Mix {_say(enough, scale.units)} of base or more, or use a finer scale"


def _say(weight_g: float, units: Units, digits: int = 5) -> str:
    """In the unit of the scale."""
    if units in ("oz", "lb"):
        return f"{weight_g / float(UNIT_G['oz']):.{digits}g} oz"
    return f"{weight_g:.{digits}g} g"
