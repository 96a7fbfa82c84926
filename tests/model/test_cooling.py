"""When ware leaves the kiln, and how hot it then is."""

from __future__ import annotations

from dataclasses import replace

import pytest

from cofire.files.library import Library
from cofire.model.conditions import Conditions
from cofire.model.cooling import pull_c

DAY = Library().firing("raku-workshop")  # to 943.3 °C (1730 °F), then held at 915.6 °C (1680 °F)


def test_ware_sets_from_where_the_first_of_it_is_pulled() -> None:
    peak_c, hold_c = (1730.0 - 32.0) / 1.8, (1680.0 - 32.0) / 1.8
    assert pull_c(DAY) == pytest.approx(hold_c, abs=0.01)
    (usual,) = DAY.pulls
    early = replace(usual, name="test", segment=1, after_min=5.0, count=1)
    for pulls in ((early, usual), (usual, early)):
        assert pull_c(replace(DAY, pulls=pulls)) == pytest.approx(peak_c, abs=0.01)
    hotter = replace(DAY, kiln=replace(DAY.kiln, reads_off_c=12.0))
    assert pull_c(hotter) == pytest.approx(hold_c + 12.0, abs=0.01)


def test_the_path_begins_there() -> None:
    at = Conditions.read(Library(), firing="raku-workshop")
    assert at.cooling_curve.path is not None
    assert at.cooling_curve.path.skin_c[0] == pytest.approx(pull_c(DAY), abs=0.5)
