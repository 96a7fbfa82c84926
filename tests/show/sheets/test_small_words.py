"""What printed sheets say, each line of words from facts made by hand."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from packs import LIBRARY, pack, sheet

from cofire.answers.batch.records import Load, Need, Ware, Water
from cofire.findings import Finding
from cofire.records import GHS, Caution, Smoke
from cofire.show.sheets import words

GLAZE = sheet(LIBRARY.recipe("clear-crackle"))
ALONE = pack("clear-crackle")
FIRING = LIBRARY.firing("raku-workshop")
SHUT = LIBRARY.firing("earthenware-cone-04")
PARTS = GLAZE.recipe.parts
D = Decimal


def caution(code: str, severity: Any = "caution", *act: str, **more: Any) -> Caution:
    return Caution(code, severity, act or ("mixing",), f"{code}.", "test", **more)


def need(k: int, need_g: str, have: float | None, buy: float | None, **more: Any) -> Need:
    price = {"price_per_kg": None, "cost": None} | more
    return Need(PARTS[k], D(need_g), have, buy, **price)


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ({"date": "", "people": None}, "1 glaze"),
        ({"date": "2026-10-17", "people": None}, "2026-10-17 · 1 glaze"),
        ({"date": "", "people": 9, "sheets": (GLAZE, GLAZE)}, "9 people · 2 glazes"),
        ({"date": "", "people": None, "audience": "school"},
         "1 glaze · for a school: the teacher handles what is marked"),
    ],
)  # fmt: skip
def test_the_line_under_a_title(more: dict[str, Any], said: str) -> None:
    assert words.pack_line(replace(ALONE, **more)) == said


@pytest.mark.parametrize(
    ("more", "cover"),
    [
        ({}, False),
        ({"people": 3}, True),
        ({"sheets": (GLAZE, GLAZE)}, True),
        ({"assignments": (("Ines", "x"),)}, True),
    ],
)
def test_what_has_a_cover(more: dict[str, Any], cover: bool) -> None:
    assert words.has_cover(replace(ALONE, **more)) is cover


@pytest.mark.parametrize(
    ("people", "labels"),
    [(None, 8), (1, 4), (4, 4), (5, 8), (12, 12), (13, 16), (24, 24), (40, 24)],
)
def test_tile_labels_in_whole_rows_of_four(people: int | None, labels: int) -> None:
    assert words.tile_count(replace(ALONE, people=people)) == labels


def test_costs() -> None:
    whole = replace(GLAZE, cost=D("4.20"), cost_per_100_g=0.084, cost_per_piece=0.3, piece="bowl")
    assert words.costs(whole) == "costs 4.20 GBP, 0.08 GBP per 100 g, 0.30 GBP a bowl"
    assert words.costs(replace(whole, piece="", cost_per_100_g=None)).endswith(", 0.30 GBP a piece")
    assert words.costs(replace(whole, cost_per_100_g=None, cost_per_piece=None)) == "costs 4.20 GBP"
    assert words.costs(replace(whole, cost=None)) == ""
    assert (words.price(whole), words.price(replace(whole, cost=None))) == ("4.20 GBP", "–")


#: Bought: 1.2 of 1.5 kg; nothing of what is enough; a kilogram of what nobody counted.
NEEDS = (
    need(0, "1500", 300.0, 1200.0, price_per_kg=4.0, cost=D("4.80")),
    need(1, "200.04", 300.0, 0.0, price_per_kg=2.5),
    need(2, "1000", None, 1000.0),
)


def test_shopping() -> None:
    names = [p.material.name for p in PARTS]
    rows = words.shopping(replace(ALONE, needs=NEEDS))
    assert rows == [
        (names[0], "1.500 kg", "300.0 g", "1.200 kg", "4.00", "4.80"),
        (names[1], "200.1 g", "300.0 g", "enough", "2.50", ""),
        (names[2], "1.000 kg", "", "1.000 kg", "", ""),
    ]
    unknown = words.shopping(replace(ALONE, needs=(need(0, "5", None, None),)))
    assert unknown == [(names[0], "5.0 g", "", "", "", "")]
    assert words.short_of(replace(ALONE, needs=NEEDS)) == (
        f"not enough on the shelf, buy: {names[0]} 1.200 kg, {names[2]} 1.000 kg"
    )
    assert words.short_of(replace(ALONE, needs=NEEDS[1:2])) == ""
    little = replace(ALONE, needs=(need(0, "5", 4.5, 0.5),))
    assert words.shopping(little)[0][3] == "0.5 g"
    assert words.short_of(little).endswith(" 0.5 g")
    assert words.short_of(replace(ALONE, needs=(need(0, "5", None, None),))) == ""


def test_what_all_costs() -> None:
    names = [p.material.name for p in PARTS]

    def said(*needs: Need, cost: str | None = None) -> str:
        return words.total_cost(replace(ALONE, needs=needs, cost=D(cost) if cost else None))

    assert said() == ""
    assert said(cost="7.5") == "what is used, all together 7.50 GBP"
    assert said(NEEDS[0], NEEDS[1]) == "To buy: 1 material, 4.80 GBP"
    assert said(*NEEDS, cost="9") == (
        f"To buy: 2 materials, 4.80 GBP and no price for {names[2]}; "
        "1 of them with no stock given, so taken as not there; what is used, all together 9.00 GBP"
    )
    assert said(need(0, "5", 1.0, 4.0)) == "To buy: 1 material, without prices"
    dear = [need(0, "9", 1.0, 8.0, cost=D("1.25"))] * 2
    none = [need(1, "9", 1.0, 8.0)]
    assert said(*dear, *none * 3).startswith("To buy: 5 materials, 2.50 GBP and no price for ")
    assert said(*dear, *none * 3).count(names[1]) == 3
    assert said(*dear, *none * 4).endswith("and no price for 4 materials")


def test_waters_once_where_buckets_are_alike() -> None:
    """Two alike buckets share a row; where one is fuller each has its own, and all are in litres
    once a bucket needs more than 10 l."""
    two = sheet(GLAZE.recipe, buckets=2, base_g=2000)
    (first, second) = two.buckets
    once = words.waters(two)
    assert [len(amounts) for _, amounts, _ in once] == [1, 1, 1]
    assert [len(made) for _, _, made in once] == [1, 1, 1]
    assert [w.method for w, _, _ in once] == ["dip", "pour", "brush"]
    more = tuple(replace(w, water_ml=w.water_ml + 300.0) for w in second.waters)
    differ = words.waters(replace(two, buckets=(first, replace(second, waters=more))))
    assert [len(amounts) for _, amounts, _ in differ] == [2, 2, 2]
    assert differ[0][1][0] == f"{first.waters[0].water_ml:.0f} ml"
    assert differ[0][1][1] == f"{first.waters[0].water_ml + 300.0:.0f} ml"
    assert differ[0][2][0] == f"{first.waters[0].slurry_ml:.0f} ml"
    made = tuple(replace(w, slurry_ml=w.slurry_ml + 300.0) for w in second.waters)
    differ = words.waters(replace(two, buckets=(first, replace(second, waters=made))))
    assert differ[2][2][1] == f"{first.waters[2].slurry_ml + 300.0:.0f} ml"


def test_what_a_measure_weighs() -> None:
    """A litre of 1.45 weighs 1450 g; of a bucket of less than two litres 100 ml, 145 g."""
    for slurry, said, weighs in ((2000.0, "a litre weighs", 1450), (1999.0, "100 ml weigh", 145)):
        water = Water("dip", 1.45, 900.0, slurry, "")
        some = replace(GLAZE, buckets=(replace(GLAZE.buckets[0], waters=(water,)),))
        assert words.measure(some) == said
        assert words.measured(some, water) == f"{weighs} g (1.45)"


def test_where_something_else_begins() -> None:
    line = GLAZE.buckets[0].weighings[0]

    def said(*lines: tuple[int, bool]) -> tuple[tuple[int, str], ...]:
        made = tuple(replace(line, bowl=bowl, addition=more) for bowl, more in lines)
        return words.parts(replace(GLAZE.buckets[0], weighings=made))

    empty, more = "empty it into the bucket, scale to zero", "additions, after all of the base"
    assert said((1, False), (1, False)) == ()
    assert said((1, False), (2, False), (2, False), (3, False)) == ((1, empty), (3, empty))
    assert said((1, False), (1, False), (1, True)) == ((2, more),)
    assert said((1, False), (2, True)) == ((1, f"{empty}; {more}"),)


def test_the_line_under_a_glaze() -> None:
    said = replace(GLAZE, asked="a bucket", dry_g=D("4999.5"))
    assert words.about(said) == f"{GLAZE.recipe.surface}: a bucket; 4999.5 g dry in all"
    three = replace(said, buckets=said.buckets * 3)
    assert words.about(three).endswith(": a bucket; 3 buckets, 4999.5 g dry in all")


def test_gravest_first_and_each_once() -> None:
    food = caution("lead", "danger", "using", ghs=("health-hazard",), signs=("gloves",))
    note = caution("leach-test", "note", "using")
    dust = caution("dust", "warning", "mixing", signs=("respirator",), short="dust")
    fume = caution("manganese", "caution", "firing", ghs=("exclamation", "health-hazard"))
    both = caution("fluor", "warning", "mixing", "firing", at_kiln="Vent it.", ghs=("skull",))
    brought: Any = ((fume, ("M",)), (both, ("F", "G")), (dust, ("S",)), (food, ("L",)))
    one = replace(GLAZE, cautions=brought)
    assert words.not_for_food(one)
    assert not words.not_for_food(replace(GLAZE, cautions=((note, ()), (dust, ()))))  # type: ignore[arg-type]
    cold = replace(ALONE, sheets=(one,), firing=None, cautions=(dust, fume))
    # one glaze for one person: all on its page, once, with what to say at the kiln
    listed = words.sheet_cautions(cold, one)
    assert [c.code for c, _ in listed] == ["lead", "fluor", "dust", "manganese"]
    assert {c.code: c.text for c, _ in listed}["fluor"] == "fluor. Vent it."
    other = replace(cold, cautions=(caution("fire", "danger", "firing"),))
    assert [(c.code, by) for c, by in words.sheet_cautions(other, one)][:2] == [
        ("lead", ("L",)), ("fire", ())]  # fmt: skip
    # with a firing card, the bucket warns of what happens at the bucket only
    hot = replace(cold, firing=FIRING, people=3)
    assert [c.code for c, _ in words.sheet_cautions(hot, one)] == ["lead", "fluor", "dust"]
    at_kiln = words.firing_cautions(replace(hot, sheets=(one, one)))
    assert [(c.code, by, c.text, c.ghs) for c, by in at_kiln] == [
        ("fluor", ("F", "G"), "Vent it.", ()), ("manganese", ("M",), "manganese.", ())]  # fmt: skip
    assert words.firing_cautions(cold) == []
    trained = caution("trained-adults", "danger", "firing")
    day = replace(hot, cautions=(fume, dust, trained))
    assert [c.code for c in words.cover_cautions(day)] == ["dust", "trained-adults"]
    assert len(words.cover_cautions(replace(day, firing=None))) == 3
    diamonds = words.diamonds(c for c, _ in brought)
    assert diamonds == [n for n in GHS if n in ("skull", "health-hazard", "exclamation")]
    assert len(diamonds) == 3
    assert words.signs([dust, food, fume, dust]) == [
        "FUME: STAY AWAY WHILE HOT", "RESPIRATOR ON", "GLOVES ON"]  # fmt: skip
    assert (
        words.in_short([food, dust, note, dust, caution("not-for-food", "danger")]) == "lead · dust"
    )


def test_what_is_doubted_and_where() -> None:
    def found(code: str, severity: Any, subject: str = "") -> Finding:
        return Finding(code, severity, f"{code}!", subject=subject)

    known = caution("known", "danger")
    one = replace(
        GLAZE,
        cautions=((known, ()),),  # type: ignore[arg-type]
        findings=(
            found("a", "danger", "Chalk"),
            found("b", "warning", GLAZE.recipe.name),
            found("b", "warning"),
            found("c", "caution", "Chalk"),
            found("known", "danger"),
            found("d", "note"),
            found("scale-carries", "note"),
        ),
    )
    assert words.remarks(one) == ["Chalk: a!", "b!"]
    assert words.doubts(one) == ["scale-carries!", "Chalk: c!"]
    for matters, advice, first in ((True, "Weigh finer.", ["Weigh finer."]), (True, "", []),
                                   (False, "Weigh finer.", [])):  # fmt: skip
        rounding = replace(one.rounding, matters=matters, advice=advice)
        assert words.remarks(replace(one, rounding=rounding)) == [*first, "Chalk: a!", "b!"]


def ware(bins: tuple[int, ...] = (1, 2, 1), firings: int = 1, hands: int = 1) -> Ware:
    load = Load(1, 4.5, bins, FIRING)
    return Ware(len(bins) * firings, hands, (load,) * firings)


def test_pots_by_firings() -> None:
    def said(of: Ware | None) -> str:
        return words.loads_of(replace(ALONE, ware=of))

    end = " Whether your kiln takes them, and a plan of the day: cofire day."
    load = "a load of about 4.5 kg by the size of the pots, into"
    assert said(None) == ""
    assert said(ware()) == (
        f"3 pots: one firing, {load} 2 bins, by one pair of hands; tiles are not counted.{end}"
    )
    assert said(ware((1,), 2, 3)) == (
        f"2 pots: 2 firings of up to 1, {load} one bin, by 3 pairs of hands; tiles are not counted."
        f" Times are from a cold kiln: one that is still warm is quicker.{end}"
    )


def test_names_of_firings() -> None:
    answer: Any = SimpleNamespace(firing=FIRING, total_min=125.0)
    loads = [Load(k, 4.5, (1,), FIRING) for k in (1, 2)]
    two = replace(ALONE, ware=Ware(2, 1, tuple(loads)))
    assert words.firing_name(two, answer, loads[1]) == f"{FIRING.name}, firing 2 of 2"
    assert words.firing_name(two, answer, None) == FIRING.name
    one = replace(ALONE, ware=Ware(1, 1, tuple(loads[:1])))
    assert words.firing_name(one, answer, loads[0]) == FIRING.name
    assert words.firing_name(replace(ALONE, ware=None), answer, loads[0]) == FIRING.name
    heavy: Any = SimpleNamespace(firing=replace(FIRING, load_kg=7.5), total_min=125.0)
    assert words.firing_line(heavy) == f"{FIRING.kiln.name} · load 7.5 kg · 2:05 (h:mm) in all"
    heavy.firing = replace(FIRING, load_kg=0.0)
    assert words.firing_line(heavy) == f"{FIRING.kiln.name} · 2:05 (h:mm) in all"
    made = list(words.firings_of(replace(two, firing=FIRING)))
    assert [load for _, load in made] == loads
    assert [load for _, load in words.firings_of(replace(ALONE, firing=SHUT))] == [None]
    assert list(words.firings_of(replace(ALONE, firing=None))) == []


def segment(**more: Any) -> Any:
    facts = {"number": 1, "rate_c_per_h": 150.0, "target_c": 600.0, "hold_min": 10.0,
             "ramp_takes_min": 232.0}  # fmt: skip
    return SimpleNamespace(**(facts | more))


def test_keyed_in_on_both_scales() -> None:
    """600 °C is 1112 °F; 150 K an hour are 270 °F an hour."""
    answer: Any = SimpleNamespace(segments=[segment(), segment(number=2, rate_c_per_h=None)])
    assert words.keyed_in(answer) == [
        ("1", "150 °C/h", "270 °F/h", "600 °C", "1112 °F", "0:10", "3:52"),
        ("2", "full", "", "600 °C", "1112 °F", "0:10", "3:52"),
    ]
    assert len(words.KEYED_HEADS) == 7
    left = [SimpleNamespace(name=n, at_min=m, ware_c=900.0) for n, m in (("a", 61.0), ("b", 75.0))]
    fired: Any = SimpleNamespace(loads=left)
    assert words.pulls(fired, None) == [
        ("a", "1:01", "900 °C (1652 °F)", ""), ("b", "1:15", "900 °C (1652 °F)", "")]  # fmt: skip
    assert [row[3] for row in words.pulls(fired, Load(1, 4.0, (2, 1), FIRING))] == ["2", "1"]


def test_a_log_at_even_times() -> None:
    """A straight ramp of 300 K an hour; 140 min are 14 rows of ten, 141 need quarters."""
    line: Any = SimpleNamespace(
        time_s=np.array([0.0, 36_000.0]), air_c=np.array([0.0, 3000.0]), total_min=140.0
    )
    rows = words.log_rows(line)
    assert len(rows) == 14
    assert rows[0] == ("0:10", "50 °C (122 °F)")
    assert rows[-1][0] == "2:20"
    line.total_min = 141.0
    assert [at for at, _ in words.log_rows(line)] == [
        "0:15", "0:30", "0:45", "1:00", "1:15", "1:30", "1:45", "2:00", "2:15"]  # fmt: skip


@pytest.mark.parametrize("every", [10, 15, 20, 30, 60, 120, 240, 480, 960])
def test_the_finest_times_that_fit_a_page(every: int) -> None:
    """Fourteen of them just fit."""
    line: Any = SimpleNamespace(
        time_s=np.array([0.0, 1e6]), air_c=np.array([0.0, 900.0]), total_min=14.0 * every
    )
    at, _ = words.log_rows(line)[0]
    assert at == f"{every // 60}:{every % 60:02d}"


def test_after_the_tongs() -> None:
    between = SimpleNamespace
    after = between(
        smoke=Smoke(5.0, 10.0, assumed=False),
        dull_red_after_s=between(low=20.0, high=41.0),
        no_longer_lights_paper_after_s=between(low=60.0, high=90.0),
    )
    answer: Any = SimpleNamespace(after_the_pull=after, cold_min=600.0)
    assert words.after_words(answer) == (
        "Each pot: 5 s in air, 10 min in the bin. In still air it glows for 20 to 41 s and lights "
        "paper for 60 to 90 s. Start the clock when the kiln starts."
    )
    answer.after_the_pull = None
    assert "cools in the closed kiln" in words.after_words(answer)
    assert "about 10:00 after the start" in words.after_words(answer)


def test_the_chart_has_room_above_the_peak() -> None:
    answer = words.firing_of(replace(ALONE, firing=FIRING))
    assert answer is not None
    chart = words.firing_chart(answer)
    assert (chart.width, chart.height) == (180.0, 40.0)
    assert words.firing_of(replace(ALONE, firing=None)) is None
    doubts = SimpleNamespace(
        firing=SimpleNamespace(name="A"),
        findings=[
            Finding("x", "note", "mine", subject="A"),
            Finding("x", "note", "no", subject="B"),
        ],
    )
    assert words.firing_doubts(doubts) == ["mine"]  # type: ignore[arg-type]
