"""Conditions: what is read, and that what no pot can have is refused in words."""

from __future__ import annotations

from dataclasses import replace
from math import inf, nan
from typing import Any

import pytest

from cofire.errors import CofireError, QuantityError
from cofire.files.library import Library
from cofire.model.conditions import Conditions
from cofire.read.coat import DEFAULT, Coat, read_coat
from cofire.records import Smoke
from cofire.ripeness.judge import DEFAULT as CRITERIA

LIB = Library.open(None)
RAKU, DAY = LIB.body("raku"), LIB.firing("raku-workshop")


def read(**asked: Any) -> Conditions:
    return Conditions.read(LIB, **asked)


# what is read


def test_nothing_said_is_what_is_usual() -> None:
    at = read()
    assert (at.body, at.firing, at.cooling_asked, at.body_draws, at.when) == (
        None,
        None,
        None,
        None,
        (),
    )
    assert (at.wall_mm, at.shape, at.odds, at.coats) == (6.0, "pot", 0.8, (DEFAULT,))


def test_everything_said_is_read() -> None:
    at = read(
        body="raku", firing="raku-workshop", wall="0.25 in", shape="tile", odds=0.9,
        coat="3 brushed; 1 dip", cooling="20 s air, 30 min bin, water", clear_foot="1 cm",
        ripple="3 mm", grain="0.05 mm", load="12 kg", price_per_kwh=0.3, kiln="small-brick",
    )  # fmt: skip
    assert at.body is not None and at.body.name == RAKU.name
    assert at.firing is not None and at.firing.kiln.name == LIB.kiln("small-brick").name
    assert at.firing.load_kg == pytest.approx(12.0) and at.firing.price_per_kwh == 0.3
    assert at.wall_mm == pytest.approx(6.35) and at.shape == "tile" and at.odds == 0.9
    assert [c.fired_mm for c in at.coats] == [
        read_coat("3 brushed").fired_mm, read_coat("1 dip").fired_mm
    ]  # fmt: skip
    assert at.cooling_asked == Smoke(20.0, 30.0, "water", False)
    by = at.criteria
    assert (by.run_limit_mm, by.ripple_mm) == pytest.approx((10.0, 3.0))
    assert by.grain_radius_um == pytest.approx(50.0)


def test_the_first_coat_lies_on_the_clay_and_one_is_for_all() -> None:
    two = read(coat="0.2 mm fired; 0.4 mm fired")
    assert [two.coat(k).fired_mm for k in (0, 1)] == [0.2, 0.4]
    one = read(coat="0.2 mm fired")
    assert [one.coat(k).fired_mm for k in (0, 1, 2)] == [0.2] * 3
    assert one.for_glazes(3) is one and two.for_glazes(2) is two


def test_the_program_of_a_firing_stays_what_its_file_says() -> None:
    other = read(firing="raku-workshop", kiln="small-brick", load="30 kg").firing
    assert other is not None
    for name in ("segments", "pulls"):
        ours = [vars(one) for one in getattr(other, name)]
        assert ours == [vars(one) for one in getattr(DAY, name)]


def test_one_question_less_leaves_the_rest_as_it_was() -> None:
    """Without asking about ripeness a firing still says how ware cools."""
    at = Conditions(RAKU, DAY)
    assert at.body_draws is not None and at.when
    fit_alone = at.only(fit=True, ripeness=False)
    assert fit_alone.when == () and fit_alone.body_draws is at.body_draws
    assert fit_alone.cooling_curve == at.cooling_curve and at.cooling_curve.path is not None
    ripe_alone = at.only(fit=False, ripeness=True)
    assert ripe_alone.body_draws is None and ripe_alone.when == at.when


def test_a_change_is_worked_out_again() -> None:
    at = Conditions(RAKU, DAY)
    assert (
        at.when and at.body_draws is not None and at.cooling_curve.path is not None
    )  # all are known by now
    calm = at.in_firing(LIB.firing("earthenware-cone-04"))
    assert (
        calm.cooling_curve.path is None
        and calm.when != at.when
        and calm.body_draws is at.body_draws
    )
    thick = at.with_coat(Coat(0.5, "thick"))
    assert thick.coat(0).fired_mm == 0.5 and thick.when == at.when


# what is refused


def refused(said: str, **asked: Any) -> QuantityError:
    with pytest.raises(QuantityError) as error:
        read(**asked)
    assert said in error.value.message
    assert error.value.hint
    return error.value


@pytest.mark.parametrize("wall", ["6 m", "0.1 mm", "0 mm", "-6 mm", "6", "thick", "7 cm", ""])
def test_walls_no_pot_has(wall: str) -> None:
    refused("", wall=wall)


@pytest.mark.parametrize("wall_mm", [0.0, -6.0, 6000.0, nan, inf])
def test_walls_no_pot_has_in_python(wall_mm: float) -> None:
    with pytest.raises(QuantityError, match="cannot have a wall"):
        Conditions(wall_mm=wall_mm)


@pytest.mark.parametrize("odds", [7, -1, nan, inf, 0.0, 0.49, 1.0, 0.9995, 80])
def test_impossible_odds_are_refused(odds: float) -> None:
    assert "0.5 to 0.999" in (refused("odds cannot be", odds=odds).hint or "")


@pytest.mark.parametrize("odds", ["0.8", True, None, [0.8]])
def test_odds_are_a_number(odds: object) -> None:
    refused("odds is a number", odds=odds)


@pytest.mark.parametrize("odds", [0.5, 0.999])
def test_the_ends_of_the_odds_can_be_asked(odds: float) -> None:
    assert read(odds=odds).odds == odds


@pytest.mark.parametrize("horizon", [0, -1, 59, nan, inf])
def test_unmeasured_ages_are_refused(horizon: float) -> None:
    """Growth in moist air is known to 58 years (Hall, Wilson & Hoff 2011)."""
    assert "58 years" in (refused("is not known", horizon_years=horizon).hint or "")


def test_a_horizon_is_an_age_at_which_crazing_is_reckoned() -> None:
    from cofire.answers.fit import fit

    glaze = LIB.recipe("frit-gloss")
    ages = dict(fit(LIB, glaze, read(body="raku", horizon_years=40)).crazed_with_the_years)
    assert list(ages) == [0.1, 1.0, 10.0, 40.0] and ages[1.0] < ages[10.0] < ages[40.0]


@pytest.mark.parametrize("shape", ["cup", "", "Pot", "both sides", None])
def test_shapes_that_are_not_known(shape: Any) -> None:
    assert "both-sides" in (refused("not a known shape", shape=shape).hint or "")


@pytest.mark.parametrize(
    "coat", ["3", "0.3 mm", "3 mm", "thick", "", "0 mm fired", "9 mm fired", "3 brushed;", ";"]
)
def test_coats_no_glaze_has(coat: str) -> None:
    refused("", coat=coat)


def test_a_coat_is_thinner_than_its_wall() -> None:
    refused("thicker than its wall", coat="4 mm fired", wall="3 mm")
    refused("thicker than its wall", coat="0.2 mm fired; 4 mm fired", wall="3 mm")
    with pytest.raises(QuantityError, match="thicker than its wall"):
        replace(Conditions(coats=(Coat(4.0, "thick"),)), wall_mm=3.0)


@pytest.mark.parametrize(("coats", "glazes"), [(2, 3), (2, 1), (3, 2)])
def test_a_coat_for_each_glaze_or_one_for_all(coats: int, glazes: int) -> None:
    at = read(coat="; ".join(["0.2 mm fired"] * coats))
    with pytest.raises(QuantityError, match=f"{coats} coats were given for {glazes} glaze") as told:
        at.for_glazes(glazes)
    assert told.value.hint


def test_no_coat_at_all() -> None:
    with pytest.raises(QuantityError, match="no coat"):
        Conditions(coats=())


@pytest.mark.parametrize("asked", [{"kiln": "small-brick"}, {"load": "12 kg"}])
def test_a_kiln_or_a_load_needs_a_firing(asked: dict[str, str]) -> None:
    refused("needs a firing", **asked)


@pytest.mark.parametrize("load", ["12", "5 t", "3000 kg", "-2 kg", "much"])
def test_loads_no_studio_kiln_holds(load: str) -> None:
    refused("", firing="raku-workshop", load=load)


@pytest.mark.parametrize("price", [-0.3, nan, inf, 1e6])
def test_impossible_prices_are_refused(price: float) -> None:
    refused("cannot cost", firing="raku-workshop", price_per_kwh=price)


@pytest.mark.parametrize("cooling", ["", "fast", "20 air", "water, 20 s air", "30"])
def test_unreadable_coolings_are_refused(cooling: str) -> None:
    refused("", body="raku", cooling=cooling)


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ({"clear_foot": "1 m"}, "clear foot"),
        ({"clear_foot": "0 mm"}, "clear foot"),
        ({"clear_foot": "6"}, ""),
        ({"ripple": "5 cm"}, "ripples"),
        ({"grain": "5 mm"}, "grains"),
        ({"grain": "0 mm"}, "grains"),
    ],
)
def test_impossible_criteria_are_refused(asked: dict[str, str], said: str) -> None:
    refused(said, **asked)


@pytest.mark.parametrize("field", ["run_limit_mm", "ripple_mm", "grain_radius_um"])
@pytest.mark.parametrize("value", [nan, inf, -1.0])
def test_criteria_in_python(field: str, value: float) -> None:
    with pytest.raises(QuantityError):
        Conditions(criteria=replace(CRITERIA, **{field: value}))


@pytest.mark.parametrize(
    ("asked", "near"),
    [
        ({"body": "rakku"}, "raku"),
        ({"firing": "raku-workshp"}, "raku-workshop"),
        ({"firing": "raku-workshop", "kiln": "smal-brick"}, "small-brick"),
    ],
)
def test_misspelt_names_find_theirs(asked: dict[str, str], near: str) -> None:
    with pytest.raises(CofireError) as error:
        read(**asked)
    assert near in f"{error.value.message} {error.value.hint}"


@pytest.mark.parametrize(
    "asked", [{"body": 5}, {"firing": ["raku-workshop"]}, {"firing": "raku-workshop", "kiln": 4}]
)
def test_a_body_and_a_firing_are_named(asked: dict[str, Any]) -> None:
    with pytest.raises(CofireError, match="named by its id, name or file"):
        read(**asked)


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ({"colour": "red"}, "no condition called"),
        ({"coat": 0.25}, "must be text"),
        ({"cooling": 100}, "must be text"),
        ({"firing": "raku-workshop", "price_per_kwh": "0.3"}, "price_per_kwh is a number"),
    ],
)
def test_what_is_no_condition_in_python(asked: dict[str, Any], said: str) -> None:
    with pytest.raises(CofireError, match=said):
        read(**asked)


def test_a_place_in_the_kiln_is_a_quarter_of_top_to_bottom() -> None:
    """Top and bottom are four standard deviations apart (common practice, no source)."""
    for apart in (8.0, 40.0):
        kiln = replace(DAY.kiln, top_to_bottom_c=apart)
        at = Conditions(firing=replace(DAY, kiln=kiln))
        assert at.place_sd_c == pytest.approx(apart / 4.0)


@pytest.mark.parametrize(
    "asked",
    [{"clear_foot": "100 mm"}, {"clear_foot": "0.1 mm"}, {"ripple": "30 mm"}, {"ripple": "0.2 mm"},
     {"grain": "0.5 mm"}, {"grain": "0.0005 mm"}, {"wall": "0.5 mm", "coat": "0.5 mm fired"}],
)  # fmt: skip
def test_the_ends_of_what_is_possible_are_possible(asked: dict[str, Any]) -> None:
    read(**asked)
