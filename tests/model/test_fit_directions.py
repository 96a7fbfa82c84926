"""Which way the fit of a glaze moves, each with its reason; and that it moves smoothly."""

from __future__ import annotations

from ast import literal_eval
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from itertools import pairwise
from typing import Any, NamedTuple

import numpy as np
import pytest

from cofire.files.library import Library
from cofire.model.body_draws import draw_body
from cofire.model.conditions import Conditions
from cofire.model.fit import crazed_after, fit_draws
from cofire.model.outcome import Outcome, judge
from cofire.model.standard_draws import N
from cofire.model.survival import survival
from cofire.model.trials import trials
from cofire.read.coat import Coat
from cofire.read.cooling import read_cooling
from cofire.records import Recipe, Steam

LIB = Library.open(None)
MAIN = {
    "alpha_1e6_per_k": (6.4, 6.6), "youngs_modulus_gpa": (14.0, 22.0), "poisson": (0.18, 0.2),
    "moisture_expansion_percent": (0.05, 0.10), "free_quartz_percent": (10.0, 20.0),
    "toughness_mpa_m05": (0.6, 0.9), "range_c": (20.0, 500.0),
}  # fmt: skip


def glaze(surface: str = "gloss", **parts: float) -> Recipe:
    base = {"frit-3195-type": 60, "silica": 12, "kaolin-ideal": 12, "whiting": 6} | {
        name.replace("_", "-"): amount for name, amount in parts.items()
    }
    return LIB.recipe({"name": "g", "surface": surface, "base": base})


@cache
def _judged(key: str) -> tuple[Outcome, Conditions]:
    asked: dict[str, Any] = literal_eval(key)
    body = replace(LIB.body("raku"), **(MAIN | asked.get("body", {})))
    how = asked.get("cooling")
    at = Conditions(
        body,
        wall_mm=asked.get("wall", 6.0),
        shape=asked.get("shape", "pot"),
        cooling_asked=None if how is None else read_cooling(how),
        coats=(Coat(asked.get("coat", 0.25), "coat"),),
        horizon_years=asked.get("years", 1.0),
        steam=Steam(*asked.get("steam", (5.0, 2.0))),
    )
    recipe = LIB.recipe(asked["recipe"]) if "recipe" in asked else glaze(**asked.get("glaze", {}))
    if "surface" in asked:
        recipe = replace(recipe, surface=asked["surface"])
    return judge(recipe, at), at


def value(what: str, asked: dict[str, Any]) -> float:
    outcome, at = _judged(repr(asked))
    fits, body = outcome.fit, at.body_draws
    assert fits is not None and body is not None
    tests = {t.name.split(",")[0].split(" ")[0]: t for t in trials(fits, body, at)}
    return {
        "stress": lambda: float(np.median(fits.stress_mpa)),
        "most": lambda: float(np.median(fits.max_tension_mpa)),
        "set": lambda: float(np.median(fits.set_c)),
        "at once": lambda: float(fits.crazes_now.mean()),
        "in time": lambda: float(fits.crazes.mean()),
        "ten years": lambda: crazed_after(10.0, fits, body),
        "shivers": lambda: float(fits.shivers.mean()),
        "edges": lambda: float(fits.could_shiver.mean()),
        "onset": lambda: float(np.median(fits.onset_mpa)),
        "rim": lambda: float(np.median(fits.rim)),
        "net": lambda: float(np.median(np.minimum(fits.spacing_mm, 200.0))),
        "steam": lambda: tests["steam"].margin_mpa.value,
        "boiled": lambda: tests["boiled"].margin_mpa.value,
        "soaked": lambda: tests["soaked"].odds_passes,
        "doubt": lambda: float(np.std(fits.stress_mpa)),
        "whole pot": lambda: (
            survival(body, at.cooling_curve, at.wall_mm, at.shape, compare=False).together
        ),
    }[what]()


class Way(NamedTuple):
    """``what`` is larger by ``by`` with ``more`` than with ``less``."""

    what: str
    more: dict[str, Any]
    less: dict[str, Any]
    by: float
    why: str


def clay(**changed: Any) -> dict[str, Any]:
    return {"body": changed}


A7, A6, A9 = ({"alpha_1e6_per_k": (a - 0.1, a + 0.1)} for a in (7.0, 6.0, 9.0))
SODA = {"glaze": {"frit_3110_type": 30}}
CRACKLE = {"recipe": "clear-crackle"}
WAYS = [
    Way("stress", {"body": A6}, {"body": A7}, 25.0, "a clay that shrinks less leaves tension"),
    Way("at once", {"body": {"alpha_1e6_per_k": (5.0, 5.2)}}, {"body": A7}, 0.1, "the same"),
    Way("in time", {"body": A6}, {"body": A7}, 0.1, "the same, as the years go by"),
    Way("shivers", {"body": A9}, {"body": A7}, 0.2, "a clay that shrinks more presses its coat"),
    Way("edges", {"body": A9}, {"body": A7}, 0.2, "edges go by the same compression"),
    Way("stress", SODA, {}, 5.0, "soda expands"),
    Way("stress", {}, {"glaze": {"silica": 25}}, 3.0, "silica does not (Seger's rules)"),
    Way("in time", {}, {"glaze": {"silica": 25}}, 0.03, "so silica cures crazing"),
    Way("stress", {"glaze": {"nepheline_syenite_canadian": 30}}, {}, 3.0, "feldspars expand"),
    Way("at once", {"coat": 0.6, **SODA}, {"coat": 0.15, **SODA}, 0.03, "thick coats craze sooner"),
    Way("onset", {"coat": 0.15}, {"coat": 0.6}, 10.0, "K = sigma sqrt(Z h)"),
    Way("shivers", {"coat": 0.5, "body": A9}, {"coat": 0.15, "body": A9}, 0.1, "more coat pushes"),
    Way("net", {"coat": 0.5, **CRACKLE}, {"coat": 0.15, **CRACKLE}, 0.3,
        "each crack relieves a length that grows with the coat"),
    Way("stress", {"wall": 12.0, **SODA}, {"wall": 3.0, **SODA}, 1.0, "a thin wall gives way"),
    Way("rim", {"wall": 3.0}, {"wall": 12.0}, 0.1, "and bends more at its rim"),
    Way("stress", SODA, {"shape": "tile", **SODA}, 1.0, "a tile bends"),
    Way("stress", SODA, {"shape": "both-sides", **SODA}, 0.5, "two coats share a wall"),
    Way("at once", SODA, {"shape": "both-sides", **SODA}, 0.01, "no rim of one side either"),
    Way("onset", {}, {"shape": "tile"}, 5.0, "the rail was flat tiles or pots: tiles crack sooner"),
    Way("in time", {"years": 10.0}, {"years": 1.0}, 0.05, "clay grows as the fourth root of time"),
    Way("in time", {"years": 1.0}, {"years": 0.1}, 0.03, "the same"),
    Way("in time", {}, clay(moisture_expansion_percent=(0.0, 0.0)), 0.05, "dense clay grows not"),
    Way("ten years", clay(moisture_expansion_percent=(0.10, 0.15)),
        clay(moisture_expansion_percent=(0.02, 0.05)), 0.1, "more growth pulls more"),
    Way("steam", clay(moisture_expansion_percent=(0.02, 0.04)),
        clay(moisture_expansion_percent=(0.08, 0.12)), 10.0, "steam is the same growth, sooner"),
    Way("steam", {"steam": (1.0, 1.0)}, {"steam": (10.0, 3.0)}, 5.0, "hotter and longer is harder"),
    Way("boiled", {"body": A7}, {"body": A6}, 20.0, "compression is a margin"),
    Way("boiled", {"wall": 3.0}, {"wall": 15.0}, 2.0, "a thick wall stays hot inside"),
    Way("soaked", clay(open_porosity_percent=(0.0, 1.0)), clay(open_porosity_percent=(20.0, 25.0)),
        0.02, "ice needs pores to burst a wall"),
    Way("set", {"cooling": "600 C/h"}, {"cooling": "20 C/h"}, 10.0, "fast cooling sets hotter"),
    Way("stress", {"cooling": "100 C/h"}, {"cooling": "60 min air"}, 5.0, "air tempers a coat"),
    Way("most", {"cooling": "20 s air, 3 min bin, water"}, {"cooling": "20 s air, 60 min bin"},
        10.0, "water chills the face of a hot wall"),
    Way("most", {"cooling": "60 min air", "shape": "both-sides", **SODA},
        {"cooling": "60 min air", **SODA}, 1.0,
        "the inner face is hardly tempered, so it carries more"),
    Way("onset", {}, {"cooling": "20 s air, 30 min bin"}, 8.0, "tongs and ash start cracks"),
    Way("stress", clay(free_quartz_percent=(0.0, 1.0)), clay(free_quartz_percent=(50.0, 60.0)),
        0.5, "what quartz a body takes up squeezes what sets above 500 °C"),
    Way("stress", clay(range_c=(20.0, 540.0), quartz_step_percent=(0.05, 0.06)),
        clay(range_c=(20.0, 500.0), quartz_step_percent=(0.05, 0.06)), 0.5,
        "a mean to 540 °C already holds the rise before 573"),
    Way("stress", {}, clay(silica_added_percent=15.0), 10.0, "silica in the clay cures crazing"),
    Way("in time", {}, clay(silica_added_percent=15.0), 0.05, "the same"),
    Way("shivers", {"body": A9 | {"silica_added_percent": 15.0}}, {"body": A9}, 0.05,
        "and shivers where it was near"),
    Way("ten years", {}, clay(bisque_c=1150.0), 0.03, "a hard bisque takes up less moisture"),
    Way("ten years", clay(bisque_c=900.0), {}, 0.03, "a soft one more"),
    Way("ten years", {}, clay(grog_added_percent=40.0), 0.01, "grog was fired hotter"),
    Way("whole pot", {"cooling": "10 s air, 1 min bin, water",
        "body": {"grog_added_percent": 60.0, "work_ratio": (1.3, 2.5)}},
        {"cooling": "10 s air, 1 min bin, water", "body": {"work_ratio": (1.3, 2.5)}}, 0.02,
        "grog stops cracks"),
    Way("whole pot", {"cooling": "20 s air, 8 min bin, air", "body": {
        "free_quartz_percent": (0.0, 2.0), "work_ratio": (1.1, 2.0)}},
        {"cooling": "20 s air, 8 min bin, air", "body": {
        "free_quartz_percent": (60.0, 70.0), "work_ratio": (1.1, 2.0)}}, 0.01,
        "the inversion of quartz breaks walls"),
    Way("most", clay(cristobalite_step_percent=(0.10, 0.12)), {}, 10.0,
        "above 226 °C a clay with cristobalite has shrunk too little"),
    Way("doubt", clay(alpha_1e6_per_k=(5.5, 7.5)), {}, 5.0, "an unmeasured clay is a wide bracket"),
    Way("doubt", clay(scatter_mpa=16.0), {}, 2.0, "pots made alike differ"),
    Way("in time", clay(onset_factor=(0.6, 0.7)), clay(onset_factor=(1.3, 1.4)), 0.1,
        "tiles said where cracks start"),
    Way("shivers", {"body": A9 | {"toughness_mpa_m05": (0.3, 0.5)}}, {"body": A9}, 0.02,
        "a weak body tears below its coat"),
    Way("shivers", {"wall": 3.0, "body": A9}, {"wall": 12.0, "body": A9}, 0.05,
        "a thin rim is sharper: |sigma| h / R"),
    Way("shivers", {"body": A9}, {"body": A9, "shape": "tile"}, 0.02, "a tile has no rim"),
    Way("net", clay(flaws_per_mm=0.03) | CRACKLE, clay(flaws_per_mm=0.5) | CRACKLE, 2.0,
        "few flaws, few cracks"),
    Way("net", CRACKLE | {"body": A7}, CRACKLE | {"body": {"alpha_1e6_per_k": (5.0, 5.2)}}, 0.3,
        "the harder a coat is pulled, the finer its net"),
    Way("stress", {"glaze": {"albite": 60}}, {"glaze": {"spodumene_concentrate": 60}}, 30.0,
        "grains of spodumene hardly expand, and a low-fire melt leaves some"),
    Way("stress", {"glaze": {"albite": 60}}, {"glaze": {"petalite_commercial": 60}}, 30.0,
        "nor do those of petalite"),
]  # fmt: skip


@pytest.mark.parametrize("way", WAYS, ids=[f"{k} {w.what}: {w.why}" for k, w in enumerate(WAYS)])
def test_it_moves_the_way_it_should(way: Way) -> None:
    more, less = value(way.what, way.more), value(way.what, way.less)
    assert more - less >= way.by, (more, less)


def test_there_are_forty_ways_and_no_two_alike() -> None:
    assert len({repr((w.what, w.more, w.less)) for w in WAYS}) == len(WAYS) >= 40


#: Inputs whose odds have to move smoothly: how the input is asked, its middle and first step.
STEPS: dict[str, tuple[str, Callable[[float], dict[str, Any]], float, float]] = {
    "clay, at once": ("at once", lambda x: clay(alpha_1e6_per_k=(x - 0.4, x + 0.4)), 5.6, 0.8),
    "clay, in time": ("in time", lambda x: clay(alpha_1e6_per_k=(x - 0.4, x + 0.4)), 6.5, 0.8),
    "clay, shivers": ("shivers", lambda x: clay(alpha_1e6_per_k=(x - 0.4, x + 0.4)), 8.8, 0.8),
    "coat": ("at once", lambda x: {"coat": x, **SODA}, 0.3, 0.06),
    "wall": ("shivers", lambda x: {"wall": x, "body": A9}, 5.0, 1.0),
    "years": ("in time", lambda x: {"years": x}, 4.0, 1.0),
    "air, black": ("at once", lambda x: {"cooling": f"{x:.6f} s air, 30 min bin"}, 40.0, 10.0),
    "silica": ("in time", lambda x: {"glaze": {"silica": x}}, 14.0, 4.0),
}


@pytest.mark.parametrize("name", STEPS)
def test_halving_a_step_halves_the_change_of_odds(name: str) -> None:
    """Odds are smooth in what they hang on: steps of an input, each half of the last, down to
    0.01 % of it, change them by half, but for sampling."""
    what, asked, middle, first = STEPS[name]
    halvings = int(np.ceil(np.log2(first / (1e-4 * middle))))
    steps = [first * 0.5**k for k in range(halvings + 1)]
    assert steps[-1] <= 1e-4 * middle
    changes = [value(what, asked(middle + 0.5 * h)) - value(what, asked(middle - 0.5 * h))
               for h in steps]  # fmt: skip
    for change, half in pairwise(changes):
        # draws are coupled: of a share that changes, so many draws differ
        noise = 3.0 * np.sqrt(max(abs(half), 1.0 / N) / N)
        assert abs(half - 0.5 * change) <= 0.06 * abs(change) + noise


def test_coats_to_nothing_take_nothing_of_the_wall() -> None:
    """The membrane and the rim go to their limits together."""
    fits = [_judged(repr({"coat": mm, **SODA}))[0].fit for mm in (1e-2, 1e-4)]
    assert fits[0] is not None and fits[1] is not None
    assert np.median(fits[1].rim) == pytest.approx(1.0, abs=1e-3)
    assert np.median(fits[1].stress_mpa) >= np.median(fits[0].stress_mpa) > 0.0


def test_without_mismatch_and_scatter_there_is_no_stress() -> None:
    outcome, at = _judged(repr({}))
    body = at.body_draws
    assert body is not None and outcome.fit is not None
    own = outcome.fit.alpha_glaze
    still = replace(
        body, relaxation=np.zeros(N), scatter_mpa=np.zeros(N), quartz=np.zeros(N),
        cristobalite_step=np.zeros(N), alpha_1e6_per_k=own,
    )  # fmt: skip
    fits = fit_draws(outcome.draws, still, at)
    assert np.abs(fits.stress_mpa).max() < 1e-6
    assert not (fits.crazes_now | fits.shivers).any()


def test_certain_glazes_craze_or_sit_for_certain() -> None:
    """Far beyond every doubt the odds are nothing or all."""
    assert value("at once", clay(alpha_1e6_per_k=(1.0, 1.1))) > 0.999
    assert value("in time", clay(alpha_1e6_per_k=(9.0, 9.1))) < 0.02
    assert value("shivers", clay(alpha_1e6_per_k=(16.0, 16.1))) > 0.99
    assert value("shivers", clay(alpha_1e6_per_k=(4.0, 4.1))) < 0.01


def test_a_measured_curve_replaces_what_silica_would_do() -> None:
    curve = (np.array([20.0, 500.0, 700.0]), 1e-6 * 6.5 * np.array([0.0, 480.0, 680.0]))
    plain, sandy = (
        draw_body(replace(LIB.body("raku"), curve=curve, free_quartz_percent=q))
        for q in ((0.0, 1.0), (50.0, 60.0))
    )
    at = np.full(N, 590.0)
    assert np.array_equal(plain.strain(at), sandy.strain(at))
