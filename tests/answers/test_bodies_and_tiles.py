"""Clay curves, shapes, and tiles read backwards."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from cofire.answers.fit import fit, rank
from cofire.answers.tile import Tile, read_tiles
from cofire.errors import CofireError
from cofire.files.library import Library
from cofire.fit.stress import grown, stepped_strain
from cofire.model.body_draws import draw_body
from cofire.model.conditions import Conditions
from cofire.read.coat import read_coat

LIB = Library()
RAKU = Conditions(LIB.body("raku"))
BODY = """
name = "test clay"
source = "test"
[expansion]
{expansion}
[stiffness]
youngs_modulus_gpa = [15, 20]
poisson = [0.18, 0.20]
"""


def body(cofire, expansion: str):  # type: ignore[no-untyped-def]
    return LIB.body(cofire.write("clay.toml", BODY.format(expansion=expansion)))


def test_steps_of_silica_stand_where_they_should() -> None:
    """Quartz steps at 573 °C, cristobalite at 220 to 270 °C; the mean to 500 °C stays."""
    t = np.array([20.0, 150.0, 226.0, 300.0, 500.0, 560.0, 590.0])
    strain = stepped_strain(t, np.full(7, 7.0), 500.0, np.full(7, 1e-3), np.full(7, 8e-4))
    assert strain[0] == pytest.approx(0.0, abs=1e-8)
    assert strain[4] == pytest.approx(7e-6 * 480.0, rel=1e-3)
    # cristobalite takes 1e-3 out of the straight part, which is steeper around 226 °C
    assert strain[3] - strain[1] > 1e-3
    assert strain[6] - strain[5] > 8e-4
    plain = stepped_strain(t, np.full(7, 7.0), 500.0, np.zeros(7), np.zeros(7))
    assert plain == pytest.approx(7e-6 * (t - 20.0), abs=1e-9)


@pytest.mark.parametrize(
    ("header", "unit"),
    [
        ("temperature (C),dL/L0 (%)", 1e-2),
        ("Temp (C),dL/L0 (ppm)", 1e-6),
        ("T (C),strain (mm/m)", 1e-3),
    ],
)
def test_a_dilatometers_curve_is_taken_as_measured(cofire, header: str, unit: float) -> None:  # type: ignore[no-untyped-def]
    rows = [f"{t},{6.3e-6 * (t - 25) / unit:.9g}" for t in range(25, 651, 25)]
    cofire.write("clay.csv", "\n".join([header, *rows]))
    read = body(cofire, 'curve = "clay.csv"\ncurve_error_percent = 0')
    strain = draw_body(read).some(3).strain(np.array([100.0, 500.0, 640.0]))
    assert strain == pytest.approx(6.3e-6 * np.array([80.0, 480.0, 620.0]), rel=1e-6)


def test_fahrenheit_is_read_as_such(cofire) -> None:  # type: ignore[no-untyped-def]
    rows = [f"{1.8 * t + 32:.1f},{6.3e-4 * (t - 20):.9g}" for t in range(20, 651, 30)]
    cofire.write("clay.csv", "\n".join(["temperature (F),dL/L0 (%)", *rows]))
    read = body(cofire, 'curve = "clay.csv"\ncurve_error_percent = 0')
    assert draw_body(read).some(1).alpha_to(np.array([500.0]))[0] == pytest.approx(6.3, rel=1e-3)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (
            "temperature (C),dL/L0 (ppm)\n20,0\n100,0.05\n300,0.17\n500,0.30\n600,0.36\n",
            "impossible for clay",
        ),
        (
            "temperature (C),dL/L0 (%)\n20,0\n100,0.05\n90,0.17\n500,0.30\n600,0.36\n",
            "falls or stays",
        ),
        ("temperature (C),dL/L0 (%)\n20,0\n100,0.05\n200,0.1\n250,0.13\n300,0.17\n", "450 °C"),
        ("temperature,dL/L0 (%)\n20,0\n100,0.05\n300,0.1\n400,0.2\n500,0.30\n", "°C or °F"),
        ("temperature (C),dL/L0\n20,0\n100,0.05\n300,0.1\n400,0.2\n500,0.30\n", "unit"),
        ("temperature (C),dL/L0 (%)\n20,0\n100,x\n300,0.1\n400,0.2\n500,0.30\n", "not a number"),
        ("temperature (C),dL/L0 (%)\n20,0\n100,0.05\n300,nan\n400,0.2\n500,0.30\n", "not a number"),
        (
            "temperature (C),dL/L0 (%)\n20,0\n100,0.05\n300,1.9\n400,0.2\n500,0.3\n",
            "impossible for clay",
        ),
        (
            "temperature (C),dL/L0 (%)\n20,0\n23,0\n60,0.02\n90,0.04\n600,0.36\n",
            "no readings between",
        ),
    ],
)
def test_curves_that_cannot_be_true(cofire, text: str, said: str) -> None:  # type: ignore[no-untyped-def]
    cofire.write("clay.csv", text)
    with pytest.raises(CofireError) as error:
        body(cofire, 'curve = "clay.csv"')
    assert said in f"{error.value.message} {error.value.hint}"
    assert "clay.csv" in str(error.value.place)


def test_quartz_in_the_body_cures_crazing(cofire) -> None:  # type: ignore[no-untyped-def]
    """Free silica in the body puts the glaze into compression (any text on glaze fit)."""
    plain = "low = 6.0\nhigh = 6.2\nrange_c = [20, 500]"
    day, glaze = LIB.firing("raku-workshop"), LIB.recipe("clear-crackle")
    without, quartz = (
        fit(LIB, glaze, Conditions(body(cofire, plain + more), day))
        for more in ("", "\nquartz_step_percent = [0.09, 0.12]")
    )
    assert quartz.stress_mpa.value < without.stress_mpa.value - 20.0


def test_a_bending_tile_and_both_sides_carry_less(cofire) -> None:  # type: ignore[no-untyped-def]
    glaze, body = LIB.recipe("clear-crackle"), LIB.body("yard-raku")
    pot, both, tile = (
        fit(LIB, glaze, Conditions(body, shape=shape)).stress_mpa.value
        for shape in ("pot", "both-sides", "tile")
    )
    assert both < pot
    assert tile < pot


def test_tension_builds_on_the_way_down() -> None:
    fitted = fit(LIB, LIB.recipe("clear-crackle"), Conditions(LIB.body("yard-raku")))
    way = fitted.way_down
    assert way is not None
    set_by_all = (
        way.temperature_c < fitted.set_c.low
    )  # hotter, some are still soft and pull nothing
    assert set_by_all.sum() > 20
    assert (np.diff(way.stress_mpa[set_by_all]) < 0.0).all()  # rising temperature, falling tension
    assert way.stress_mpa[-1] == pytest.approx(0.0, abs=12.0)


def test_the_ranking_puts_the_crackle_on_top_and_agrees_with_fit() -> None:
    names = ["frit-gloss", "clear-crackle", "true-matte"]
    at = Conditions(LIB.body("yard-raku"))
    ranked = rank([LIB.recipe(n) for n in names], at)
    assert ranked[0].recipe.id == "clear-crackle"
    for one in ranked:
        assert one.odds.crazes_at_once == fit(LIB, one.recipe, at).odds.crazes_at_once


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
    body, day = LIB.body("yard-raku"), LIB.firing("raku-workshop")
    tiles = []
    for name in ("clear-crackle", "white-crackle", "turquoise-crackle"):
        flawed = Conditions(replace(body, flaws_per_mm=flaws), day)
        fitted = fit(LIB, LIB.recipe(name), flawed)
        assert fitted.crackle_mm is not None
        tiles.append(tile(name, "crazed", fitted.crackle_mm.value))
    found = read_tiles(tiles, Conditions(body, day)).flaws_per_mm
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


def test_noise_at_the_ends_does_not_decide(cofire) -> None:  # type: ignore[no-untyped-def]
    """A logger every half degree with 0.002 % of noise: the same clay as without."""
    rng = np.random.default_rng(1)
    t = np.arange(25.0, 470.0, 0.5)
    noisy = 6.1e-4 * (t - 20.0) + 0.002 * rng.standard_normal(len(t))
    rows = [f"{a:.1f},{b:.5f}" for a, b in zip(t, noisy, strict=True)]
    cofire.write("clay.csv", "\n".join(["temperature (C),dL/L0 (%)", *rows]))
    read = body(cofire, 'curve = "clay.csv"\ncurve_error_percent = 0')
    for t_c in (460.0, 560.0):
        alpha = draw_body(read).some(1).alpha_to(np.array([t_c]))[0]
        assert alpha == pytest.approx(6.1, abs=0.3)


def test_cristobalite_can_craze_on_the_way_down(cofire) -> None:  # type: ignore[no-untyped-def]
    """A body whose step comes at 226 °C pulls its glaze apart above it, though at room temperature
    the two fit: the verdict looks at the worst of the way."""
    expansion = "low = 6.9\nhigh = 7.1\nrange_c = [20, 546]"
    glaze = LIB.recipe("frit-gloss")
    plain, stepped = (
        fit(LIB, glaze, Conditions(body(cofire, expansion + more)))
        for more in ("", "\ncristobalite_step_percent = [0.14, 0.18]")
    )
    assert stepped.stress_mpa.value == pytest.approx(
        plain.stress_mpa.value, abs=4.0
    )  # it sets near 546 °C
    assert stepped.odds.crazes_at_once > plain.odds.crazes_at_once + 0.3


def test_steps_larger_than_the_clay_are_refused(cofire) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(CofireError, match="more than this clay grows"):
        body(
            cofire, "low = 5\nhigh = 6\nrange_c = [20, 500]\ncristobalite_step_percent = [0.5, 0.9]"
        )


def test_a_whole_gloss_sets_no_upper_limit_and_the_file_does() -> None:
    found = read_tiles([tile("frit-gloss", "whole")], RAKU)
    assert found.open_above
    assert found.tiles_and_file_agree
    both, file = found.alpha_body_together, found.alpha_body_in_file
    assert both.high - both.low <= file.high - file.low + 0.2


def test_tiles_that_contradict_a_measured_clay_are_said_to() -> None:
    at = Conditions(LIB.body("yard-raku"), LIB.firing("raku-workshop"))
    assert not read_tiles([tile("frit-gloss", "crazed", 4.0)], at).tiles_and_file_agree


def test_porous_clay_crazes_its_glaze_with_the_years() -> None:
    """Moisture expansion grows as the fourth root of time (Wilson et al. 2003): a tenth of a year
    brings 0.32 of what ten years do; porcelain, which takes up no water, does not age."""
    aging = fit(LIB, LIB.recipe("frit-gloss"), RAKU).crazed_with_the_years
    odds = [share for _, share in aging]
    assert odds == sorted(odds)
    assert odds[-1] > odds[0] + 0.1
    dense = fit(
        LIB, LIB.recipe("frit-gloss"), Conditions(LIB.body("porcelain"))
    ).crazed_with_the_years
    assert dense[0][1] == dense[-1][1]


def test_the_fourth_root() -> None:
    assert grown(np.array(1e-3), 0.1) == pytest.approx(1e-3 * 0.01**0.25)
    assert grown(np.array(1e-3), 10.0) == pytest.approx(1e-3)


@pytest.mark.parametrize(
    ("expansion", "stiffness", "said"),
    [
        ("low = 5\nhigh = 6\nrange_c = [20, 21]", "poisson = [0.2, 0.2]", "is of no use"),
        ("low = 0.01\nhigh = 6\nrange_c = [20, 500]", "poisson = [0.2, 0.2]", "no clay body has"),
        ("low = 5\nhigh = 6\nrange_c = [20, 500]", "poisson = [15, 22]", "share from 0"),
    ],
)
def test_numbers_in_the_wrong_unit(cofire, expansion: str, stiffness: str, said: str) -> None:  # type: ignore[no-untyped-def]
    text = (
        f'name = "x"\nsource = "test"\n[expansion]\n{expansion}\n[stiffness]\n'
        f"youngs_modulus_gpa = [8, 20]\n{stiffness}\n"
    )
    with pytest.raises(CofireError, match=said):
        LIB.body(str(cofire.write("clay.toml", text)))


def test_a_tile_that_says_nothing_moves_nothing() -> None:
    """A gloss that any clay would leave whole: the file's middle stays, and so do the flaws."""
    body = LIB.body("talc-earthenware")
    found = read_tiles([tile("frit-gloss", "whole")], Conditions(body))
    middle = 0.5 * (body.alpha_1e6_per_k[0] + body.alpha_1e6_per_k[1])
    assert found.alpha_body_together.value == pytest.approx(middle, abs=0.15)


def test_a_measured_curve_keeps_its_shape_when_tiles_are_read(cofire) -> None:  # type: ignore[no-untyped-def]
    rows = [f"{t},{0.0006 * (t - 20) + (0.15 if t > 226 else 0):.4f}" for t in range(20, 701, 4)]
    cofire.write("clay.csv", "\n".join(["temperature (C),dL/L0 (%)", *rows]))
    draws = draw_body(body(cofire, 'curve = "clay.csv"')).some(5)
    same = draws.with_alpha(1e4 * (0.0006 * 480 + 0.15) / 480.0)
    for t_c in (200.0, 300.0, 500.0):
        strain = same.strain(np.full(5, t_c))[0]
        assert strain == pytest.approx(0.01 * (0.0006 * (t_c - 20) + 0.15 * (t_c > 226)), rel=0.02)
