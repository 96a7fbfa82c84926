"""What ``adjust`` says yes to is so: in the recipe it saves, as ``pair`` judges it."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from cofire.answers.adjust import adjust
from cofire.answers.change.available_materials import available_materials
from cofire.answers.change.problem import Allowed
from cofire.answers.change.relative_targets import read_target
from cofire.answers.fit import fit
from cofire.answers.pair import pair
from cofire.files.library import Library
from cofire.files.recipe_writer import write_recipe
from cofire.model.conditions import Conditions
from cofire.records import Recipe

LIB = Library.open(None)
DAY = Conditions(LIB.body("raku"), LIB.firing("raku-workshop"))


def of_others(folder: Path) -> Recipe:
    """A recipe made of two others, which share silica and kaolin."""
    path = folder / "both.toml"
    path.write_text(
        'name = "Both"\nsurface = "gloss"\n[base]\n"recipe: frit-gloss" = 70\n'
        '"recipe: satin-white" = 30\n',
        encoding="utf-8",
    )
    return LIB.recipe(path)


def test_what_is_left_out_is_out_although_all_else_is_well() -> None:
    kaolin, _ = LIB.material("kaolin")
    glaze = LIB.recipe("frit-gloss")
    answer = adjust(LIB, glaze, [], Conditions(), Allowed(left_out=[kaolin]))
    assert all(kaolin.id not in proposal.base for proposal in answer.proposals)


@pytest.mark.parametrize(("target", "yes"), [("ripe at 920 C", False), ("ripe at 900 C", True)])
@pytest.mark.parametrize("name", ["white-crackle", "clear-crackle"])
def test_a_yes_is_the_yes_of_pair(name: str, target: str, yes: bool, tmp_path: Path) -> None:
    """A glaze that is only just ripe at 920 °C is not sure to be ripe at the first pull."""
    glaze = LIB.recipe(name)
    answer = adjust(LIB, glaze, [read_target(target, LIB, glaze)], DAY)
    path = tmp_path / "saved.toml"
    write_recipe(path, answer.proposals[0].recipe)
    assert answer.yes == yes
    assert pair(LIB, [LIB.recipe(path)], DAY).yes or not yes


def test_a_recipe_of_recipes_has_each_material_once(tmp_path: Path) -> None:
    both = of_others(tmp_path)
    ids = [p.material.id for p in both.base]
    assert len(ids) == len(set(ids))
    path = tmp_path / "saved.toml"
    write_recipe(path, both)
    again = LIB.recipe(path)
    assert [p.material.id for p in again.base] == ids
    assert [p.amount for p in again.base] == pytest.approx([p.amount for p in both.base], rel=1e-3)


@pytest.mark.parametrize(
    ("target", "low", "high"),
    [
        ("expansion at least 6", 6.0, 99.0),
        ("expansion 6 to 6.2", 6.0, 6.2),
        ("expansion at most 5", 0.0, 5.0),
    ],
)
def test_an_end_is_an_end(target: str, low: float, high: float) -> None:
    glaze = LIB.recipe("frit-gloss")
    answer = adjust(LIB, glaze, [read_target(target, LIB, glaze)], Conditions())
    best = answer.proposals[0]
    met = next(m for m in best.targets if m.target.text == target)
    assert met.met == (low <= met.value <= high)
    assert met.met


def test_what_is_no_glaze_comes_after_all_that_is(tmp_path: Path) -> None:
    """No glaze expands by 2e-6/K; of what comes near, some would have no flux at all."""
    path = tmp_path / "crackle.toml"
    path.write_text(
        'name = "Crackle"\nsurface = "crackle"\nundissolved = { "tin oxide" = 90 }\n[base]\n'
        '"soda-borosilicate frit, 3110 type" = 75\nkaolin = 15\nsilica = 10\n[additions]\n'
        '"tin oxide" = 6\n',
        encoding="utf-8",
    )
    glaze = LIB.recipe(path)
    answer = adjust(
        LIB, glaze, [read_target("expansion 2", LIB, glaze)], DAY, Allowed(available_materials(LIB))
    )
    assert all(proposal.seen is not None for proposal in answer.proposals)


def test_what_is_missed_of_odds_is_what_is_short_of_those_asked() -> None:
    recipe = LIB.recipe("white-crackle")
    targets = [read_target(w, LIB, recipe) for w in ("black crackle 5 mm", "fits")]
    answer = adjust(LIB, recipe, targets, DAY, Allowed(available_materials(LIB)))
    seen = [met for one in (answer.now, *answer.proposals) for met in one.targets]
    assert any(met.met for met in seen) and not all(met.met for met in seen)
    for met in seen:
        if met.odds is not None and met.target.kind != "black":  # which is met by its middle
            assert met.missed == pytest.approx(max(DAY.odds - met.odds, 0.0))


@pytest.mark.parametrize("want", ["crackle 15 mm", "black crackle 20 mm"])
def test_the_net_that_is_promised_is_the_net_of_fit(want: str, tmp_path: Path) -> None:
    """The recipe is saved, and asked again: the same distance, within the wish."""
    at = Conditions(LIB.body("raku"), LIB.firing("raku-one-load"))
    recipe = LIB.recipe("clear-crackle")
    target = read_target(want, LIB, recipe)
    best = adjust(LIB, recipe, [target], at, Allowed(available_materials(LIB))).proposals[0]
    write_recipe(tmp_path / "found.toml", best.recipe)
    again = fit(LIB, LIB.recipe(tmp_path / "found.toml"), at)
    net = again.crackle_mm if target.kind == "crackle" else again.nets[1].spacing_mm
    promised = next(met for met in best.targets if met.target.kind == target.kind)
    assert net is not None
    assert net.value == pytest.approx(promised.value, rel=1e-6)
    assert again.verdict == best.verdict == "yes"
    assert np.exp(target.low) <= net.value <= np.exp(target.high)
