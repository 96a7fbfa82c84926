"""How far the glass models miss on glasses they never saw."""

from __future__ import annotations

from copy import deepcopy
from dataclasses import dataclass
from typing import Any, ClassVar

from cofire import glass
from cofire.record import Record


@dataclass(frozen=True, eq=False, repr=False)
class CardAnswer(Record):
    """Scores of the models and of published tables, as the fit left them."""

    scores: dict[str, Any]
    schema: ClassVar = "card"
    json_hides: ClassVar = ("scores",)
    json_spreads: ClassVar = ("scores",)


def card() -> CardAnswer:
    """The scores that came with the coefficients."""
    return CardAnswer(deepcopy(glass.scores()))
