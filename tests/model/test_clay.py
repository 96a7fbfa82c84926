"""What a potter does to a clay."""

from __future__ import annotations

from dataclasses import replace

import pytest

from cofire.files.library import Library
from cofire.model.clay import as_made, fired_to
from cofire.model.conditions import Conditions

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


@pytest.mark.parametrize(
    ("bisque_c", "peak_c", "after_c"),
    [
        (None, 1063.0, None),  # the ranges of its kind stand
        (850.0, 700.0, 850.0),
        (850.0, 943.0, 943.0),
        (850.0, 1063.0, RAKU.kind_bisque_c),
        (1050.0, 1063.0, 1050.0),
    ],
)
def test_a_hotter_firing_makes_up_for_a_soft_bisque(
    bisque_c: float | None, peak_c: float, after_c: float | None
) -> None:
    assert fired_to(replace(RAKU, bisque_c=bisque_c), peak_c).bisque_c == after_c


def test_clay_is_judged_as_it_is_after_all_its_firings() -> None:
    """Bisqued at 850 °C; the firings go to 943 and 998 °C."""
    library = Library.open(None)
    soft, raku = replace(RAKU, bisque_c=850.0), library.firing("raku-workshop")
    hot = library.firing("earthenware-cone-06")

    def grows(at: Conditions) -> float:
        assert at.body_draws is not None
        return float(at.body_draws.moisture.mean())

    only_bisque, in_raku, in_hot = (
        grows(Conditions(body=soft, firing=firing)) for firing in (None, raku, hot)
    )
    assert only_bisque > in_raku > in_hot
    assert in_hot == pytest.approx(grows(Conditions(body=RAKU)))
    assert in_hot == pytest.approx(grows(Conditions(body=soft, firing=raku, earlier=(hot,))))
    first = Conditions(body=soft, firing=raku)
    assert grows(first) == in_raku and grows(first.in_firing(hot)) == pytest.approx(in_hot)
