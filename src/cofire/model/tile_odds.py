"""How likely a fired tile is to come out as it did, draw by draw of what all tiles share."""

from __future__ import annotations

import numpy as np

from cofire.arrays import Array
from cofire.fit.crackle import spacing_mm
from cofire.model.body_draws import BodyDraws
from cofire.model.fit import FitDraws, crazing_margin_mpa
from cofire.model.standard_draws import rank_of
from cofire.records import Seen

#: Counting cracks along a line tells their mean distance to about this (1 sd of its logarithm),
#: tile for tile; our choice.
SPACING_SPREAD = 0.4
#: Tiles of which something else went wrong: a mistaken label, a flaw, a bad look. Our choice.
_MISTAKEN = 0.01
#: Points and weights of a normal distribution that get five moments right (Gauss-Hermite).
_NODES, _WEIGHTS = np.array([-(3.0**0.5), 0.0, 3.0**0.5]), np.array([1.0, 4.0, 1.0]) / 6.0


def odds_seen(
    seen: Seen, fits: FitDraws, body: BodyDraws, years: float, scatter_mpa: Array
) -> Array:
    """Odds (S, n) of what was seen after some years, for each scatter (S,) between tiles made
    alike; ``fits`` are without it."""
    sd = np.asarray(scatter_mpa)[:, None]
    if seen == "black":
        assert fits.pulled is not None
        likely = fits.pulled.smoked * rank_of((fits.pulled.smoke_mpa - fits.onset_mpa) / sd)
    else:
        whole = crazing_margin_mpa(years, fits, body)
        sheds = rank_of(-fits.holds_mpa / sd)
        if seen == "crazed":
            likely = rank_of(-whole / sd)
        elif seen == "shivered":
            likely = sheds
        else:
            likely = np.maximum(rank_of(whole / sd) - sheds, 0.0)
    return np.asarray(_MISTAKEN + (1.0 - 2.0 * _MISTAKEN) * likely)


def odds_spaced(
    mm: float, seen: Seen, fits: FitDraws, scatter_mpa: float, flaws_per_mm: Array
) -> Array:
    """Likelihood (F, n) of a distance of cracks, mm, given that there are some, for numbers of
    flaws (F,)."""
    pull = fits.max_tension_mpa
    if seen == "black" and fits.pulled is not None:
        pull = fits.pulled.smoke_mpa
    # a tile that cracked was pulled at least to its onset
    pulls = np.maximum(pull + scatter_mpa * _NODES[:, None], fits.onset_mpa)
    spacing = spacing_mm(
        pulls, fits.onset_mpa, fits.critical_mpa, fits.coat_mm, fits.z, flaws_per_mm[:, None, None]
    )
    off = (np.log(spacing) - np.log(mm)) / SPACING_SPREAD
    likely = np.einsum("k,fkn->fn", _WEIGHTS, np.exp(-0.5 * off**2))
    return np.asarray(_MISTAKEN + (1.0 - _MISTAKEN) * likely)
