"""One wish, and how far each lever goes: what the table says has to be what ``fit`` says."""

from __future__ import annotations

from functools import cache

import pytest

from cofire import Studio
from cofire.answers.levers import Lever, LeversAnswer
from cofire.errors import CompositionError

STUDIO = Studio()
WHERE = {"body": "raku", "firing": "raku-one-load"}
WISH_MM = 15.0


@cache
def answer() -> LeversAnswer:
    return STUDIO.levers("clear-crackle", f"black crackle {WISH_MM:g} mm", allowed=(), **WHERE)


def lever(name: str) -> Lever:
    return next(one for one in answer().levers if one.name == name)


def black_mm(**changed: object) -> float:
    net = STUDIO.fit("clear-crackle", **WHERE | changed).nets[1].spacing_mm  # type: ignore[arg-type]
    assert net is not None
    return net.value


@pytest.mark.parametrize(
    ("name", "changed"),
    [
        ("air", {"cooling": "{}, 20 min bin"}),
        ("bin", {"cooling": "20 s air, {}"}),
        ("coat", {"coat": "{} fired"}),
        ("wall", {"wall": "{}"}),
        ("clay", {"body": "{}"}),
    ],
)
def test_fit_says_the_same_under_what_a_lever_proposes(name: str, changed: dict[str, str]) -> None:
    said = lever(name).nearest.said.removesuffix(" coat").removesuffix(" wall")
    asked = {key: text.format(said) for key, text in changed.items()}
    assert black_mm(**asked) == pytest.approx(lever(name).nearest.value)


def test_what_reaches_the_wish_is_near_it_and_the_cheapest_does() -> None:
    for one in answer().levers:
        if one.nearest.reaches:
            assert one.nearest.value == pytest.approx(WISH_MM, rel=0.155)
    cheapest = answer().cheapest
    assert cheapest is not None
    assert lever(cheapest).nearest.reaches
    assert lever(cheapest).nearest.good
    others = [one.effort for one in answer().levers if one.nearest.reaches and one.nearest.good]
    assert lever(cheapest).effort == min(others)


def test_a_pair_is_two_levers_that_need_each_other() -> None:
    pair = answer().pair
    assert pair is not None
    assert len(set(pair.names)) == 2
    assert pair.seen.reaches
    assert pair.seen.good
    assert pair.seen.value == pytest.approx(WISH_MM, rel=0.155)
    if set(pair.names) == {"bin", "coat"}:
        bin_, coat = pair.seen.said.split(" and ")
        asked = {"cooling": f"20 s air, {bin_}", "coat": f"{coat.removesuffix(' coat')} fired"}
        assert black_mm(**asked) == pytest.approx(pair.seen.value)
        for key, text in asked.items():
            assert black_mm(**{key: text}) < WISH_MM / 1.15


def test_every_lever_goes_as_trade_says() -> None:
    """Common practice: more coat and more air, wider black nets; more bin, finer ones."""
    for name, sign in (("coat", 1), ("air", 1), ("bin", -1)):
        way = [one.value or 200.0 for one in lever(name).settings]
        assert (way[-1] - way[0]) * sign > 5.0


def test_wishes_that_only_the_glaze_can_bring_go_to_adjust() -> None:
    with pytest.raises(CompositionError, match="could bring") as error:
        STUDIO.levers("clear-crackle", "expansion 7", body="raku")
    assert "cofire adjust" in (error.value.hint or "")
    with pytest.raises(CompositionError, match="needs a --body"):
        STUDIO.levers("clear-crackle", "crackle 7 mm")


def test_in_a_kiln_there_is_no_air_and_no_bin() -> None:
    found = STUDIO.levers("frit-gloss", "crazes at most 20 %", allowed=(), body="raku")
    assert found.levers[0].name == "coat"
    assert not {"air", "bin"} & {one.name for one in found.levers}
    thin, thick = found.levers[0].settings[0].value, found.levers[0].settings[-1].value
    assert thin is not None
    assert thick is not None
    assert thin < thick
