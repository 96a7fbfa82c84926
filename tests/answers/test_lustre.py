"""Lustre windows against reported firings."""

from __future__ import annotations

import pytest

from cofire import glass
from cofire.answers.lustre import MOVES_LOG10_ETA, STICKS_LOG10_ETA, lustre
from cofire.chem.composition import mol_from_wt
from cofire.chem.oxides import vector
from cofire.files.library import Library
from cofire.model.conditions import Conditions

LIB = Library()


@pytest.mark.published
@pytest.mark.parametrize("lead_wt", [37.0, 46.0])
def test_old_lustre_was_fired_inside_its_window(lead_wt: float) -> None:
    """Tin glazes of Islamic eastern Spain hold 37 to 56 % PbO (abstract of “Chemical and textural
    characterization of tin glazes in Islamic ceramics from eastern Spain”); no full analysis was
    found, so the rest is a mid-range alkali silicate of ours, tin left as grains. Lustre was fired
    at about 500 to 600 °C (Pradell & Molera; Romero-Pastor et al. 2015: up to 600 °C)."""
    rest = 100.0 - lead_wt
    wt = vector(
        {"PbO": lead_wt, "SiO2": 0.82 * rest, "K2O": 0.08 * rest, "Na2O": 0.04 * rest,
         "Al2O3": 0.06 * rest}
    )  # fmt: skip
    curve = glass.viscosity(mol_from_wt(wt))
    low, high = curve.isokom(MOVES_LOG10_ETA)[0], curve.isokom(STICKS_LOG10_ETA)[0]
    assert low < 550.0 < high
    assert 440.0 < low < 520.0
    assert 560.0 < high < 660.0


def test_our_own_lustres() -> None:
    at = Conditions(firing=LIB.firing("raku-workshop"))
    answer = lustre(LIB, LIB.recipe("copper-lustre"), at)
    low, high = answer.metal_moves_from_c, answer.sticks_from_c
    assert low.low < low.value < high.value < high.high
    assert answer.metals[0].metal == "copper"
    assert answer.metals[0].amount.startswith("usual")
    assert answer.in_window_after_pull_s is not None
    enters, leaves = answer.in_window_after_pull_s
    assert 0.0 < enters < leaves < 300.0
    assert any(f.code == "resinate" for f in answer.findings)


def test_a_glaze_without_metal_is_told() -> None:
    found = lustre(LIB, LIB.recipe("frit-gloss"), Conditions()).findings
    assert any(f.code == "no-metal" for f in found)
