"""Tiles read backwards: which clay, and which flaws, made them."""

from __future__ import annotations

from dataclasses import replace

import pytest

from cofire.answers.fit import fit
from cofire.answers.tile import Tile, read_tile, read_tiles
from cofire.errors import CofireError
from cofire.files.library import Library
from cofire.model.conditions import Conditions
from cofire.model.interval import Interval
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


def spread(found: Interval) -> float:
    return found.high - found.low


def test_the_same_tiles_ten_times_are_not_ten_tiles() -> None:
    """What is wrong with a glaze is wrong on all its tiles: more of them leave that doubt."""
    couple = [tile("clear-crackle", "crazed"), tile("frit-gloss", "whole")]
    once, often = (read_tiles(couple * k, RAKU).alpha_body_from_tiles for k in (1, 10))
    assert spread(often) > 0.7 * spread(once)


def test_other_glazes_say_more_than_the_same_again() -> None:
    first = [tile("frit-gloss", "whole")]
    same = read_tiles([*first, *first], RAKU)
    other = read_tiles([*first, tile("borate-gloss", "crazed")], RAKU)
    assert spread(other.alpha_body_from_tiles) < spread(same.alpha_body_from_tiles)


def test_a_tile_that_stays_whole_for_years_tells_of_moisture() -> None:
    """Beside one that crazed in days, an old whole one speaks for a clay that takes up little."""
    whole = replace(tile("frit-gloss", "whole"), years=10.0)
    told = read_tiles([whole], RAKU).moisture_expansion_percent
    fresh = read_tiles([tile("frit-gloss", "whole")], RAKU).moisture_expansion_percent
    assert told is not None and fresh is not None
    assert told.value < fresh.value - 0.005


def test_tiles_that_contradict_each_other_widen_the_scatter() -> None:
    both = [tile("frit-gloss", seen) for seen in ("whole", "crazed") * 3]
    one = [tile("frit-gloss", "whole")] * 6
    differ, alike = (read_tiles(t, RAKU).scatter_mpa for t in (both, one))
    assert differ is not None and alike is not None
    assert differ.value > alike.value


def test_a_late_crack_is_read_with_its_age() -> None:
    read = read_tile(LIB, "frit-gloss, 0.25 mm fired, crazed 6 mm after 2 years")
    assert (read.seen, read.spacing_mm, read.years) == ("crazed", 6.0, 2.0)
    assert read_tile(LIB, "frit-gloss, 3 brushed, whole after a month").years == pytest.approx(
        30.4 / 365.25
    )
    for wrong in ("whole after", "whole after ages", "crazed after 90 years", "whole 4 mm"):
        with pytest.raises(CofireError):
            read_tile(LIB, f"frit-gloss, 3 brushed, {wrong}")


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


def test_a_whole_gloss_leaves_room_between_crazing_and_shivering() -> None:
    """The clay expands enough not to craze it, and little enough not to shiver it off."""
    found = read_tiles([tile("frit-gloss", "whole")], RAKU)
    assert not (found.open_above or found.open_below)
    assert found.alpha_body_from_tiles.high - found.alpha_body_from_tiles.low > 3.0
    assert found.tiles_and_file_agree
    both, file = found.alpha_body_together, found.alpha_body_in_file
    assert both.high - both.low <= file.high - file.low


def test_tiles_that_contradict_a_measured_clay_are_said_to() -> None:
    at = Conditions(LIB.body("yard-raku"), LIB.firing("raku-workshop"))
    assert not read_tiles([tile("frit-gloss", "crazed", 4.0)], at).tiles_and_file_agree


def test_a_tile_that_says_nothing_moves_nothing() -> None:
    """A crackle that crazes on any such clay: the file's middle stays."""
    clay = LIB.body("raku")
    found = read_tiles([tile("turquoise-crackle", "crazed")], Conditions(clay))
    middle = 0.5 * (clay.alpha_1e6_per_k[0] + clay.alpha_1e6_per_k[1])
    assert found.alpha_body_together.value == pytest.approx(middle, abs=0.15)


def test_what_tiles_and_file_cannot_say_together_is_not_said() -> None:
    """A file far from every clay that was tried leaves no weight: it was printed as nan."""
    hot = replace(LIB.body("raku"), alpha_1e6_per_k=(28.8, 29.2))
    found = read_tiles([tile("clear-crackle", "crazed", 4.0)], Conditions(hot))
    assert not found.tiles_and_file_agree
    assert found.alpha_body_together is None and found.flaws_per_mm is None


@pytest.mark.parametrize("known", [(6.45, 6.55), (6.5, 6.5)])
def test_a_tile_does_not_widen_what_a_file_knows_to_less_than_a_step(
    known: tuple[float, float],
) -> None:
    clay = replace(LIB.body("raku"), alpha_1e6_per_k=known)
    found = read_tiles([tile("frit-gloss", "whole")], Conditions(clay))
    both = found.alpha_body_together
    assert both is not None
    assert known[0] - 0.03 < both.low <= both.high < known[1] + 0.03


def test_a_clay_beyond_all_that_is_tried_is_not_put_at_its_edge() -> None:
    clay = replace(LIB.body("raku"), alpha_1e6_per_k=(16.0, 17.0))
    found = read_tiles([tile("frit-gloss", "whole")], Conditions(clay))
    assert not found.tiles_and_file_agree and found.alpha_body_together is None
