"""How many of each thing a question may hold: far more than a person means, and no more than can be
answered while one waits; our choice."""

from __future__ import annotations

from typing import Final

from cofire.errors import Place, refusal

MOST: Final = {
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
}
_FEWER = "Take some away, or ask in several questions."


def at_most(things: str, count: float, place: Place | None = None, hint: str = _FEWER) -> None:
    """Raises QuantityError for more of the ``things`` than a question may hold."""
    if count > MOST[things]:
        raise refusal("too-many", place, things=things, count=count, most=MOST[things], hint=hint)
