"""What tells that a material was melted, at either side of each limit; and which are its kin."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from cofire.files.melting import _kin, _like, is_melted, with_melting
from cofire.records import Material


@pytest.mark.parametrize(
    ("wt", "loi", "melted"),
    [
        ({"SiO2": 50.0, "B2O3": 1.5}, 0.0, True),
        ({"SiO2": 50.0, "B2O3": 1.4}, 0.0, False),
        ({"SiO2": 10.0, "B2O3": 9.0}, 0.0, True),
        ({"SiO2": 9.9, "B2O3": 9.0}, 0.0, False),
        ({"SiO2": 50.0, "B2O3": 9.0}, 1.5, True),
        ({"SiO2": 50.0, "B2O3": 9.0}, 1.6, False),
        ({"SiO2": 50.0, "B2O3": 9.0}, -1.6, False),
        ({"SiO2": 50.0, "B2O3": 9.0, "F": 15.0}, 0.0, True),
        ({"SiO2": 50.0, "B2O3": 9.0, "F": 15.1}, 0.0, False),
        ({"SiO2": 50.0, "PbO": 5.0}, 0.0, True),
        ({"SiO2": 50.0, "PbO": 4.9}, 0.0, False),
        ({"SiO2": 50.0, "BaO": 3.0, "SrO": 3.0, "ZnO": 2.0}, 0.0, True),
        ({"SiO2": 50.0, "BaO": 3.0, "SrO": 3.0, "ZnO": 1.9}, 0.0, False),
        ({"SiO2": 70.0, "Na2O": 3.0, "K2O": 3.0, "Li2O": 2.0, "Al2O3": 11.9}, 0.0, True),
        ({"SiO2": 70.0, "Na2O": 3.0, "K2O": 3.0, "Li2O": 1.9, "Al2O3": 1.0}, 0.0, False),
        ({"SiO2": 70.0, "Na2O": 9.0, "Al2O3": 12.0}, 0.0, False),  # a spar
    ],
)
def test_what_was_melted_once(wt: dict[str, float], loi: float, melted: bool) -> None:
    assert is_melted(wt, loi) is melted


def made(key: str, silica: float, melts_c: float = 1200.0, **more: Any) -> Material:
    """A mixture of silica and alumina: they differ by twice the difference of their silica."""
    wt = {"SiO2": silica, "Al2O3": 100.0 - silica}
    return replace(Material(key, (key,), wt, 0.0, "test", melts_c=melts_c), **more)


OWN = made("own", 50.0)


@pytest.mark.parametrize(
    ("silica", "like"), [((57.4, 56.0), 1), ((57.4, 58.0), 0), ((42.4, 57.6), None), ((), None)]
)
def test_the_nearest_that_is_near(silica: tuple[float, ...], like: int | None) -> None:
    """Within 15 wt % in all, which is 7.5 of silica to either side."""
    shipped = [made(f"m{k}", value) for k, value in enumerate(silica)]
    found = _like(OWN, shipped)
    if silica == (42.4, 57.6) or like is None:
        assert found is None
    else:
        assert found is shipped[like]


@pytest.mark.parametrize(
    ("kin", "told"),
    [
        ([(60.0, 1200.0)], False),  # one alone tells nothing
        ([(60.0, 1200.0), (62.0, 1399.0)], True),
        ([(60.0, 1200.0), (62.0, 1400.0)], False),
        ([(60.0, 1200.0), (62.0, 1300.0), (64.0, 1350.0), (65.0, 1900.0)], True),  # three count
        ([(60.0, 1200.0), (62.0, 1300.0), (64.0, 1900.0)], False),
        ([(60.0, 1200.0), (70.1, 1200.0)], False),  # beyond 40 wt % in all
        ([(60.0, 1200.0), (69.9, 1200.0)], True),
        ([(60.0, float("-inf")), (62.0, float("-inf"))], True),
    ],
)
def test_kin_that_melt_alike(kin: list[tuple[float, float]], told: bool) -> None:
    shipped = [made(f"m{k}", silica, melts_c) for k, (silica, melts_c) in enumerate(kin)]
    assert _kin(OWN, shipped) is (shipped[0] if told else None)


def test_a_file_that_is_silent_takes_what_its_like_says() -> None:
    own = replace(OWN, melting="unknown", grain=None, spread_wt_percent={})
    like = made("near", 52.0, 1234.0, grain="g", spread_wt_percent={"SiO2": 1.0})
    found = with_melting(own, [like])
    assert (found.melts_c, found.melting, found.melts_like) == (1234.0, "alike", "near")
    assert (found.grain, found.spread_wt_percent) == ("g", {"SiO2": 1.0})
    kept = with_melting(replace(own, grain="own", spread_wt_percent={"SiO2": 9.0}), [like])
    assert (kept.grain, kept.spread_wt_percent) == ("own", {"SiO2": 9.0})
    said = with_melting(replace(own, melting="given", melts_c=900.0), [like])
    assert (said.melts_c, said.melting, said.grain) == (900.0, "given", "g")
    glass = replace(own, oxides_wt_percent={"SiO2": 70.0, "B2O3": 30.0})
    assert with_melting(glass, []).melts_c == float("-inf")
    assert with_melting(glass, []).melting == "glass"
    kin = [made("a", 60.0, 1100.0), made("b", 61.0, 1150.0)]
    assert with_melting(own, kin).melts_like == "a"
    assert with_melting(own, []) == own
    # analyses are scaled to 100 %, their LOI with them
    half = replace(OWN, oxides_wt_percent={"SiO2": 25.0, "Al2O3": 25.0})
    assert _like(half, [made("same", 50.0)]) is not None
    wet = replace(OWN, loi_percent=20.0)
    assert _like(wet, [made("dry", 50.0)]) is None  # 83 % of all, and 17 % of water: 33 wt % off
