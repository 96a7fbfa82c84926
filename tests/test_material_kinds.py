"""One definition of what suspends a slurry, for all commands."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from cofire.answers.batch.pack import Order, batch
from cofire.answers.batch.scale import read_step
from cofire.answers.change.available_materials import available_materials
from cofire.answers.swap import swap
from cofire.chem.oxides import COUNTED
from cofire.errors import CompositionError
from cofire.files.library import Library
from cofire.material_kinds import (
    COLOURS,
    MOST_GEL,
    bentonite_missing,
    is_clay,
    is_gel,
    is_twin,
    keeps_up,
    percent_of,
    settles,
)
from cofire.records import Part, Recipe

LIB = Library.open(None)
SHELF = available_materials(LIB)


def recipe(**amounts: float) -> Recipe:
    parts = tuple(
        Part(name, amount, LIB.material(name.replace("_", "-"))[0])
        for name, amount in amounts.items()
    )
    return Recipe("r", "R", parts, (), "gloss")


def batch_warns(one: Recipe) -> bool:
    made = batch(LIB, [one], Order({"dip": 1.5}, read_step("0.1 g")))
    return any("settles hard" in line for line in made.sheets[0].keeping)


def swap_warns(answer) -> bool:  # type: ignore[no-untyped-def]
    return any(f.code == "settles" for f in answer.findings)


def test_kaolin_for_bentonite_stays_below_jelly_without_a_warning() -> None:
    """Three per cent of bentonite, the most that a slurry bears, do what fifteen of kaolin do."""
    old = recipe(frit_3110_type=60.0, frit_3134_type=28.0, kaolin_ideal=12.0)
    bentonite = LIB.material("bentonite")[0]
    answer = swap(LIB, old, LIB.material("kaolin-ideal")[0], [bentonite])
    best = answer.ways[0].recipe
    assert 0.0 < percent_of(best, is_gel) <= MOST_GEL + 0.005
    assert not swap_warns(answer) and not batch_warns(best)


NAMES = sorted(path.stem for path in (Path(__file__).parents[1] / "recipes").glob("*.toml"))


@pytest.mark.parametrize("name", NAMES)
def test_swap_and_batch_agree_on_what_settles(name: str) -> None:
    """For every material of every demo glaze: where the glaze kept up before, swap warns exactly
    when the sheet of the new one does."""
    old = LIB.recipe(name)
    for part in old.base:
        try:
            answer = swap(LIB, old, part.material, SHELF)
        except CompositionError:
            continue
        new = answer.ways[0].recipe
        assert batch_warns(new) == settles(new)
        fell = percent_of(new, keeps_up) <= percent_of(old, keeps_up) - 0.2
        assert swap_warns(answer) == (batch_warns(new) and fell)


@pytest.mark.parametrize("kaolin", [0.0, 3.0, 7.0, 7.9])
@pytest.mark.parametrize("bentonite", [0.0, 0.5, 1.0, 1.5])
def test_as_much_bentonite_as_is_said_is_enough_and_no_jelly(
    kaolin: float, bentonite: float
) -> None:
    thin = recipe(
        frit_3110_type=100.0 - kaolin - bentonite, kaolin_ideal=kaolin, bentonite_sodium=bentonite
    )
    more = bentonite_missing(thin)
    assert settles(thin) == (more > 0.0)
    mended = replace(thin, additions=(Part("bentonite", more, LIB.material("bentonite")[0]),))
    assert not settles(mended) and percent_of(mended, is_gel) <= MOST_GEL
    if more:
        less = replace(
            thin, additions=(Part("bentonite", more - 0.51, LIB.material("bentonite")[0]),)
        )
        assert settles(less)


def test_shelves_by_kind() -> None:
    clays = {m.id for m in LIB.materials.values() if is_clay(m)}
    kept = {"kaolin-ideal", "ball-clay-english", "fireclay", "bentonite-sodium", "hectorite"}
    assert kept <= clays
    assert "kaolin-calcined" not in clays and "silica" not in clays
    assert {m.id for m in LIB.materials.values() if is_gel(m)} == {
        "bentonite-sodium", "bentonite-calcium", "hectorite",
    }  # fmt: skip
    one, other = (LIB.material(n)[0] for n in ("kaolin-ideal", "kaolin-english"))
    assert is_twin(one, other) and not is_twin(one, LIB.material("silica")[0])
    assert set(COUNTED) < set(COLOURS)  # a glass holds little that no model knows
