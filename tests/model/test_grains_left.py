"""Grains that have not melted or dissolved: how coarse they are, and what they do to ware."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from cofire.answers.pair import pair
from cofire.errors import CofireError
from cofire.files.library import Library
from cofire.material_kinds import grain_size
from cofire.model.conditions import Conditions
from cofire.model.glaze_draws import MIDDLE, Drawing, draw_glazes
from cofire.model.glaze_set import glaze_set
from cofire.model.ripening import fired, fluidity_up_to, hottest_c
from cofire.model.solids import mixture
from cofire.records import Recipe

LIB = Library.open(None)
DAY = Conditions(firing=LIB.firing("raku-workshop"))


def with_silica(**size: float) -> Recipe:
    recipe = LIB.recipe("frit-gloss")
    base = tuple(
        replace(p, material=replace(p.material, **size)) if p.material.id == "silica" else p
        for p in recipe.base
    )
    return replace(recipe, base=base)


def left(recipe: Recipe, n: int = 400) -> list[np.ndarray]:
    """Share that is solid of each draw, at the first and the last pull."""
    glazes, own = glaze_set(recipe)
    draws = draw_glazes(glazes, own[None], DAY, Drawing(n))
    known = fluidity_up_to(hottest_c(DAY.when), draws)
    return [known.left(moment).sum(axis=0) for moment in (DAY.when[0], DAY.when[-1])]


# sizes


def test_a_sieve_lets_through_what_tables_say() -> None:
    """75 µm at 200 mesh and 45 at 325 (ASTM E11); a quarter of it is the middle of the grains."""
    silica = LIB.material("silica")[0]
    for mesh, opening_um in ((100, 150.0), (200, 75.0), (325, 45.0)):
        size = grain_size(replace(silica, sieve_mesh=float(mesh)))
        assert size.d50_um == pytest.approx(opening_um / 4.0, rel=0.03)
    assert grain_size(silica).d50_um == 12.0 and "usual" in grain_size(silica).source
    assert grain_size(LIB.material("kaolin-ideal")[0]).d50_um < 5.0


def test_what_is_measured_is_less_in_doubt() -> None:
    silica = LIB.material("silica")[0]
    doubts = [
        grain_size(one).sd_ln
        for one in (replace(silica, d50_um=12.0), replace(silica, sieve_mesh=325.0), silica)
    ]
    assert doubts[0] < doubts[1] < doubts[2]
    known, guessed = (np.std(left(with_silica(**s))[0]) for s in ({"d50_um": 12.0}, {}))
    assert known < guessed


def test_coarse_silica_stays_and_fine_silica_goes() -> None:
    fine, usual, coarse = (
        [float(np.median(moment)) for moment in left(with_silica(d50_um=d50))]
        for d50 in (4.0, 12.0, 40.0)
    )
    assert fine[0] < usual[0] < coarse[0] and fine[1] < usual[1] < coarse[1]


def write(folder: Path, line: str) -> Path:
    path = folder / "materials" / "mine.toml"
    path.parent.mkdir()
    path.write_text(
        f'[mine]\nnames = ["my flint"]\nformula = "SiO2"\nsource = "a sack"\n{line}\n', "utf-8"
    )
    (folder / "studio.toml").write_text("", "utf-8")
    return folder


@pytest.mark.parametrize(
    ("line", "d50_um"), [('d50 = "8 um"', 8.0), ('sieve = "200 mesh"', 18.75), ("", 12.0)]
)
def test_a_file_says_the_size(tmp_path: Path, line: str, d50_um: float) -> None:
    library = Library.open(write(tmp_path, line))
    assert grain_size(library.material("mine")[0]).d50_um == pytest.approx(d50_um)


@pytest.mark.parametrize(
    "line",
    ['d50 = "8"', 'd50 = "3 mm"', 'sieve = "200"', 'sieve = "5 mesh"',
     'd50 = "8 um"\nsieve = "200 mesh"', "d50 = 8"],
)  # fmt: skip
def test_a_size_that_cannot_be_is_refused(tmp_path: Path, line: str) -> None:
    with pytest.raises(CofireError) as error:
        Library.open(write(tmp_path, line)).material("mine")
    assert error.value.hint and "mine.toml" in str(error.value.place)


# what is left


def test_the_first_pot_holds_more_than_the_last() -> None:
    first, last = left(LIB.recipe("frit-gloss"))
    assert (last <= first + 1e-6).all()
    assert np.median(last) < 0.7 * np.median(first)


def test_a_frit_with_silica_keeps_much_of_it_at_the_first_raku_pull() -> None:
    """And at cone 04 hardly any (shrinking cores by hand: 94 to 47 % of it, and 22 to 1 %)."""
    recipe = LIB.recipe("frit-gloss")
    glazes, own = glaze_set(recipe)
    silica = glazes.fired_shares(own[None])[0][[m.id for m in glazes.materials].index("silica")]
    assert 0.2 * silica < np.median(left(recipe)[0]) < silica
    slow = Conditions(firing=LIB.firing("earthenware-cone-04"))
    draws = draw_glazes(glazes, own[None], slow, MIDDLE)
    known = fluidity_up_to(hottest_c(slow.when), draws)
    assert known.left(slow.when[-1]).sum() < 0.25 * silica


def test_grains_move_expansion_as_a_recipe_that_states_them() -> None:
    """The same shares stated as “undissolved”: one mechanism, but for grains that tear loose and
    quartz that expands more toward 573 °C."""
    recipe = LIB.recipe("frit-gloss")
    glazes, own = glaze_set(recipe)
    draws = draw_glazes(glazes, own[None], DAY, MIDDLE)
    draws = replace(draws, grains_hold=np.ones(1))
    share = np.array([0.03 if of.kind == "quartz" else 0.0 for of in draws.grains.sizes])
    to = np.full(1, 300.0)
    moved = draws.with_grains(share[:, None]).alpha_1e6_per_k(to) - draws.alpha_1e6_per_k(to)
    fired_percent = (
        100.0 * glazes.fired_shares(own[None])[0][[m.id for m in glazes.materials].index("silica")]
    )
    stated = replace(recipe, undissolved={"silica": 100.0 * 3.0 / fired_percent})
    other, parts = glaze_set(stated)
    by_hand = draw_glazes(other, parts[None], DAY, MIDDLE).alpha_1e6_per_k(to)
    assert moved[0] == pytest.approx(by_hand[0] - draws.alpha_1e6_per_k(to)[0], rel=0.02)
    assert moved[0] > 0.0


def test_quartz_left_over_pulls_and_nothing_left_changes_nothing() -> None:
    draws = draw_glazes(*_one("frit-gloss"), DAY, MIDDLE)
    to = np.full(1, 550.0)
    bare = draws.alpha_1e6_per_k(to)[0]
    assert fired(draws, DAY.when).alpha_1e6_per_k(to)[0] > bare
    none = draws.with_grains(np.zeros((len(draws.grains.sizes), 1)))
    assert none.alpha_1e6_per_k(to)[0] == pytest.approx(bare, abs=1e-9)
    assert fired(draws, ()) is draws


def _one(name: str):  # type: ignore[no-untyped-def]
    glazes, own = glaze_set(LIB.recipe(name))
    return glazes, own[None]


def test_many_grains_are_as_many_times_few() -> None:
    """Beyond the share that is worked out it goes on straight."""
    draws = draw_glazes(*_one("frit-gloss"), DAY, MIDDLE)
    to, quartz = np.full(1, 500.0), [of.kind == "quartz" for of in draws.grains.sizes]
    bare = draws.alpha_1e6_per_k(to)[0]
    moved = [
        draws.with_grains(np.where(quartz, share, 0.0)[:, None]).alpha_1e6_per_k(to)[0] - bare
        for share in (0.1, 0.3)
    ]
    assert moved[1] == pytest.approx(3.0 * moved[0], rel=1e-6)
    assert mixture(LIB.recipe("frit-gloss"), draws.glazes.mol(draws.parts)).kinds == []


# mattes


def test_a_matte_says_what_makes_it_dry() -> None:
    """Little fire leaves it open; much fire leaves grains or crystals. Odds add up to one."""
    hot = Conditions(firing=LIB.firing("earthenware-cone-04"))
    for name in ("dry-matte", "true-matte"):
        for at in (DAY, hot):
            for pull in pair(LIB, [LIB.recipe(name)], at).glazes[0].pulls:
                assert pull.dry_by is not None
                assert sum(pull.dry_by.values()) == pytest.approx(1.0)
    assert pair(LIB, [LIB.recipe("frit-gloss")], DAY).glazes[0].pulls[0].dry_by is None


def test_bone_ash_that_does_not_dissolve_is_told_from_too_little_fire(tmp_path: Path) -> None:
    """Borate 60, bone ash 40 melts, and most of the bone ash stays; a cone 10 matte is open."""
    asked = {
        "bone": '"natural borate" = 60\n"bone ash" = 40\n',
        "cone10": '"potash feldspar" = 45\nkaolin = 25\nwhiting = 30\n',
    }
    likeliest = {}
    for key, lines in asked.items():
        path = tmp_path / f"{key}.toml"
        path.write_text(f'name = "{key}"\nsurface = "dry matte"\n[base]\n{lines}', "utf-8")
        dry_by = pair(LIB, [LIB.recipe(path)], DAY).glazes[0].pulls[0].dry_by
        assert dry_by is not None
        likeliest[key] = max(dry_by, key=lambda why: dry_by[why])
    assert likeliest["bone"] == "unmelted grains"


def test_what_a_recipe_states_to_stay_is_not_guessed_again() -> None:
    recipe = replace(LIB.recipe("frit-gloss"), undissolved={"silica": 0.0})
    glazes, own = glaze_set(recipe)
    draws = draw_glazes(glazes, own[None], DAY, MIDDLE)
    to = np.full(1, 550.0)
    assert fired(draws, DAY.when).alpha_1e6_per_k(to) == draws.alpha_1e6_per_k(to)
