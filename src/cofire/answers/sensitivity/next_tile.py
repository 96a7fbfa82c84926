"""The one tile to fire next: what it may show, and the odds of the answer after each."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np

from cofire.answers.sensitivity.sources import WeighingPlan
from cofire.arrays import Mask
from cofire.model.body_draws import BodyDraws
from cofire.model.conditions import Conditions
from cofire.model.fit import crazing_margin_mpa, fit_draws
from cofire.model.glaze_draws import Drawing
from cofire.model.outcome import draw_recipe, judge_draws
from cofire.model.standard_draws import normals
from cofire.read.coat import Coat
from cofire.ripeness.judge import runs

#: Coats of a tile that are tried, over the one that is judged: the thin one and the thick one show
#: whether there is room. Our choice.
_COATS = (1.0, 0.6, 1.6)
#: Its own coat and scatter come from this stream.
_STREAM = 7
#: A tile is looked at after three days.
_DAYS_YEARS = 3.0 / 365.25
#: Outcomes rarer than this are not worth a line.
_RARE = 0.01


class After(NamedTuple):
    """What a tile shows, the odds that it does, and those of the answer then."""

    shows: str
    odds: float
    odds_right: float


@dataclass(frozen=True, eq=False)
class NextTile:
    """A tile of the same glaze on the same clay, handled alike."""

    coat_fired_mm: float
    results: tuple[After, ...]


def next_tile(weighing: WeighingPlan, at: Conditions, right: Mask) -> NextTile | None:
    """The tile that moves the odds most; ``right`` (N,) are the draws that are right by now. None
    without a body."""
    if at.body_draws is None:
        return None
    own, tiles = at.coat(0).fired_mm, []
    for factor in _COATS:
        mm = min(factor * own, at.wall_mm)
        shows = _shows(weighing, at.with_coat(Coat(mm, f"{mm:.2g} mm fired")), at.body_draws)
        results = tuple(
            After(name, float(seen.mean()), float(right[seen].mean()))
            for name, seen in shows.items()
            if seen.mean() >= _RARE
        )
        tiles.append(NextTile(mm, results))
    before = float(right.mean())
    return max(tiles, key=lambda t: sum(r.odds * (r.odds_right - before) ** 2 for r in t.results))


def _shows(weighing: WeighingPlan, at: Conditions, body: BodyDraws) -> dict[str, Mask]:
    """In which draws (N,) a tile shows what: the first of these that it does. Glaze, clay and law
    are those of the pot; coat, place and scatter its own."""
    draws = draw_recipe(weighing.recipe, at, Drawing(stream=_STREAM))
    body = replace(body, scatter_mpa=body.body.scatter_mpa * normals("pot", draws.n, _STREAM))
    fits = fit_draws(draws, body, at)
    outcome = judge_draws(draws, at, fits=fits)
    seen: dict[str, Mask] = {}
    if outcome.ripe is not None:
        seen["runs"] = np.any([runs(s, at.criteria) for s in outcome.stages], axis=0)
        seen["is not ripe"] = ~outcome.ripe
    seen["sheds flakes"] = fits.shivers
    seen["crazes within days"] = crazing_margin_mpa(_DAYS_YEARS, fits, body) <= 0.0
    left, first = np.ones(draws.n, bool), {}
    for name, does in seen.items():
        first[name] = left & does
        left &= ~does
    return first | {"comes out whole": left}
