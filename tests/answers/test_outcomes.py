"""Verdicts against recipes whose outcome low-fire potters agree on (see outcomes.csv)."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from cofire.answers.fit import fit
from cofire.answers.formula import formula
from cofire.answers.pair import pair
from cofire.answers.results.pair import AtPull
from cofire.files.library import Library
from cofire.model.conditions import Conditions
from cofire.records import Recipe

PUBLISHED = Path(__file__).parents[1] / "published"

FIRING = """
name = "test"
source = "the row of outcomes.csv"
{segments}
[[pull]]
name = "the load"
segment = {last}
after = "{hold} min"

[kiln]
heating_cold = "900 C/h"
heating_at_top = "200 C/h"
top = "1200 C"
cooling_half_time = "90 min"
source = "a small fibre-lined electric kiln; common practice, no source"
"""
SEGMENT = '[[segment]]\nrate = "{rate}"\ntarget = "{target} C"\nhold = "{hold} min"\n'


def outcomes() -> list[dict[str, str]]:
    text = (PUBLISHED / "outcomes.csv").read_text("utf-8")
    return list(csv.DictReader(li for li in text.splitlines() if not li.startswith("#")))


def recipe_of(parts: str, surface: str, folder: Path) -> Recipe:
    lines = "\n".join(part.replace("=", " = ") for part in parts.split())
    path = folder / "glaze.toml"
    path.write_text(f'name = "glaze"\nsurface = "{surface}"\n[base]\n{lines}\n', "utf-8")
    return Library().recipe(path)


def at_the_pull(row: dict[str, str], shift_c: float, folder: Path) -> AtPull:
    peak, hold = float(row["peak_c"]) + shift_c, row["hold_min"]
    climbs = [("150 C/h", peak - 100.0), ("60 C/h", peak)]
    if row["firing"] == "fast":
        climbs = [("as fast as the kiln can", peak)]
    segments = [
        SEGMENT.format(rate=rate, target=target, hold=hold if target == peak else 0)
        for rate, target in climbs
    ]
    path = folder / "firing.toml"
    path.write_text(
        FIRING.format(segments="\n".join(segments), last=len(climbs), hold=hold), "utf-8"
    )
    library = Library()
    recipe = recipe_of(row["parts"], row["surface"], folder)
    return pair(library, [recipe], Conditions(firing=library.firing(path))).glazes[0].pulls[-1]


def odds_of(expected: str, pull: AtPull) -> float:
    """Odds that the program gives to what potters see."""
    return {
        "ripe": pull.odds.ripe,
        "nearly ripe": min(pull.odds_sealed, 2.0 * pull.odds.ripe),
        "smooth": pull.odds_smooth,  # fire polish; no brush marks on a button of ground glass
        "doubtful": min(pull.odds_sealed, 2.0 * min(pull.odds.ripe, 1.0 - pull.odds.ripe)),
        "underfired": pull.odds.under,
        "dry": pull.odds.under if pull.word.startswith("dry") else 0.0,
        "fluid": pull.odds.runs,
    }[expected]


@pytest.mark.parametrize("row", outcomes(), ids=lambda r: " ".join(r.values()))
def test_the_outcome_potters_see_is_the_likely_one(row: dict[str, str], tmp_path: Path) -> None:
    """More likely than not within the 20 K to which the outcome is known, and at its own
    temperature never ruled out."""
    odds = {
        shift: odds_of(row["expected"], at_the_pull(row, shift, tmp_path))
        for shift in (-20.0, 0.0, 20.0)
    }
    assert max(odds.values()) > 0.5
    assert odds[0.0] > 0.2


RAKU_GLOSSES = ("borate-gloss", "frit-gloss", "cobalt-gloss", "clear-crackle", "white-crackle")


@pytest.mark.parametrize("name", RAKU_GLOSSES)
def test_frit_glosses_survive_four_hours_of_pulling(name: str) -> None:
    """Any ordinary frit-based raku gloss is ripe at the first pull (943 °C, 10 min) and still on
    the pot after 4 h at 916 °C. Common practice, from memory, no source."""
    library = Library()
    at = Conditions(firing=library.firing("raku-workshop"))
    answer = pair(library, [library.recipe(name)], at)
    first, last = answer.glazes[0].pulls
    assert first.odds.ripe > 0.8
    assert last.odds.runs < 0.2
    assert last.at_min - first.at_min > 235.0


def crazes(parts: str, body: str, folder: Path) -> float:
    library = Library()
    return fit(
        library, recipe_of(parts, "gloss", folder), Conditions(library.body(body))
    ).odds.crazes_at_once


def test_what_crazes_and_what_does_not(tmp_path: Path) -> None:
    """Same source: the first three craze on stoneware-type raku clay, soda frit on every common
    body; the alumina-boron frit fits most talc earthenware."""
    assert crazes("natural-borate=80 nepheline-syenite-canadian=20", "raku", tmp_path) > 0.5
    assert crazes("window-glass=100", "raku", tmp_path) > 0.5
    for body in ("raku", "stoneware-bisque", "red-earthenware", "porcelain"):
        assert crazes("frit-3110-type=80 kaolin-ideal=15 silica=5", body, tmp_path) > 0.5
    assert crazes("frit-3195-type=88 kaolin-ideal=12", "talc-earthenware", tmp_path) < 0.5


def test_window_glass_expands_as_it_is_known_to(tmp_path: Path) -> None:
    """About 9e-6/K (soda-lime glass, every handbook; ISO 7991 mean 20-300 °C)."""
    library = Library()
    answer = formula(library, recipe_of("window-glass=100", "gloss", tmp_path))
    assert answer.expansion.low < 9.0 < answer.expansion.high
    assert abs(answer.expansion.value - 9.0) < 0.3
