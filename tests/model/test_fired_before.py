"""Several firings of one pot, in their order."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from cofire.errors import CofireError
from cofire.files.library import Library
from cofire.model.conditions import Conditions
from cofire.model.outcome import judge
from cofire.model.schedule import fired_before, moments

LIB = Library()
LUSTRE: dict[str, Any] = {
    "name": "lustre firing", "source": "test", "kiln": "small-fibre",
    "segment": [{"rate": "150 C/h", "target": "620 C", "hold": "20 min"}],
}  # fmt: skip


def odds_ripe(*firings: Any, glaze: str = "frit-gloss") -> float:
    *earlier, last = firings
    at = Conditions.read(LIB, firing=last, after=earlier)
    odds = judge(LIB.recipe(glaze), at).odds_ripe
    assert odds is not None
    return odds


def test_a_fired_glaze_stays_ripe_in_a_cooler_firing() -> None:
    alone = odds_ripe("earthenware-cone-06")
    assert odds_ripe(LUSTRE) < 0.01
    assert odds_ripe("earthenware-cone-06", LUSTRE) == pytest.approx(alone, abs=0.01)
    assert odds_ripe("earthenware-cone-06", LUSTRE, LUSTRE) == pytest.approx(alone, abs=0.01)


def test_the_work_of_firings_adds_up() -> None:
    """A dry matte and a glaze on the brink gain by a second time in the fire, and never lose."""
    cool = LUSTRE | {"segment": [{"rate": "150 C/h", "target": "800 C", "hold": "20 min"}]}
    once, thrice = odds_ripe(cool), odds_ripe(cool, cool, cool)
    assert thrice > once + 0.05


def test_a_glaze_that_ran_has_run() -> None:
    hot = LUSTRE | {"segment": [{"rate": "150 C/h", "target": "1180 C", "hold": "5 h"}]}
    kiln = {"kiln": "small-fibre"}
    assert odds_ripe(hot | kiln, "earthenware-cone-06", glaze="white-crackle") < 0.5


def test_time_and_temperature_follow_each_other() -> None:
    one, two = LIB.firing("earthenware-cone-06"), LIB.firing("raku-workshop")
    time_s, ware_c = fired_before((one, two), 6.0)
    assert (np.diff(time_s) > 0.0).all()
    assert ware_c.max() == pytest.approx(998.0, abs=5.0)
    # a pulled pot leaves hot, one in a closed kiln when it is still
    assert ware_c[-1] > 800.0
    first, last = moments(two, 6.0, (one,))
    alone = moments(two, 6.0)[0]
    assert first.at_min == alone.at_min
    assert first.ware_c[-1] == alone.ware_c[-1]
    assert len(last.time_s) > len(first.time_s) > len(alone.time_s)


def test_it_is_asked_on_the_command_line(cofire) -> None:  # type: ignore[no-untyped-def]
    cofire.write(
        "recipes/firings/late.toml",
        'name = "late"\nsource = "ours"\nkiln = "small-fibre"\n\n[[segment]]\n'
        'rate = "150 C/h"\ntarget = "620 C"\nhold = "20 min"\n',
    )
    asked = ("frit-gloss", "--firing", "late")
    assert cofire("pair", *asked).code == 1
    assert cofire("pair", *asked, "--after", "earthenware-cone-06").code == 0
    ripe = cofire("firing", "late", "frit-gloss", "--after", "earthenware-cone-06", "--json")
    assert ripe.code == 0
    import json

    track = json.loads(ripe.out)["glazes"][0]
    assert min(track["ripe"]) > 0.9
    assert cofire("pair", *asked, *["--after", "late"] * 7).code == 2


def test_firings_before_none_are_refused() -> None:
    with pytest.raises(CofireError, match="which firing"):
        Conditions.read(LIB, after=["earthenware-cone-06"])
