"""Lustre windows against reported firings, and plans of a day."""

from __future__ import annotations

from dataclasses import replace

import pytest

from cofire import glass
from cofire.answers.day import plan_day, pots_per_load
from cofire.answers.lustre import MOVES_LOG10_ETA, STICKS_LOG10_ETA, lustre
from cofire.chem.composition import mol_from_wt
from cofire.chem.oxides import vector
from cofire.errors import CompositionError
from cofire.files.library import Library
from cofire.model.conditions import Conditions
from cofire.records import Smoke

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


def test_pots_that_fit() -> None:
    """By hand: (400 / 135)² is 8.8, 0.7 of it 6; two layers of 150 + 25 in 450 mm."""
    assert pots_per_load((120.0, 150.0), (400.0, 450.0)) == 12
    assert pots_per_load((390.0, 150.0), (400.0, 450.0)) == 0
    assert pots_per_load((380.0, 150.0), (400.0, 450.0)) == 2


def test_a_day_for_twenty_eight() -> None:
    day = LIB.firing("raku-workshop")
    plan = plan_day(day, 28, (120.0, 150.0), (400.0, 450.0), bins=3)
    assert [r.pots for r in plan.firings] == [12, 12, 4]
    for one, following in zip(plan.firings, plan.firings[1:], strict=False):
        assert following.starts_min > one.last_pull_min
    # eleven minutes between pulls with three bins of 33 min
    first = plan.firings[0]
    assert first.last_pull_min - first.first_pull_min == pytest.approx(11 * 11.0)
    more_bins = plan_day(day, 28, (120.0, 150.0), (400.0, 450.0), bins=6)
    assert more_bins.total_min < plan.total_min


def test_too_few_bins_for_the_hold() -> None:
    """One bin frees every 33 min: eight pots in four hours, not twelve."""
    plan = plan_day(LIB.firing("raku-workshop"), 12, (120.0, 150.0), (400.0, 450.0), bins=1)
    assert plan.hold_limits_pots
    assert [r.pots for r in plan.firings] == [8, 4]


def test_a_closed_kiln_has_no_pulls_to_plan() -> None:
    with pytest.raises(CompositionError, match="pulls nothing hot"):
        plan_day(LIB.firing("earthenware-cone-04"), 5, (120.0, 150.0), (400.0, 450.0), bins=1)


def test_a_pot_too_large() -> None:
    with pytest.raises(CompositionError, match="does not fit"):
        plan_day(LIB.firing("raku-workshop"), 1, (500.0, 150.0), (400.0, 450.0), bins=1)


def test_bins_that_are_still_full_hold_the_next_firing_up() -> None:
    """One bin and a day of smoke in it: the second pot waits for the first to be lifted out."""
    day = LIB.firing("raku-one-load")
    slow = replace(day, smoke=Smoke(air_s=600.0, bin_min=1440.0))
    plan = plan_day(slow, 2, (120.0, 150.0), (400.0, 450.0), bins=1)
    first, second = plan.firings
    assert first.bins_free_min == pytest.approx(first.first_pull_min + 10.0 + 1440.0)
    assert second.first_pull_min + 10.0 >= first.bins_free_min
