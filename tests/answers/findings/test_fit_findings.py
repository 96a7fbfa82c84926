"""When a fit has something to mind, and when it has not."""

from __future__ import annotations

import pytest

from cofire.answers.fit import fit
from cofire.files.library import Library
from cofire.model.conditions import Conditions

LIB = Library()


@pytest.mark.parametrize(
    ("cooling", "burns"),
    [
        ("20 s air, 2 min bin", True),  # lifted out red-hot
        ("20 s air, 2 min bin, water", False),  # quenched: no air gets at the carbon
        ("20 s air, 2 h bin", False),  # cold by then
        ("20 s air", False),  # no smoke, no carbon
    ],
)
def test_carbon_burns_out_of_what_is_opened_hot(cooling: str, burns: bool) -> None:
    at = Conditions.read(LIB, body="raku", firing="raku-workshop", cooling=cooling)
    found = [f.code for f in fit(LIB, LIB.recipe("clear-crackle"), at).findings]
    assert ("carbon-burns" in found) == burns


@pytest.mark.parametrize(("ends_c", "short"), [(460, True), (800, False)])
def test_a_curve_that_ends_below_where_the_glaze_sets(cofire, ends_c: int, short: bool) -> None:  # type: ignore[no-untyped-def]
    rows = [f"{t},{6.1e-4 * (t - 20):.5f}" for t in range(20, ends_c + 1, 20)]
    cofire.write("clay.csv", "\n".join(["temperature (C),dL/L0 (%)", *rows]))
    clay = (
        'name = "x"\nsource = "test"\n[expansion]\ncurve = "clay.csv"\n[stiffness]\n'
        "youngs_modulus_gpa = [15, 20]\npoisson = [0.18, 0.20]\n"
    )
    at = Conditions(LIB.body(cofire.write("clay.toml", clay)))
    found = [f.code for f in fit(LIB, LIB.recipe("frit-gloss"), at).findings]
    assert ("curve-too-short" in found) == short
