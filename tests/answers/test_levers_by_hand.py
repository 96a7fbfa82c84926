"""The sums of levers, with settings that are made up."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

import cofire.answers.levers as levers_module
from cofire.answers.levers import (
    Lever,
    LeversAnswer,
    Pair,
    Setting,
    _amount_for,
    _Levers,
    _Scale,
    _scales,
    _sentence,
    _value,
    value_text,
)
from cofire.records import Smoke


def scale(now: float = 0.3, amounts: tuple[float, ...] = (0.1, 0.5), step: float = 0.05) -> Any:
    return _Scale("coat", now, amounts, step, lambda here, mm: (here, mm), lambda mm: f"{mm:g} mm")


def test_what_a_move_costs() -> None:
    """Two for a coat, and half of it for half of the way of 0.4 mm."""
    move = scale().move(0.5)
    assert (move.name, move.said) == ("coat", "0.5 mm")
    assert move.effort == pytest.approx(2.0 + 0.2 / 0.4)
    assert scale().move(0.2).effort == pytest.approx(2.0 + 0.1 / 0.4)
    assert move.to("here") == ("here", 0.5)


@pytest.mark.parametrize(
    ("amount", "rounded"), [(0.32, 0.3), (0.33, 0.35), (0.9, 0.6), (0.01, 0.1)]
)
def test_amounts_are_round_and_within_the_way(amount: float, rounded: float) -> None:
    assert scale(0.6).rounded(amount) == pytest.approx(rounded)
    assert scale(0.6).ends == (0.1, 0.6)
    assert scale(0.05).ends == (0.05, 0.5)


@pytest.mark.parametrize(
    ("wished", "amount"),
    [
        (5.0, 0.2),  # halfway between 0 at 0.1 and 10 at 0.3
        (2.5, 0.15),
        (15.0, 0.4),  # halfway between 10 and 20
        (25.0, 0.5),  # beyond all: the nearest
        (-1.0, 0.1),
    ],
)
def test_the_amount_for_a_wish_lies_straight_between(wished: float, amount: float) -> None:
    assert _amount_for(wished, {0.5: 20.0, 0.1: 0.0, 0.3: 10.0}, scale()) == pytest.approx(amount)


def test_of_two_amounts_the_nearer_one() -> None:
    """Up to 10 and down again: 5 is crossed at 0.2 and at 0.4. Level ways are not crossed."""
    hill = {0.1: 0.0, 0.3: 10.0, 0.5: 0.0}
    assert _amount_for(5.0, hill, scale(0.32)) == pytest.approx(0.4)
    assert _amount_for(5.0, hill, scale(0.28)) == pytest.approx(0.2)
    assert _amount_for(5.0, {0.1: 5.0, 0.5: 5.0}, scale(0.45)) == pytest.approx(0.5)
    assert _amount_for(9.0, {0.1: 5.0, 0.5: 5.0}, scale(0.2)) == pytest.approx(0.1)


def wish(kind: str, low: float, high: float, *, about: bool = False) -> Any:
    target = SimpleNamespace(kind=kind, low=low, high=high, about=about, text="a wish")
    at = SimpleNamespace(odds=0.8)
    return _Levers(None, None, target, at, None)  # type: ignore[arg-type]


def test_how_far_from_a_wish() -> None:
    tries = wish("stress", -60.0, -40.0)
    assert [tries.miss(x) for x in (-70.0, -60.0, -50.0, -40.0, -35.0)] == [
        10.0,
        0.0,
        0.0,
        0.0,
        5.0,
    ]
    # 3 MPa within the nearer end, and where it is if that is within
    assert [tries.wished(x) for x in (-90.0, -50.0, -10.0)] == [-57.0, -50.0, -43.0]
    # never past the middle of a narrow wish
    assert wish("stress", -44.0, -40.0).wished(0.0) == -42.0
    assert wish("crazes", 0.0, 0.1).wished(1.0) == pytest.approx(0.08)
    assert wish("stress", -60.0, -40.0, about=True).wished(0.0) == -50.0


def test_nets_are_as_wished_within_their_spread() -> None:
    """About 10 mm is from 10 / 1.15 to 10 x 1.15, on a scale of logarithms."""
    tries = wish("black", np.log(9.0), np.log(100.0 / 9.0), about=True)
    assert tries.aim == pytest.approx((np.log(10.0 / 1.15), np.log(11.5)))
    assert wish("black", 1.0, 2.0).aim == (1.0, 2.0)
    assert wish("stress", 1.0, 2.0, about=True).aim == (1.0, 2.0)
    assert wish("crackle", 1.0, 2.0).wished(9.0) == pytest.approx(2.0 - 0.5 * np.log(1.15))


def seen(scaled: float, odds: float = 0.9) -> Any:
    return SimpleNamespace(scaled=scaled, setting=SimpleNamespace(odds=odds))


def test_two_effects_add_up() -> None:
    """From -20, one lever to -30 and one to -35 bring -45, in the wish; a risk beyond that asked
    counts as a miss."""
    tries = wish("stress", -60.0, -40.0)
    assert tries._off(seen(-20.0), seen(-30.0), seen(-35.0)) == 0.0
    assert tries._off(seen(-20.0), seen(-25.0), seen(-30.0)) == pytest.approx(5.0)
    assert tries._off(seen(-20.0), seen(-30.0, 0.7), seen(-35.0)) == pytest.approx(0.1)
    assert tries._off(seen(-20.0), seen(-30.0), seen(-35.0, 0.6)) == pytest.approx(0.2)


def setting(value: float | None = -50.0, *, reaches: bool = True, good: bool = True) -> Setting:
    return Setting("0.2 mm coat", value, 0.9, None, reaches, good)


def move_of(tries: Any, name: str, scaled: float, effort: float) -> Any:
    return SimpleNamespace(
        moves=(SimpleNamespace(name=name, effort=effort, said=name, to=None),),
        scaled=scaled,
        setting=SimpleNamespace(odds=0.9, reaches=False),
    )


def test_the_cheapest_pair(monkeypatch: pytest.MonkeyPatch) -> None:
    """From 0 to -40: -15 by air (1) or -30 by air (2), -25 by the coat (2.5) or -12 by it (2);
    air alone at -40 is no part of a pair. -15 and -25 make it for 3.5, -30 and -12 for 4."""
    tries = wish("stress", -60.0, -40.0)
    air = [move_of(tries, "air", -15.0, 1.0), move_of(tries, "air", -30.0, 2.0),
           move_of(tries, "air", -40.0, 0.5), move_of(tries, "air", 9.0, 0.1)]  # fmt: skip
    coat = [move_of(tries, "coat", -25.0, 2.5), move_of(tries, "coat", -12.0, 2.0)]
    asked: list[tuple[str, ...]] = []

    def see(*moves: Any, how: Any = None) -> Any:
        asked.append(tuple(m.name for m in moves))
        return SimpleNamespace(setting=setting(reaches=sum(m.effort for m in moves) > 3.2))

    monkeypatch.setattr(tries, "see", see)
    found = tries.pair(seen(0.0), [(None, air), (None, coat)])
    assert found is not None
    assert found.names == ("air", "coat")
    assert found.effort == pytest.approx(3.5)
    # -15 and -12 are cheaper, and tried first; then the pair with some draws, and with all
    assert asked == [("air", "coat")] * 3
    assert tries.pair(seen(-50.0), [(None, air), (None, coat)]) is None
    assert tries.pair(seen(0.0), [(None, air)]) is None
    for no in (setting(reaches=False), setting(good=False)):
        monkeypatch.setattr(tries, "see", lambda *_, no=no, how=None: SimpleNamespace(setting=no))
        assert tries.pair(seen(0.0), [(None, air), (None, coat)]) is None


@pytest.mark.parametrize(
    ("kind", "value", "said"),
    [
        ("black", None, "no net"),
        ("black", 9.94, "9.9 mm"),
        ("crackle", 9.96, "10 mm"),
        ("crackle", 15.2, "15 mm"),
        ("stress", 40.4, "+40 MPa"),
        ("stress", -3.6, "-4 MPa"),
        ("crazes", 0.12, "12 %"),
    ],
)
def test_a_value_in_words(kind: str, value: float | None, said: str) -> None:
    assert value_text(SimpleNamespace(kind=kind), value) == said  # type: ignore[arg-type]


def test_the_sentence() -> None:
    target: Any = SimpleNamespace(kind="stress", text="-60 to -40 MPa")
    lever = Lever("coat", "0.3 mm", (), setting(-45.0), 2.5)
    pair = Pair(("air", "coat"), setting(-41.0), 3.5)
    now = setting(-10.0, reaches=False)
    assert _sentence(target, setting(), None, None) == "Yes: it is as wished already, -50 MPa."
    assert _sentence(target, now, lever, None) == (
        "Yes: with 0.2 mm coat (-45 MPa); now it is -10 MPa.")  # fmt: skip
    assert _sentence(target, now, lever, pair) == (
        "Yes: with 0.2 mm coat (-45 MPa) or 0.2 mm coat (-41 MPa); now it is -10 MPa.")  # fmt: skip
    for state in (now, setting(-10.0, good=False)):
        assert _sentence(target, state, None, None) == (
            "No: neither one lever nor two bring “-60 to -40 MPa” with the odds asked; now it is "
            "-10 MPa.")  # fmt: skip

    def yes(now: Setting, cheapest: Any, pair: Pair | None) -> bool:
        nothing: Any = None
        return LeversAnswer(nothing, nothing, target, now, (), cheapest, pair, "", ()).yes

    assert yes(setting(), None, None)
    assert not yes(now, None, None) and not yes(setting(good=False), None, None)
    assert yes(now, "coat", None) and yes(now, None, pair)
    assert not yes(now, None, Pair(("air", "coat"), setting(good=False), 1.0))
    assert not yes(now, None, Pair(("air", "coat"), setting(reaches=False), 1.0))


def test_the_middle_of_a_wish() -> None:
    fits: Any = SimpleNamespace(
        spacing_mm=np.array([1.0, 2.0, 9.0]),
        black_mm=np.array([5.0, 4.0, np.inf, np.inf, np.inf]),
        stress_mpa=np.array([-30.0, -20.0, 7.0]),
        shivers=np.array([True, False, False, False]),
        crazes=np.array([True, True, False, True]),
    )
    assert _value("crackle", fits) == 2.0
    assert np.isfinite(_value("black", fits)) and _value("black", fits) > 50.0
    assert _value("stress", fits) == -20.0
    assert (_value("shivers", fits), _value("crazes", fits)) == (0.25, 0.75)


def levers_at(wall_mm: float, coat_mm: float, smoke: Smoke | None) -> dict[str, Any]:
    at: Any = SimpleNamespace(
        coats=[SimpleNamespace(fired_mm=coat_mm)],
        wall_mm=wall_mm,
        cooling_curve=SimpleNamespace(smoke=smoke, path=None if smoke is None else "path"),
    )
    return {one.name: one for one in _scales(at)}


def test_which_levers_there_are() -> None:
    """Coats stay below 0.3 of the wall, walls above three coats; a pot of 6 mm takes all coats."""
    every = levers_at(6.0, 0.3, Smoke(20.0, 12.0, bed="sawdust"))
    assert {name: one.now for name, one in every.items()} == {
        "coat": 0.3, "wall": 6.0, "air": 20.0, "bin": 12.0}  # fmt: skip
    assert {name: one.step for name, one in every.items()} == {
        "coat": 0.05, "wall": 0.5, "air": 5.0, "bin": 1.0}  # fmt: skip
    assert every["coat"].amounts == (0.1, 0.15, 0.25, 0.4, 0.6, 0.9)
    assert every["wall"].amounts == (3.0, 4.5, 6.0, 8.0, 11.0)
    assert levers_at(2.0, 1.2, None)["coat"].amounts == (0.1, 0.15, 0.25, 0.4)
    assert levers_at(2.0, 1.2, None)["wall"].amounts == (4.5, 6.0, 8.0, 11.0)
    assert set(levers_at(6.0, 0.3, None)) == {"coat", "wall"}
    assert set(levers_at(6.0, 0.3, Smoke(20.0, 0.0))) == {"coat", "wall", "air"}
    assert "coat" not in levers_at(0.3, 0.05, None)
    said = {name: one.say(1.5) for name, one in every.items()}
    assert said == {"coat": "1.5 mm coat", "wall": "1.5 mm wall", "air": "1.5 s in air",
                    "bin": "1.5 min in sawdust"}  # fmt: skip


def test_choices_that_are_tried() -> None:
    """All ours: a pot is held in air for up to four minutes and in the bin for up to half an hour;
    what a hot kiln allows costs least, and a new clay most."""
    assert levers_module._AIRS_S == (0.0, 30.0, 60.0, 90.0, 150.0, 240.0)
    assert levers_module._BINS_MIN == (2.0, 4.0, 6.0, 9.0, 15.0, 30.0)
    assert levers_module._EFFORT == {
        "air": 1.0, "bin": 1.0, "coat": 2.0, "glaze": 4.0, "wall": 6.0, "clay": 8.0}  # fmt: skip
