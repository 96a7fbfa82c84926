"""Tiles read backwards: which clay, and which flaws, made them."""

from __future__ import annotations

from dataclasses import replace

import pytest

from cofire.answers.fit import fit
from cofire.answers.tile import Tile, read_tiles
from cofire.errors import CofireError
from cofire.files.library import Library
from cofire.model.conditions import Conditions
from cofire.read.coat import read_coat

LIB = Library()
RAKU = Conditions(LIB.body("raku"))


def tile(name: str, seen: str, spacing_mm: float | None = None) -> Tile:
    return Tile(LIB.recipe(name), read_coat("0.25 mm fired"), seen, spacing_mm)


def test_a_tile_finds_the_clay_it_was_made_on() -> None:
    """Turned around: the net that a clay of 6.05e-6/K is likely to give leads back to it."""
    at = Conditions(LIB.body("yard-raku"), LIB.firing("raku-one-load"))
    net = fit(LIB, LIB.recipe("clear-crackle"), at).crackle_mm
    assert net is not None
    found = read_tiles(
        [tile("clear-crackle", "crazed", net.value), tile("frit-gloss", "whole")], at
    )
    assert found.alpha_body_from_tiles.low < 6.05 < found.alpha_body_from_tiles.high


@pytest.mark.parametrize("flaws", [0.04, 0.4])
def test_tiles_find_the_flaws_they_were_made_with(flaws: float) -> None:
    """Turned around: nets of three glazes on a measured clay, worked out with other flaws."""
    clay, day = LIB.body("yard-raku"), LIB.firing("raku-workshop")
    tiles = []
    for name in ("clear-crackle", "white-crackle", "turquoise-crackle"):
        flawed = Conditions(replace(clay, flaws_per_mm=flaws), day)
        fitted = fit(LIB, LIB.recipe(name), flawed)
        assert fitted.crackle_mm is not None
        tiles.append(tile(name, "crazed", fitted.crackle_mm.value))
    found = read_tiles(tiles, Conditions(clay, day)).flaws_per_mm
    assert found is not None
    assert found.low < flaws < found.high


def test_black_tiles_need_smoke() -> None:
    with pytest.raises(CofireError, match="turn black only"):
        read_tiles([tile("clear-crackle", "black", 9.0)], RAKU)
    seen = read_tiles(
        [tile("clear-crackle", "black", 9.0)],
        Conditions(LIB.body("raku"), LIB.firing("raku-workshop")),
    )
    assert seen.flaws_per_mm is not None and seen.tiles_and_file_agree


def test_a_whole_crackle_means_a_clay_that_expands_more() -> None:
    whole = read_tiles([tile("clear-crackle", "whole")], RAKU)
    crazed = read_tiles([tile("clear-crackle", "crazed", 3.0)], RAKU)
    assert whole.alpha_body_from_tiles.value > crazed.alpha_body_from_tiles.value + 1.0


def test_finer_cracks_mean_a_clay_that_expands_less() -> None:
    fine, coarse = (
        read_tiles([tile("clear-crackle", "crazed", mm)], RAKU).alpha_body_from_tiles.value
        for mm in (1.5, 12.0)
    )
    assert fine < coarse


def test_a_whole_gloss_sets_no_upper_limit_and_the_file_does() -> None:
    found = read_tiles([tile("frit-gloss", "whole")], RAKU)
    assert found.open_above
    assert found.tiles_and_file_agree
    both, file = found.alpha_body_together, found.alpha_body_in_file
    assert both.high - both.low <= file.high - file.low + 0.2


def test_tiles_that_contradict_a_measured_clay_are_said_to() -> None:
    at = Conditions(LIB.body("yard-raku"), LIB.firing("raku-workshop"))
    assert not read_tiles([tile("frit-gloss", "crazed", 4.0)], at).tiles_and_file_agree


def test_a_tile_that_says_nothing_moves_nothing() -> None:
    """A gloss that any clay would leave whole: the file's middle stays, and so do the flaws."""
    clay = LIB.body("talc-earthenware")
    found = read_tiles([tile("frit-gloss", "whole")], Conditions(clay))
    middle = 0.5 * (clay.alpha_1e6_per_k[0] + clay.alpha_1e6_per_k[1])
    assert found.alpha_body_together.value == pytest.approx(middle, abs=0.15)


def test_what_tiles_and_file_cannot_say_together_is_not_said() -> None:
    """A file far from every clay that was tried leaves no weight: it was printed as nan."""
    hot = replace(LIB.body("raku"), alpha_1e6_per_k=(28.8, 29.2))
    found = read_tiles([tile("clear-crackle", "crazed", 4.0)], Conditions(hot))
    assert not found.tiles_and_file_agree
    assert found.alpha_body_together is None and found.flaws_per_mm is None
