"""Batch sheets: sums exact in decimal, amounts against brute force and the figures of the trade."""

from __future__ import annotations

import re
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from itertools import product
from typing import Any

import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cofire import Studio
from cofire.answers.batch.mixing import start_ml
from cofire.answers.batch.pack import Order, School, batch
from cofire.answers.batch.pieces import LOSS, SIZES, dry_g_per_m2, read_pieces, read_size
from cofire.answers.batch.recipe_code import recipe_code
from cofire.answers.batch.records import Pack
from cofire.answers.batch.scale import (
    UNIT_G,
    read_step,
    shown_beside,
    shown_in,
    shown_words,
    whole_steps,
)
from cofire.answers.batch.teams import assignments
from cofire.answers.batch.water import densities, drunk_ml_per_m2, most_ml
from cofire.answers.batch.weighing import weigh_up
from cofire.errors import CompositionError, Problems, QuantityError
from cofire.files.library import Library
from cofire.files.stock import OnShelf, Stock
from cofire.model.analysis import analyse
from cofire.model.conditions import Conditions
from cofire.model.evaluation import evaluate
from cofire.model.glaze_set import glaze_set
from cofire.model.slurry import solids_g_per_cm3
from cofire.read.coat import read_coat
from cofire.read.units import GRAMS, WEIGHT, measured
from cofire.records import Part, Recipe
from cofire.round_numbers import share_out
from cofire.words import volume

LIB = Library()
CRACKLE = LIB.recipe("clear-crackle")
G = Decimal("0.1")


def density_g_per_ml(dry_g: float, water: float, solids: float) -> float:
    """Density of a slurry of grams of solids in millilitres of water (theoretical)."""
    return (dry_g + water) / (dry_g / solids + water)


def order(step: str = "0.1 g", methods: str = "dip", **how) -> Order:  # type: ignore[no-untyped-def]
    return Order(densities((), tuple(methods.split())), read_step(step), **how)  # type: ignore[arg-type]


def mixed(*names: str, group: School = School(), stock: Stock | None = None, **how) -> Pack:  # type: ignore[no-untyped-def]  # noqa: B008
    body, firing = how.pop("body", None), how.pop("firing", None)
    return batch(
        LIB,
        [LIB.recipe(n) for n in names],
        order(**how, body=LIB.body(body) if body else None),
        stock=stock,
        firing=LIB.firing(firing) if firing else None,
        group=group,
    )


def made_of(base: list[float], additions: list[float] = []) -> Recipe:  # noqa: B006
    materials = iter(LIB.materials.values())
    parts = [Part("x", amount, next(materials)) for amount in base + additions]
    return Recipe("mine", "Mine", tuple(parts[: len(base)]), tuple(parts[len(base) :]), "gloss")


# --- weighing -----------------------------------------------------------------------------------


def test_three_thirds_of_a_hundred_grams() -> None:
    lines = weigh_up(made_of([33.3, 33.3, 33.3]), 1000, G)
    assert sorted(str(w.weigh_g) for w in lines) == ["33.3", "33.3", "33.4"]
    assert str(lines[-1].running_g) == "100.0"
    assert sum(w.weigh_g for w in lines) == Decimal("100.0")


amounts = st.lists(
    st.floats(0.01, 1e4, allow_nan=False).map(lambda v: round(v, 3)), min_size=1, max_size=8
)


@given(
    amounts,
    st.lists(st.floats(0.01, 30.0).map(lambda v: round(v, 2)), max_size=4),
    st.integers(10, 200_000),
    st.sampled_from(["0.1 g", "1 g", "0.05 g", "5 g", "0.01 oz", "0.1 oz", "0.001 lb"]),
)
@settings(max_examples=300, deadline=None)
def test_whatever_is_mixed_adds_up(
    base: list[float], extra: list[float], steps: int, scale: str
) -> None:
    """For any recipe and scale: the base is exactly what was asked, every line a whole number of
    steps and off by less than one, and what is printed in any units adds up to the last digit."""
    step = read_step(scale)
    lines = weigh_up(made_of(base, extra), steps, step)
    assert sum((w.weigh_g for w in lines if not w.addition), Decimal(0)) == steps * step
    total = Decimal(0)
    for w in lines:
        total += w.weigh_g
        assert w.running_g == total
        assert w.weigh_g / step == int(w.weigh_g / step)
        assert abs(float(w.weigh_g) - w.exact_g) < float(step) * (1.0 + 1e-9)
        if w.addition:
            assert abs(float(w.weigh_g) - w.exact_g) <= 0.5 * float(step) * (1.0 + 1e-9)
    for units in UNIT_G:
        shown, running = shown_in([w.weigh_g for w in lines], units, step)
        so_far = Decimal(0)
        for one, then in zip(shown, running, strict=True):
            so_far += one
            assert str(so_far) == str(then)
        off = abs(float(running[-1] * UNIT_G[units] - total))
        assert off <= float(step)


def test_nothing_can_be_nearer_with_the_same_sum() -> None:
    """By brute force over all whole steps: no other split of the sum is off by less at its worst
    line, nor in squares."""
    parts = [Fraction(5), Fraction(3), Fraction(2), Fraction(1)]
    for total in range(10, 23):
        exact = [total * p / 11 for p in parts]
        ours = share_out(total, parts)

        def squares(split: tuple[int, ...] | list[int], exact=exact) -> Fraction:  # type: ignore[no-untyped-def]
            return sum(((s - e) ** 2 for s, e in zip(split, exact, strict=True)), Fraction(0))

        others = [s for s in product(range(13), repeat=4) if sum(s) == total]
        assert squares(ours) == min(squares(s) for s in others)


def test_ounces_are_exact() -> None:
    registry = pint.UnitRegistry(non_int_type=Decimal)
    for unit, gram in UNIT_G.items():
        assert registry.Quantity(Decimal(1), unit).to("g").magnitude == gram
    assert measured("0.01 oz", WEIGHT) == Decimal("0.28349523125")
    assert measured("2 lb", WEIGHT) == Decimal("907.18474")
    shown, running = shown_in([measured("1.25 oz", WEIGHT), measured("0.03 oz", WEIGHT)], "oz",
                              read_step("0.01 oz"))  # fmt: skip
    assert [str(v) for v in (*shown, running[-1])] == ["1.25", "0.03", "1.28"]
    # sixteen of them are a pound
    assert 16 * UNIT_G["oz"] == UNIT_G["lb"]


@pytest.mark.parametrize("step", ["1 g", "0.1 g", "0.01 oz", "0.001 lb", "5 g"])
def test_the_same_weight_beside_reads_the_same(step: str) -> None:
    scale = read_step(step)
    for units in UNIT_G:
        weights = [k * scale for k in (5, 100, 1, 1, 1, 7, 5)]
        shown = shown_beside(weights, units, scale)
        assert shown[0] == shown[-1] and len(set(shown[2:5])) == 1
        for exact, said in zip(weights, shown, strict=True):
            assert abs(said * UNIT_G[units] - exact) < scale / 2
    five, one = shown_beside([Decimal(5), Decimal(1)], "oz", Decimal(1))
    assert (str(five), str(one)) == ("0.176", "0.035")


def test_float_dust_is_no_step() -> None:
    assert whole_steps(0.1 + 0.2, G) == 3
    assert whole_steps(0.1 + 0.2, G, up=True) == 3
    assert whole_steps(0.31, G, up=True) == 4


def test_a_material_named_twice_is_weighed_once() -> None:
    recipe = made_of([40.0, 60.0])
    twice = replace(recipe, base=(*recipe.base, replace(recipe.base[0], amount=20.0)))
    lines = weigh_up(twice, 1200, G)
    assert [str(w.weigh_g) for w in lines] == ["60.0", "60.0"]


@pytest.mark.published
def test_normalised_to_a_hundred() -> None:
    """A raku teaching page: 85, 16, 12 and 5 of 118, to whole per cents."""
    lines = weigh_up(made_of([85, 16, 12, 5]), 100, Decimal(1))
    assert [int(w.weigh_g) for w in lines] == [72, 14, 10, 4]
    assert [w.exact_g for w in lines] == pytest.approx([72.03, 13.56, 10.17, 4.24], abs=0.006)


@pytest.mark.parametrize("buckets", [1, 3, 7])
def test_buckets_hold_all_of_it_and_differ_by_a_step_at_most(buckets: int) -> None:
    (sheet,) = mixed("white-crackle", base_g=Decimal(1000), buckets=buckets).sheets
    assert sheet.base_g == 1000
    bases = [sum(w.weigh_g for w in b.weighings if not w.addition) for b in sheet.buckets]
    assert sum(bases) == 1000
    assert max(bases) - min(bases) <= G
    assert sum(b.total_g for b in sheet.buckets) == sheet.dry_g
    assert [b.number for b in sheet.buckets] == list(range(1, buckets + 1))


# --- how much -----------------------------------------------------------------------------------


def test_the_trade_figures_of_a_coat() -> None:
    """0.4 mm of powder, half of it solid of 2.6 g/cm³: 520 g/m²; a mug 29 g, a tile 5 g."""
    coat = read_coat("0.4 mm dry")
    per_m2 = dry_g_per_m2(coat, 2.6)
    assert per_m2 == pytest.approx(520.0)
    assert SIZES["mug"].area_m2 == pytest.approx(0.055, abs=5e-4)
    assert per_m2 * SIZES["mug"].area_m2 == pytest.approx(29.0, abs=0.3)
    assert per_m2 * SIZES["tile"].area_m2 == pytest.approx(5.2)


def test_areas_of_faces_add_up() -> None:
    both, outside, inside = (
        read_size(f"12 x 15 cm {face}", "pot").area_m2 for face in ("both", "outside", "inside")
    )
    assert both == pytest.approx(outside + inside)
    assert outside == pytest.approx(3.14159265 * 0.12 * 0.15)
    assert read_size("3 x 3 in both", "tile").area_m2 == pytest.approx(2 * 0.0762**2)


def test_what_is_mixed_coats_the_pieces() -> None:
    pieces = read_pieces("14 students x 5 test tiles and 2 pots")
    coat = read_coat("0.5 mm dry")
    for step in ("0.1 g", "1 g"):
        (sheet,) = mixed("white-crackle", step=step, pieces=pieces, coat=coat).sheets
        solids = solids_g_per_cm3(sheet.recipe.parts)
        pot = 2 * 3.14159265 * 0.12 * 0.15 + 3.14159265 * 0.12**2 / 4
        on_them = 0.5 * 0.5 * solids * 1000.0 * (70 * 0.01 + 28 * pot)
        mixed_g = float(sheet.dry_g)
        assert mixed_g >= on_them * LOSS["dip"] - 0.1
        assert mixed_g == pytest.approx(on_them * LOSS["dip"], abs=2.1 * float(read_step(step)))


@pytest.mark.parametrize(
    ("said", "tiles", "pots", "mugs", "people"),
    [
        ("14 students x 5 test tiles and 2 pots", 70, 28, 0, 14),
        ("14 x 5 tiles, 2 pots", 70, 28, 0, 14),
        ("14 x 5 tiles + 2 pots", 70, 2, 0, 14),
        ("20 tiles and 3 mugs", 20, 0, 3, None),
        ("1 pot", 0, 1, 0, None),
        ("12 pupils each 1 cup + 3 people x 2 pots", 0, 6, 12, 12),
    ],
)
def test_pieces_in_words(said: str, tiles: int, pots: int, mugs: int, people: int | None) -> None:
    read = read_pieces(said)
    found = {size.kind: count for count, size in read.counts}
    wanted = {"tile": tiles, "pot": pots, "mug": mugs}
    assert found == {kind: count for kind, count in wanted.items() if count}
    assert read.people == people


@pytest.mark.parametrize("said", ["", "many pots", "5", "3 vases", "0 tiles", "99999999 pots"])
def test_unreadable_pieces_are_refused(said: str) -> None:
    with pytest.raises(QuantityError) as wrong:
        read_pieces(said)
    assert "students" in wrong.value.hint


def test_glazes_share_pieces_without_leaving_one_bare() -> None:
    pieces = read_pieces("14 students x 5 tiles and 2 pots")
    for glazes in (1, 3, 5):
        share = pieces.shared_by(glazes)
        assert ("shared by" in share.words) == (glazes > 1)
        for (all_of, _), (some, _) in zip(pieces.counts, share.counts, strict=True):
            assert all_of <= some * glazes < all_of + glazes


def test_a_bucket_holds_what_was_asked() -> None:
    (sheet,) = mixed("satin-white", slurry_ml=10_000.0, methods="dip pour brush").sheets
    solids = solids_g_per_cm3(sheet.recipe.parts)
    dip, pour, brush = sheet.buckets[0].waters
    assert dip.slurry_ml == pytest.approx(10_000.0, rel=1e-4)
    assert brush.water_ml < dip.water_ml < pour.water_ml
    for w in (dip, pour, brush):
        dry = float(sheet.dry_g)
        assert density_g_per_ml(dry, w.water_ml, solids) == pytest.approx(w.density_g_per_ml)
        assert w.slurry_ml * w.density_g_per_ml == pytest.approx(dry + w.water_ml)


def test_as_many_buckets_as_it_needs() -> None:
    (sheet,) = mixed("clear-crackle", slurry_ml=10_000.0, bucket_ml=3000.0).sheets
    assert len(sheet.buckets) == 4
    assert all(b.waters[0].slurry_ml <= 3000.0 for b in sheet.buckets)
    (even,) = mixed("clear-crackle", slurry_ml=9000.0, bucket_ml=3000.0).sheets
    assert len(even.buckets) == 3


@pytest.mark.parametrize(
    "how",
    [
        {"base_g": Decimal("0.2")},
        {"base_g": Decimal(0)},
        {"base_g": Decimal(-5)},
        {"base_g": Decimal(5_000_000)},
        {"slurry_ml": 0.0},
        {"base_g": Decimal(20), "step": "5 g"},
        {"base_g": Decimal(100), "buckets": 0},
        {"base_g": Decimal(100), "buckets": 900},
    ],
)
def test_impossible_amounts_are_refused(how: dict) -> None:  # type: ignore[type-arg]
    with pytest.raises(QuantityError) as wrong:
        mixed("clear-crackle", **how)
    assert wrong.value.hint


# --- bisque -------------------------------------------------------------------------------------


@pytest.mark.parametrize("d", [1.35, 1.5, 1.65])
def test_water_that_the_bisque_drinks(d: float) -> None:
    """A balance over a square metre: slurry in, a coat half powder half water stays, the rest
    went into the wall."""
    coat, s = read_coat("0.4 mm dry"), 2.6
    solids_ml = 400.0 * 0.5
    slurry_water = (solids_ml * s) * (s - d) / (s * (d - 1.0))
    assert drunk_ml_per_m2(coat, d, s) == pytest.approx(slurry_water - 200.0)


def test_a_thin_slurry_on_a_dense_wall_is_told() -> None:
    def said(**how) -> str:  # type: ignore[no-untyped-def]
        (sheet,) = mixed("clear-crackle", base_g=Decimal(500), **how).sheets
        return next(f.message for f in sheet.findings if f.code == "bisque")

    assert "still takes water" in said(body="raku")
    full = said(body="raku", coat=read_coat("1 mm fired"), wall_mm=2.0)
    assert "full before the coat is built" in full
    assert said(body="raku", coat=read_coat("0.3 mm fired"), wall_mm=4.0) != full


# --- rounding -----------------------------------------------------------------------------------


def test_what_rounding_does_is_what_the_models_say() -> None:
    (sheet,) = mixed("cobalt-gloss", base_g=Decimal(30), step="1 g").sheets
    glazes, exact = glaze_set(sheet.recipe)
    weighed = {w.part.material.id: float(w.weigh_g) for w in sheet.buckets[0].weighings}
    rows = [exact, [weighed[m.id] for m in glazes.materials]]
    import numpy as np

    seen = evaluate(glazes, np.array(rows), Conditions())[0]
    moved = seen.expansion_1e6_per_k[1] - seen.expansion_1e6_per_k[0]
    assert sheet.rounding.moves_1e6_per_k == pytest.approx(moved)
    assert abs(moved) > 0.1 and sheet.rounding.matters
    assert sheet.rounding.worst_percent == pytest.approx(-100.0)  # cobalt comes out as nothing
    (fine,) = mixed("cobalt-gloss", base_g=Decimal(3000)).sheets
    assert not fine.rounding.matters
    assert abs(fine.rounding.moves_1e6_per_k) < 0.01
    assert fine.rounding.advice == ""


def test_a_little_cobalt_is_diluted_with_base() -> None:
    """What the advice says, worked through by hand: the cobalt is right and the base is whole."""
    (sheet,) = mixed("cobalt-gloss", base_g=Decimal(20)).sheets
    assert "0.2 g of cobalt carbonate is too little" in sheet.rounding.advice
    assert "Mix 100 g of base or more" in sheet.rounding.advice
    said = (
        "Mix 2 g of cobalt carbonate well with 18 g of calcium-boron-alumina frit, 3195 type; take "
        "2 g of that for the cobalt carbonate, and 1.8 g less of"
    )
    assert said in sheet.rounding.advice
    pure, carrier = sheet.buckets[0].weighings[-2], 18 / 20 * 2.0
    assert pure.exact_g == pytest.approx(2 / 20 * 2.0)
    assert carrier == pytest.approx(1.8)
    (enough,) = mixed("cobalt-gloss", base_g=Decimal(100)).sheets
    assert enough.rounding.advice == ""


def parts_of(base: dict[str, float], added: dict[str, float] | None = None) -> Recipe:
    def read(amounts: dict[str, float]) -> tuple[Part, ...]:
        return tuple(Part(n, a, LIB.material(n)[0]) for n, a in amounts.items())

    return Recipe("mine", "Mine", read(base), read(added or {}), "gloss")


@pytest.mark.parametrize("base_g", [10, 100, 500])
def test_no_poisonous_solution_is_advised(base_g: int) -> None:
    (sheet,) = mixed("silver-lustre", base_g=Decimal(base_g), step="1 g").sheets
    said = sheet.rounding.advice
    assert "1.5 g of silver nitrate is too little" in said or base_g != 100
    assert "Dissolve" not in said and "silver nitrate well with" not in said
    assert re.search(r"For silver nitrate.* only a larger batch or a finer scale helps", said)


@pytest.mark.parametrize("buckets", [1, 2])
def test_only_several_buckets_can_share_what_is_weighed_once(buckets: int) -> None:
    (sheet,) = mixed("silver-lustre", base_g=Decimal(100), step="1 g", buckets=buckets).sheets
    assert ("once for all buckets" in sheet.rounding.advice) == (buckets > 1)


SOLUTION = re.compile(
    r"Dissolve ([\d.]+) g of .* make it up to ([\d.]+) ml, and take ([\d.]+) ml of that"
)


@pytest.mark.parametrize(
    ("salt", "grams_in_100_ml"), [("borax", 5.0), ("boric acid", 5.0), ("soda ash", 21.0)]
)
def test_a_harmless_salt_is_dissolved_in_the_water_that_the_batch_has(
    salt: str, grams_in_100_ml: float
) -> None:
    """Against round figures of a chemistry book for a cool room, looked up apart from ours."""
    recipe = parts_of({"wollastonite": 60.0, "kaolin": 39.6}, {salt: 0.4})
    (sheet,) = batch(LIB, [recipe], order(base_g=Decimal(200))).sheets
    line, bucket = sheet.buckets[0].weighings[0], sheet.buckets[0]  # salts go first
    found = SOLUTION.search(sheet.rounding.advice)
    assert found, sheet.rounding.advice
    pure, made, take = map(float, found.groups())
    assert pure / made * take == pytest.approx(line.exact_g, rel=5e-3)
    assert 100.0 * pure / made < grams_in_100_ml
    assert take >= 20.0 and take <= 0.5 * start_ml(float(bucket.total_g), bucket.waters)
    (dry,) = batch(LIB, [recipe], order("1 g", base_g=Decimal(30))).sheets
    assert f"For {line.part.material.name} only a" in dry.rounding.advice


PREMIX = re.compile(
    r"Mix ([\d.]+) g of ([^.;]+?) well with ([\d.]+) g of (.+?); take ([\d.]+) g of that for the "
    r".+?, and ([\d.]+) g less"
)
MANY = {m.name: 1.0 for m in list(LIB.materials.values())[:60] if m.dissolves != "yes"}
TWENTY = {"silica": 30.0, **dict(list(MANY.items())[:18]), "zinc oxide": 0.06}


@pytest.mark.parametrize("step", ["1 g", "0.1 g"])
@pytest.mark.parametrize("base_g", [20, 50, 100, 500, 3000])
@pytest.mark.parametrize("name", ["cobalt-gloss", "white-crackle", "silver-lustre", "twenty"])
def test_advice_keeps_its_own_rule(name: str, base_g: int, step: str) -> None:
    """Each line that is too little has a way, or is said to have none. What is weighed for a
    premix has ten steps at least, lands within 5 %, weighs no more than two batches, and all
    premixes together ask no more of their carrier than there is."""
    recipe = parts_of(TWENTY) if name == "twenty" else LIB.recipe(name)
    (sheet,) = batch(LIB, [recipe], order(step, base_g=Decimal(base_g))).sheets
    said, scale = sheet.rounding.advice, float(read_step(step))
    lines = {w.part.material.name: w for w in sheet.buckets[0].weighings}
    few = {n for n, w in lines.items() if w.exact_g < 10.0 * scale}
    ways = PREMIX.findall(said)
    without = re.search(r"For (.+?) only a (?:larger batch or a )?finer scale helps", said)
    none = without[1] if without else ""
    mixed_in = {way[1] for way in ways}
    for each in few:
        listed = re.search(rf"(^|, |and ){re.escape(each)}(,| and |$)", none) is not None
        assert (each in mixed_in) != listed, (each, said)
    assert bool(few) == bool(said)
    less: dict[str, float] = {}
    for pure, what, rest, carrier, take, fewer in ways:
        weights = [float(v) for v in (pure, rest, take)]
        assert min(weights) >= 10.0 * scale * (1.0 - 1e-9)
        share = weights[0] / (weights[0] + weights[1])
        assert share * weights[2] == pytest.approx(lines[what].exact_g, rel=0.05)
        assert weights[0] + weights[1] <= 2.0 * base_g
        assert float(fewer) == pytest.approx((1.0 - share) * weights[2], abs=0.51 * scale)
        less[carrier] = less.get(carrier, 0.0) + float(fewer)
    assert all(total <= float(lines[carrier].weigh_g) for carrier, total in less.items())


# --- code ---------------------------------------------------------------------------------------


def test_a_code_names_what_goes_in_and_nothing_else() -> None:
    code = recipe_code(CRACKLE)
    assert len(code) == 6 and not set(code) & set("01IO")
    assert recipe_code(replace(CRACKLE, name="Other", notes="x", base=CRACKLE.base[::-1])) == code
    tenfold = tuple(replace(p, amount=10 * p.amount) for p in CRACKLE.base)
    added = tuple(replace(p, amount=10 * p.amount) for p in CRACKLE.additions)
    assert recipe_code(replace(CRACKLE, base=tenfold, additions=added)) == code
    other = replace(CRACKLE.base[0], amount=CRACKLE.base[0].amount + 0.1)
    assert recipe_code(replace(CRACKLE, base=(other, *CRACKLE.base[1:]))) != code
    first = CRACKLE.base[0]
    lot = {**first.material.oxides_wt_percent, "SiO2": 69.9}
    fresh = replace(first, material=replace(first.material, oxides_wt_percent=lot))
    assert recipe_code(replace(CRACKLE, base=(fresh, *CRACKLE.base[1:]))) != code
    inside = replace(CRACKLE, base=(*CRACKLE.base, *CRACKLE.additions), additions=())
    assert recipe_code(inside) != code
    codes = [recipe_code(LIB.recipe(p.stem)) for p, _ in LIB.files("recipes")]
    assert len(set(codes)) == len(codes)


# --- stock --------------------------------------------------------------------------------------

SHELF = Stock(
    "EUR",
    {
        "frit-3110-type": OnShelf(4000.0, 2.5),
        "frit-3134-type": OnShelf(100.0, 5.0),
        "kaolin-ideal": OnShelf(0.0, 1.2),
        "bentonite-sodium": OnShelf(None, 3.0),
    },
)


def test_costs_by_hand() -> None:
    pieces = read_pieces("10 tiles and 1 pot")
    pack = mixed("clear-crackle", base_g=Decimal(1000), stock=SHELF)
    (sheet,) = pack.sheets
    by_hand = 0.6 * 2.5 + 0.28 * 5.0 + 0.12 * 1.2 + 0.01 * 3.0
    assert (
        sheet.cost
        == pack.cost
        == Decimal("1.50") + Decimal("1.40") + Decimal("0.14") + Decimal("0.03")
    )
    assert sheet.cost_per_100_g == pytest.approx(by_hand / 10.1)
    assert sheet.cost_per_piece is None
    needs = {n.part.material.id: n for n in pack.needs}
    assert needs["frit-3110-type"].buy_g == 0.0
    assert needs["frit-3134-type"].buy_g == pytest.approx(180.0)
    assert needs["frit-3134-type"].cost == Decimal("0.90")
    assert needs["kaolin-ideal"].buy_g == pytest.approx(120.0)
    assert needs["bentonite-sodium"].buy_g == 10.0  # not counted, so taken as not there
    assert needs["bentonite-sodium"].cost == Decimal("0.03")
    (ware,) = mixed("clear-crackle", pieces=pieces, stock=SHELF).sheets
    assert ware.piece.startswith("pot")
    assert ware.cost is not None and ware.cost_per_piece is not None
    share = SIZES["pot"].area_m2 / (SIZES["pot"].area_m2 + 10 * 0.01)
    exact = sum(
        float(w.weigh_g) * price / 1000.0
        for w, price in zip(ware.buckets[0].weighings, (3.0, 2.5, 5.0, 1.2), strict=True)
    )
    assert ware.cost_per_piece == pytest.approx(exact * share)
    assert float(ware.cost) == pytest.approx(exact, abs=0.02)


def test_what_is_printed_of_costs_adds_up() -> None:
    empty = {
        "frit-3110-type": OnShelf(0.0, 4.0),
        "frit-3134-type": OnShelf(0.0, 2.0),
        "kaolin-ideal": OnShelf(0.0, 3.0),
        "bentonite-sodium": OnShelf(0.0, 1.0),
    }
    for grams in range(1000, 1200):
        pack = mixed("clear-crackle", base_g=Decimal(grams), step="1 g", stock=Stock("EUR", empty))
        lines = [Decimal(f"{n.cost:.2f}") for n in pack.needs if n.cost is not None]
        assert len(lines) == 4 and sum(lines) == pack.cost == pack.sheets[0].cost
        for need, line in zip(pack.needs, lines, strict=True):
            assert abs(line - need.need_g * Decimal(repr(need.price_per_kg)) / 1000) <= Decimal(
                "0.005"
            )


def test_needs_add_up_over_glazes() -> None:
    pack = mixed("clear-crackle", "white-crackle", "copper-lustre", base_g=Decimal(1000), buckets=3)
    frit = next(n for n in pack.needs if n.part.material.id == "frit-3110-type")
    assert frit.need_g == 600 + 500 + 660
    assert sum(n.need_g for n in pack.needs) == sum(s.dry_g for s in pack.sheets)


def test_a_missing_price_is_said_and_not_guessed() -> None:
    pack = mixed("copper-lustre", base_g=Decimal(1000), stock=SHELF)
    (sheet,) = pack.sheets
    assert sheet.cost is None and pack.cost is None and sheet.cost_per_100_g is None
    (told,) = [f for f in sheet.findings if f.code == "no-price"]
    assert "copper carbonate" in told.message and "kaolin" not in told.message


# --- safety -------------------------------------------------------------------------------------

SCHOOL = School(school=True)


def with_part(name: str) -> Recipe:
    material, _ = LIB.material(name)
    return replace(CRACKLE, additions=(*CRACKLE.additions, Part(name, 5.0, material)))


@pytest.mark.parametrize(
    "name", ["barium carbonate", "silver nitrate", "copper sulfate", "antimony oxide"]
)  # fmt: skip
def test_a_school_refuses(name: str) -> None:
    recipe = with_part(name)
    with pytest.raises(CompositionError) as wrong:
        batch(LIB, [recipe], order(), group=SCHOOL)
    assert name in wrong.value.message and f"--even-with “{name}”" in wrong.value.hint
    by_name = replace(SCHOOL, allowed=(LIB.material(name)[0],))
    (sheet,) = batch(LIB, [recipe], order(), group=by_name).sheets
    assert name in sheet.teacher_only
    assert sheet.findings[0].severity == "danger"
    assert batch(LIB, [recipe], order()).audience == "adults"  # grown-ups are warned, not refused
    other = replace(SCHOOL, allowed=(LIB.material("kaolin")[0],))
    with pytest.raises(CompositionError):
        batch(LIB, [recipe], order(), group=other)


def test_a_school_hears_of_all_that_is_wrong() -> None:
    recipes = [with_part("red lead"), with_part("barium carbonate")]
    with pytest.raises(Problems) as wrong:
        batch(LIB, recipes, order(), group=SCHOOL)
    assert len(wrong.value.errors) == 2


def test_what_only_the_teacher_weighs() -> None:
    by_name = replace(SCHOOL, allowed=(LIB.material("lithium carbonate")[0],))
    pack = mixed("turquoise-crackle", "frit-gloss", "clear-crackle", group=by_name)
    assert [s.teacher_only for s in pack.sheets] == [
        ("copper carbonate",), ("lithium carbonate",), ()
    ]  # fmt: skip
    assert all(any(f.code == "school-dust" for f in s.findings) for s in pack.sheets)
    grown_up = mixed("turquoise-crackle")
    assert grown_up.sheets[0].teacher_only == ()


def test_a_sheet_carries_the_cautions_of_its_own_materials_and_no_others() -> None:
    pack = mixed("clear-crackle", "copper-lustre", firing="raku-workshop", methods="spray")
    for sheet in pack.sheets:
        own = {code for p in sheet.recipe.parts for code in p.material.cautions}
        codes = {caution.code for caution, _ in sheet.cautions}
        assert codes - own == {"not-for-food"}
        assert own <= codes
        for caution, bearers in sheet.cautions:
            for name in bearers:
                (part,) = [p for p in sheet.recipe.parts if p.material.name == name]
                assert caution.code in part.material.cautions
    assert {c.code for c in pack.cautions} == {
        "raku-pull", "reduction-smoke", "kiln-electric", "spray-mist", "fire", "burns", "fibre-dust"
    }  # fmt: skip
    assert mixed("clear-crackle").cautions == ()
    assert "raku-pull" not in {
        c.code for c in mixed("clear-crackle", firing="earthenware-cone-04").cautions
    }


def test_what_a_recipe_asks_of_its_mixing() -> None:
    def told(name: str) -> tuple[str, str]:
        (sheet,) = mixed(name).sheets
        return " ".join(sheet.mixing), " ".join(sheet.keeping)

    mix, keep = told("borate-gloss")
    assert "24 hours" in mix and "30 to 40 mesh" in mix and "Pour off" in mix
    assert "thickens" in keep
    mix, keep = told("silver-lustre")
    assert (
        "Weigh silver nitrate first and dissolve it" in mix
        and "Crystals" in keep
        and "dark" in keep
    )
    mix, keep = told("clear-crackle")
    assert "24 hours" not in mix and "dissolve it" not in mix and "Crystals" not in keep
    assert "Shake bentonite dry with the next powder" in mix
    assert "100 mesh" in told("cobalt-gloss")[0]


def test_a_soluble_glaze_is_never_poured_off() -> None:
    borax, _ = LIB.material("borax")
    recipe = LIB.recipe("borate-gloss")
    both = replace(recipe, base=(*recipe.base, Part("borax", 100.0, borax)))
    (sheet,) = batch(LIB, [both], order()).sheets
    said = " ".join(sheet.mixing)
    assert "Pour nothing off" in said and "Pour off" not in said


def test_no_water_has_to_come_out_again() -> None:
    for name in ("clear-crackle", "copper-matte"):
        (sheet,) = mixed(name, methods="dip pour brush spray").sheets
        for bucket in sheet.buckets:
            assert start_ml(float(bucket.total_g), bucket.waters) < min(
                w.water_ml for w in bucket.waters
            )


# --- teams --------------------------------------------------------------------------------------


@pytest.mark.parametrize(("people", "teams"), [(14, 4), (20, 5), (7, 7), (None, 3), (3, None)])
def test_every_bucket_has_one_team_and_everybody_a_place(
    people: int | None, teams: int | None
) -> None:
    sheets = mixed("clear-crackle", "white-crackle", base_g=Decimal(1000), buckets=3).sheets
    dealt = assignments(sheets, people, teams, school=False)
    jobs = [job for _, what in dealt for job in what.split("; ") if "bucket" in job]
    assert sorted(jobs) == sorted(f"{s.recipe.name}, bucket {k}" for s in sheets for k in (1, 2, 3))
    if people:
        sizes = [int(who.split("(")[1].rstrip(")")) for who, _ in dealt]
        assert sum(sizes) == people and max(sizes) - min(sizes) <= 1


def test_more_teams_than_people() -> None:
    with pytest.raises(QuantityError):
        assignments(mixed("clear-crackle").sheets, 3, 4, school=False)


# --- all together -------------------------------------------------------------------------------


@pytest.mark.parametrize("path", [p for p, _ in LIB.files("recipes")], ids=lambda p: p.stem)
def test_every_demo_glaze_has_a_sheet(path) -> None:  # type: ignore[no-untyped-def]
    (sheet,) = mixed(path.stem, base_g=Decimal(2000)).sheets
    assert sheet.base_g == 2000
    assert sum(w.exact_g for w in sheet.buckets[0].weighings if not w.addition) == pytest.approx(
        2000.0
    )
    loi = analyse(sheet.recipe).loi_percent
    assert 0.0 <= loi < 40.0
    assert sheet.rounding.matters is False


def test_the_same_question_has_the_same_answer() -> None:
    first, second = (mixed("white-crackle", body="raku") for _ in range(2))
    assert first.sheets[0].rounding.moves_c == second.sheets[0].rounding.moves_c
    assert first.sheets[0].findings == second.sheets[0].findings


def test_a_class_pack_of_twelve() -> None:
    names = [p.stem for p, _ in LIB.files("recipes")][:12]
    pieces = read_pieces("14 students x 5 tiles and 2 pots")
    pack = mixed(*names, pieces=pieces, firing="raku-workshop", body="raku")
    assert len(pack.sheets) == 12


def test_what_is_used_first_is_weighed_first() -> None:
    """What is dissolved, gels with a powder after them, then the rest; totals as they go in."""
    salt, gel = LIB.material("silver nitrate")[0], LIB.material("bentonite")[0]
    extra = (Part("tin oxide", 2.0, LIB.material("tin oxide")[0]), Part("b", 2.0, gel),
             Part("s", 1.0, salt))  # fmt: skip
    recipe = replace(LIB.recipe("frit-gloss"), additions=extra)
    (bucket,) = batch(LIB, [recipe], order(base_g=Decimal(1000))).sheets[0].buckets
    ids = [w.part.material.id for w in bucket.weighings]
    assert ids[:2] == [salt.id, gel.id] and ids[-1] == "tin-oxide"
    assert bucket.additions_from == len(ids) - 1
    total = Decimal(0)
    for line in bucket.weighings:
        total += line.weigh_g
        assert line.running_g == total
    assert sum(w.weigh_g for w in bucket.weighings if not w.addition) == 1000


def test_pounds_with_ounces_as_the_scale_shows_them() -> None:
    """A scale in steps of 0.05 oz never shows 2.128 lb: it shows 2 lb 2.05 oz."""
    step = read_step("0.05 oz")
    shown, running = shown_words([measured("34.05 oz", WEIGHT), step], "lb", step)
    assert shown == ["2 lb 2.05 oz", "0 lb 0.05 oz"] and running[1] == "2 lb 2.10 oz"
    (sheet,) = Studio().batch("clear-crackle", dry="5 lb", units="lb", scale="0.05 oz").sheets
    for line, words in zip(sheet.buckets[0].weighings, sheet.printed[0], strict=True):
        pounds, ounces = words.removesuffix(" oz").split(" lb ")
        assert (16 * Decimal(pounds) + Decimal(ounces)) * GRAMS["oz"] == line.weigh_g
        assert Decimal(ounces) < 16 and Decimal(ounces) % Decimal("0.05") == 0


def test_one_sheet_has_one_unit_for_water() -> None:
    for dry, unit in (("500 g", "ml"), ("1 kg", "ml"), ("5 kg", "ml"), ("30 kg", "l")):
        (sheet,) = Studio().batch("clear-crackle", dry=dry).sheets
        most = most_ml(sheet.buckets)
        said = [volume(v, most) for w in sheet.buckets[0].waters for v in (w.water_ml, w.slurry_ml)]
        said += re.findall(r"[\d.]+ (?:ml|l)\b", sheet.mixing[0])
        assert {text.split()[1] for text in said} == {unit}, dry


def test_what_is_weighed_for_the_density_fits_the_batch() -> None:
    for dry, measure in (("500 g", "100 ml"), ("5 kg", "litre")):
        (sheet,) = Studio().batch("clear-crackle", dry=dry).sheets
        assert f"Weigh a measured {measure}," in " ".join(sheet.mixing)


def test_shopping_is_in_packs_as_sold() -> None:
    """Nobody sells 75 g of silica for 0.04: a pack of 10 kg is bought for 12."""
    shelf = Stock("GBP", {"kaolin-ideal": OnShelf(100.0, 1.2, 10_000.0),
                          "frit-3110-type": OnShelf(0.0, 2.0, 250.0)})  # fmt: skip
    needs = {n.part.material.id: n for n in mixed("clear-crackle", stock=shelf).needs}
    assert needs["kaolin-ideal"].buy_g == 10_000.0
    assert needs["kaolin-ideal"].cost == Decimal("12.00")
    assert needs["frit-3110-type"].need_g == 600 and needs["frit-3110-type"].buy_g == 750.0
    assert needs["frit-3110-type"].cost == Decimal("1.50")
    assert needs["bentonite-sodium"].buy_g == 10.0 and needs["bentonite-sodium"].cost is None
    assert mixed("clear-crackle").needs[0].buy_g is None  # no stock, no shopping


# --- what a scale and a bucket carry ------------------------------------------------------------


@pytest.mark.parametrize(
    "how",
    [
        {"dry": "12 kg", "scale": "1 g"}, {"dry": "9 kg", "scale": "0.1 g", "buckets": 4},
        {"dry": "2 kg", "scale": "0.1 g", "scale_carries": "500 g", "buckets": 3},
        {"dry": "20 lb", "units": "lb", "scale": "0.05 oz"}, {"bucket": "129 l"},
        {"dry": "7 kg", "scale": "0.5 g", "scale_carries": "1.5 kg"},
    ],
    ids=str,
)  # fmt: skip
def test_no_bowl_holds_more_than_the_scale_carries_and_nothing_is_lost(how: dict[str, Any]) -> None:
    """Recomputed line by line: bowls, buckets and the whole batch."""
    recipe = LIB.recipe("turquoise-crackle")
    (sheet,) = Studio().batch("turquoise-crackle", **how).sheets
    step = sheet.scale_g
    assumed = min(30_000 * step, max(Decimal(5000), 5000 * step))
    most = measured(how["scale_carries"], WEIGHT) if "scale_carries" in how else assumed
    whole: dict[str, Decimal] = {}
    for bucket in sheet.buckets:
        assert max(w.slurry_ml for w in bucket.waters) <= 15_000 or "bucket" not in how
        total, last = Decimal(0), 1
        bowls: dict[int, Decimal] = {}
        for line in bucket.weighings:
            assert line.bowl in (last, last + 1) and line.weigh_g % step == 0
            last = line.bowl
            bowls[last] = bowls.get(last, Decimal(0)) + line.weigh_g
            total += line.weigh_g
            assert line.running_g == total
            name = line.part.material.id
            whole[name] = whole.get(name, Decimal(0)) + line.weigh_g
        assert total == bucket.total_g and set(bowls) == set(range(1, last + 1))
        assert max(bowls.values()) <= Decimal("0.9") * most + step
        printed = sheet.shown(bucket)[1]
        assert len(printed) == len(bucket.weighings)
    assert sum(whole.values()) == sheet.dry_g
    for part in recipe.parts:
        share = float(sheet.base_g) * part.amount / recipe.base_total
        lines = len(sheet.buckets)
        assert abs(float(whole[part.material.id]) - share) <= lines * float(step), part.material.id


def test_a_line_that_fits_a_bowl_is_weighed_at_once() -> None:
    (sheet,) = Studio().batch("clear-crackle", dry="3 kg", scale="0.1 g").sheets
    names = [w.part.material.id for w in sheet.buckets[0].weighings]
    assert len(names) == len(set(names)) and sheet.buckets[0].bowls == 2
    said = [f.code for f in sheet.findings]
    assert said.count("scale-carries") == 1 and "buckets-assumed" not in said
    assert any("bowl of its own" in step for step in sheet.mixing)


@pytest.mark.parametrize(
    ("how", "words"), [({}, "3000.0 g (assumed"), ({"scale_carries": "2 kg"}, "2000.0 g (as said)")]
)
def test_a_scale_is_assumed_unless_it_was_said(how: dict[str, str], words: str) -> None:
    """Assumed are 30 000 steps, of 0.1 g."""
    (sheet,) = Studio().batch("clear-crackle", dry="6 kg", scale="0.1 g", **how).sheets
    (said,) = [f.message for f in sheet.findings if f.code == "scale-carries"]
    assert words in said


def test_what_is_assumed_of_buckets_is_said_and_can_be_said() -> None:
    said = Studio().batch("clear-crackle", bucket="50 l").sheets[0]
    assert len(said.buckets) == 4 and "buckets-assumed" in [f.code for f in said.findings]
    own = Studio().batch("clear-crackle", bucket="50 l", bucket_size="25 l").sheets[0]
    assert len(own.buckets) == 2 and "buckets-assumed" not in [f.code for f in own.findings]
    one = Studio().batch("clear-crackle", bucket="50 l", buckets=1).sheets[0]
    assert len(one.buckets) == 1


@pytest.mark.parametrize("carries", ["5 g", "0 g", "2000 kg", "much"])
def test_a_scale_that_carries_no_glaze_is_refused(carries: str) -> None:
    with pytest.raises(QuantityError):
        Studio().batch("clear-crackle", dry="1 kg", scale="0.1 g", scale_carries=carries)
