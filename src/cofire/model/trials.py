"""What a test of the glazed ware would say: steam, boiling and ice, frost."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cofire.arrays import Array
from cofire.fit.cracking import left_of_onset
from cofire.fit.stress import grown, steam_c, years_at_room
from cofire.model.body_draws import BodyDraws
from cofire.model.conditions import Conditions
from cofire.model.fit import FitDraws
from cofire.model.interval import Interval

#: Slow growth is at its end in water and steam, as after a year of moist air.
_WET_YEARS = 1.0
#: Ten times ten minutes in boiling water, each time into ice water; common practice, no source.
_BOIL_H, _BOIL_C, _CHILL_K = 100.0 / 60.0, 100.0, 100.0
#: Heat transfer to stirred ice water, W/(m² K), 5 % and 95 % ends taken as one middle; from memory.
_ICE_WATER_W_M2_K = 1000.0
#: Frost after a soak, from room temperature, K; and how much more room ice takes than water.
_FROST_K, _ICE_GROWS = 35.0, 0.09


@dataclass(frozen=True, eq=False)
class Trial:
    """A test: MPa of tension that the coat could bear more (90 %), and odds of no new crack."""

    name: str
    margin_mpa: Interval
    odds_passes: float


def trials(fits: FitDraws, body: BodyDraws, at: Conditions) -> tuple[Trial, ...]:
    """Tests of ware as it comes from the kiln."""
    steam = at.steam
    steamed = years_at_room(steam.hours, steam_c(steam.bar), body.steam_j_mol)
    boiled = years_at_room(_BOIL_H, _BOIL_C, body.steam_j_mol)
    return (
        _trial(
            f"steam, {steam.bar:g} bar for {steam.hours:g} h",
            grown(body.moisture, steamed, body.moist_early), fits, body,
        ),
        _trial(
            "boiled and into ice water, ten times",
            grown(body.moisture, boiled, body.moist_early) + _chilled(body, at), fits, body,
        ),
        _trial("soaked and frozen", _frozen(fits, body), fits, body),
    )  # fmt: skip


def _trial(name: str, strain: Array, fits: FitDraws, body: BodyDraws) -> Trial:
    bears = left_of_onset(_WET_YEARS, body.slow) * fits.onset_mpa / fits.rim
    margin = np.minimum(
        bears - fits.stress_mpa - fits.mpa_per_strain * strain,
        fits.onset_mpa / fits.rim - fits.max_tension_mpa,
    )
    return Trial(name, Interval.of_draws(margin, "MPa"), float((margin > 0.0).mean()))


def _chilled(body: BodyDraws, at: Conditions) -> Array:
    """Strain (N,) by which the wall is still longer than its chilled face: the largest gap of mean
    and face of a plate that loses heat at both, over the fall in temperature, is
    1 / (1.5 + 3.25 / b - 0.5 exp(-16 / b)), b the Biot number of half of it (Buessem, in
    Kingery, Property Measurements at High Temperatures, 1959; from memory)."""
    biot = _ICE_WATER_W_M2_K * 0.5e-3 * at.wall_mm / np.maximum(body.conducts_w_m_k, 0.2)
    gap_k = _CHILL_K / (1.5 + 3.25 / biot - 0.5 * np.exp(-16.0 / biot))
    return np.asarray(body.alpha_to(np.full(len(biot), 120.0)) * 1e-6 * gap_k)


def _frozen(fits: FitDraws, body: BodyDraws) -> Array:
    """Strain (N,) by which the wall outgrows its coat: the further fall in temperature, and ice
    that finds no room in the pores."""
    pores = 0.01 * np.mean(body.body.open_porosity_percent or (10.0, 20.0))
    ice = pores * np.maximum((1.0 + _ICE_GROWS) * body.soaked - 1.0, 0.0) / 3.0
    return np.asarray((fits.alpha_glaze - fits.alpha_body) * 1e-6 * _FROST_K + ice)
