"""The sums behind pulled ware, on walls and coats that are made up."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from cofire.files.library import Library
from cofire.firing.history import DIFFUSIVITY_M2_S, HEAT_CAPACITY_J_M3_K
from cofire.firing.wall import INSIDE_OF_POT, WallPath
from cofire.model import smoke as smoke_module
from cofire.model.body_draws import draw_body
from cofire.model.cooling import Way, pulled_paths
from cofire.model.smoke import (
    Pulled,
    Walls,
    _at_face,
    _between,
    _Coat,
    _in_air,
    _inner_gap,
    _last_passing,
    _levels,
    _outer_gap,
    gradient_factor,
    pulled_stress,
    stations,
    walls,
)
from cofire.records import Smoke

CLAY = draw_body(Library().body("raku"))
#: What the path of the middle wall conducts, W/(m K).
CONDUCTS = DIFFUSIVITY_M2_S * HEAT_CAPACITY_J_M3_K


def path(skin_c: Any, mean_c: Any, ends: tuple[int, ...], layers_c: Any = ()) -> WallPath:
    skin, mean = np.array(skin_c, float), np.array(mean_c, float)
    return WallPath(np.zeros_like(skin), np.array(layers_c, float), skin, mean, ends)


def test_draws_share_the_middles_of_equal_parts() -> None:
    """Twelve values in four parts of three: 1 to 3, 4 to 6, 7 to 9, 10 to 12."""
    values = np.array([12.0, 1.0, 7.0, 4.0, 2.0, 8.0, 5.0, 11.0, 3.0, 6.0, 9.0, 10.0])
    middles, part = _levels(values, 4)
    assert middles.tolist() == [2.0, 5.0, 8.0, 11.0]
    assert part.tolist() == [3, 0, 2, 1, 0, 2, 1, 3, 0, 1, 2, 3]


@pytest.mark.parametrize(
    ("values", "middles"), [([3.0, 3.0, 3.0], [3.0]), ([5.0, 4.0], [4.0, 5.0]), ([7.0], [7.0])]
)
def test_no_more_parts_than_there_are_values(values: list[float], middles: list[float]) -> None:
    assert _levels(np.array(values), 4)[0].tolist() == middles


def test_moments_are_twelve_degrees_apart_and_hold_the_ends() -> None:
    """5 °C a moment from 600 °C, below 500 from the 21st on: every third moment, and the ends 25,
    33 and 40 where they come sooner."""
    skin = 600.0 - 5.0 * np.arange(41)[None]
    at = stations(path(skin, skin, (25, 33, 40)), 500.0)
    assert at.tolist() == [21, 24, 25, 28, 31, 33, 36, 39, 40]
    # 6 °C a moment: two of them are twelve
    skin = 600.0 - 6.0 * np.arange(9)[None]
    assert stations(path(skin, skin, (8,)), 1000.0).tolist() == [0, 2, 4, 6, 8]


def test_a_gradient_that_moves_is_a_moment_too() -> None:
    """The skin stands still and the wall behind it falls by 4 °C a moment; of two walls the one
    that moves counts."""
    skin, mean = np.full((2, 9), 400.0), np.full((2, 9), 450.0)
    mean[1] -= 4.0 * np.arange(9)
    assert stations(path(skin, mean, (7, 8)), 1000.0).tolist() == [0, 3, 6, 7, 8]


@pytest.mark.parametrize(
    ("then", "in_air"), [("air", "111000111"), ("water", "111000000")]
)  # fmt: skip
def test_air_is_before_the_bin_and_after_it_unless_there_is_water(then: Any, in_air: str) -> None:
    """The air ends at moment 2 and the bin at 5."""
    found = _in_air(path(np.zeros((1, 9)), np.zeros((1, 9)), (2, 5, 8)), Smoke(then=then))
    assert "".join(str(int(one)) for one in found) == in_air


def test_what_clay_conducts_and_loses_makes_its_gradient() -> None:
    """Fourier: half the conduction, twice the gradient; heat that leaves by the inner face takes
    (2 - inside) of the outer one's share. No clay conducts less than 0.2 W/(m K)."""
    conducts = CONDUCTS * np.array([1.0, 0.5, 1.0, 1.0])
    conducts[3] = 0.05
    inside = np.array([INSIDE_OF_POT, INSIDE_OF_POT, 1.0, INSIDE_OF_POT])
    one = replace(CLAY.some(4), conducts_w_m_k=conducts, inside=inside,
                  air_heat=np.array([1.0, 1.5, 1.0, 1.0]))  # fmt: skip
    least = CONDUCTS / 0.2
    of_both = 1.0 / (2.0 - INSIDE_OF_POT)
    assert gradient_factor("pot", one) == pytest.approx([1.0, 3.0, of_both, least])
    assert gradient_factor("tile", one) == pytest.approx([1.0, 3.0, 1.0, least])


def walls_of(skin: float, mean: float, layers: tuple[float, ...], air: float, bin_: float) -> Walls:
    """One draw on one wall that stands still for two moments: in air, and in the bin."""
    ends = (0, 1, 1)
    still = path([[skin] * 2], [[mean] * 2], ends, [[layers] * 2])
    return Walls(still, np.array([0]), np.array([air]), np.array([bin_]))


def test_the_outer_face_trails_by_its_own_factor_in_air_and_in_the_bin() -> None:
    of = walls_of(470.0, 500.0, (), air=1.5, bin_=0.5)
    k = np.array([[0, 1]])
    assert _outer_gap(of, np.array([True, False]), k).tolist() == [[45.0, 15.0]]


@pytest.mark.parametrize("inside", [0.0, 0.25, INSIDE_OF_POT, 1.0])
def test_the_inner_face_of_a_wall_trails_by_its_own_heat(inside: float) -> None:
    """A parabola through a wall that loses Q outside and a share of it inside: the outer face
    trails the mean by Q (1/3 - share/6), the inner by Q (share/3 - 1/6), in °C. Q is 60 here, and
    in the bin as the path says."""
    q, own = 60.0, INSIDE_OF_POT
    mean = 500.0
    inner = mean - q * (own / 3.0 - 1.0 / 6.0)  # of the middle wall
    # two layers of 4 °C between them put the face 2 °C beyond the last
    of = walls_of(mean - q * (1.0 / 3.0 - own / 6.0), mean, (inner - 6.0, inner - 2.0), 1.0, 0.8)
    of = replace(of, in_air=np.array([(2.0 - inside) / (2.0 - own)]))  # as ``gradient_factor``
    body = replace(CLAY.some(1), inside=np.array([inside]))
    found = _inner_gap(of, np.array([True, False]), np.array([[0, 1]]), body)
    wanted = [q * (inside / 3.0 - 1.0 / 6.0), 0.8 * (mean - inner)]
    assert found[0] == pytest.approx(wanted, abs=1e-9)


def test_the_stress_of_a_coat_on_its_way_down() -> None:
    """Glaze 7e-6/K, wall 5e-6/K, set at 520 °C on a wall of 540 °C, with 1e-4 of relaxation and
    10 MPa of scatter. It shrinks 3.5e-3 to the room, the wall 2.6e-3: 1e-3 between them. At 220 °C
    on a wall of 230 °C 1.4e-3 and 1.05e-3 are to come: 6.5e-4, at 1e5 MPa 65, and 0.6 of the
    scatter, as 300 of 500 °C are behind it. Above 520 °C there is none, below the room all."""
    coat = _Coat(
        np.array([520.0]), np.array([3.5e-3]), np.array([[0.0, 0.0, 7.0]]), np.array([1e5])
    )
    body: Any = SimpleNamespace(
        strain=lambda t_c: 5e-6 * (t_c - 20.0),
        relaxation=np.array([1e-4]),
        scatter_mpa=np.array([10.0]),
    )
    skin, wall = np.array([[220.0, 520.0, 540.0, 20.0]]), np.array([[230.0, 540.0, 560.0, 20.0]])
    found = coat.stress_mpa(skin, wall, np.array([540.0]), body)
    # 540 °C: 1e-3 + 5e-6 × 540 - 7e-6 × 520 = 6e-5; at the room all of 1e-3 and of the scatter
    assert found[0] == pytest.approx([71.0, 10.0, 6.0, 110.0])


def test_scatter_grows_over_a_degree_at_least() -> None:
    """A coat that sets at the room, half a degree below: half of its scatter, and
    never more than all of it."""
    coat = _Coat(np.array([20.0]), np.zeros(1), np.zeros((1, 3)), np.array([1e5]))
    nothing, at = np.zeros(1), np.array([[20.0, 19.5, 0.0]])
    body: Any = SimpleNamespace(strain=np.zeros_like, relaxation=nothing, scatter_mpa=nothing + 10)
    assert coat.stress_mpa(at, at, np.array([20.0]), body).tolist() == [[0.0, 5.0, 10.0]]


def test_the_last_time_that_a_curve_passes_a_temperature() -> None:
    """100, 80, 60, 70, 50: 65 is passed for good between 70 and 50, a quarter of the way from the
    fourth moment; 90 halfway from the first. The second wall falls by 10 a moment."""
    curves = np.array([[100.0, 80.0, 60.0, 70.0, 50.0], [100.0, 90.0, 80.0, 70.0, 60.0]])
    of = np.array([0, 1, 0])
    assert _last_passing(curves, of, np.array([65.0, 65.0, 90.0])).tolist() == [3.25, 3.5, 0.5]
    grid = _last_passing(curves, of, np.array([65.0, 90.0]))
    assert grid.tolist() == [[3.25, 0.5], [3.5, 1.0], [3.25, 0.5]]
    # hotter than ever is the start, colder the end
    assert _last_passing(curves, of, np.array([120.0, 10.0, 50.0])).tolist() == [0.0, 4.0, 4.0]


def test_values_between_two_moments() -> None:
    values = np.array([[0.0, 10.0, 30.0], [5.0, 5.0, 25.0]])
    assert _between(values, np.array([0.5, 1.25])).tolist() == [5.0, 10.0]
    assert _between(values, np.array([2.0, 9.0])).tolist() == [30.0, 25.0]
    assert _between(values, np.array([-3.0, 0.0])).tolist() == [0.0, 5.0]
    many = _between(values, np.array([[0.5, 1.5], [1.0, 2.0]]))
    assert many.tolist() == [[5.0, 20.0], [5.0, 25.0]]
    assert _between(values[:, :1], np.array([0.0, 4.0])).tolist() == [0.0, 5.0]


def test_each_draw_follows_the_wall_that_loses_what_it_loses() -> None:
    """Four losses in air, each with three in the bin; one path where nothing is in doubt. What is
    left between a draw and its path goes into how far its face trails."""
    n = 24
    air, bin_ = np.repeat([0.8, 0.9, 1.1, 1.3], 6), np.tile([0.7, 1.0, 1.4], 8)
    body = replace(CLAY.some(n), air_heat=air, bin_heat=bin_, conducts_w_m_k=np.full(n, CONDUCTS),
                   inside=np.full(n, INSIDE_OF_POT))  # fmt: skip
    way = (Way(900.0, Smoke(20.0, 10.0)),)
    (found,) = walls(way, 6.0, "pot", body)
    assert found.path.skin_c.shape[0] == 12
    for k in (0, 10, 23):
        (own,) = pulled_paths(way, 6.0, "pot", ((air[k], bin_[k]),))
        assert found.path.mean_c[found.of[k]] == pytest.approx(own.mean_c[0], abs=1e-6)
    # every draw loses what its path loses
    assert found.in_air == pytest.approx(np.ones(n)) and found.in_bin == pytest.approx(np.ones(n))
    alike = replace(body, air_heat=np.ones(n), bin_heat=np.ones(n))
    (found,) = walls(way, 6.0, "pot", alike)
    assert found.path.skin_c.shape[0] == 1
    # six losses share a path; clay that conducts half as well trails twice as far
    rising = np.linspace(1.0, 1.7, n)
    poor = replace(alike, air_heat=rising, conducts_w_m_k=np.full(n, 0.5 * CONDUCTS))
    (found,) = walls(way, 6.0, "pot", poor)
    middles = np.repeat([np.median(part) for part in np.split(rising, 4)], 6)
    assert found.in_air == pytest.approx(2.0 * rising / middles)
    assert found.in_bin == pytest.approx(np.full(n, 2.0))


# --- a whole pull ---------------------------------------------------------------------------------


def taken(
    ends: tuple[int, int, int] = (20, 60, 88),
    then: Any = "air",
    *,
    set_c: float | np.ndarray = 500.0,
    gap_c: float | np.ndarray = 0.0,
    inner_c: float = 0.0,
    in_air: float = 1.0,
    in_bin: float = 1.0,
    smoke_ends_c: float = 350.0,
    relaxation: float = 0.0,
    inside: bool = False,
) -> Pulled:
    """A face that falls from 900 to 20 °C in 88 steps of 10 °C, the mean of its wall ``gap_c``
    hotter, and ``inner_c`` hotter than the inner face; a coat of 7e-6/K on clay of 5e-6/K that sets
    at 500 °C, at step 40, with 1e5 MPa for a strain of one: 0.2 MPa for each degree below that. Two
    draws alike, or as many as set."""
    skin = 900.0 - 10.0 * np.arange(89)[None]
    mean = skin + gap_c
    way = path(skin, mean, ends, np.stack([mean - inner_c] * 2, axis=-1))
    sets_c = set_c * np.ones(2) if np.isscalar(set_c) else np.asarray(set_c)
    two = np.ones(len(sets_c))
    of = Walls(way, np.zeros(len(two), dtype=np.intp), in_air * two, in_bin * two)
    bend = np.tile([0.0, 0.0, 7.0], (len(two), 1))
    coat = _Coat(sets_c, 7e-6 * (sets_c - 20.0), bend, 1e5 * two)
    body: Any = SimpleNamespace(
        strain=lambda t_c: 5e-6 * (t_c - 20.0),
        relaxation=relaxation * two,
        scatter_mpa=0.0 * two,
        smoke_ends_c=smoke_ends_c * two,
        inside=INSIDE_OF_POT * two,
    )
    body.those = lambda rows: SimpleNamespace(
        strain=body.strain,
        **{k: getattr(body, k)[rows] for k in ("relaxation", "scatter_mpa", "inside")},
    )
    return _at_face(coat, body, Smoke(then=then), of, inside=inside)


def worst(found: Pulled) -> list[float]:
    """In air, in the smoke and ever; pressed and cold."""
    return [float(values[0]) for values in (found.air_mpa, found.smoke_mpa, found.max_tension_mpa,
            found.max_compression_mpa, found.cold_mpa)]  # fmt: skip


def test_a_pull_by_hand() -> None:
    """Soft in air, up to 700 °C; 150 °C below setting when the smoke ends at 350 °C, 30 MPa; 480 °C
    below it when cold, 96 MPa. It is least pulled a step after it has set, by 2 MPa."""
    found = taken()
    assert worst(found) == pytest.approx([0.0, 30.0, 96.0, 2.0, 96.0])
    assert found.smoked.tolist() == [True, True]
    # every 20 °C from the room to where it sets
    assert found.skin_c.tolist() == [20.0 * k for k in range(1, 25)]
    assert found.bands_mpa == pytest.approx(np.tile(0.2 * (500.0 - found.skin_c), (3, 1)), abs=3.0)
    assert found.bands_mpa[:, :-1] == pytest.approx(
        np.tile(0.2 * (500.0 - found.skin_c[:-1]), (3, 1))
    )


def test_smoke_ends_with_the_bin() -> None:
    """It would smoke down to 250 °C, and is lifted out at 300 °C, 40 MPa. Of a pot that goes in at
    300 °C nothing smokes; in air it has come to 40 MPa."""
    assert taken(smoke_ends_c=250.0).smoke_mpa == pytest.approx(40.0)
    late = taken((60, 80, 88))
    assert worst(late)[:2] == pytest.approx([40.0, 0.0]) and not late.smoked.any()
    # at the end of the smoke to the degree it still does
    assert taken((55, 80, 88)).smoked.all()


def test_without_a_bin_all_is_air() -> None:
    for ends in ((20, 20, 88), (60, 60, 88)):
        found = taken(ends)
        assert worst(found)[:3] == pytest.approx([96.0, 0.0, 96.0]) and not found.smoked.any()
    # but not where water comes after the air
    assert worst(taken((60, 60, 88), "water"))[:2] == pytest.approx([40.0, 0.0])


def test_relaxation_pulls_from_the_moment_it_sets() -> None:
    """1e-4 are 10 MPa more; -1e-4 press it by 8 MPa a step after it has set, and leave 86."""
    assert worst(taken(relaxation=1e-4)) == pytest.approx([0.0, 40.0, 106.0, 12.0, 106.0])
    assert worst(taken(relaxation=-1e-4)) == pytest.approx([0.0, 20.0, 86.0, -8.0, 86.0])


@pytest.mark.parametrize(("then", "mpa"), [("air", 91.0), ("water", 86.0)])
def test_a_wall_that_trails_its_face_tempers_the_coat(then: Any, mpa: float) -> None:
    """It sets in the bin on a wall 30 °C hotter, three times what the path says: 15 MPa less when
    all is cold. Here it still trails at the end: by 20 °C in air, twice the path, which leaves
    10 MPa, and in water by the 10 °C of the path, 5 MPa."""
    found = taken((20, 60, 88), then, gap_c=10.0, in_air=2.0, in_bin=3.0)
    assert found.cold_mpa == pytest.approx(mpa)
    assert found.smoke_mpa[0] == pytest.approx(0.2 * (500.0 - 340.0))  # the mean is at 350 °C


def test_an_inner_face_that_trails_by_nothing_is_as_hot_as_the_wall() -> None:
    """Its layers are as hot as their mean, 10 °C hotter than the outer face: it sets a step later
    and ends 10 °C hotter."""
    found = taken(gap_c=10.0, in_air=2.0, in_bin=3.0, inside=True)
    assert found.cold_mpa == pytest.approx(0.2 * 470.0)
    assert found.smoke_mpa == pytest.approx(30.0)


def test_an_inner_face_that_trails_as_the_outer_one_is_pulled_alike() -> None:
    outer = taken(gap_c=10.0)
    inner = taken(gap_c=10.0, inner_c=10.0, inside=True)
    assert worst(inner) == pytest.approx(worst(outer))
    assert inner.bands_mpa == pytest.approx(outer.bands_mpa)


def test_it_sets_between_two_moments() -> None:
    """At 505 °C, step 39.5, on a wall that is hotter by a hundredth of the square of the steps:
    15.21 °C at step 39, 16 at 40, 15.605 between; 77.44 when cold. 7e-6 × 485 less
    5e-6 × 500.605, and 5e-6 × 77.44: 1.27918e-3."""
    found = taken(set_c=505.0, gap_c=0.01 * np.arange(89.0) ** 2)
    assert found.cold_mpa == pytest.approx(127.9175)


def test_what_has_not_set_takes_no_stress() -> None:
    """One sets at 500 °C, one at 300 °C: by then the bin is over, and the smoke too."""
    found = taken(set_c=np.array([500.0, 300.0]), smoke_ends_c=250.0)
    assert found.smoke_mpa == pytest.approx([40.0, 0.0])
    assert found.cold_mpa == pytest.approx([96.0, 56.0])
    assert found.max_tension_mpa == pytest.approx([96.0, 56.0])
    assert found.max_compression_mpa == pytest.approx([2.0, 0.0])


def test_bands_hold_nine_tenths_of_the_draws() -> None:
    """21 coats that set from 310 to 510 °C: at the room 58 to 98 MPa, so 60, 78 and 96; looked at
    below 500 °C, where 95 % have not set yet."""
    found = taken(set_c=310.0 + 10.0 * np.arange(21.0))
    assert found.bands_mpa[:, 0] == pytest.approx([60.0, 78.0, 96.0])
    assert found.skin_c[-1] == 480.0


@pytest.mark.parametrize("shape", ["pot", "tile", "both-sides"])
def test_of_two_coats_the_worse_counts(monkeypatch: pytest.MonkeyPatch, shape: Any) -> None:
    """7e-6/K over 480 °C are 3.36e-3. The inner coat is pulled more in air and pressed more."""
    seen: list[_Coat] = []

    def face(coat: _Coat, *_: Any, inside: bool = False) -> Pulled:
        seen.append(coat)
        one = [np.array([v]) for v in ((9.0, 1.0, 20.0, -8.0, 4.0) if inside else
                                       (3.0, 5.0, 10.0, -2.0, 6.0))]  # fmt: skip
        return Pulled(*one, smoked=one[0], skin_c=one[0], bands_mpa=one[0])

    monkeypatch.setattr(smoke_module, "_at_face", face)
    monkeypatch.setattr(smoke_module, "stress_of", lambda shape, strain, *_: 1e5 * strain)
    glaze: Any = SimpleNamespace(alpha_1e6_per_k=lambda c: np.full_like(c, 7.0), bend="bend")
    nothing: Any = None
    found = pulled_stress(glaze, nothing, np.array([500.0]), nothing, nothing, 6.0, shape)
    both = shape == "both-sides"
    assert worst(found) == ([9.0, 5.0, 20.0, -8.0, 6.0] if both else [3.0, 5.0, 10.0, -2.0, 6.0])
    assert found.skin_c == 3.0 and len(seen) == 1 + both
    assert seen[-1].shrinks == pytest.approx(3.36e-3) and seen[-1].per_strain_mpa == 1e5
