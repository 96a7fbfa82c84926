"""How thick is the fired coat? People say it fired, dry, or as dips and brushed coats."""

from __future__ import annotations

import re
from dataclasses import dataclass

from cofire.errors import refusal
from cofire.read.number import NUMBER, short, whole_number
from cofire.read.units import millimetres

#: Measured once: a dry coat of 0.41 mm fired to 0.20 mm (one potter's own
#: measurement). Other glazes pack and lose differently; the spread below allows for it.
FIRED_PER_DRY = 0.20 / 0.41
#: Fired millimetres that one brushed coat or one short dip leaves; common practice, no source.
FIRED_PER_BRUSHED_MM = 0.08
FIRED_PER_DIP_MM = 0.25
#: Coats vary over one pot by about this share (1 sd); common practice, no source.
SPREAD = 0.20

_COUNTED = re.compile(
    rf"({NUMBER})\s*(?:x\s*)?(brush(?:ed|es|ing|ings)?|dip(?:s|ped|ping|pings)?)"
    r"(?:\s*(?:coats?|passes))?"
)
_LIKE_COUNTED = re.compile(rf"{NUMBER}\s*(?:x\s*)?(?:brush|dip)")
EXAMPLE = "“0.25 mm fired”, “0.5 mm dry”, “3 brushed” or “1 dip”"


@dataclass(frozen=True)
class Coat:
    """Fired thickness in millimetres and how it was arrived at."""

    fired_mm: float
    reading: str


DEFAULT = Coat(0.25, "0.25 mm fired, assumed: no coat was given")


def read_coat(text: str) -> Coat:
    """“0.25 mm fired”, “0.5 mm dry”, “3 brushed”, “1 dip” -> fired coat.

    Raises QuantityError for a bare number, a bare length, a misspelt word, or a coat no glaze can
    have.
    """
    words = short(text).strip().lower()
    if match := _COUNTED.fullmatch(words):
        count = whole_number(match[1])
        brushed = match[2].startswith("brush")
        fired = count * (FIRED_PER_BRUSHED_MM if brushed else FIRED_PER_DIP_MM)
        how = ("brushed coat" if brushed else "dip") + "s" * (count != 1)
        reading = f"{count} {how}, taken as {fired:.2g} mm fired (common practice, no source)"
    elif match := re.fullmatch(r"(.+?)\s+(fired|dry)", words):
        length = millimetres(match[1])
        fired = length * (1.0 if match[2] == "fired" else FIRED_PER_DRY)
        reading = f"{length:g} mm {match[2]}" + (
            "" if match[2] == "fired" else f", taken as {fired:.2g} mm fired"
        )
    else:
        name = "no-such-coat" if _LIKE_COUNTED.match(words) else "fired-or-dry"
        raise refusal(name, text=text, example=EXAMPLE)
    if not 0.01 <= fired <= 5.0:
        raise refusal("impossible-coat", fired=fired)
    return Coat(fired, reading)


def read_coats(text: str) -> tuple[Coat, ...]:
    """One coat, or several parted by semicolons: “3 brushed; 1 dip”."""
    return tuple(read_coat(piece) for piece in text.split(";"))
