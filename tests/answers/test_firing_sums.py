"""Sums of a firing by hand: its history in minutes, and what an open lid costs."""

from __future__ import annotations

import json
from dataclasses import replace

import numpy as np
import pytest

from cofire.answers.firing import energy_kwh
from cofire.files.library import Library

DAY = Library().firing("raku-workshop")


@pytest.mark.parametrize("name", ["raku-workshop", "earthenware-cone-04"])
def test_the_history_is_told_in_minutes(cofire, name: str) -> None:  # type: ignore[no-untyped-def]
    """At the moments of its segments and loads the history shows what those say."""
    data = json.loads(cofire("firing", name, "--json").out)
    past = data["history"]
    ends = np.cumsum([s["ramp_takes_min"] + s["hold_min"] for s in data["segments"]])
    assert ends[-1] == pytest.approx(data["total_min"])
    for segment, end in zip(data["segments"], ends, strict=True):
        ramp_end = end - segment["hold_min"]
        shown = np.interp(ramp_end, past["time_min"], past["pyrometer_c"])
        assert shown == pytest.approx(segment["target_c"], abs=8.0)
    last = data["loads"][-1]
    ware = np.interp(last["at_min"], past["time_min"], past["ware_c"])
    assert ware == pytest.approx(last["ware_c"], abs=8.0)


def test_an_open_lid_costs_full_power_until_half_of_it_is_made_good() -> None:
    """3.6 kW on instead of the losses at 916 °C, which are 700/1080 × 896/900 of that, for the
    20 s that the lid is up and the 60 s until half of the drop is back; 17 times."""
    kiln = replace(DAY.kiln, lid_recovery_s=120.0)
    shut = replace(DAY, pulls=tuple(replace(p, open_s=0.0) for p in DAY.pulls))
    usual, slow, never = (energy_kwh(one) for one in (DAY, replace(DAY, kiln=kiln), shut))
    assert usual is not None and slow is not None and never is not None
    more_kw = 3.6 * (1.0 - 700.0 / 1080.0 * 896.0 / 900.0)
    assert slow - usual == pytest.approx(17 * more_kw * 60.0 / 3600.0, rel=0.1)
    assert usual - never == pytest.approx(17 * more_kw * 80.0 / 3600.0, rel=0.1)
