"""Additions to one recipe, for a line or a grid."""

from __future__ import annotations

from dataclasses import dataclass

from cofire.errors import refusal
from cofire.files.library import Library
from cofire.read.number import written
from cofire.read.span import read_span
from cofire.records import Material


@dataclass(frozen=True, eq=False)
class Addition:
    """A material over the base, from ``low`` to ``high`` per cent of the base by dry weight."""

    material: Material
    low: float
    high: float
    others: tuple[Material, ...] = ()  # that carry the name it was given


_EXAMPLE = "“copper carbonate 0-5” for 0 to 5 % of the base"


def read_addition(library: Library, text: str) -> Addition:
    """“copper carbonate 0-5”, “tin oxide 0 to 8 %” -> a material and its range.

    Raises QuantityError for an impossible range, UnknownNameError for the material.
    """
    span = read_span(text)
    if span is None:
        raise refusal("no-addition", text=text, example=_EXAMPLE)
    low, high = span.low, span.high
    if min(low, high) < 0.0:
        raise refusal("addition-below-zero", text=text, example=_EXAMPLE)
    if max(low, high) > 100.0:
        raise refusal("addition-above-base", text=text)
    if low >= high:
        raise refusal(
            "addition-goes-down",
            text=text,
            hint=f"Write the smaller amount first: “{span.name} {written(high)}-{written(low)}”."
            if low > high
            else f"Write two different amounts, as {_EXAMPLE}.",
        )
    material, others = library.material(span.name)
    return Addition(material, low, high, others)
