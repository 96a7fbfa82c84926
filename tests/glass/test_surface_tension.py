"""Surface tension against measured melts."""

from __future__ import annotations

import numpy as np
import pytest

from cofire import glass
from cofire.chem.composition import mol_from_wt
from cofire.chem.oxides import OXIDES


def melt(**wt: float) -> np.ndarray:
    return mol_from_wt(np.array([[wt.get(o, 0.0) for o in OXIDES]]))


def test_soda_lime_melt() -> None:
    """Window glass at 1200 °C: about 310 to 320 mN/m (Parmelee & Lyon 1934, Badger et al. 1937;
    from memory)."""
    window = glass.surface_tension(melt(SiO2=72, Na2O=14, CaO=10, MgO=3, Al2O3=1), 1200.0)
    assert window.value[0] == pytest.approx(315.0, abs=15.0)
    assert window.low[0] < 310.0 < window.high[0]


def test_dietzels_rules() -> None:
    """Dietzel 1942: alumina and magnesia raise, boron and lead lower; 4 mN/m less per 100 °C."""
    base = melt(SiO2=60, Na2O=12, CaO=8, B2O3=12, Al2O3=8)
    tension = glass.surface_tension(base, 900.0).value[0]
    assert glass.surface_tension(base, 1000.0).value[0] == pytest.approx(tension - 4.0)
    more_boron = glass.surface_tension(melt(SiO2=60, Na2O=12, CaO=8, B2O3=20, Al2O3=8), 900.0)
    more_alumina = glass.surface_tension(melt(SiO2=60, Na2O=12, CaO=8, B2O3=12, Al2O3=16), 900.0)
    assert more_boron.value[0] < tension < more_alumina.value[0]


def test_the_interval_admits_how_little_is_known() -> None:
    plain = glass.surface_tension(melt(SiO2=60, Na2O=12, CaO=8, B2O3=12, Al2O3=8), 900.0)
    leaded = glass.surface_tension(melt(SiO2=50, Na2O=5, PbO=40, Al2O3=5), 900.0)
    for tension in (plain, leaded):
        assert tension.high[0] - tension.value[0] > 30.0
