"""A firing worked through: times, energy, cones, ripeness along it, and after the pull."""

from __future__ import annotations

import numpy as np
import pytest

from cofire.answers.firing import energy_kwh, firing_answer
from cofire.answers.pair import pair
from cofire.files.library import Library
from cofire.firing.history import EMISSIVITY, HEAT_CAPACITY_J_M3_K
from cofire.model.after_pull import seconds_in_air
from cofire.model.conditions import Conditions
from cofire.model.schedule import kiln_history, leavings, planned

LIB = Library()
DAY = LIB.firing("raku-workshop")


def day(**asked) -> Conditions:  # type: ignore[no-untyped-def]
    return Conditions.read(LIB, firing="raku-workshop", **asked)


def test_seventeen_pots_in_four_hours() -> None:
    found = leavings(DAY, planned(DAY))
    assert len(found) == 17
    assert found[-1].at_min - found[0].at_min == pytest.approx(240.0)
    assert found[0].name == "pot 1"


def test_energy_is_within_the_kilns_rating() -> None:
    """No more than full power all the time, no less than its losses at the hold (by hand: 3.6 kW,
    loss at 916 °C 0.645 of it)."""
    hours = kiln_history(DAY).time_s[-1] / 3600.0
    energy = energy_kwh(DAY)
    assert energy is not None
    assert 0.645 * 3.6 * 4.0 < energy < 3.6 * hours
    answer = firing_answer(LIB, [], day(price_per_kwh=0.3))
    assert answer.cost == pytest.approx(0.3 * energy)


def test_a_heavy_load_and_another_kiln_change_the_time() -> None:
    empty, heavy, brick = (
        firing_answer(LIB, [], changed).total_min
        for changed in (day(), day(load="12 kg"), day(kiln="small-brick"))
    )
    assert heavy > 1.2 * empty - 240.0 * 0.2
    assert brick > empty


@pytest.mark.published
def test_an_earthenware_firing_bends_the_cone_it_is_named_after() -> None:
    """Orton 04: 1063 °C at 60 °C/h; ten minutes of soak add a little."""
    load = firing_answer(LIB, [], Conditions(firing=LIB.firing("earthenware-cone-04"))).loads[-1]
    assert load.heat.cone in ("cone 04", "between cones 04 and 03")
    assert not load.heat.beyond_chart


def test_a_raku_day_lies_beyond_the_chart_and_says_so() -> None:
    loads = firing_answer(LIB, [], day()).loads
    assert all(load.heat.beyond_chart for load in loads)
    assert loads[-1].heat.position > loads[0].heat.position


def test_ripeness_along_the_firing_ends_where_pair_ends() -> None:
    recipe = LIB.recipe("frit-gloss")
    track = firing_answer(LIB, [recipe], day()).glazes[0]
    last = pair(LIB, [recipe], day()).glazes[0].pulls[-1]
    assert track.ripe[-1] == pytest.approx(last.odds.ripe, abs=0.08)
    assert track.under[0] == 1.0
    assert np.allclose(track.under + track.ripe + track.runs, 1.0)


def test_thick_walls_and_a_false_pyrometer_reach_the_glaze(cofire) -> None:  # type: ignore[no-untyped-def]
    text = (
        'name = "t"\nsource = "test"\n{kiln}\n[[segment]]\nrate = "as fast as the kiln can"\n'
        'target = "943 C"\nhold = "{hold} min"\n[[pull]]\nname = "p"\nsegment = 1\n'
        'after = "{hold} min"\n[kiln]\nkind = "gas-raku"\n{more}\n'
    )

    def hottest(more: str = "", wall_mm: float = 6.0) -> float:
        path = cofire.write("f.toml", text.format(kiln="", hold=1, more=more))
        at = Conditions(firing=LIB.firing(path), wall_mm=wall_mm)
        return firing_answer(LIB, [], at).loads[0].ware_c

    plain = hottest()
    assert hottest('ware_above_pyrometer = "-12 C"') == pytest.approx(plain - 12.0)
    assert hottest(wall_mm=16.0) < plain - 5.0


def test_a_pot_cools_as_radiation_and_convection_let_it() -> None:
    """Stefan-Boltzmann alone is an upper bound on the time: from 900 to 600 °C the integral is
    rho c w / (6 eps sigma) (1/T2³ - 1/T1³), in closed form."""
    t1, t2 = 1173.15, 873.15
    heat = HEAT_CAPACITY_J_M3_K * 6e-3 / 2.0
    bound = heat / (3.0 * EMISSIVITY * 5.670374419e-8) * (1.0 / t2**3 - 1.0 / t1**3)
    took = seconds_in_air(900.0, np.array([600.0]), 6.0)[0]
    assert 0.75 * bound < took < bound


def test_after_the_pull_thick_pots_give_more_time() -> None:
    thin, thick = (
        firing_answer(LIB, [LIB.recipe("clear-crackle")], day(wall=f"{w} mm")).after_the_pull
        for w in (4, 8)
    )
    assert thin is not None
    assert thick is not None
    assert thick.dull_red_after_s == pytest.approx(2.0 * thin.dull_red_after_s, rel=0.1)
    assert thin.glazes[0].stiff_after_s.value < thin.glazes[0].set_after_s.value
