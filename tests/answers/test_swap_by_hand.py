"""What a swap asks of the solver, and what it says of the ways that come back, by hand."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from cofire.answers import swap as swap_module
from cofire.answers.swap import (
    SwapAnswer,
    SwapAnswers,
    Swapped,
    _cost,
    _rebuilt,
    _recipe_of,
    _sentence,
    _way,
    holding,
    swap,
    swap_all,
)
from cofire.chem.oxides import INDEX, MOLAR_MASS, OXIDES
from cofire.errors import CompositionError
from cofire.files.library import Library
from cofire.formulate.rebuild import Rebuilt, WantedAmounts
from cofire.model.glaze_set import glaze_set
from cofire.records import Material, Part, Recipe

LIB = Library()
NOTHING: Any = None


def material(name: str, loi: float = 0.0, /, **oxides: float) -> Material:
    return Material(name, (name,), oxides, loi, "test")


QUARTZ, LIME = material("quartz", SiO2=100.0), material("lime", 44.0, CaO=56.0)
OTHER = material("other", SiO2=50.0, CaO=50.0)
TIN, COPPER = material("tin", SnO2=100.0), material("copper", CuO=100.0)
CLAY = material("kaolin", 14.0, SiO2=46.5, Al2O3=39.5)


def recipe(*base: tuple[float, Material], added: tuple[tuple[float, Material], ...] = ()) -> Recipe:
    def parts(some: Any) -> tuple[Part, ...]:
        return tuple(Part(m.id, amount, m) for amount, m in some)

    return Recipe("r", "R", parts(base), parts(added), "gloss")


def wanted_of(
    monkeypatch: pytest.MonkeyPatch, glaze: Recipe, gone: Material, *more: Material
) -> tuple[WantedAmounts, dict[str, Any]]:
    """What the solver is asked, with all else that it gets by name; it gives back nothing new."""
    seen: dict[str, Any] = {}

    def rebuild(wanted: Any, now: Any, cost: Any, use: Any, most_new: int, worth: float) -> Any:
        seen.update(wanted=wanted, now=now, cost=cost, use=use, most_new=most_new, worth=worth)
        return [Rebuilt(np.ones(len(now)), np.zeros(1))]

    monkeypatch.setattr(swap_module, "rebuild", rebuild)
    glazes, now = glaze_set(glaze, more)
    have = {p.material.id for p in glaze.parts}
    (seen["found"],) = _rebuilt(glazes, glaze, now, gone, have, 3)
    seen["names"] = [m.id for m in glazes.materials]
    return seen["wanted"], seen


def test_what_the_solver_is_asked(monkeypatch: pytest.MonkeyPatch) -> None:
    """70 of quartz and 30 of lime are 70/60.08 and 16.8/56.08 mol: 79.5 and 20.5 mole per cent.
    30 × 0.44 are lost, 13.2 %, of which one counts as 0.05 mole per cent: 0.66. There is no
    clay."""
    wanted, seen = wanted_of(monkeypatch, recipe((70.0, QUARTZ), (30.0, LIME)), LIME, OTHER)
    silica, calcia = 70.0 / MOLAR_MASS[INDEX["SiO2"]], 16.8 / MOLAR_MASS[INDEX["CaO"]]
    share = 100.0 / (silica + calcia)
    oxides = sorted([silica * share, calcia * share])
    assert sorted(wanted.amounts[:2]) == pytest.approx(oxides)
    assert wanted.amounts[2:] == pytest.approx([0.66, 0.0])
    # a part of each material brings its own share of that
    assert wanted.matrix @ seen["now"] == pytest.approx(wanted.amounts)
    assert wanted.matrix[2] == pytest.approx([0.0, 0.05 * 0.44, 0.0])
    # what is gone costs all, a part moved 0.004, a new one that nobody asks for by name 0.03
    assert seen["names"] == ["quartz", "lime", "other"]
    assert seen["cost"] == pytest.approx([0.004, np.inf, 0.03])
    assert seen["use"].tolist() == [True, False, False]
    assert (seen["most_new"], seen["worth"]) == (3, 0.4)
    assert wanted.total == pytest.approx(100.0)
    assert wanted.adding @ seen["now"] == pytest.approx(100.0)
    assert wanted.likely is not None and not wanted.likely.any()


@pytest.mark.parametrize(
    ("lime", "other", "rows"), [(0.0, 0.0, 2), (0.5, 0.0, 3), (0.0, 1.0, 2), (0.0, 2.0, 3)]
)
def test_which_oxides_count(
    monkeypatch: pytest.MonkeyPatch, lime: float, other: float, rows: int
) -> None:
    """Silica, lime, and magnesia where the recipe holds any, or a part of a material brings 0.02
    mole per cent: 68.3 × 0.01/40.3 is 0.017, twice that is more. Loss and clay come beside them."""
    glaze = recipe((70.0, QUARTZ), (30.0, material("lime", 44.0, CaO=56.0, MgO=lime)))
    new = material("other", SiO2=50.0, CaO=50.0 - other, MgO=other)
    wanted, _ = wanted_of(monkeypatch, glaze, glaze.base[1].material, new)
    assert len(wanted.amounts) == len(wanted.matrix) == rows + 2


def test_a_recipe_of_any_total_is_asked_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    ours = wanted_of(monkeypatch, recipe((70.0, QUARTZ), (30.0, LIME)), LIME, OTHER)[0]
    kilos = wanted_of(monkeypatch, recipe((700.0, QUARTZ), (300.0, LIME)), LIME, OTHER)[0]
    assert kilos.amounts == pytest.approx(ours.amounts)
    assert kilos.matrix == pytest.approx(0.1 * ours.matrix)


def test_additions_and_colours_stay_as_they_are(monkeypatch: pytest.MonkeyPatch) -> None:
    """Tin on top and copper in the base: neither is asked for nor moved, and both come back; what
    they bring is no part of what has to be reached. Gone, the copper has to be found elsewhere."""
    glaze = recipe((60.0, QUARTZ), (30.0, LIME), (10.0, COPPER), added=((5.0, TIN),))
    wanted, seen = wanted_of(monkeypatch, glaze, LIME, OTHER)
    assert seen["names"] == ["quartz", "lime", "copper", "tin", "other"]
    assert seen["use"].tolist() == [True, False, False, False, False]
    assert np.isinf(seen["cost"]).tolist() == [False, True, True, True, False]
    assert wanted.matrix @ [60.0, 30.0, 0.0, 0.0, 0.0] == pytest.approx(wanted.amounts)
    assert seen["found"].parts.tolist() == [1.0, 1.0, 11.0, 6.0, 1.0]
    without, seen = wanted_of(monkeypatch, glaze, COPPER, OTHER)
    assert seen["use"].tolist() == [True, True, False, False, False]
    assert without.total - wanted.total == pytest.approx(
        100.0 * 10.0 / MOLAR_MASS[INDEX["CuO"]] / (
            60.0 / MOLAR_MASS[INDEX["SiO2"]] + 16.8 / MOLAR_MASS[INDEX["CaO"]]
            + 10.0 / MOLAR_MASS[INDEX["CuO"]] + 5.0 / MOLAR_MASS[INDEX["SnO2"]]
        )
    )  # fmt: skip


def test_clay_keeps_its_slurry_up(monkeypatch: pytest.MonkeyPatch) -> None:
    """20 % of clay, of which one counts as a tenth of a mole per cent: 2."""
    glaze = recipe((80.0, OTHER), (20.0, CLAY))
    wanted, _ = wanted_of(monkeypatch, glaze, OTHER, QUARTZ)
    assert wanted.amounts[-1] == pytest.approx(2.0)
    assert wanted.matrix[-1] == pytest.approx([0.0, 0.1, 0.0])
    assert wanted.amounts[-2] == pytest.approx(0.05 * 2.8)


def test_gels_are_kept_below_what_turns_to_jelly(monkeypatch: pytest.MonkeyPatch) -> None:
    """3 % of the base, or as much as there is."""
    gel = LIB.material("bentonite")[0]
    for percent, most in ((2.0, 0.03), (5.0, 0.05)):
        glaze = recipe((100.0 - percent - 20.0, QUARTZ), (percent, gel), (20.0, LIME))
        within = wanted_of(monkeypatch, glaze, LIME, OTHER)[0].within
        assert within is not None
        assert within.weights == pytest.approx([-most, 1.0 - most, -most, -most])
        assert (within.low, within.high) == (-np.inf, 0.0)
    # an addition that stays takes its share, and is no part of the base
    glaze = recipe((80.0, QUARTZ), (20.0, LIME), added=((1.0, gel),))
    within = wanted_of(monkeypatch, glaze, LIME, OTHER)[0].within
    assert within is not None and within.high == pytest.approx(-1.0)
    assert within.weights == pytest.approx([-0.03, -0.03, 1.0, -0.03])


def test_twins_of_what_is_gone_are_tried(monkeypatch: pytest.MonkeyPatch) -> None:
    chalk = replace(LIME, id="chalk", names=("chalk",), oxides_wt_percent={"CaO": 55.0, "MgO": 0.9})
    wanted, seen = wanted_of(monkeypatch, recipe((70.0, QUARTZ), (30.0, LIME)), LIME, OTHER, chalk)
    assert wanted.likely is not None
    assert dict(zip(seen["names"], wanted.likely.tolist(), strict=True)) == {
        "quartz": False, "lime": False, "other": False, "chalk": True}  # fmt: skip


def test_what_a_material_costs() -> None:
    plain = replace(OTHER, default_for=("other",))
    assert _cost(OTHER, {"other"}) == 0.004
    assert [_cost(m, set()) for m in (plain, OTHER, replace(OTHER, own=True))] == pytest.approx(
        [0.01, 0.03, 0.005]
    )


# --- what comes back ------------------------------------------------------------------------------


def test_a_base_of_a_hundred_and_additions_on_top() -> None:
    """40 and 10 of base are 80 and 20; 1 on top of 50 is 2. New traces of a fifth of a part and
    what the recipe has none of any more are no lines."""
    glaze = recipe((70.0, QUARTZ), (30.0, LIME), added=((1.0, TIN),))
    glazes, _ = glaze_set(glaze, [OTHER, CLAY])
    made = _recipe_of(glaze, glazes, np.array([40.0, 0.0, 1.0, 0.2, 10.0]))
    assert [(p.material.id, p.amount) for p in made.base] == [("quartz", 80.0), ("kaolin", 20.0)]
    assert [(p.material.id, p.amount) for p in made.additions] == [("tin", 2.0)]
    assert (made.id, made.name) == ("r-swapped", "R, swapped")
    made = _recipe_of(glaze, glazes, np.array([40.0, 0.1, 0.0, 0.21, 9.69]))
    assert [p.material.id for p in made.base] == ["quartz", "lime", "other", "kaolin"]
    assert made.additions == ()


def test_what_is_in_base_and_on_top_is_one_line_of_the_base() -> None:
    glaze = recipe((70.0, QUARTZ), (30.0, LIME), added=((5.0, QUARTZ), (1.0, TIN)))
    glazes, _ = glaze_set(glaze)
    made = _recipe_of(glaze, glazes, np.array([75.0, 25.0, 1.0]))
    assert [(p.material.id, p.amount) for p in made.base] == [("quartz", 75.0), ("lime", 25.0)]
    assert [p.material.id for p in made.additions] == ["tin"]
    assert _recipe_of(glaze, glazes, np.array([1.0, 0.0, 0.0])).base[0].amount == 100.0


def test_notes_of_what_is_gone_go_with_it() -> None:
    glaze = recipe((70.0, QUARTZ), (30.0, LIME))
    glaze = replace(
        glaze,
        undissolved={"quartz": 50.0, "lime": 10.0},
        ambiguous=tuple((p, (OTHER,)) for p in glaze.base),
    )
    glazes, _ = glaze_set(glaze, [OTHER])
    made = _recipe_of(glaze, glazes, np.array([70.0, 0.0, 30.0]))
    assert made.undissolved == {"quartz": 50.0}
    assert [p.material.id for p, _ in made.ambiguous] == ["quartz"]
    with pytest.raises(CompositionError):
        _recipe_of(glaze, glazes, np.zeros(3))


def way(
    expansion: float = 0.0, melting: float = 0.0, lost: tuple[str, ...] = (), **more: Any
) -> Any:
    made = more.pop("recipe", recipe((70.0, QUARTZ), (30.0, OTHER)))
    facts: dict[str, Any] = {"outside": False, "unity_differs": {}, "new": (OTHER,)} | more
    return Swapped(
        made, facts["new"], np.zeros(len(OXIDES)), facts["unity_differs"], expansion, melting,
        0.0, 0.0, 0.0, facts["outside"], lost,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("expansion", "melting", "lost", "same"),
    [
        (0.15, 10.0, (), True), (-0.15, -10.0, (), True), (0.16, 0.0, (), False),
        (-0.16, 0.0, (), False), (0.0, 10.5, (), False), (0.0, -10.5, (), False),
        (0.0, 0.0, ("CuO",), False),
    ],
)  # fmt: skip
def test_what_is_the_same_glaze(
    expansion: float, melting: float, lost: tuple[str, ...], same: bool
) -> None:
    assert way(expansion, melting, lost).same == same


def test_how_far_off_a_way_is() -> None:
    assert way(unity_differs={"CaO": -0.2, "SiO2": 0.3}).deviation == pytest.approx(0.5)


def test_a_way_is_compared_oxide_by_oxide() -> None:
    """10 of silica more over 0.3 mol of lime. Moves of unity below 0.01 mol are not told."""
    glaze = recipe((70.0, QUARTZ), (30.0, LIME))
    glazes, _ = glaze_set(glaze, [OTHER])
    same = _way(glaze, glazes, np.array([70.0, 30.0, 0.0]), {"quartz", "lime"})
    assert same.unity_differs == {} and same.deviation == 0.0
    assert (same.new, same.lost, same.loi_percent) == ((), (), pytest.approx(13.2))
    moved = _way(glaze, glazes, np.array([80.0, 30.0, 0.0]), {"quartz", "lime"})
    mol = MOLAR_MASS[INDEX["CaO"]] / 16.8 / MOLAR_MASS[INDEX["SiO2"]]
    assert moved.unity_differs == {"SiO2": pytest.approx(10.0 * mol, rel=2e-3)}
    assert moved.expansion_moves_1e6_per_k < 0.0 < moved.melting_moves_c
    swapped = _way(glaze, glazes, np.array([50.0, 0.0, 50.0]), {"quartz", "lime"})
    assert swapped.new == (OTHER,)
    # 0.2 g of silica are 0.011 mol, 0.1 g half of that
    assert set(_way(glaze, glazes, np.array([70.2, 30.0, 0.0]), set()).unity_differs) == {"SiO2"}
    assert _way(glaze, glazes, np.array([70.1, 30.0, 0.0]), set()).unity_differs == {}


@pytest.mark.parametrize(
    ("colour", "now", "lost"),
    [
        # a tenth of what there was, and the dirt that clays bring: 0.05 -> 0.045 and 0.0005 mol
        ("CuO", 0.04451, False), ("CuO", 0.0444, True), ("CuO", 0.0556, True),
        ("Fe2O3", 0.0351, False), ("Fe2O3", 0.0349, True), ("TiO2", 0.0251, False),
        ("TiO2", 0.0249, True), ("MnO", 0.0431, False), ("MnO", 0.0429, True),
    ],
)  # fmt: skip
def test_a_colour_is_kept_to_a_tenth(
    monkeypatch: pytest.MonkeyPatch, colour: str, now: float, lost: bool
) -> None:
    """0.05 mol of it before."""
    before, after = np.zeros((2, len(OXIDES)))
    before[INDEX[colour]], after[INDEX[colour]] = 0.05, now
    analyses = iter([SimpleNamespace(mol=one, loi_percent=0.0) for one in (before, after)])
    monkeypatch.setattr(swap_module, "analyse", lambda _: next(analyses))
    monkeypatch.setattr(swap_module, "unity", lambda mol: mol)
    glaze = recipe((70.0, QUARTZ), (30.0, LIME))
    glazes, parts = glaze_set(glaze)
    assert (colour in _way(glaze, glazes, parts, set()).lost) == lost


def test_clay_and_salts_of_a_way_in_per_cent() -> None:
    """Of 80 + 20 and 5 on top."""
    salt = replace(LIME, id="salt", names=("salt",), dissolves="yes")
    kaolin = LIB.material("kaolin-ideal")[0]
    glaze = recipe((60.0, QUARTZ), (20.0, LIME), (20.0, kaolin), added=((5.0, salt),))
    glazes, parts = glaze_set(glaze)
    found = _way(glaze, glazes, parts, {"quartz", "lime", kaolin.id, "salt"})
    assert found.clay_percent == pytest.approx(100.0 * 20.0 / 105.0)
    assert found.soluble_percent == pytest.approx(100.0 * 5.0 / 105.0)


# --- the answer -----------------------------------------------------------------------------------


def answered(monkeypatch: pytest.MonkeyPatch, *ways: Any) -> SwapAnswer:
    """A swap of lime where the solver comes back with these ways, in this order."""
    monkeypatch.setattr(
        swap_module, "_rebuilt", lambda *_: [SimpleNamespace(parts=w) for w in ways]
    )

    def made(_: Any, __: Any, one: Any, ___: Any) -> Any:
        if one is None:
            raise CompositionError("no glaze", hint="")
        return one

    monkeypatch.setattr(swap_module, "_way", made)
    return swap(LIB, recipe((70.0, QUARTZ), (30.0, LIME)), LIME, [OTHER])


def of(amount: float) -> Recipe:
    return recipe((100.0 - amount, QUARTZ), (amount, OTHER))


def test_the_simplest_that_is_the_same_is_first(monkeypatch: pytest.MonkeyPatch) -> None:
    """The solver gives the simplest first: of the same glazes it stays so, others come after, the
    nearest first; three are told, and none twice."""
    far = way(0.5, recipe=of(10.0), unity_differs={"CaO": 0.5})
    near = way(0.5, recipe=of(20.0), unity_differs={"CaO": 0.1})
    first = way(0.1, recipe=of(30.0), unity_differs={"CaO": 0.4})
    second = way(0.0, recipe=of(40.0), unity_differs={"CaO": 0.01})
    again = way(0.0, recipe=of(30.04), unity_differs={})
    found = answered(monkeypatch, far, None, near, first, again, second)
    assert found.ways == (first, second, near)
    assert found.yes and found.sentence.startswith("Yes: other can stand in for lime")
    assert not answered(monkeypatch, far, near).yes
    assert answered(monkeypatch, far, near).ways == (near, far)
    outside = answered(monkeypatch, replace(first, outside=True))
    assert not outside.yes and outside.sentence.startswith("No, outside the data")
    with pytest.raises(CompositionError, match="lime"):
        answered(monkeypatch, None)


def test_what_is_asked_of_the_materials(monkeypatch: pytest.MonkeyPatch) -> None:
    """Half a gram is enough to be swapped; what it has already is no candidate, three new ones may
    come in."""
    asked: list[Any] = []

    def rebuilt(glazes: Any, glaze: Any, now: Any, gone: Any, have: Any, most_new: int) -> Any:
        asked.extend([[m.id for m in glazes.materials], now.tolist(), gone, have, most_new])
        return []

    monkeypatch.setattr(swap_module, "_rebuilt", rebuilt)
    glaze = recipe((70.0, QUARTZ), (0.5, LIME))
    with pytest.raises(CompositionError):
        swap(LIB, glaze, LIME, [replace(QUARTZ, source="another shelf"), OTHER])
    assert asked == [["quartz", "lime", "other"], [70.0, 0.5, 0.0], LIME, {"quartz", "lime"}, 3]


def test_what_it_holds_none_of_is_refused() -> None:
    glaze = recipe((70.0, QUARTZ), (30.0, LIME), (0.0, OTHER))
    with pytest.raises(CompositionError, match="holds no"):
        swap(LIB, glaze, OTHER, [])


def test_the_sentence() -> None:
    assert _sentence(LIME, way(0.104, -4.6)) == (
        "Yes: other can stand in for lime (expansion +0.10e-6/K, melting -5 °C).")  # fmt: skip
    assert _sentence(LIME, way(0.1, new=())).startswith(
        "Yes: the recipe's own materials can stand in for lime")  # fmt: skip
    assert _sentence(LIME, way(0.4, 3.0, unity_differs={"CaO": -0.021, "SiO2": 0.3})) == (
        "No: the nearest, with other, is another glaze (expansion +0.40e-6/K, melting +3 °C; unity "
        "CaO -0.02, SiO2 +0.30).")  # fmt: skip
    # a colour that is lost is told though its moles are few
    assert _sentence(LIME, way(lost=("CoO", "CuO"), unity_differs={"CuO": -0.012})).endswith(
        "unity CuO -0.01, CoO).")  # fmt: skip
    # two materials of one name go by their ids
    twin = replace(OTHER, names=("lime",))
    assert "other can stand in for lime (" in _sentence(LIME, way(new=(twin,)))
    other = replace(LIME, id="lime-2")
    assert "other can stand in for lime-2 (" in _sentence(other, way(new=(twin,)))


def test_all_recipes_have_to_stay_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    def answers(*yes: bool, failed: int = 0) -> bool:
        some: Any = tuple(SimpleNamespace(yes=one) for one in yes)
        return SwapAnswers(LIME, some, (NOTHING,) * failed).yes

    assert answers(True, True) and not answers(True, False)
    assert not answers(True, failed=1) and not answers()

    def one(_: Any, glaze: Recipe, *__: Any) -> Any:
        if glaze.name == "bad":
            raise CompositionError("no way", hint="")
        return SimpleNamespace(yes=True, recipe=glaze)

    monkeypatch.setattr(swap_module, "swap", one)
    good, bad = (replace(recipe((1.0, LIME)), name=name) for name in ("good", "bad"))
    both = swap_all(LIB, [good, bad], LIME, [])
    assert [a.recipe.name for a in both.recipes] == ["good"]
    assert [(f.name, f.why) for f in both.failed] == [("bad", "no way")]
    with pytest.raises(CompositionError):
        swap_all(LIB, [bad], LIME, [])


def test_who_holds_a_material() -> None:
    """Some of it, in base or on top; the first of two files of one name, and none of a recipe that
    only names it."""
    files = {
        "a/one.toml": recipe((70.0, QUARTZ), (30.0, LIME)),
        "b/one.toml": recipe((100.0, QUARTZ)),
        "b/two.toml": recipe((100.0, QUARTZ), added=((1.0, LIME),)),
        "b/three.toml": recipe((100.0, QUARTZ), (0.0, LIME)),
    }
    library: Any = SimpleNamespace(
        files=lambda _: [(Path(name), True) for name in files], recipe=lambda path: files[str(path)]
    )
    assert holding(library, LIME) == [files["a/one.toml"], files["b/two.toml"]]
    with pytest.raises(CompositionError):
        holding(library, OTHER)
