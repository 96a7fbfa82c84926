"""Pulled ware: the facts that raku potters know have to come out of the mechanics."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from cofire.answers.fit import fit
from cofire.answers.results.fit import FitAnswer
from cofire.files.library import Library
from cofire.firing import wall
from cofire.fit.crackle import FLAWS_PER_MM
from cofire.glass import published
from cofire.model import cooling, smoke
from cofire.model.analysis import analyse
from cofire.model.body_draws import FLAWS_SPREAD, draw_body
from cofire.model.conditions import Conditions
from cofire.model.cooling_stress import stress_of
from cofire.model.crackle import CrackPattern
from cofire.model.fit import fit_draws
from cofire.model.outcome import draw_recipe
from cofire.model.smoke import gradient_factor
from cofire.read.coat import Coat
from cofire.read.cooling import read_cooling

LIB = Library.open(None)
RAKU, DAY = LIB.body("raku"), LIB.firing("raku-workshop")
PULLED = Conditions(RAKU, DAY)


def handled(how: str, **more) -> Conditions:  # type: ignore[no-untyped-def]
    return Conditions(RAKU, DAY, cooling_asked=read_cooling(how), **more)


def crackle(cooling_asked: str, name: str = "clear-crackle", wall_mm: float = 8.0) -> FitAnswer:
    return fit(LIB, LIB.recipe(name), handled(cooling_asked, wall_mm=wall_mm))


def middle(net: CrackPattern) -> float:
    assert net.spacing_mm is not None
    return net.spacing_mm.value


@pytest.mark.parametrize("name", ["clear-crackle", "white-crackle", "turquoise-crackle"])
def test_held_in_air_the_black_crackle_is_larger(name: str) -> None:
    """Common practice: some minutes in air, then half an hour in paper, for a large crackle."""
    _, at_once, _ = crackle("5 s air, 30 min bin", name).nets
    _, held, _ = crackle("2 min air, 30 min bin", name).nets
    assert held.odds > 0.3
    assert middle(held) > 1.2 * middle(at_once)


@pytest.mark.parametrize("name", ["clear-crackle", "white-crackle", "turquoise-crackle"])
def test_binned_within_seconds_it_still_crackles_black(name: str) -> None:
    """Common practice: copper-blue crackles go into the bin within seconds and still crackle."""
    in_air, black, _ = crackle("5 s air, 30 min bin", name).nets
    assert in_air.odds < 0.02  # it is still soft when the lid closes
    assert black.odds > 0.9


def test_a_quench_shatters_it_finer() -> None:
    """Common practice: quenching shatters the crackle finer, the more the hotter it goes in."""
    nets = [
        middle(crackle(f"20 s air, {how}").nets[2])
        for how in ("10 min bin, water", "20 min bin, water", "20 min bin")
    ]
    assert nets[0] < nets[1] < nets[2]
    blacks = [middle(crackle(f"20 s air, 20 min bin{w}").nets[1]) for w in ("", ", water")]
    assert blacks[0] == pytest.approx(blacks[1])  # by then the smoke is over


def test_moist_air_works_on_what_stays_and_not_on_a_quench() -> None:
    dry, wet = (
        fit(LIB, LIB.recipe("frit-gloss"), handled(f"20 s air, 30 min bin{w}"))
        for w in ("", ", water")
    )
    assert wet.odds.crazes_at_once > dry.odds.crazes_at_once + 0.1
    later = [f.odds.crazes_within_months - f.odds.crazes_at_once for f in (wet, dry)]
    assert later[0] <= later[1] + 0.02
    assert "on its way it is pulled" in wet.sentence
    assert wet.most_on_the_way_mpa.value > wet.stress_mpa.value + 15.0


def test_tables_stand_where_their_expansion_would_put_the_glaze() -> None:
    """A table whose number is higher stands towards crazing, also on tempered ware."""
    glaze = LIB.recipe("frit-gloss")
    thick = Conditions(LIB.body("porcelain"), wall_mm=60.0, cooling_asked=read_cooling("1 h air"))
    strip = fit(LIB, glaze, thick).strip_mpa
    mol = analyse(glaze).mol[None, :]
    known = {t.name: float(published.expansion(mol, t)[0]) for t in published.tables()}
    by_alpha = sorted(strip.published_tables.items(), key=lambda pair: known[pair[0]])
    assert len(by_alpha) > 1
    assert [mpa for _, mpa in by_alpha] == sorted(mpa for _, mpa in by_alpha)


def test_the_strip_says_at_which_stress_which_net_opens() -> None:
    """The marks under a strip turn round the law of spacing; coarse nets come before fine ones."""
    answer = fit(LIB, LIB.recipe("white-crackle"), PULLED)
    marks = dict(answer.strip_mpa.cracks_apart_mm)
    assert list(marks) == sorted(marks, reverse=True)
    assert list(marks.values()) == sorted(marks.values())
    assert answer.strip_mpa.crazes_at_once_from < min(marks.values())
    # the middle glaze stands among them where its own net says
    assert answer.crackle_mm is not None
    finer = [mm for mm, mpa in marks.items() if mpa < answer.most_on_the_way_mpa.value]
    assert answer.crackle_mm.low < min(finer) < answer.crackle_mm.high


def test_what_opens_after_the_smoke_stays_pale() -> None:
    _, black, whole = crackle("20 s air, 30 min bin").nets
    assert middle(whole) < middle(black)
    assert whole.odds >= black.odds


@pytest.mark.parametrize("wall_mm", [4.0, 8.0])
@pytest.mark.parametrize("then", ["air", "water"])
@pytest.mark.parametrize("air_s", [0, 5])
def test_out_of_the_bin_before_it_sets_nothing_is_black(
    air_s: int, then: str, wall_mm: float
) -> None:
    """Smoke enters cracks that are open while there is smoke: a soft coat has none, whatever air
    or water does to it later."""
    how = f"{air_s} s air, {wall_mm / 8.0} min bin, {then}"
    _, black, whole = crackle(how, wall_mm=wall_mm).nets
    assert black.odds < 0.02
    assert whole.odds > 0.9


@pytest.mark.parametrize("name", ["clear-crackle", "white-crackle", "turquoise-crackle"])
def test_quick_raku_is_black(name: str) -> None:
    """Common practice: half a minute in air and five minutes in the bin give bold lines on an
    ordinary pot, ten minutes surely."""
    quick, usual = (
        crackle(f"30 s air, {bin_min} min bin", name, wall_mm=5.0).nets[1] for bin_min in (5, 10)
    )
    assert quick.odds > 0.8
    assert usual.odds > 0.9


@pytest.mark.parametrize("way", ["air", "bin"])
def test_nets_change_smoothly_with_air_and_bin(way: str) -> None:
    """Longer in air, black nets get rarer and wider; longer in the bin, surer and finer: one way,
    without steps back (a hundredth of the odds, a twentieth of the distance)."""
    if way == "air":
        hows = [f"{t} s air, 20 min bin" for t in range(0, 241, 20)]
    else:
        hows = [f"20 s air, {t} min bin" for t in (1, 2, 3, 4, 5, 6, 8, 10, 15, 20)][::-1]
    glaze = draw_recipe(LIB.recipe("clear-crackle"), PULLED)
    nets = [fit_draws(glaze, draw_body(RAKU), handled(how)).crack_patterns[1] for how in hows]
    odds = np.array([net.odds for net in nets])
    apart = np.log([200.0 if net.spacing_mm is None else net.spacing_mm.low for net in nets])
    assert np.diff(odds).max() < 0.01
    assert np.diff(apart).min() > -0.05
    assert odds[0] > 0.9 > 0.3 > odds[-1]


def test_a_thicker_coat_has_the_coarser_nets() -> None:
    """Common practice: thick for a coarse net, though it crazes sooner."""
    glazes = [
        draw_recipe(LIB.recipe("clear-crackle"), at)
        for at in (replace(PULLED, coats=(Coat(mm, ""),)) for mm in (0.1, 0.2, 0.4, 0.8))
    ]
    fits = [fit_draws(glaze, draw_body(RAKU), PULLED) for glaze in glazes]
    for which in (1, 2):
        apart = [middle(fit.crack_patterns[which]) for fit in fits]
        assert apart == sorted(apart)
        assert apart[-1] > 1.5 * apart[0]
    assert np.mean(fits[-1].onset_mpa) < np.mean(fits[0].onset_mpa)


def test_every_spacing_knows_how_little_is_known_of_flaws() -> None:
    """Flaws that start cracks are known to a factor of e at most without tiles: no net is narrower
    than what this alone does to it, in 80 % of the cases."""
    at = PULLED
    glaze, body = draw_recipe(LIB.recipe("clear-crackle"), at), draw_body(RAKU)
    assert np.std(np.log(body.flaws_per_mm)) == pytest.approx(FLAWS_SPREAD, rel=0.05)
    known = replace(body, flaws_per_mm=np.full_like(body.flaws_per_mm, FLAWS_PER_MM))
    for which in (1, 2):
        wide, narrow = (
            fit_draws(glaze, b, at).crack_patterns[which].spacing_mm for b in (body, known)
        )
        assert wide is not None
        assert narrow is not None
        assert wide.high / wide.low > 1.5 * narrow.high / narrow.low


def test_beds_hold_heat_and_wind_and_mist_take_it() -> None:
    """Common practice: sawdust keeps a pot hot for longer than paper, burying longer still; a fan
    cools it faster than still air, a mist of water faster still."""

    def wall_c(how: str, end: int) -> float:
        path = handled(how).cooling_curve.path
        assert path is not None
        return float(path.mean_c[path.ends[end]])

    left_c = [wall_c(f"20 s air, 20 min {bed}", 1) for bed in ("bin", "sawdust", "buried")]
    assert left_c[0] + 50.0 < left_c[1] < left_c[2] - 50.0
    into_c = [wall_c(f"20 s {way}, 20 min bin", 0) for way in ("air", "fan", "spray")]
    assert into_c[0] > into_c[1] + 10.0 > into_c[2] + 20.0
    words = handled("20 s air, 5 s spray, 20 min sawdust").cooling_curve.words
    assert "20 s in air, 5 s under a spray, 20 min in sawdust" in words


def test_too_cold_for_smoke_nothing_turns_black() -> None:
    _, black, whole = crackle("30 min air, 30 min bin").nets
    assert black.odds < 0.02 < whole.odds


def test_without_a_bin_nothing_turns_black() -> None:
    assert crackle("20 s air").nets[1].odds == 0.0


def test_the_curve_says_the_same_as_asking_again() -> None:
    curve = crackle("20 s air, 30 min bin", "turquoise-crackle", 5.0).air_and_smoke
    assert curve is not None
    for air_s in (15.0, 120.0):
        handled = next(h for h in curve.air if h.smoke.air_s == air_s)
        _, black, whole = crackle(f"{air_s} s air, 30 min bin", "turquoise-crackle", 5.0).nets
        assert handled.black.odds == pytest.approx(black.odds, abs=0.04)
        assert middle(handled.black) == pytest.approx(middle(black), rel=0.15)
        assert middle(handled.whole) == pytest.approx(middle(whole), rel=0.1)


def test_air_sets_hotter_than_the_kiln() -> None:
    """Cooling faster sets hotter."""
    glaze = LIB.recipe("clear-crackle")
    air, kiln, slow = (
        fit(LIB, glaze, Conditions(RAKU, cooling_asked=read_cooling(how)))
        for how in ("30 min air", "100 C/h", "20 C/h")
    )
    assert air.set_c.value > kiln.set_c.value + 20.0
    assert kiln.set_c.value > slow.set_c.value


def test_pulled_from_a_closed_kiln_or_cooled_in_it_is_nearly_one_thing() -> None:
    """A pot buried hot is in a small closed kiln: its wall has no gradient to speak of, so the
    whole stress is what the plain balance of two expansions says."""
    at = handled("0 s air, 6 h buried")
    glaze, body = draw_recipe(LIB.recipe("clear-crackle"), at), draw_body(RAKU)
    draws = fit_draws(glaze, body, at)
    gap = 1e-6 * (draws.alpha_glaze - draws.alpha_body) * (draws.set_c - 20.0) + body.relaxation
    plain = stress_of("pot", gap, glaze, body, 6.0)
    assert np.median(draws.stress_mpa) == pytest.approx(np.median(plain), abs=5.0)


def test_air_tempers_a_coat_as_it_does_plate_glass() -> None:
    """Heat-strengthened plate glass of 6 mm leaves a weak air blast with 24 to 52 MPa of surface
    compression (EN 1863-1, ASTM C1048); still air takes about a third of that heat, and clay
    conducts less than glass: some 10 to 60 MPa less tension than from slow cooling."""
    glaze = LIB.recipe("clear-crackle")
    slow, air = (
        fit(LIB, glaze, Conditions(RAKU, cooling_asked=read_cooling(how))).stress_mpa.value
        for how in ("0 s air, 6 h bin", "60 min air")
    )
    assert 10.0 < slow - air < 60.0


def test_flaws_that_tiles_taught_move_the_net() -> None:
    few, many = (
        fit(LIB, LIB.recipe("clear-crackle"), Conditions(replace(RAKU, flaws_per_mm=f), DAY))
        for f in (0.04, 0.6)
    )
    assert few.crackle_mm is not None and many.crackle_mm is not None
    assert few.crackle_mm.value > 1.5 * many.crackle_mm.value


def test_clay_that_conducts_half_as_well_trails_twice_as_far() -> None:
    """Fourier: the same heat through a wall that conducts half as well needs twice the gradient;
    an inner face that loses all the heat of the outer leaves half of it to the wall, which loses
    nothing at its middle."""
    clay = draw_body(RAKU).some(4)
    good = replace(clay, conducts_w_m_k=np.full(4, 1.0))
    poor = replace(clay, conducts_w_m_k=np.full(4, 0.5))
    for shape in ("pot", "tile"):
        assert gradient_factor(shape, poor) == pytest.approx(2.0 * gradient_factor(shape, good))
    one_face, both = (
        gradient_factor("pot", replace(good, inside=np.full(4, inside))) for inside in (0.0, 1.0)
    )
    assert one_face == pytest.approx(2.0 * both)


def test_air_is_air_however_it_is_said() -> None:
    """Without a bin it stands in air from first to last: the same odds to the last digit."""
    answers = [crackle(how) for how in ("air", "20 s air", "3 min air", "10 h air")]
    assert len({repr((a.odds, a.stress_mpa.value, a.survival.together)) for a in answers}) == 1


@pytest.mark.parametrize("how", ["air", "20 s air, 30 min bin"])
def test_steps_of_time_do_not_move_the_odds(how: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Four times as many steps: the most a coat is pulled moves by less than 1 MPa."""

    def most_mpa(times: int) -> float:
        monkeypatch.setattr(wall, "_MOMENTS", 28 * times)
        monkeypatch.setattr(smoke, "_STEP_C", 12.0 / times)
        cooling._KNOWN.clear()
        at = handled(how)
        assert at.body_draws is not None
        found = fit_draws(draw_recipe(LIB.recipe("frit-gloss"), at), at.body_draws, at)
        return float(np.median(found.max_tension_mpa))

    coarse, fine = most_mpa(1), most_mpa(4)
    cooling._KNOWN.clear()
    assert coarse == pytest.approx(fine, abs=1.0)
