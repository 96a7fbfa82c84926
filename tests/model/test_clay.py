"""What a potter does to a clay."""

from __future__ import annotations

from dataclasses import replace

import pytest

from cofire.files.library import Library
from cofire.model.clay import as_made

RAKU = Library.open(None).body("raku")


def middle(pair: tuple[float, float] | None) -> float:
    assert pair is not None
    return 0.5 * (pair[0] + pair[1])


def test_a_clay_left_alone_stays_itself() -> None:
    assert as_made(RAKU) is RAKU
    same = replace(RAKU, bisque_c=RAKU.kind_bisque_c)
    assert as_made(same) is same


def test_silica_mixes_by_weight() -> None:
    """Ten parts on a hundred are 1/11 of the mix: of 12.5 % free quartz (0.125 × 10 + 1) / 11."""
    made = as_made(replace(RAKU, silica_added_percent=10.0))
    assert middle(made.free_quartz_percent) == pytest.approx(100.0 * (0.125 * 10.0 + 1.0) / 11.0)
    assert middle(made.alpha_1e6_per_k) > middle(RAKU.alpha_1e6_per_k) + 0.3
    assert as_made(made) is made  # once is enough


def test_grog_toughens_and_dilutes() -> None:
    made = as_made(replace(RAKU, grog_added_percent=25.0))
    assert middle(made.work_ratio) > middle(RAKU.work_ratio)
    assert middle(made.free_quartz_percent) < middle(RAKU.free_quartz_percent)
    assert made.alpha_1e6_per_k == RAKU.alpha_1e6_per_k


@pytest.mark.parametrize("hotter", [20.0, 100.0, 250.0])
def test_a_hotter_bisque_is_denser_and_stiffer(hotter: float) -> None:
    made = as_made(replace(RAKU, bisque_c=RAKU.kind_bisque_c + hotter))
    assert middle(made.moisture_expansion_percent) < middle(RAKU.moisture_expansion_percent)
    assert middle(made.open_porosity_percent) < middle(RAKU.open_porosity_percent)
    assert middle(made.youngs_modulus_gpa) > middle(RAKU.youngs_modulus_gpa)


def test_quartz_turns_to_cristobalite_in_a_hard_bisque_only() -> None:
    soft, hard = (as_made(replace(RAKU, bisque_c=c)) for c in (1050.0, 1220.0))
    assert soft.free_cristobalite_percent == RAKU.free_cristobalite_percent
    assert hard.free_cristobalite_percent[1] > RAKU.free_cristobalite_percent[1]
    assert middle(hard.free_quartz_percent) < middle(soft.free_quartz_percent)
