"""Ranges: “copper carbonate 0-5”, “tin oxide 0 to 8 %”, “silica 10–40”."""

from __future__ import annotations

import re
from dataclasses import dataclass

from cofire.read.number import NUMBER, number, short

_PERCENT = r"\s*(?:%|per\s?cent)?\s*"
_SPAN = re.compile(
    rf"(?P<name>.*?\S)\s+(?P<low>{NUMBER}){_PERCENT}(?:-|–|—|to){_PERCENT}(?P<high>{NUMBER})"
    rf"{_PERCENT}"
)
_ONE = re.compile(rf".*?\S\s+{NUMBER}{_PERCENT}")


@dataclass(frozen=True)
class Span:
    """A name, and two numbers in the order in which they stand behind it."""

    name: str
    low: float
    high: float


def read_span(text: str) -> Span | None:
    """None unless two numbers follow a name. Raises QuantityError for ambiguous numbers."""
    match = _SPAN.fullmatch(short(text).strip())
    if match is None:
        return None
    return Span(match["name"], float(number(match["low"])), float(number(match["high"])))


def ends_in_one_number(text: str) -> bool:
    """“silica 20”: a name with a number behind it, where a span may be wanted."""
    return bool(_ONE.fullmatch(text))
