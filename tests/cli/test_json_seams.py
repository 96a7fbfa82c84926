"""What ``--json`` says, worked out again by hand with molmass; and exit codes in a real shell."""

from __future__ import annotations

import json
import subprocess
import sys

import molmass
import pytest

FLUXES = ("Li2O", "Na2O", "K2O", "MgO", "CaO", "SrO", "BaO", "ZnO", "PbO")
RECIPE = """name = "By hand"
surface = "gloss"
[base]
orthoclase = 40
whiting = 18
"kaolin-ideal" = 12
silica = 20
"boric acid" = 10
[additions]
"tin oxide" = 5
"""
#: material -> (formula, moles of each oxide that one mole leaves)
LEAVES = {
    "orthoclase": ("KAlSi3O8", {"K2O": 0.5, "Al2O3": 0.5, "SiO2": 3.0}, 40.0),
    "whiting": ("CaCO3", {"CaO": 1.0}, 18.0),
    "kaolin": ("Al2Si2O5(OH)4", {"Al2O3": 1.0, "SiO2": 2.0}, 12.0),
    "silica": ("SiO2", {"SiO2": 1.0}, 20.0),
    "boric acid": ("H3BO3", {"B2O3": 0.5}, 10.0),
    "tin oxide": ("SnO2", {"SnO2": 1.0}, 5.0),
}


def mass(formula: str) -> float:
    return float(molmass.Formula(formula).mass)


def by_hand() -> dict[str, float]:
    """Moles of each oxide that the batch leaves."""
    moles: dict[str, float] = {}
    for formula, left, grams in LEAVES.values():
        for oxide, n in left.items():
            moles[oxide] = moles.get(oxide, 0.0) + n * grams / mass(formula)
    return moles


def test_formula_json_is_what_one_works_out_by_hand(cofire) -> None:  # type: ignore[no-untyped-def]
    data = json.loads(cofire("formula", cofire.write("hand.toml", RECIPE), "--json").out)
    moles = by_hand()
    grams = {oxide: n * mass(oxide) for oxide, n in moles.items()}
    flux = sum(moles.get(o, 0.0) for o in FLUXES)
    assert data["name"] == "By hand"
    for key, parts, scale in (
        ("oxides_wt_percent", grams, 100.0 / sum(grams.values())),
        ("oxides_mol_percent", moles, 100.0 / sum(moles.values())),
        ("unity", moles, 1.0 / flux),
    ):
        assert data[key] == pytest.approx({o: v * scale for o, v in parts.items()}, rel=1e-3), key
    assert data["loi_percent"] == pytest.approx(
        100.0 - 100.0 * sum(grams.values()) / 105.0, abs=0.02
    )
    assert data["expansion"]["level"] == 0.9
    assert data["expansion"]["range_c"] == [20.0, 300.0]
    assert set(data["melt_range"]) >= {"seals_c", "matures_c", "runs_c"}


def test_parts_of_any_total_are_the_same_glaze(cofire) -> None:  # type: ignore[no-untyped-def]
    grams = "".join(
        f'{line.split(" = ")[0]} = "{float(line.split(" = ")[1]) / 4:g} lb"\n' if " = " in line else
        line + "\n" for line in RECIPE.splitlines()[2:]
    )  # fmt: skip
    one = json.loads(cofire("formula", cofire.write("a.toml", RECIPE), "--json").out)
    text = "\n".join(RECIPE.splitlines()[:2]) + "\n" + grams
    other = json.loads(cofire("formula", cofire.write("b.toml", text), "--json").out)
    for key in ("oxides_wt_percent", "unity"):
        assert one[key] == pytest.approx(other[key], rel=1e-9)
    assert one["expansion"]["value"] == pytest.approx(other["expansion"]["value"], rel=1e-9)


def test_json_is_strict_and_alone_on_standard_output(cofire) -> None:  # type: ignore[no-untyped-def]
    def refuse(word: str) -> None:
        raise ValueError(word)

    for words in (
        ("formula", "copper-lustre"),
        ("fit", "true-matte", "--body", "raku"),
        ("pair", "frit-gloss", "does-not-work", "--firing", "raku-workshop", "--body", "raku"),
        ("materials",),
        ("materials", "show", "talc"),
        ("materials", "find", "frit"),
    ):
        run = cofire(*words, "--json")
        json.loads(run.out, parse_constant=refuse)  # NaN and Infinity are no JSON
        assert run.err == ""


def test_findings_have_a_severity_and_a_source(cofire) -> None:  # type: ignore[no-untyped-def]
    for recipe in ("copper-lustre", "turquoise-crackle", "does-not-work"):
        findings = json.loads(cofire("formula", recipe, "--json").out)["findings"]
        assert findings
        for finding in findings:
            assert all(finding[k].strip() for k in ("code", "severity", "message", "source"))
            assert finding["severity"] in {"note", "caution", "warning", "danger"}


def test_materials_find_says_no_with_one(cofire) -> None:  # type: ignore[no-untyped-def]
    assert cofire("materials", "find", "talc").code == 0
    run = cofire("materials", "find", "unobtainium", "--json")
    assert (run.code, json.loads(run.out)["materials"]) == (1, [])


@pytest.mark.parametrize(
    "words", ["formula clear-crackle", "materials", "fit clear-crackle --body raku", "recipes"]
)
def test_a_reader_that_stops_early_is_no_no(words: str) -> None:
    """``cofire … | head -1``: exit code 1 would say “no” to a script."""
    code = "from cofire.cli.start import run; run()"
    with subprocess.Popen(
        [sys.executable, "-c", code, *words.split()], stdout=subprocess.PIPE, stderr=subprocess.PIPE
    ) as process:
        assert process.stdout and process.stderr
        process.stdout.close()
        said = process.stderr.read().decode()
    assert "Traceback" not in said
    assert process.returncode == 0
