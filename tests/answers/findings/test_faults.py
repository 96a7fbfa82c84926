"""Faults that recipes foretell, by what the trade knows of them; and quiet recipes stay quiet."""

from __future__ import annotations

import pytest

from cofire.answers.findings.faults import fault_findings
from cofire.files.library import Library

LIB = Library(None)


def codes(**base: float) -> set[str]:
    parts = {name.replace("_", " "): amount for name, amount in base.items()}
    recipe = LIB.recipe({"surface": "gloss", "base": parts})
    return {finding.code for finding in fault_findings(recipe)}


FRIT = "3134 type frit"


@pytest.mark.parametrize(
    ("base", "code"),
    [
        ({FRIT: 60, "kaolin": 40}, "crawls-clay"),
        ({FRIT: 70, "zinc oxide": 20, "kaolin": 10}, "crawls-zinc"),
        ({FRIT: 70, "light magnesium carbonate": 12, "kaolin": 18}, "crawls-carbonate"),
        ({FRIT: 60, "whiting": 25, "kaolin": 15}, "pinholes"),
        ({FRIT: 60, "dolomite": 25, "kaolin": 15}, "pinholes"),
        ({FRIT: 80, "silica": 20}, "settles-hard"),
        ({FRIT: 60, "soda ash": 20, "kaolin": 20}, "bucket-crystals"),
        ({FRIT: 60, "borax": 20, "kaolin": 20}, "bucket-crystals"),
    ],
)
def test_what_potters_know_is_foretold(base: dict[str, float], code: str) -> None:
    assert code in codes(**base)


def test_a_quiet_recipe_foretells_nothing() -> None:
    assert codes(**{FRIT: 75, "silica": 10, "kaolin": 15}) == set()


def test_formula_and_check_say_it(cofire) -> None:  # type: ignore[no-untyped-def]
    cofire.write("recipes/r.toml", f'surface = "gloss"\n[base]\n"{FRIT}" = 60\nkaolin = 40\n')
    assert "crawl" in cofire("formula", "r").out
    run = cofire("check", "recipes/r.toml")
    assert run.code == 0 and "crawl" in run.out
