"""The strip of stresses, worked by hand for a glaze of one draw."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from cofire import glass
from cofire.chem.oxides import OXIDES
from cofire.fit.crackle import spacing_mm
from cofire.model.strip import strip_of


def fits(flaws: float) -> Any:
    return SimpleNamespace(
        stress_mpa=np.array([-30.0, -10.0, 4.0]),
        mpa_per_alpha=np.array([2.0, 3.0, 9.0]),
        limits_mpa=(-80.0, 25.0, 40.0),
        onset_mpa=np.array([40.0]),
        critical_mpa=np.array([22.0]),
        coat_mm=np.array([0.3]),
        z=np.array([2.0]),
        flaws_per_mm=np.array([flaws]),
    )


def test_nets_stand_where_cracks_are_so_far_apart() -> None:
    for flaws in (0.05, 0.12, 2.0):
        found = strip_of(fits(flaws), None)
        zones = found.shivers_below, found.crazes_by_horizon_from, found.crazes_at_once_from
        assert zones == (-80.0, 25.0, 40.0)
        assert found.published_tables == {}

        def apart(mpa: float, flaws: float = flaws) -> float:
            one = [np.array([v]) for v in (mpa, 40.0, 22.0, 0.3, 2.0, flaws)]
            return float(spacing_mm(*one)[0])

        widest, finest = apart(1.01 * 40.0), apart(12.0 * 40.0)
        nets = [mm for mm in (20.0, 10.0, 5.0, 3.0, 2.0) if finest < mm < widest]
        assert [net.mm for net in found.cracks_apart_mm] == nets
        for net in found.cracks_apart_mm:
            assert apart(net.from_mpa) == pytest.approx(net.mm, rel=0.01)


def test_a_table_moves_the_middle_along_its_slope() -> None:
    """The middle is at -10 MPa, and 1e-6/K more expansion pulls 3 MPa more."""
    mol = soda_lime()
    ours = float(glass.expansion(mol).value[0])
    found = strip_of(fits(0.12), mol).published_tables
    assert len(found) >= 2
    for table in glass.published.tables():
        alpha = float(glass.published.expansion(mol, table)[0])
        assert (table.name in found) is bool(np.isfinite(alpha))
        if table.name in found:
            assert found[table.name] == pytest.approx(-10.0 + 3.0 * (alpha - ours))


def soda_lime() -> Any:
    mol = np.zeros((1, len(OXIDES)))
    for oxide, share in (("SiO2", 0.72), ("Na2O", 0.15), ("CaO", 0.11), ("Al2O3", 0.02)):
        mol[0, list(OXIDES).index(oxide)] = share
    return mol
