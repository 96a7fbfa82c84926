"""Lustre windows against reported firings."""

from __future__ import annotations

import csv
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from cofire import glass
from cofire.answers.lustre import WINDOWS, LustreAnswer, lustre
from cofire.chem.composition import mol_from_wt
from cofire.chem.oxides import vector
from cofire.errors import CofireError
from cofire.files.library import Library
from cofire.model.conditions import Conditions
from cofire.records import Material, Part, Recipe, Segment

LIB = Library()
_FILE = Path(__file__).parents[1] / "published" / "lustres.csv"
LUSTRES = list(csv.DictReader(
    line for line in _FILE.read_text("utf-8").splitlines() if not line.startswith("#")
))  # fmt: skip


def of_glass(wt: dict[str, float], **asked: Any) -> LustreAnswer:
    """The window of a glass of this analysis, as if it were one frit."""
    material = Material("frit", ("frit",), wt, 0.0, "given", melts_c=-np.inf)
    recipe = Recipe("frit", "frit", (Part("frit", 100.0, material),), (), "lustre")
    return lustre(LIB, recipe, asked.pop("at", Conditions()), **asked)


@pytest.mark.published
@pytest.mark.parametrize("lead_wt", [37.0, 46.0])
def test_old_lustre_was_fired_inside_its_window(lead_wt: float) -> None:
    """Tin glazes of Islamic eastern Spain hold 37 to 56 % PbO (abstract of “Chemical and textural
    characterization of tin glazes in Islamic ceramics from eastern Spain”); no full analysis was
    found, so the rest is a mid-range alkali silicate of ours, tin left as grains. Lustre was fired
    at about 500 to 600 °C (Pradell & Molera; Romero-Pastor et al. 2015: up to 600 °C)."""
    rest = 100.0 - lead_wt
    wt = vector(
        {"PbO": lead_wt, "SiO2": 0.82 * rest, "K2O": 0.08 * rest, "Na2O": 0.04 * rest,
         "Al2O3": 0.06 * rest}
    )  # fmt: skip
    curve = glass.viscosity(mol_from_wt(wt))
    low, high = (curve.isokom(level)[0] for level in WINDOWS["paste"])
    assert low < 550.0 < high
    assert 440.0 < low < 520.0
    assert 560.0 < high < 660.0


def test_our_own_lustres() -> None:
    at = Conditions(firing=LIB.firing("raku-workshop"))
    answer = lustre(LIB, LIB.recipe("copper-lustre"), at)
    low, high = answer.metal_moves_from_c, answer.sticks_from_c
    assert low.low < low.value < high.value < high.high
    assert answer.metals[0].metal == "copper"
    assert answer.metals[0].amount.startswith("usual")
    assert answer.window_after_pull_s is not None
    enters, leaves = answer.window_after_pull_s
    assert answer.to_dict()["in_window_after_pull_s"] == [enters.value, leaves.value]
    assert 0.0 < enters.value < leaves.value < 300.0
    assert enters.low < enters.value < enters.high < leaves.high
    assert any(f.code == "resinate" for f in answer.findings)


def test_a_glaze_without_metal_is_told() -> None:
    found = lustre(LIB, LIB.recipe("frit-gloss"), Conditions()).findings
    assert any(f.code == "no-metal" for f in found)


@pytest.mark.published
@pytest.mark.parametrize("row", LUSTRES, ids=lambda row: row["lustre"])
def test_lustres_were_reduced_in_their_windows(row: dict[str, str]) -> None:
    """The middle of what is reported lies in the middle window, but for what its ends are off."""
    wt = {oxide: float(row[oxide]) for oxide in list(row)[4:-2] if row[oxide]}
    answer = of_glass(wt, process=row["process"])
    middle_c = 0.5 * (float(row["from_c"]) + float(row["to_c"]))
    assert answer.metal_moves_from_c.value - 40.0 < middle_c < answer.sticks_from_c.value + 40.0
    assert answer.metal_moves_from_c.low < float(row["from_c"])
    assert float(row["to_c"]) < answer.sticks_from_c.high
    # a window as wide as the doubt would hold anything
    assert answer.sticks_from_c.value - answer.metal_moves_from_c.value < 260.0


def test_metal_in_the_glaze_is_reduced_hotter_than_under_a_paste() -> None:
    copper = LIB.recipe("copper-lustre")
    paste, glaze = (lustre(LIB, copper, Conditions(), p) for p in ("paste", "glaze"))
    assert glaze.metal_moves_from_c.value > paste.metal_moves_from_c.value
    assert 650.0 < glaze.sticks_from_c.value < 900.0
    assert glaze.sticks_from_c.value > paste.sticks_from_c.value + 50.0
    # it is honest to 50 to 100 degrees where viscosity alone would say 30
    for answer in (paste, glaze):
        width = answer.metal_moves_from_c.high - answer.metal_moves_from_c.low
        assert 100.0 < width < 240.0


def test_a_resinate_is_fired_where_its_maker_says() -> None:
    answer = lustre(LIB, LIB.recipe("frit-gloss"), Conditions(), "resinate")
    assert answer.metal_moves_from_c.value == 600.0
    assert 600.0 < answer.sticks_from_c.value <= 780.0
    codes = {f.code for f in answer.findings}
    assert {"resinate-window", "resinate-fume"} <= codes
    assert not {"reduction-smoke", "no-metal"} & codes


@pytest.mark.parametrize("name", ["raku-workshop", "earthenware-cone-06"])
def test_a_resinate_is_not_fired_with_the_glaze(name: str) -> None:
    """Nor taken out to smoke: at the peak of a glaze firing it has smeared; and the metal of the
    glaze is not what shines."""
    at = Conditions(firing=LIB.firing(name))
    answer = lustre(LIB, LIB.recipe("copper-lustre"), at, "resinate")
    codes = {f.code for f in answer.findings}
    assert "resinate-too-hot" in codes
    assert not {"lustre-never", "reoxidation", "lustre-cools-into-it"} & codes
    assert answer.window_after_pull_s is None and not answer.in_window_min and not answer.metals


@pytest.mark.parametrize(("peak_c", "there"), [(560.0, False), (640.0, True)])
def test_a_resinate_has_a_firing_of_its_own(peak_c: float, there: bool) -> None:
    firing = LIB.firing("earthenware-cone-06")
    low = replace(firing, segments=(Segment(150.0, peak_c, 15.0),))
    answer = lustre(LIB, LIB.recipe("copper-lustre"), Conditions(firing=low), "resinate")
    assert bool(answer.in_window_min) == there
    assert ("lustre-never" in {f.code for f in answer.findings}) != there


def test_a_glaze_that_smears_first_takes_no_resinate() -> None:
    soft = {
        "base": {"lead monosilicate": 80, "boric oxide": 25},
        "name": "soft",
        "surface": "gloss",
    }
    with pytest.raises(CofireError, match="before a resinate bites"):
        lustre(LIB, LIB.glaze(soft), Conditions(), "resinate")


def test_reducing_has_its_cautions() -> None:
    codes = {f.code for f in lustre(LIB, LIB.recipe("frit-gloss"), Conditions()).findings}
    assert {"reduction-smoke", "mercury-in-old-pastes"} <= codes


def test_where_nothing_can_turn_it_is_refused() -> None:
    with pytest.raises(CofireError, match="nothing in it can turn"):
        lustre(LIB, LIB.recipe("frit-gloss"), Conditions(), "glaze")
    with pytest.raises(CofireError, match="nothing to trade places with"):
        of_glass({"SiO2": 40.0, "PbO": 57.0, "Al2O3": 3.0})
    assert of_glass({"SiO2": 40.0, "PbO": 54.0, "Al2O3": 3.0, "CuO": 3.0}).process == "glaze"


def test_a_closed_kiln_passes_the_window_twice() -> None:
    """Newton's law of cooling gives the moment by hand."""
    firing = LIB.firing("earthenware-cone-06")
    at = Conditions(firing=firing, wall_mm=1.0)
    answer = lustre(LIB, LIB.recipe("copper-lustre"), at)
    assert answer.in_window_after_pull_s is None
    (up, _), (down, out) = answer.in_window_min[0], answer.in_window_min[-1]
    assert len(answer.in_window_min) == 2 and up < down < out
    end_min = firing_end_min(at)
    kiln = firing.kiln
    for moment, c in ((down, answer.sticks_from_c.value), (out, answer.metal_moves_from_c.value)):
        halves = np.log2((998.0 - 20.0) / (c - 20.0))
        assert moment - end_min == pytest.approx(60.0 * kiln.cooling_half_time_h * halves, abs=3.0)
    assert any(f.code == "lustre-cools-into-it" for f in answer.findings)


def firing_end_min(at: Conditions) -> float:
    return at.when[-1].at_min


def test_a_firing_that_is_too_cold_is_told() -> None:
    cold = {"name": "cold", "source": "test", "kiln": "small-fibre",
            "segment": [{"rate": "150 C/h", "target": "470 C"}]}  # fmt: skip
    answer = lustre(LIB, LIB.recipe("copper-lustre"), Conditions(firing=LIB.firing(cold)))
    assert answer.in_window_min == ()
    assert any(f.code == "lustre-never" for f in answer.findings)
