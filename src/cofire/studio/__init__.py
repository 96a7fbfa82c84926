"""The Python API: every question of the command line, asked of a studio.

Recipes, bodies, firings and kilns are given by name or id, as a file, as a dictionary of what the
file would say, or as a record in hand. Quantities are text with a unit (``wall="6 mm"``) or numbers
under a name that ends in the unit (``wall_mm=6``). Answers are records: short in print, whole by
``to_dict()``, the same as ``--json``. Whatever is wrong with what was given raises
``cofire.CofireError`` with a sentence for people.
"""

from __future__ import annotations

from importlib import import_module
from typing import Any

from cofire.record import PICTURES
from cofire.studio.changes import Changes
from cofire.studio.exchange import Exchange
from cofire.studio.questions import Questions
from cofire.studio.shelves import Shelves
from cofire.studio.workshop import Workshop


class Studio(Questions, Changes, Workshop, Exchange, Shelves):
    """A person's own folder (or none) together with all that is shipped.

    >>> import cofire
    >>> cofire.Studio().formula("clear-crackle").to_dict()["schema"]["name"]
    'cofire.formula'
    """


def _drawn(module: str, function: str) -> Any:
    """A drawing function of ``show.pictures``, loaded when it is called."""
    return lambda *what: getattr(import_module(f"cofire.show.pictures.{module}"), function)(*what)


PICTURES.update(
    FitAnswer=lambda answer: _drawn("strip", "strip_svg")([answer]),
    FitAnswers=lambda answers: _drawn("strip", "strip_svg")(answers.glazes),
    FiringAnswer=_drawn("firing", "firing_svg"),
    Blend=_drawn("blend", "blend_svg"),
    MapAnswer=_drawn("map", "map_svg"),
)
