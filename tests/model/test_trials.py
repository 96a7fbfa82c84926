"""Steam, boiling and frost, worked by hand for single draws."""

from __future__ import annotations

import math
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from cofire.fit.cracking import left_of_onset
from cofire.fit.stress import grown, steam_c, years_at_room
from cofire.model.trials import trials

FITS: Any = SimpleNamespace(
    onset_mpa=np.array([40.0]),
    rim=np.array([1.25]),
    stress_mpa=np.array([-10.0]),
    mpa_per_strain=np.array([1e4]),
    max_tension_mpa=np.array([-50.0]),
    alpha_glaze=np.array([7.0]),
    alpha_body=np.array([5.0]),
)
LEFT = float(left_of_onset(1.0))


def body(**more: Any) -> Any:
    facts = {
        "slow": 1.0,
        "moisture": 1e-4,
        "moist_early": 0.0,
        "steam_j_mol": 60_000.0,
        "conducts_w_m_k": 1.0,
        "soaked": 0.8,
    } | more
    return SimpleNamespace(
        **{name: np.array([value]) for name, value in facts.items()},
        alpha_to=lambda t_c: 6.0 + 0.0 * t_c + (t_c != 120.0),
        body=SimpleNamespace(open_porosity_percent=more.get("porosity", (10.0, 14.0))),
    )


AT: Any = SimpleNamespace(steam=SimpleNamespace(bar=4.0, hours=2.0), wall_mm=6.0)


def margins(clay: Any, fits: Any = FITS) -> list[float]:
    return [one.margin_mpa.value for one in trials(fits, clay, AT)]


def test_what_a_coat_could_bear_more() -> None:
    """All three begin with what is left of the onset, 40 / 1.25 MPa, after a year of moist air,
    and the compression of 10 MPa; each takes 1e4 MPa per strain."""
    begins = LEFT * 40.0 / 1.25 + 10.0
    steam, boil, frost = margins(body())
    # steam of 4 bar for 2 h
    grows = float(grown(1e-4, years_at_room(2.0, steam_c(4.0), 60_000.0)))
    assert steam == pytest.approx(begins - 1e4 * grows)
    # 100 min in boiling water; then ice water of 1000 W/(m² K) on a wall of 6 mm: a Biot number of
    # 1000 x 0.003 / 1 = 3, and a gap of 100 / (1.5 + 3.25 / 3 - 0.5 exp(-16 / 3)) K
    grows = float(grown(1e-4, years_at_room(100.0 / 60.0, 100.0, 60_000.0)))
    gap_k = 100.0 / (1.5 + 3.25 / 3.0 - 0.5 * math.exp(-16.0 / 3.0))
    assert boil == pytest.approx(begins - 1e4 * (grows + 6e-6 * gap_k))
    # 35 K colder, 2e-6/K apart; 80 % of the pores hold water that grows by 9 %: all of it fits
    assert frost == pytest.approx(begins - 1e4 * 2e-6 * 35.0)


def test_ice_that_finds_no_room() -> None:
    """12 % of pores, all full: 12 % x 0.09 more in all directions, a third of it in each; clay of
    unknown pores has 15 %."""
    full = 0.12 * 0.09 / 3.0
    dry, wet = margins(body())[2], margins(body(soaked=1.0))[2]
    assert dry - wet == pytest.approx(1e4 * full)
    unknown = margins(body(soaked=1.0, porosity=None))[2]
    assert dry - unknown == pytest.approx(1e4 * full * 15.0 / 12.0)


def test_clay_that_hardly_conducts() -> None:
    """It is taken to conduct at least 0.2 W/(m K)."""
    assert margins(body(conducts_w_m_k=0.05)) == margins(body(conducts_w_m_k=0.2))
    assert margins(body(conducts_w_m_k=0.2))[1] < margins(body())[1] - 1.0


def test_early_growth_counts_in_steam_and_in_water() -> None:
    late, early = margins(body()), margins(body(moist_early=1.0))
    assert early[0] < late[0] - 0.01
    assert early[1] < late[1] - 0.01
    assert early[2] == late[2]


def test_what_cracked_on_its_way_bears_no_less_than_that() -> None:
    """It was pulled to 30 of the 32 MPa that it bears while it cooled: 2 MPa are left."""
    pulled = SimpleNamespace(**{**vars(FITS), "max_tension_mpa": np.array([30.0])})
    assert margins(body(), pulled) == pytest.approx([2.0] * 3)


def test_odds_count_draws() -> None:
    """One of four bears it, at 31 of 32 MPa; one that is pulled to 32 has cracked."""
    four = SimpleNamespace(**{name: np.full(4, value[0]) for name, value in vars(FITS).items()})
    four.max_tension_mpa = np.array([33.0, 32.0, 34.0, 31.0])
    clay = body()
    names = []
    for trial in trials(four, clay, AT):
        assert trial.odds_passes == 0.25
        assert trial.margin_mpa.unit == "MPa"
        names.append(trial.name)
    assert names == [
        "steam, 4 bar for 2 h",
        "boiled and into ice water, ten times",
        "soaked and frozen",
    ]
