"""Draws of the crazing law, weighted with measured onsets of crazing (the guard rail)."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from cofire.arrays import Array
from cofire.fit.cracking import (
    FLAW_FACTOR,
    FLAW_SPREAD,
    SLOW_SPREAD,
    at_rim,
    channel_factor,
    critical_stress_mpa,
    left_of_onset,
    toughness_mpa_m05,
)
from cofire.fit.stress import (
    TwoLayers,
    body_strain,
    closed_pot_mpa,
    grown,
    plane_strain_gpa,
    years_at_room,
)
from cofire.glass.estimate import Z90
from cofire.model.standard_draws import N, Source, normals, rank_of

#: The melt still shrinks as a liquid for some kelvins after its stress has frozen: a strain up to
#: this (our own Tool-Narayanaswamy sandwich, tests/fit/tool_narayanaswamy.py, gives 1 to 2.5e-4).
RELAXATION = 2.5e-4
#: Activation energy of taking up moisture, J/mol, 5 % and 95 % ends; the more a clay takes up in
#: ten years at room temperature, the less there is to speed up: correlated with it. Weighted guess.
STEAM_J_MOL = (50e3, 95e3)
_STEAM_WITH_MOISTURE = -0.5

#: The guard rail: four porous biscuits of 5.2 to 7.2e-6/K (20 to 540 °C) cracked their glazes in
#: the kiln from about 1.0e-6/K more on, within days from 0 to 1.0 as they took up 0.05 to 0.1 % of
#: moisture expansion, and below 0 not even after 12 h in vapour of 98 °C (Ceramics-Silikaty,
#: abstract seen; authors from memory Plesingerova and co-workers). Onsets that say so, as excess of
#: the glaze over the biscuit in 1e-6/K, and how far off (1 sd) each may be: at once, after a year
#: and after the vapour. Weights of ours: the shapes and coats of those samples are not known.
RAIL = {"at once": (0.76, 0.3), "a year": (-0.36, 0.35), "vapour": (-0.20, 0.6)}
#: The samples as we take them: pots of middling bisque and soda-lime-like coats.
RAIL_MOISTURE_PERCENT = (0.03, 0.12)
_RAIL_COAT_MM, _RAIL_WALL_MM, _RAIL_SET_C, _RAIL_TO_C = 0.25, 6.0, 545.0, 540.0
_RAIL_GLAZE, _RAIL_BODY, _RAIL_QUARTZ = (70.0, 0.22), (18.0, 0.19), 0.08
#: Draws before the rail takes its part, over those asked for; two of five are left.
_POOL = 4

#: Sources whose draws the rail ties together.
_TIED: tuple[Source, ...] = (
    "flaws of the coat", "slow growth", "relaxation", "body moisture", "early moisture",
    "steam energy",
)  # fmt: skip


@dataclass(frozen=True, eq=False)
class Law:
    """Draws (n,) of what the crazing law leaves open. ``moisture`` is a standard normal deviate:
    where a clay is within its own range."""

    flaws: Array  # factor on the onset
    slow: Array  # factor on what slow growth takes from it
    relaxation: Array  # strain
    moisture: Array
    early: Array  # 0 to 1
    steam_j_mol: Array


def _law(z: dict[str, Array]) -> Law:
    low, high = STEAM_J_MOL
    rho = _STEAM_WITH_MOISTURE
    steam = rho * z["body moisture"] + np.sqrt(1.0 - rho**2) * z["steam energy"]
    return Law(
        flaws=np.exp(FLAW_SPREAD * z["flaws of the coat"]),
        slow=np.maximum(1.0 + SLOW_SPREAD * z["slow growth"], 0.0),
        relaxation=RELAXATION * rank_of(z["relaxation"]),
        moisture=z["body moisture"],
        early=rank_of(z["early moisture"]),
        steam_j_mol=0.5 * (low + high) + 0.5 * (high - low) / Z90 * steam,
    )


def onset_1e6_per_k(law: Law, years: float, *, hours_at_c: tuple[float, float] | None) -> Array:
    """Excess of a glaze over the biscuit (n,), 1e-6/K, from which the pots of the rail craze after
    years of room air, or after hours at a temperature in steam or vapour."""
    low, high = RAIL_MOISTURE_PERCENT
    in_ten = 0.01 * (0.5 * (low + high) + 0.5 * (high - low) / Z90 * law.moisture)
    age: Array | float = years
    if hours_at_c is not None:
        age, years = years_at_room(*hours_at_c, law.steam_j_mol), 1.0
    moist = grown(np.maximum(in_ten, 0.0), age, law.early) if np.any(age) else 0.0
    coat, body = plane_strain_gpa(*_RAIL_GLAZE), plane_strain_gpa(*_RAIL_BODY)
    z = channel_factor(coat, body)
    critical = critical_stress_mpa(_RAIL_COAT_MM, toughness_mpa_m05(_RAIL_GLAZE[0]), z)
    bears = FLAW_FACTOR["pot"] * law.flaws * critical * left_of_onset(years, law.slow)
    layers = TwoLayers(*_RAIL_GLAZE, _RAIL_COAT_MM, *_RAIL_BODY, _RAIL_WALL_MM)
    per_strain = closed_pot_mpa(np.array(1.0), layers)
    per_strain = per_strain * at_rim(_RAIL_COAT_MM, _RAIL_WALL_MM, _RAIL_GLAZE[0], _RAIL_BODY[0])
    none = np.zeros(())
    squeezed = body_strain(np.array(_RAIL_SET_C), none, _RAIL_TO_C, none, np.array(_RAIL_QUARTZ))
    strain = bears / per_strain - law.relaxation - moist + squeezed
    return np.asarray(1e6 * strain / (_RAIL_SET_C - 20.0))


@cache
def _kept(pool: int) -> NDArray[np.intp]:
    """Which of the first ``pool`` draws the rail lets through: each by its likelihood."""
    law = _law({source: normals(source, pool) for source in _TIED})
    seen = {
        "at once": onset_1e6_per_k(law, 0.0, hours_at_c=None),
        "a year": onset_1e6_per_k(law, 1.0, hours_at_c=None),
        "vapour": onset_1e6_per_k(law, 0.0, hours_at_c=(12.0, 98.0)),
    }
    misses = [(seen[name] - middle) / sd for name, (middle, sd) in RAIL.items()]
    likely = np.exp(-0.5 * np.sum(np.square(misses), axis=0))
    return np.flatnonzero(rank_of(normals("rail", pool)) < likely)


def draw_law(n: int = N) -> Law:
    """The first ``n`` draws of the law that agree with the guard rail."""
    pool = _POOL * max(n, N)
    kept = _kept(pool)[:n]
    assert len(kept) == n
    return _law({source: normals(source, pool)[kept] for source in _TIED})
