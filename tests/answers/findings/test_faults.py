"""Faults that recipes foretell, by what the trade knows of them; and quiet recipes stay quiet."""

from __future__ import annotations

import pytest

from cofire.answers.findings.faults import fault_findings, soluble_findings
from cofire.files.library import Library

LIB = Library(None)


def codes(**base: float) -> set[str]:
    parts = {name.replace("_", " "): amount for name, amount in base.items()}
    recipe = LIB.recipe({"surface": "gloss", "base": parts})
    return {finding.code for finding in (*fault_findings(recipe), *soluble_findings(recipe))}


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
        ({FRIT: 60, "soda ash": 20, "kaolin": 20}, "soluble"),
        ({FRIT: 60, "borax": 20, "kaolin": 20}, "soluble"),
    ],
)
def test_what_potters_know_is_foretold(base: dict[str, float], code: str) -> None:
    assert code in codes(**base)


def test_a_quiet_recipe_foretells_nothing() -> None:
    assert codes(**{FRIT: 75, "silica": 10, "kaolin": 15}) == set()


QUIET: tuple[dict[str, float], ...] = (
    {FRIT: 85, "kaolin": 15},
    {"frit-3195-type": 88, "kaolin": 10, "bentonite": 2},
    {"frit-3124-type": 80, "kaolin": 12, "silica": 8, "tin oxide": 6},
    {"natural borate": 80, "nepheline syenite": 20},
    {"natural borate": 65, "nepheline syenite": 15, "silica": 10, "tin oxide": 10},
    {"frit-3110-type": 70, "kaolin": 10, "bone ash": 10, "copper carbonate": 10},
    {"frit-3110-type": 75, "kaolin": 10, "silica": 15, "copper carbonate": 4},
    {"frit-3124-type": 65, "kaolin": 15, "silica": 10, "zircon": 10},
    {"frit-3195-type": 65, "kaolin": 20, "whiting": 10, "zinc oxide": 5},
    {FRIT: 60, "kaolin": 15, "silica": 15, "wollastonite": 10},
    {"natural borate": 55, "silica": 25, "kaolin": 10, "whiting": 10},
    {"frit-3195-type": 80, "kaolin": 15, "silica": 5, "red iron oxide": 6},
    {FRIT: 55, "kaolin": 20, "silica": 25, "cobalt carbonate": 1},
    {"frit-3195-type": 75, "kaolin": 15, "silica": 10, "manganese dioxide": 8},
    {"frit-3124-type": 60, "talc": 20, "kaolin": 20},
    {FRIT: 60, "strontium carbonate": 14, "kaolin": 20, "silica": 6},
    {FRIT: 60, "calcined kaolin": 30, "kaolin": 10},
    {FRIT: 60, "calcined zinc oxide": 20, "kaolin": 20},
    {"frit-3195-type": 70, "ball clay": 15, "dolomite": 10, "silica": 5},
    {FRIT: 70, "potash feldspar": 15, "ball clay": 15},
)


@pytest.mark.parametrize("base", QUIET)
def test_ordinary_recipes_foretell_nothing(base: dict[str, float]) -> None:
    assert codes(**base) == set()


def test_magnesium_carbonate_is_told_once_and_not_as_lime() -> None:
    assert codes(**{FRIT: 60, "magnesium carbonate": 25, "kaolin": 15}) == {"crawls-carbonate"}


def test_crystals_are_told_once(cofire) -> None:  # type: ignore[no-untyped-def]
    cofire.write("recipes/r.toml", f'surface = "gloss"\n[base]\n"{FRIT}" = 80\nborax = 20\n')
    for words in (("formula", "r"), ("check", "recipes/r.toml")):
        assert " ".join(cofire(*words).out.split()).count("grow crystals") == 1


def test_formula_and_check_say_it(cofire) -> None:  # type: ignore[no-untyped-def]
    cofire.write("recipes/r.toml", f'surface = "gloss"\n[base]\n"{FRIT}" = 60\nkaolin = 40\n')
    assert "crawl" in cofire("formula", "r").out
    run = cofire("check", "recipes/r.toml")
    assert run.code == 0 and "crawl" in run.out
