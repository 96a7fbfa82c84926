"""How many of each thing a question may hold: far more than a person means, and no more than can be
answered while one waits; our choice."""

from __future__ import annotations

from typing import Final

from cofire.errors import Place, refusal

MOST: Final[dict[str, int]] = {
    "glazes in one firing": 20,  # every two of them may overlap on a pot
    "glazes on one body": 200,
    "glazes in one batch": 40,
    "lines in a recipe": 60,
    "segments of a firing": 60,
    "firings of one pot": 6,
    "hours of a firing": 400,
    "pulls of a firing": 500,  # with their counts
    "targets": 12,
    "materials to choose from": 300,
    "tiles": 20,
    "additions": 20,
    "changes": 60,
    "names of a material": 60,
    "lines in a certificate": 200,
    "glazes to swap": 500,
    "kiln logs": 20,
    "readings in a table": 20_000,
    "people": 1000,
    "teams": 200,
    "buckets": 200,
    "pots": 2000,
    "bins": 50,
    "pots in a bin": 20,
    "layers": 10,
    "kilns": 10,
    "hands": 20,
    "days": 14,
}
_FEWER = "Take some away, or ask in several questions."


def at_most(things: str, count: float, place: Place | None = None, hint: str = _FEWER) -> None:
    """Raises QuantityError for more of the ``things`` than a question may hold."""
    if count > MOST[things]:
        raise refusal("too-many", place, things=things, count=count, most=MOST[things], hint=hint)


def some(things: str, count: int) -> None:
    """Raises QuantityError unless there is one of the ``things`` and no more than there may be."""
    if not 1 <= count <= MOST[things]:
        raise refusal("no-such-count", name=things, count=count, most=MOST[things])
