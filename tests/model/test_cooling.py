"""When ware leaves the kiln, and how hot it then is."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from cofire.files.library import Library
from cofire.model.conditions import Conditions
from cofire.model.cooling import (
    Way,
    along,
    cooling_of,
    lasting,
    other_walls,
    pull_c,
    pulled_path,
    pulled_paths,
    smoke_words,
)
from cofire.records import Smoke

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


@pytest.mark.parametrize(
    ("seconds", "said"),
    [
        (1.0, "1 s"), (59.5, "59.5 s"), (60.0, "1 min"), (90.0, "1.5 min"), (3600.0, "60 min"),
        (5399.0, "89.9833 min"), (5400.0, "1.5 h"), (21_600.0, "6 h"), (12_345.0, "3.43 h"),
    ],
)  # fmt: skip
def test_a_time_is_said_in_its_usual_unit(seconds: float, said: str) -> None:
    assert lasting(seconds) == said


@pytest.mark.parametrize(
    ("smoke", "said"),
    [
        (Smoke(), "20 s in air, 30 min in the bin (assumed)"),
        (Smoke(20.0, 30.0, "water", False), "20 s in air, 30 min in the bin, quenched in water"),
        (Smoke(0.0, 30.0, assumed=False), "30 min in the bin"),
        (Smoke(0.0, 120.0, assumed=False, bed="sawdust"), "2 h in sawdust"),
        (Smoke(0.0, 0.5, assumed=False, bed="buried"), "30 s buried in sawdust"),
        (Smoke(0.5, 0.0, assumed=False), "left in air"),
        (Smoke(0.0, 0.0, assumed=False), "left in air"),
        (Smoke(0.0, 0.0, assumed=False, fan_s=0.5), "0.5 s before a fan, left in air"),
        (Smoke(0.0, 0.0, assumed=False, spray_s=5.0), "5 s under a spray, left in air"),
        (Smoke(9.0, 0.0, assumed=False, fan_s=5.0), "5 s before a fan, left in air"),
        (
            Smoke(9.0, 0.0, "water", False, 5.0, 3.0),
            "9 s in air, 5 s before a fan, 3 s under a spray, quenched in water",
        ),
    ],
)
def test_what_is_done_with_a_pot_in_words(smoke: Smoke, said: str) -> None:
    assert smoke_words(smoke) == said


KILN = replace(DAY.kiln, cooling_half_time_h=2.0)
CLOSED = replace(DAY, pulls=(), kiln=KILN, ambient_c=25.0)


def test_a_closed_kiln_cools_by_half_in_its_half_time() -> None:
    """ln 2 / 2 h of the 530 K from 555 to 25 °C: 0.34657 x 530 = 183.7 °C/h."""
    cool = cooling_of(CLOSED, 6.0)
    assert cool.words == "cools in the kiln (about 184 °C/h at 555 °C)"
    expected = [math.log(2.0) / 7200.0 * (t - 25.0) for t in cool.t_c]
    assert cool.c_per_s == pytest.approx(expected)
    assert cool.path is None and cool.smoke is None


def test_a_rate_that_is_said_comes_before_the_firing() -> None:
    for firing in (None, CLOSED, DAY):
        cool = cooling_of(firing, 6.0, 72.0)
        assert cool.words == "cools at 72 °C/h, as you said"
        assert cool.c_per_s == pytest.approx(0.02)  # 72 / 3600
    cool = cooling_of(None, 6.0)
    assert "assumed: in the kiln at 100 °C/h" in cool.words
    assert cool.c_per_s == pytest.approx(1.0 / 36.0)


def test_which_smoke_is_followed_and_from_where() -> None:
    said = Smoke(7.0, 9.0, assumed=False)
    own = replace(DAY, smoke=Smoke(8.0, 3.0))
    assert cooling_of(own, 6.0, said).smoke == said
    assert cooling_of(own, 6.0).smoke == own.smoke
    assert cooling_of(replace(own, pulls=()), 6.0).smoke is None
    assert cooling_of(replace(own, pulls=()), 6.0, said).smoke == said
    for firing, from_c in ((None, 900.0), (replace(own, pulls=()), 900.0), (own, pull_c(DAY))):
        path = cooling_of(firing, 6.0, said).path
        assert path is not None
        assert path.skin_c[0] == pytest.approx(from_c, abs=0.01)


def test_above_the_pull_the_kiln_cools_it() -> None:
    """Down to 15 °C below the pull the glaze cooled as its kiln does, then as its own path."""
    path = pulled_path(6.0, 700.0, Smoke(60.0, 0.0, assumed=False), "pot")
    cool = along(path, Smoke(60.0, 0.0, assumed=False), 0.5)
    kiln = cool.t_c >= 685.0
    assert cool.c_per_s[kiln] == pytest.approx(0.5)
    for t, rate in zip(cool.t_c[~kiln][1:-1], cool.c_per_s[~kiln][1:-1], strict=True):
        # the last time the skin is so hot, 15 °C to either side: rate = 30 °C over the time between
        when = np.interp((15.0 - t, -15.0 - t), -path.skin_c, path.time_s)
        assert rate == pytest.approx(30.0 / (when[0] - when[1]), rel=0.02)
    at_555 = float(cool.c_per_s[cool.t_c == 555.0][0])
    assert (
        cool.words == f"pulled at 700 °C (1292 °F), left in air; {at_555:.1f} °C a second at 555 °C"
    )
    cold = pulled_path(6.0, 565.0, Smoke(60.0, 0.0, assumed=False), "pot")
    assert "a second" not in along(cold, Smoke(60.0, 0.0, assumed=False)).words
    assert along(cold, Smoke()).c_per_s[-1] == pytest.approx(100.0 / 3600.0)


def test_ends_of_a_path_are_those_of_air_bin_and_cold() -> None:
    """10 s of air, 5 of wind, 3 of mist, 2 min in the bin: ends at 18 and at 138 s."""
    path = pulled_path(6.0, 900.0, Smoke(10.0, 2.0, "water", False, 5.0, 3.0), "pot")
    assert path.time_s[list(path.ends[:2])] == pytest.approx([18.0, 138.0])
    assert path.ends[2] == len(path.time_s) - 1
    # alone in air, the air lasts to the end
    path = pulled_path(6.0, 900.0, Smoke(10.0, 0.0, "air", False), "pot")
    assert path.time_s[list(path.ends[:2])] == pytest.approx([0.0, 0.0])
    path = pulled_path(6.0, 900.0, Smoke(10.0, 0.0, "air", False, 5.0), "pot")
    assert path.time_s[list(path.ends[:2])] == pytest.approx([15.0, 15.0])
    path = pulled_path(6.0, 900.0, Smoke(10.0, 0.0, "water", False), "pot")
    assert path.time_s[list(path.ends[:2])] == pytest.approx([10.0, 10.0])
    assert path.skin_c[-1] == pytest.approx(20.0, abs=1.0)
    # a tile loses heat at both its faces alike, a pot less inside
    tile = pulled_path(6.0, 900.0, Smoke(), "tile")
    assert tile.skin_c[tile.ends[0]] < pulled_path(6.0, 900.0, Smoke(), "pot").skin_c[20] - 1.0
    assert tile.layers_c[tile.ends[0]] == pytest.approx(tile.layers_c[tile.ends[0]][::-1], abs=0.1)


def test_each_way_has_each_heat() -> None:
    """Two ways with two losses each: the first of each is the middle path itself, and one that
    loses twice as much in air leaves it colder; the bin counts only in the bin."""
    ways = (Smoke(30.0, 5.0), Smoke(60.0, 5.0))
    heat = ((1.0, 1.0), (2.0, 1.0), (1.0, 2.0))
    one, two = pulled_paths([Way(900.0, way) for way in ways], 6.0, "pot", heat)
    for way, found in zip(ways, (one, two), strict=True):
        alone = pulled_path(6.0, 900.0, way, "pot")
        air, bin_, _ = found.ends
        assert found[0].skin_c == pytest.approx(alone.skin_c, abs=0.5)
        assert found.time_s[:, air] == pytest.approx([way.air_s] * 3)
        assert found.skin_c[1, air] < found.skin_c[0, air] - 20.0
        assert found.skin_c[2, air] == pytest.approx(found.skin_c[0, air])
        assert found.skin_c[2, bin_] < found.skin_c[0, bin_] - 20.0
    thin, thick = other_walls((4.0, 8.0), Way(900.0, Smoke()), "pot")
    assert thin.skin_c == pytest.approx(pulled_path(4.0, 900.0, Smoke(), "pot").skin_c, abs=0.5)
    assert thick.mean_c[thick.ends[0]] > thin.mean_c[thin.ends[0]] + 20.0
