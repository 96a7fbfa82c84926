"""Blends against closed forms, brute force, mass balances, and each corner alone."""

from __future__ import annotations

import itertools
from dataclasses import replace

import numpy as np
import pytest

from cofire.answers.blend.additions import read_addition
from cofire.answers.blend.blend import blend, words_of
from cofire.answers.blend.points import Cup, dry_shares, into_cups, points, read_cup, read_slurry
from cofire.answers.blend.results import Blend, Plan
from cofire.answers.blend.tiles import TILE_NOISE, choose, covariance_of
from cofire.answers.fit import fit
from cofire.answers.formula import formula
from cofire.answers.pair import pair
from cofire.chem.composition import solid_mass, wt_from_mol
from cofire.chem.oxides import INDEX
from cofire.errors import CompositionError, QuantityError, UnknownNameError
from cofire.files.library import Library
from cofire.model.analysis import analyse
from cofire.model.conditions import Conditions
from cofire.model.slurry import SOLIDS_G_PER_CM3, dry_g_per_ml
from cofire.records import Part

LIB = Library()
NOTHING = Conditions()
DAY = Conditions(firing=LIB.firing("raku-workshop"))
BOTH = Conditions(LIB.body("yard-raku"), LIB.firing("raku-workshop"))


def blended(
    *names: str, steps: int = 5, slurry: np.ndarray | None = None, at: Conditions = NOTHING, **how
) -> Blend:  # type: ignore[no-untyped-def]
    plan = Plan([LIB.recipe(n) for n in names], (), steps, slurry)
    return blend(LIB, plan, at, **how)


def added(
    name: str,
    *texts: str,
    steps: int = 5,
    slurry: np.ndarray | None = None,
    at: Conditions = NOTHING,
    **how,
) -> Blend:  # type: ignore[no-untyped-def]
    plan = Plan([LIB.recipe(name)], [read_addition(LIB, t) for t in texts], steps, slurry)
    return blend(LIB, plan, at, **how)


# --- points -------------------------------------------------------------------------------------


@pytest.mark.parametrize("steps", [1, 2, 5, 10, 20])
def test_how_many_points_there_are(steps: int) -> None:
    n = steps
    assert len(points(2, n).shares) == n + 1
    assert len(points(3, n).shares) == (n + 1) * (n + 2) // 2
    assert len(points(4, n).shares) == (n + 1) ** 2


@pytest.mark.parametrize("corners", [2, 3, 4])
def test_shares_sum_to_one_and_corners_are_pure(corners: int) -> None:
    at = points(corners, 7)
    assert at.shares.sum(axis=1) == pytest.approx(np.ones(len(at.shares)), abs=1e-12)
    assert (at.shares >= 0.0).all()
    pure = at.shares[at.shares.max(axis=1) == 1.0]
    assert sorted(pure.argmax(axis=1)) == list(range(corners))
    assert len(set(at.labels)) == len(at.shares)
    # the centre of gravity of every such figure is the even mixture
    assert at.shares.mean(axis=0) == pytest.approx(np.full(corners, 1.0 / corners))


@pytest.mark.parametrize(("corners", "far"), [(2, 1), (3, 1), (4, 1)])
def test_neighbours_are_those_one_step_away(corners: int, far: int) -> None:
    """By brute force over all pairs: in a line and a triangle one part is exchanged for another; in
    a grid one goes one cell along or down."""
    at = points(corners, 4)
    found = {tuple(pair) for pair in at.neighbours.tolist()}
    wanted = set()
    for p, q in itertools.combinations(range(len(at.shares)), 2):
        if corners == 4:
            near = abs(at.row[p] - at.row[q]) + abs(at.column[p] - at.column[q]) == far
        else:
            near = round(4 * np.abs(at.shares[p] - at.shares[q]).sum()) == 2 * far
        if near:
            wanted.add((p, q))
    assert found == wanted


def test_labels_say_row_and_place() -> None:
    assert points(2, 3).labels == ("A1", "A2", "A3", "A4")
    assert points(3, 2).labels == ("A1", "B1", "B2", "C1", "C2", "C3")
    assert points(4, 1).labels == ("A1", "A2", "B1", "B2")
    assert points(4, 20).labels[-1] == "U21"


@pytest.mark.parametrize("steps", [0, -3, 21])
def test_impossible_steps_are_refused(steps: int) -> None:
    with pytest.raises(QuantityError, match="steps cannot be") as wrong:
        points(2, steps)
    assert "1 to 20" in wrong.value.hint


# --- slurries and cups --------------------------------------------------------------------------


def test_brongniart_by_hand() -> None:
    # 1.45 g/ml: 0.45 x 2.6 / 1.6
    assert dry_g_per_ml(1.45) == pytest.approx(0.73125)
    assert dry_g_per_ml(1.0) == pytest.approx(0.0)
    assert dry_g_per_ml(SOLIDS_G_PER_CM3) == pytest.approx(SOLIDS_G_PER_CM3)


@pytest.mark.parametrize("dry", [0.2, 0.5, 0.9])
def test_brongniart_against_a_mass_balance(dry: float) -> None:
    """A millilitre with these grams of solids, the rest of its volume water of 1 g/ml."""
    density = dry + (1.0 - dry / SOLIDS_G_PER_CM3) * 1.0
    assert dry_g_per_ml(density) == pytest.approx(dry)


def test_slurries_mix_by_what_they_hold() -> None:
    by_volume = np.array([[0.25, 0.75]])
    thin, thick = 1.3, 1.6  # 0.4875 and 0.975 g/ml: the thick one holds twice as much
    shares = dry_shares(by_volume, np.array([thin, thick]))
    assert shares[0] == pytest.approx([0.25 / 1.75, 1.5 / 1.75])
    # a second way: pour 100 ml and weigh what is dry
    a, b = 25.0 * 0.3 * 2.6 / 1.6, 75.0 * 0.6 * 2.6 / 1.6
    assert shares[0, 0] == pytest.approx(a / (a + b))
    alike = dry_shares(points(3, 6).shares, np.full(3, 1.45))
    assert alike == pytest.approx(points(3, 6).shares)


def test_a_blend_of_slurries_is_the_blend_of_their_dry_weights() -> None:
    wet = blended("white-crackle", "frit-gloss", steps=4, slurry=np.array([1.3, 1.6]))
    dry = blended("white-crackle", "frit-gloss", steps=4)
    middle = wet.shares[2]
    assert middle == pytest.approx([1.0 / 3.0, 2.0 / 3.0])
    alone = wet.seen.expansion_1e6_per_k
    assert alone[[0, -1]] == pytest.approx(dry.seen.expansion_1e6_per_k[[0, -1]])
    assert alone[2] < dry.seen.expansion_1e6_per_k[2]  # more of the second, which expands less


@pytest.mark.parametrize(
    ("corners", "steps", "cup"),
    [(2, 7, "50 g"), (3, 10, "100 g"), (4, 6, "33.3 g"), (3, 6, "60 ml"), (4, 3, "50.5 g")],
)
def test_cups_add_up_exactly_and_are_nearest(corners: int, steps: int, cup: str) -> None:
    read = read_cup(cup)
    shares = points(corners, steps).shares
    amounts = into_cups(shares, read)
    counts = amounts / read.scale
    assert np.abs(counts - np.rint(counts)).max() < 1e-6
    assert (np.rint(counts).sum(axis=1) == read.steps).all()
    assert np.abs(counts - shares * read.steps).max() < 1.0
    # no other whole numbers that add up lie nearer: moving a step from one to another never helps
    off = counts - shares * read.steps
    assert (off.max(axis=1) - off.min(axis=1) <= 1.0 + 1e-6).all()


def test_largest_remainder_by_hand() -> None:
    # a third of 1.0 g each: 3.33 steps, and the one left over goes to the first
    assert into_cups(np.full((1, 3), 1 / 3), Cup(1.0, "g", 0.1))[0].tolist() == [0.4, 0.3, 0.3]
    # 5.6, 2.7 and 1.7 steps: two left over, to the largest remainders
    shares = np.array([[0.56, 0.27, 0.17]])
    assert into_cups(shares, Cup(1.0, "g", 0.1))[0].tolist() == [0.5, 0.3, 0.2]


def test_cups_too_small_for_the_scale_say_what_to_write() -> None:
    with pytest.raises(QuantityError, match="too small") as wrong:
        added("clear-crackle", "copper carbonate 0-1", cup=read_cup("10 g"))
    size = wrong.value.hint.split("“")[1].split("”")[0]
    kept = added("clear-crackle", "copper carbonate 0-1", cup=read_cup(size))
    assert kept.cups is not None
    assert "few-steps" not in {f.code for f in kept.findings}


def test_cups_of_additions_hold_what_was_asked() -> None:
    answer = added("clear-crackle", "copper carbonate 0-5", "tin oxide 0-8", cup=read_cup("500 g"))
    assert answer.cups is not None
    base, copper, tin = answer.cups.amounts.T
    # the base's own bentonite, 1 on 100, is weighed with it
    assert 100.0 * copper / (base / 1.01) == pytest.approx(answer.percent[:, 0], abs=0.03)
    assert 100.0 * tin / (base / 1.01) == pytest.approx(answer.percent[:, 1], abs=0.03)
    assert answer.cups.amounts.sum(axis=1) == pytest.approx(np.full(36, 500.0))
    assert answer.cups.totals == pytest.approx(answer.cups.amounts.sum(axis=0))


def test_additions_to_a_cup_of_slurry_go_by_its_dry_base() -> None:
    answer = added(
        "clear-crackle",
        "copper carbonate 0-5",
        cup=read_cup("200 ml", "0.01 g", additions=True),
        slurry=np.array([1.45]),
    )
    assert answer.cups is not None
    assert (answer.cups.amounts[:, 0] == 200.0).all()
    # 200 ml hold 146.25 g dry, of which 100 in 101 are base
    assert answer.cups.amounts[-1, 1] == pytest.approx(0.05 * 146.25 / 1.01, abs=0.005)
    assert answer.cups.dry_g[0] == pytest.approx(6 * 146.25)


def test_totals_of_a_triangle_are_equal() -> None:
    answer = blended("white-crackle", "frit-gloss", "true-matte", steps=10, cup=read_cup("50 g"))
    assert answer.cups is not None
    assert answer.cups.totals.sum() == pytest.approx(66 * 50.0)
    assert answer.cups.totals == pytest.approx(np.full(3, 1100.0), abs=1.0)


@pytest.mark.parametrize("said", ["thick", "1450", "1.0", "2.5", "1.45 lb"])
def test_what_is_no_slurry(said: str) -> None:
    with pytest.raises(QuantityError) as wrong:
        read_slurry([said], 2)
    assert "1.45" in wrong.value.hint


def test_slurries_are_one_for_all_or_one_for_each() -> None:
    assert read_slurry(["1.45"], 3).tolist() == [1.45] * 3
    assert read_slurry(["1.4", "1.5 g/ml", "1600 g/l"], 3).tolist() == [1.4, 1.5, 1.6]
    with pytest.raises(QuantityError, match="2 densities for 3"):
        read_slurry(["1.4", "1.5"], 3)


@pytest.mark.parametrize(
    ("cup", "scale"), [("50", None), ("0.01 g", None), ("50 g", "1 ml"), ("50.05 g", None)]
)
def test_what_is_no_cup(cup: str, scale: str | None) -> None:
    with pytest.raises(QuantityError) as wrong:
        read_cup(cup, scale)
    assert wrong.value.hint


def test_millilitres_need_a_density() -> None:
    with pytest.raises(QuantityError, match="density of the slurry"):
        blended("white-crackle", "frit-gloss", cup=read_cup("60 ml"))


# --- what the points are like -------------------------------------------------------------------


@pytest.mark.parametrize("names", [("white-crackle", "frit-gloss"), ("satin-white", "true-matte")])
def test_corners_are_the_recipes_alone(names: tuple[str, ...]) -> None:
    answer = blended(*names, steps=4, at=BOTH)
    seen = answer.seen
    for p, name in ((0, names[0]), (-1, names[1])):
        recipe = LIB.recipe(name)
        assert seen.mol[p] == pytest.approx(analyse(recipe).mol, abs=1e-9)
        said = formula(LIB, recipe)
        assert seen.expansion_1e6_per_k[p] == pytest.approx(said.expansion.value, abs=1e-4)
        assert seen.loi_percent[p] == pytest.approx(analyse(recipe).loi_percent, abs=1e-6)
        alone = pair(LIB, [recipe], BOTH).glazes[0]
        assert seen.odds_ripe_at_every_pull[p] == alone.odds_ripe
        assert answer.seen.odds_right[p] == alone.odds
        stuck = fit(LIB, recipe, BOTH)
        assert seen.odds_crazes_at_once[p] == stuck.odds.crazes_at_once
        assert seen.odds_crazes_by_horizon[p] == stuck.odds.crazes_by_horizon
        assert seen.stress_mpa[p] == pytest.approx(stuck.stress_mpa.value, abs=1e-6)


def test_a_mixture_holds_the_mean_of_what_its_corners_hold() -> None:
    """Oxides in 100 g of dry batch, weighed together and fired, for every point of a triangle."""
    names = ("clear-crackle", "earthenware-gloss", "true-matte")
    answer = blended(*names, steps=5)
    grams, kept = [], []
    for name in names:
        fired = analyse(LIB.recipe(name))
        grams.append((100.0 - fired.loi_percent) * fired.oxides_wt_percent / 100.0)
        kept.append(fired.loi_percent)
    mixed = answer.shares @ np.array(grams)
    found = wt_from_mol(answer.seen.mol)
    assert found == pytest.approx(100.0 * mixed / mixed.sum(axis=1, keepdims=True), abs=1e-6)
    assert answer.seen.loi_percent == pytest.approx(answer.shares @ np.array(kept), abs=1e-6)
    assert solid_mass(mixed) == pytest.approx(100.0 - answer.seen.loi_percent, abs=0.5)


def test_an_addition_is_per_cent_of_the_base() -> None:
    answer = added("clear-crackle", "tin oxide 0-8", steps=4)
    recipe = LIB.recipe("clear-crackle")
    tin = LIB.material("tin oxide")[0]
    for p, percent in enumerate((0.0, 2.0, 4.0, 6.0, 8.0)):
        more = (*recipe.additions, Part("tin oxide", percent * recipe.base_total / 100.0, tin))
        by_hand = analyse(replace(recipe, additions=more))
        assert answer.seen.mol[p] == pytest.approx(by_hand.mol, abs=1e-9)


def test_copper_and_tin_on_a_grid() -> None:
    answer = added("clear-crackle", "copper carbonate 0-5", "tin oxide 0-8", at=BOTH)
    assert len(answer.words) == 36
    assert answer.percent[0].tolist() == [0.0, 0.0]
    assert answer.percent[5].tolist() == [5.0, 0.0]
    assert answer.percent[-1].tolist() == [5.0, 8.0]
    copper = answer.seen.mol[:, INDEX["CuO"]].reshape(6, 6)
    assert (np.diff(copper, axis=1) > 0.0).all()
    # tin oxide expands less than any glaze and stays as grains
    alpha = answer.seen.expansion_1e6_per_k.reshape(6, 6)
    assert (np.diff(alpha, axis=0) < 0.0).all()
    # few measured glasses hold copper: the doubt grows with it
    assert (
        np.diff(answer.seen.expansion_half_width_90_1e6_per_k.reshape(6, 6), axis=1) > 0.0
    ).all()


def test_more_silica_lowers_expansion_and_flow() -> None:
    recipe = LIB.recipe("clear-crackle")
    silica = LIB.material("silica")[0]
    rich = replace(recipe, id="silica-rich", base=(*recipe.base, Part("silica", 40.0, silica)))
    answer = blend(LIB, Plan([recipe, rich], steps=8), BOTH)
    seen = answer.seen
    assert (np.diff(seen.mol[:, INDEX["SiO2"]]) > 0.0).all()
    assert (np.diff(seen.expansion_1e6_per_k) < 0.0).all()
    assert (np.diff(seen.ripe_by_decades) < 0.0).all()
    assert (np.diff(seen.safe_by_decades) > 0.0).all()
    # as a glass, all of it dissolved
    glass = blend(LIB, Plan([recipe, rich], steps=8), Conditions(LIB.body("raku"))).seen
    assert (np.diff(glass.stress_mpa) < 0.0).all()
    assert (np.diff(glass.odds_crazes_by_horizon) <= 0.0).all()


def test_each_point_is_judged_as_the_corner_it_holds_most_of() -> None:
    answer = blended("white-crackle", "frit-gloss", "true-matte", steps=4)
    recipes = [LIB.recipe(n) for n in ("white-crackle", "frit-gloss", "true-matte")]
    for share, surface in zip(answer.shares, answer.surfaces, strict=True):
        best = [r.surface for v, r in zip(share, recipes, strict=True) if v > share.max() - 1e-9]
        assert surface == best[0]
    assert "surfaces-differ" in {f.code for f in answer.findings}
    alike = blended("earthenware-gloss", "frit-gloss", steps=4)
    assert "surfaces-differ" not in {f.code for f in alike.findings}


def test_words_and_changes() -> None:
    answer = blended("does-not-work", "clear-crackle", steps=8, at=BOTH)
    assert answer.words[0] == "under"
    assert answer.words[-1] == "crazes"
    turns = [p for p in range(8) if answer.words[p] != answer.words[p + 1]]
    assert [p for p, _ in answer.changes] == turns
    assert all(q == p + 1 for p, q in answer.changes)
    only_fire = blended("does-not-work", "clear-crackle", steps=8, at=DAY)
    assert set(only_fire.words) == {"under", "ripe"}
    neither = blended("does-not-work", "clear-crackle", steps=8)
    assert set(neither.words) == {""}
    assert neither.yes is None


def test_the_word_is_the_likeliest() -> None:
    seen = blended("does-not-work", "clear-crackle", steps=8, at=BOTH).seen
    for p, word in enumerate(words_of(seen, ripeness=True, fit=True)):
        fired = {"ripe": seen.odds_ripe_at_every_pull[p], "runs": seen.odds_runs_at_last_pull[p]}
        fired["under"] = 1.0 - fired["ripe"] - fired["runs"]
        likeliest = max(fired, key=lambda k: fired[k])
        if likeliest != "ripe":
            assert word == likeliest
        else:
            stuck = {"crazes": seen.odds_crazes_by_horizon[p], "shivers": seen.odds_shivers[p]}
            stuck["sits"] = 1.0 - stuck["crazes"] - stuck["shivers"]
            assert word == max(stuck, key=lambda k: stuck[k])


def test_what_lies_outside_the_data_is_named() -> None:
    answer = added("clear-crackle", "copper carbonate 0-20", steps=4)
    said = [f for f in answer.findings if f.code == "thin-data"]
    assert any("A5" in f.message and "CuO" in f.message for f in said)
    assert answer.seen.support.grade[0] < answer.seen.support.grade[-1]


def test_cautions_come_along() -> None:
    codes = {f.code for f in added("clear-crackle", "copper carbonate 0-5", at=DAY).findings}
    plain = {f.code for f in blended("clear-crackle", "frit-gloss").findings}
    assert {"raku-pull", "reduction-smoke"} <= codes
    assert any(
        "copper" in f.subject for f in added("clear-crackle", "copper carbonate 0-5").findings
    )
    assert "raku-pull" not in plain
    said = " ".join(f.message for f in added("turquoise-crackle", "copper carbonate 0-2").findings)
    assert "already holds 3 % copper carbonate" in said


def test_the_same_question_has_the_same_answer() -> None:
    once, twice = (
        blended("white-crackle", "frit-gloss", steps=3, at=BOTH, tiles=2) for _ in range(2)
    )
    assert (once.seen.odds_right == twice.seen.odds_right).all()
    assert once.tiles == twice.tiles or once.tiles.chosen == twice.tiles.chosen


# --- tiles --------------------------------------------------------------------------------------


def left_after(covariance: np.ndarray, fired: tuple[int, ...]) -> float:  # type: ignore[type-arg]
    """Summed variance that is left, by the precision matrix of a joint normal instead of step by
    step (Sherman-Morrison-Woodbury the other way round)."""
    kinds, size = covariance.shape[:2]
    flat = covariance.reshape(kinds * size, kinds * size) + 1e-9 * np.eye(kinds * size)
    precision = np.linalg.inv(flat)
    for p in fired:
        for k in range(kinds):
            precision[k * size + p, k * size + p] += 1.0 / TILE_NOISE**2
    return float(np.trace(np.linalg.inv(precision)) / np.trace(flat))


def wavy(size: int, seed: int) -> np.ndarray:  # type: ignore[type-arg]
    """Two margins along a line, nearby points alike."""
    rng = np.random.default_rng(seed)
    apart = np.abs(np.subtract.outer(np.arange(size), np.arange(size)))
    root = np.linalg.cholesky(np.exp(-apart / 3.0) + 1e-9 * np.eye(size))
    return covariance_of([root @ rng.standard_normal((size, 4000)) for _ in range(2)])


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_informative_points_against_brute_force(seed: int) -> None:
    """On a small line: one point is the best of all, and two the best of all pairs."""
    covariance = wavy(7, seed)
    singles = [left_after(covariance, (p,)) for p in range(7)]
    one = choose(covariance, 1)
    assert one.chosen == (int(np.argmin(singles)),)
    assert one.doubt_left[0] == pytest.approx(min(singles), abs=1e-4)
    two = choose(covariance, 2)
    pairs = {both: left_after(covariance, both) for both in itertools.combinations(range(7), 2)}
    assert tuple(sorted(two.chosen)) == min(pairs, key=lambda both: pairs[both])
    assert two.doubt_left[1] == pytest.approx(min(pairs.values()), abs=1e-4)
    # the first of them is the better one alone
    assert singles[two.chosen[0]] <= singles[two.chosen[1]]


@pytest.mark.parametrize("count", [3, 4])
def test_more_informative_points_come_close_to_the_best(count: int) -> None:
    covariance = wavy(8, 7)
    found = choose(covariance, count)
    every = itertools.combinations(range(8), count)
    best = min(left_after(covariance, fired) for fired in every)
    assert left_after(covariance, found.chosen) == pytest.approx(found.doubt_left[-1], abs=1e-4)
    assert found.doubt_left[-1] <= 1.05 * best


def test_informative_points_of_glazes_against_brute_force() -> None:
    answer = blended("white-crackle", "true-matte", steps=5, at=BOTH, tiles=3)
    assert answer.tiles is not None
    assert len(set(answer.tiles.chosen)) == 3
    assert np.all(np.diff(answer.tiles.doubt_left) < 0.0)
    assert 0.0 < answer.tiles.doubt_left[-1] < answer.tiles.doubt_left[0] < 1.0


def test_points_alike_are_learnt_from_one_tile_and_points_apart_are_not() -> None:
    rng = np.random.default_rng(5)
    shared = np.tile(rng.standard_normal(20_000), (6, 1))
    one = choose(covariance_of([shared]), 1)
    assert one.doubt_left[0] == pytest.approx(TILE_NOISE**2 / (1.0 + TILE_NOISE**2), rel=1e-3)
    apart = rng.standard_normal((6, 20_000))
    each = choose(covariance_of([apart]), 6)
    assert sorted(each.chosen) == list(range(6))
    assert each.doubt_left[0] == pytest.approx(1.0 - 1.0 / 6.0 / (1.0 + TILE_NOISE**2), abs=0.01)


def test_tiles_need_a_firing_or_a_body() -> None:
    with pytest.raises(QuantityError, match="choosing tiles needs"):
        blended("white-crackle", "frit-gloss", tiles=2)
    with pytest.raises(QuantityError, match="tiles cannot be"):
        blended("white-crackle", "frit-gloss", tiles=7, at=DAY)
    with pytest.raises(QuantityError, match="tiles cannot be"):
        blended("white-crackle", "frit-gloss", tiles=0, at=DAY)


# --- what is not a blend --------------------------------------------------------------------------


@pytest.mark.parametrize(
    "said",
    [
        "tin oxide 0-5",
        "tin oxide 0 to 5",
        "tin oxide 0-5 %",
        "tin oxide 0 - 5%",
        "tin oxide 0–5 per cent",
    ],
)
def test_additions_are_read_as_people_write_them(said: str) -> None:
    read = read_addition(LIB, said)
    assert (read.material.id, read.low, read.high) == (LIB.material("tin oxide")[0].id, 0.0, 5.0)


def test_names_with_numbers_in_them() -> None:
    read = read_addition(LIB, "calcium borate frit, 3134 type 2.5-10")
    assert (read.material.name, read.low, read.high) == (
        "calcium borate frit, 3134 type", 2.5, 10.0
    )  # fmt: skip


@pytest.mark.parametrize(
    ("said", "wrong"),
    [
        ("tin oxide", "not an addition"),
        ("tin oxide 5", "not an addition"),
        ("0-5", "not an addition"),
        ("tin oxide -2-5", "starts below zero"),
        ("tin oxide 0-150", "more than the base"),
        ("tin oxide 5-2", "does not go up"),
        ("tin oxide 5-5", "does not go up"),
    ],
)
def test_what_is_no_addition(said: str, wrong: str) -> None:
    with pytest.raises(QuantityError, match=wrong) as error:
        read_addition(LIB, said)
    assert error.value.hint


def test_an_unknown_material_is_refused() -> None:
    with pytest.raises(UnknownNameError, match="tim oxide"):
        read_addition(LIB, "tim oxide 0-5")


def test_corners_have_to_differ() -> None:
    with pytest.raises(CompositionError, match="same batch"):
        blended("frit-gloss", "frit-gloss")
    twice = replace(LIB.recipe("frit-gloss"), id="copy", name="Copy")
    double = replace(twice, base=tuple(replace(p, amount=2.0 * p.amount) for p in twice.base))
    with pytest.raises(CompositionError, match="same batch"):
        blend(LIB, Plan([LIB.recipe("frit-gloss"), double]), NOTHING)


@pytest.mark.parametrize(
    ("names", "additions", "wrong"),
    [
        (("frit-gloss",), (), "cannot be blended"),
        (
            ("frit-gloss", "true-matte", "dry-matte", "satin-white", "clear-crackle"),
            (),
            "cannot be blended",
        ),
        (("frit-gloss", "true-matte"), ("tin oxide 0-5",), "one recipe"),
        (("frit-gloss",), ("tin oxide 0-5", "tin oxide 0-8"), "twice"),
        (("frit-gloss",), ("tin oxide 0-5", "zircon 0-5", "silica 0-5"), "two additions"),
    ],
)
def test_what_is_no_blend(names: tuple[str, ...], additions: tuple[str, ...], wrong: str) -> None:
    with pytest.raises(CompositionError, match=wrong) as error:
        plan = Plan([LIB.recipe(n) for n in names], [read_addition(LIB, t) for t in additions])
        blend(LIB, plan, NOTHING)
    assert error.value.hint
