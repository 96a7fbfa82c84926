"""Maps of a family: every point is what asking for that glaze alone would say."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from cofire.answers.fit import fit
from cofire.answers.formula import formula
from cofire.answers.map.axes import plane
from cofire.answers.map.family_map import DRAWS, SHOWN, family_map
from cofire.answers.map.results import MapAnswer
from cofire.chem.composition import unity
from cofire.chem.oxides import FLUXES, INDEX
from cofire.errors import CofireError
from cofire.files.library import Library
from cofire.model.analysis import analyse
from cofire.model.conditions import Conditions
from cofire.model.evaluation import evaluate, evaluate_recipe
from cofire.model.glaze_set import glaze_set
from cofire.model.standard_draws import N
from cofire.records import Recipe

LIB = Library.open(None)
GLOSS, CRACKLE = LIB.recipe("frit-gloss"), LIB.recipe("clear-crackle")
DAY = LIB.firing("raku-workshop")
YARD, FIRED = Conditions(LIB.body("yard-raku")), Conditions(firing=DAY)
BOTH, NOTHING = Conditions(LIB.body("yard-raku"), DAY), Conditions()


def drawn_map(
    recipe: Recipe,
    across: str = "silica",
    up: str = "kaolin",
    at: Conditions = NOTHING,
    show: str | None = None,
) -> MapAnswer:
    return family_map(LIB, recipe, (across, up), at, show)


def read(cofire, base: str, more: str = "", surface: str = "gloss") -> Recipe:  # type: ignore[no-untyped-def]
    text = f'name = "Yard map"\nsurface = "{surface}"\n[base]\n{base}\n[additions]\n{more}\n'
    return Library().recipe(cofire.write("yard-map.toml", text))


BASE = "frit-3195-type = {frit}\nfrit-3110-type = {other}\nsilica = {silica}\nkaolin = {kaolin}"


def test_a_point_of_the_map_is_the_recipe_written_out(cofire) -> None:  # type: ignore[no-untyped-def]
    """Silica 30, kaolin 10; the frits keep 3 : 1 and fill the other 60; the tin stays on top."""
    start = read(cofire, BASE.format(frit=60, other=20, silica=8, kaolin=12), "tin-oxide = 3\n")
    drawn = drawn_map(start, across="silica 10-50", up="kaolin 0-20", show="expansion")
    j, i = int(np.argmin(np.abs(drawn.y - 10.0))), int(np.argmin(np.abs(drawn.x - 30.0)))
    assert (drawn.x[i], drawn.y[j]) == (30.0, 10.0)
    written = read(cofire, BASE.format(frit=45, other=15, silica=30, kaolin=10), "tin-oxide = 3\n")
    said = formula(LIB, written)
    assert drawn.values[j, i] == pytest.approx(said.expansion.value, abs=2e-3)
    parts = dict(drawn.own.parts)
    assert sum(parts.values()) == pytest.approx(103.0)


@pytest.mark.parametrize("recipe", ["frit-gloss", "satin-white", "white-crackle", "true-matte"])
@pytest.mark.parametrize("axes", [("silica", "kaolin"), ("SiO2", "Al2O3"), ("CaO", "B2O3")])
def test_the_recipes_own_place_has_its_own_value(
    recipe: str, axes: tuple[str, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Also where some of it stays as grains, and where lumps of oxides stand for materials."""
    for points in ("FINE", "COARSE"):  # the rest of the map tells nothing here
        monkeypatch.setattr(f"cofire.answers.map.family_map.{points}", 2)
    glaze = LIB.recipe(recipe)
    drawn, middle = evaluate_recipe(glaze, BOTH), evaluate_recipe(glaze, NOTHING)
    for key in ("stress", "right", "ripe", "runs", "crazes", "shivers", "run-margin"):
        found = drawn_map(glaze, *axes, BOTH, key)
        assert found.own.value == float(SHOWN[key].read(drawn)[0]), key
    for key in ("expansion", "liquidus"):
        found = drawn_map(glaze, *axes, BOTH, key)
        assert found.own.value == pytest.approx(float(SHOWN[key].read(middle)[0]), abs=1e-9), key
    # and on the way there nothing was lost: the place among its neighbours has the same middle
    laid = plane(LIB, glaze, *axes)
    own = laid.parts(np.array([laid.across.own]), np.array([laid.up.own]))
    beside = evaluate(laid.glazes, own, BOTH)[0]
    recipe_glazes, parts = glaze_set(glaze)
    alone = evaluate(recipe_glazes, parts[None, :], BOTH)[0]
    for key, near in (
        ("expansion", 1e-3), ("stress", 0.01), ("ripe-margin", 2e-3), ("run-margin", 2e-3),
        ("liquidus", 0.05),
    ):  # fmt: skip
        wanted = float(SHOWN[key].read(alone)[0])
        assert SHOWN[key].read(beside)[0] == pytest.approx(wanted, abs=near), key


def test_odds_of_a_point_are_those_of_the_same_draws_of_it_alone() -> None:
    drawn = drawn_map(GLOSS, at=BOTH, show="right")
    laid = plane(LIB, GLOSS, "silica", "kaolin")
    for j, i in ((3, 4), (10, 10), (17, 20)):
        one = evaluate(laid.glazes, laid.parts(drawn.x[[i]], drawn.y[[j]]), BOTH, DRAWS)[0]
        assert drawn.values[j, i] == float(one.odds_right[0])


@pytest.mark.parametrize(("recipe", "show"), [("frit-gloss", "sits"), ("clear-crackle", "fits")])
def test_odds_of_the_recipe_are_those_of_fit(recipe: str, show: str) -> None:
    glaze = LIB.recipe(recipe)
    said = fit(LIB, glaze, YARD).odds_wanted
    assert drawn_map(glaze, at=YARD, show=show).own.value == said


def test_sits_is_asked_of_a_crackle_too() -> None:
    on_raku = Conditions(LIB.body("raku"))
    sits, fits = (drawn_map(CRACKLE, at=on_raku, show=key).own.value for key in ("sits", "fits"))
    assert sits < 0.05 < 0.9 < fits


def test_silica_lowers_the_expansion_and_flux_ripens_sooner() -> None:
    """Facts of the trade."""
    lower = drawn_map(GLOSS, across="silica 0-40", up="kaolin 0-20", show="expansion")
    assert (np.diff(lower.values, axis=1) < 0.0).all()
    riper = drawn_map(
        GLOSS, across="lithium carbonate 0-6", up="silica 0-30", show="ripe-margin", at=FIRED
    )
    assert (np.diff(riper.values, axis=1) > 0.0).all()
    assert (np.diff(riper.values, axis=0) < 0.0).all()
    over = drawn_map(GLOSS, across="SiO2 2-5", up="Al2O3 0.2-0.8", show="run-margin",
                      at=FIRED)  # fmt: skip
    assert (np.diff(over.values, axis=1) > 0.0).all()  # stiffer, so it runs later


def test_oxide_axes_are_moles_of_the_unity_formula() -> None:
    start = unity(analyse(GLOSS).mol)
    laid = plane(LIB, GLOSS, "CaO 0.1-0.6", "SiO2 2-5")
    mol = unity(laid.glazes.mol(laid.parts(np.array([0.2, 0.5]), np.array([2.5, 4.5]))))
    assert mol[:, INDEX["CaO"]] == pytest.approx([0.2, 0.5])
    assert mol[:, INDEX["SiO2"]] == pytest.approx([2.5, 4.5])
    assert mol[:, INDEX["Al2O3"]] == pytest.approx(start[INDEX["Al2O3"]])
    others = [INDEX[o] for o in FLUXES if o != "CaO" and start[INDEX[o]] > 1e-6]
    shares = mol[:, others] / mol[:, others].sum(axis=1, keepdims=True)
    assert shares == pytest.approx(np.tile(start[others] / start[others].sum(), (2, 1)))


def test_a_locked_batch_stays_locked_on_oxide_axes() -> None:
    """The shipwreck has almost nothing that melts in a raku firing, however soft its glass."""
    glaze = LIB.recipe("does-not-work")
    for axes in (("SiO2", "Al2O3"), ("silica", "kaolin")):
        drawn = drawn_map(glaze, across=axes[0], up=axes[1], show="ripe", at=FIRED)
        assert drawn.own.value == 0.0


def test_lumps_of_oxides_melt_as_the_recipe_does() -> None:
    laid = plane(LIB, GLOSS, "SiO2", "Al2O3")
    lumps = laid.glazes.batch(laid.parts(np.array([2.5, 3.5]), np.array([0.3, 0.4])))
    glazes, own = glaze_set(GLOSS)
    t_c = np.arange(600.0, 1200.0, 50.0)
    one = glazes.batch(own[None]).grains(t_c).solid
    assert np.array_equal(lumps.grains(t_c).solid, np.repeat(one, 2, axis=1))


def test_what_cannot_be_is_left_empty() -> None:
    drawn = drawn_map(CRACKLE, across="silica 0-80", up="kaolin 0-80", show="expansion")
    total = drawn.x[None, :] + drawn.y[:, None]
    assert np.array_equal(drawn.room < 0.0, total > 100.0 + 1e-9)
    assert np.isnan(drawn.values[total > 100.0 + 1e-9]).all()
    assert np.isfinite(drawn.values[total < 99.9]).all()


def test_solids_that_lock_a_glaze_leave_only_their_places_empty(cofire) -> None:  # type: ignore[no-untyped-def]
    text = (
        'name = "Much"\nsurface = "gloss"\nundissolved = {{ zircon = 100 }}\n[base]\n'
        "frit-3195-type = {frit}\nkaolin = 10\nzircon = {zircon}\n"
    )
    glaze = Library().recipe(cofire.write("much.toml", text.format(frit=80, zircon=10)))
    drawn = drawn_map(glaze, across="zircon 0-90", up="kaolin 0-20", show="expansion")
    row = drawn.values[int(np.argmin(np.abs(drawn.y - 10.0)))]
    last = int(np.isfinite(row).sum()) - 1
    assert 0 < last < len(row) - 1
    assert np.isfinite(row[: last + 1]).all()
    for k, fine in ((last, True), (last + 1, False)):
        zircon = float(drawn.x[k])
        alone = Library().recipe(
            cofire.write("alone.toml", text.format(frit=90.0 - zircon, zircon=zircon))
        )
        if fine:
            fired = formula(LIB, alone).as_fired
            assert fired is not None
            assert row[k] == pytest.approx(fired.expansion.value, abs=0.01)
        else:
            with pytest.raises(CofireError, match=r"too many solids to flow|too little"):
                formula(LIB, alone)


def test_places_that_no_measured_glass_is_like_are_marked() -> None:
    drawn = drawn_map(GLOSS, across="+ copper carbonate 0-90", up="kaolin 0-20")
    assert drawn.outside_the_data[:, -1].all() and not drawn.outside_the_data[:, 0].any()


def test_the_nearest_good_place_is_good_and_none_is_nearer() -> None:
    laid = plane(LIB, CRACKLE, "silica 0-50", "kaolin 0-30")
    asked = replace(laid.glazes, recipe=replace(laid.glazes.recipe, surface="gloss"))

    def with_all_draws(x: float, y: float) -> float:
        parts = laid.parts(np.array([x]), np.array([y]))
        return float(evaluate(asked, parts, YARD, N)[0].odds_fits[0])

    far = drawn_map(CRACKLE, across="silica 0-50", up="kaolin 0-30", show="sits", at=YARD)
    assert far.nearest is not None and far.best is not None
    assert far.own.value < 0.8 <= far.nearest.value <= far.best.value
    # the surest of the map, told with all draws
    j, i = (int(np.argmin(np.abs(a - v))) for a, v in ((far.y, far.best.y), (far.x, far.best.x)))
    assert far.values[j, i] == np.nanmax(far.values)
    assert far.best.value == pytest.approx(with_all_draws(far.best.x, far.best.y), abs=1e-9)
    away = np.hypot((far.x[None, :] - far.own.x) / 50.0, (far.y[:, None] - far.own.y) / 30.0)
    mine = np.hypot((far.nearest.x - far.own.x) / 50.0, (far.nearest.y - far.own.y) / 30.0)
    assert far.nearest.value == with_all_draws(far.nearest.x, far.nearest.y)
    # what looks good enough nearer by is not, with all draws
    seemed = (far.values >= 0.8) & ~far.outside_the_data & (away < mine - 1e-9)
    for j, i in np.argwhere(seemed):
        assert with_all_draws(far.x[i], far.y[j]) < 0.8
    assert seemed.sum() < 6
    white = Conditions(LIB.body("white-earthenware"), odds=0.7)
    sure = drawn_map(LIB.recipe("earthenware-gloss"), show="sits", at=white)
    assert sure.own.value >= 0.7 and sure.nearest is None  # it need not go anywhere


def test_lines_carry_the_value_they_name() -> None:
    drawn = drawn_map(GLOSS, across="silica 0-40", up="kaolin 0-20", show="expansion")
    assert drawn.levels
    for level in drawn.levels:
        line = max(drawn.lines(level), key=len)
        x, y = line[len(line) // 2]
        assert value_at(drawn, float(x), float(y)) == pytest.approx(level, abs=0.01)


def value_at(drawn: MapAnswer, x: float, y: float) -> float:
    laid = plane(LIB, drawn.recipe, "silica", "kaolin")
    seen = evaluate(laid.glazes, laid.parts(np.array([x]), np.array([y])), NOTHING)[0]
    return float(seen.expansion_1e6_per_k[0])


@pytest.mark.parametrize(
    ("across", "up", "said"),
    [
        ("silica", "flint", "both axes"),
        ("silica", "Al2O3", "two of one kind"),
        ("SiO2", "SiO2", "both axes"),
        ("silica 40-10", "kaolin", "less to more"),
        ("silica 10", "kaolin", "range"),
        ("silica 10-140", "kaolin", "the most is 100"),
        ("CaO 0.2-1.4", "SiO2", "the most is 1"),
        ("slica 10-20", "kaolin", "silica"),
        ("unobtainium 1-5", "kaolin", "there is no material"),
    ],
)
def test_unreadable_axes_are_refused_in_words(across: str, up: str, said: str) -> None:
    with pytest.raises(CofireError) as error:
        drawn_map(GLOSS, across=across, up=up)
    assert said in f"{error.value.message} {error.value.hint}"
    assert error.value.hint


def test_nothing_left_to_fill_up_is_said(cofire) -> None:  # type: ignore[no-untyped-def]
    glaze = read(cofire, "frit-3195-type = 90\nkaolin = 10")
    with pytest.raises(CofireError, match="no other material can fill up"):
        drawn_map(glaze, across="frit-3195-type", up="kaolin")


@pytest.mark.parametrize("key", [k for k, v in SHOWN.items() if v.needs] + ["right"])
def test_what_needs_a_body_or_a_firing_says_so(key: str) -> None:
    with pytest.raises(CofireError) as error:
        drawn_map(GLOSS, show=key)
    assert "--body" in error.value.hint or "--firing" in error.value.hint
