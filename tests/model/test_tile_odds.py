"""Odds of what a tile showed, worked by hand for single draws."""

from __future__ import annotations

import math
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from cofire.fit.cracking import left_of_onset
from cofire.fit.crackle import spacing_mm
from cofire.fit.stress import grown
from cofire.model.tile_odds import odds_seen, odds_spaced

NORMAL = {0.0: 0.5, 1.0: 0.841345, -1.0: 0.158655, 2.0: 0.977250, -2.0: 0.022750}
#: One draw each: it crazes above 40 MPa of tension, and sheds once ``holds`` is below none.
FITS: Any = SimpleNamespace(
    onset_mpa=np.array([40.0]),
    rim=np.array([1.0]),
    holds_mpa=np.array([20.0]),
    stress_mpa=np.array([-10.0]),
    max_tension_mpa=np.array([60.0]),
    mpa_per_strain=np.array([0.0]),
    critical_mpa=np.array([20.0]),
    coat_mm=np.array([0.3]),
    z=np.array([2.0]),
    pulled=SimpleNamespace(smoked=np.array([1.0]), smoke_mpa=np.array([50.0])),
)
BODY: Any = SimpleNamespace(
    moisture=np.array([0.0]), moist_early=np.array([0.0]), slow=np.array([0.0])
)


@pytest.mark.parametrize(
    ("seen", "scatter", "likely"),
    [
        ("black", 10.0, NORMAL[1.0]),  # 50 MPa in the smoke, 40 needed
        ("black", 5.0, NORMAL[2.0]),
        ("crazed", 20.0, NORMAL[1.0]),  # 60 MPa at most, 40 needed
        ("crazed", 10.0, NORMAL[2.0]),
        ("shivered", 20.0, NORMAL[-1.0]),  # it holds 20 MPa more
        ("shivered", 10.0, NORMAL[-2.0]),
        ("whole", 20.0, 0.0),  # 1 sd below: no less than nothing is left of it
    ],
)
def test_odds_of_one_draw(seen: Any, scatter: float, likely: float) -> None:
    """One tile in a hundred is mistaken, whichever way: 0.01 + 0.98 x."""
    (((found,),),) = (odds_seen(seen, FITS, BODY, 1.0, np.array([scatter])),)
    assert found == pytest.approx(0.01 + 0.98 * likely, abs=1e-4)


def test_whole_is_what_is_left_of_crazed_and_shed() -> None:
    calm = SimpleNamespace(**{**vars(FITS), "max_tension_mpa": np.array([20.0])})
    (found,) = odds_seen("whole", calm, BODY, 1.0, np.array([20.0, 10.0])).T
    assert found[0] == pytest.approx(0.01 + 0.98 * (NORMAL[1.0] - NORMAL[-1.0]), abs=1e-4)
    assert found[1] == pytest.approx(0.01 + 0.98 * (NORMAL[2.0] - NORMAL[-2.0]), abs=1e-4)
    none = SimpleNamespace(**{**vars(FITS), "pulled": SimpleNamespace(
        smoked=np.array([0.0]), smoke_mpa=np.array([50.0]))})  # fmt: skip
    assert odds_seen("black", none, BODY, 1.0, np.array([5.0])) == pytest.approx(0.01)


@pytest.mark.parametrize("seen", ["crazed", "black"])
def test_a_distance_of_cracks_is_told_to_two_fifths(seen: Any) -> None:
    """Without scatter every node is one pull: at its own distance the likelihood is 1, and
    exp(-1/2) at e^0.4 times it."""
    flaws = np.array([0.12])
    pull = 60.0 if seen == "crazed" else 50.0
    own = float(spacing_mm(np.array([pull]), *(getattr(FITS, name) for name in (
        "onset_mpa", "critical_mpa", "coat_mm", "z")), flaws)[0])  # fmt: skip
    for off, likely in ((0.0, 1.0), (0.4, math.exp(-0.5)), (-0.8, math.exp(-2.0))):
        (found,) = odds_spaced(own * math.exp(off), seen, FITS, 0.0, flaws)[0]
        assert found == pytest.approx(0.01 + 0.99 * likely, abs=1e-6)


def test_scatter_spreads_a_distance() -> None:
    """Three pulls, sqrt 3 scatters apart, weigh 1 : 4 : 1; none is below the onset."""
    flaws, mm = np.array([0.12, 0.3]), 5.0
    for scatter in (4.0, 40.0):
        pulls = [max(60.0 + k * 3.0**0.5 * scatter, 40.0) for k in (-1.0, 0.0, 1.0)]
        for count, found in zip(
            flaws, odds_spaced(mm, "crazed", FITS, scatter, flaws), strict=True
        ):
            likely = 0.0
            for pull, weight in zip(pulls, (1.0, 4.0, 1.0), strict=True):
                apart = float(spacing_mm(np.array([pull]), FITS.onset_mpa, FITS.critical_mpa,
                                         FITS.coat_mm, FITS.z, np.array([count]))[0])  # fmt: skip
                likely += weight / 6.0 * math.exp(-0.5 * (math.log(apart / mm) / 0.4) ** 2)
            assert found[0] == pytest.approx(0.01 + 0.99 * likely, rel=1e-6)


def test_years_count() -> None:
    """Ten years of growth of 0.001 in a coat of 10 GPa pull it by 10 MPa more."""
    moist: Any = SimpleNamespace(
        moisture=np.array([0.001]), moist_early=np.array([0.0]), slow=np.array([1.0])
    )
    calm: Any = SimpleNamespace(**{**vars(FITS), "max_tension_mpa": np.array([-99.0]),
                                   "mpa_per_strain": np.array([1e4])})  # fmt: skip
    left = float(left_of_onset(10.0)) * 40.0 - (-10.0) - 1e4 * float(grown(0.001, 10.0))
    (((found,),),) = (odds_seen("crazed", calm, moist, 10.0, np.array([left / 2.0])),)
    assert found == pytest.approx(0.01 + 0.98 * NORMAL[-2.0], abs=1e-4)
