"""The seams other people build on: exit codes, keys and units of ``--json``."""

from __future__ import annotations

import json

import pytest

MAIN_JOB = (
    "pair", "clear-crackle", "turquoise-crackle", "--firing", "raku-workshop", "--body", "yard-raku"
)  # fmt: skip


def test_the_main_job_says_yes_and_why(cofire) -> None:  # type: ignore[no-untyped-def]
    run = cofire(*MAIN_JOB)
    assert run.code == 0
    assert "YES" in run.out
    assert "first pot" in run.out
    assert "last pot" in run.out
    assert "943 °C (1730 °F)" in run.out


def test_no_is_an_answer_of_its_own(cofire) -> None:  # type: ignore[no-untyped-def]
    run = cofire("pair", "frit-gloss", "does-not-work", "--firing", "raku-workshop")
    assert run.code == 1
    assert "NO" in run.out
    assert "far from sealed" in run.out


def test_the_odds_asked_decide(cofire) -> None:  # type: ignore[no-untyped-def]
    odds = json.loads(cofire(*MAIN_JOB, "--json").out)["odds_together"]
    assert cofire(*MAIN_JOB, "--odds", f"{odds - 0.02:.2f}").code == 0
    assert cofire(*MAIN_JOB, "--odds", f"{odds + 0.02:.2f}").code == 1


def test_formula_json(cofire) -> None:  # type: ignore[no-untyped-def]
    run = cofire("formula", "clear-crackle", "--json")
    assert run.code == 0
    data = json.loads(run.out)
    assert data["name"]
    for key in ("oxides_wt_percent", "oxides_mol_percent"):
        assert sum(data[key].values()) == pytest.approx(100.0, abs=1e-6)
    assert 0.0 < data["loi_percent"] < 10.0
    fluxes = ("Li2O", "Na2O", "K2O", "MgO", "CaO", "SrO", "BaO", "ZnO", "PbO")
    assert sum(data["unity"].get(o, 0.0) for o in fluxes) == pytest.approx(1.0, abs=1e-9)
    expansion = data["expansion"]
    assert set(expansion) >= {"value", "low", "high", "level", "unit", "range_c"}
    assert expansion["unit"] == "1e-6/K"
    assert expansion["low"] < expansion["value"] < expansion["high"]
    melt = data["melt_range"]
    assert melt["seals_c"] < melt["matures_c"] < melt["runs_c"]
    for finding in data["findings"]:
        assert set(finding) >= {"code", "severity", "message", "source"}
        assert finding["source"]


def test_materials_json(cofire) -> None:  # type: ignore[no-untyped-def]
    data = json.loads(cofire("materials", "--json").out)["materials"]
    assert len(data) >= 130
    for item in data:
        assert set(item) >= {
            "id", "names", "oxides_wt_percent", "loi_percent", "formula", "source"
        }  # fmt: skip
        oxides = item["oxides_wt_percent"]
        total = sum(oxides.values()) - 0.42106 * oxides.get("F", 0.0) + item["loi_percent"]
        assert 97.5 <= total <= 102.0, item["id"]


def test_fit_uses_the_firing_to_cool_in(cofire) -> None:  # type: ignore[no-untyped-def]
    kiln = json.loads(cofire("fit", "clear-crackle", "--body", "raku", "--json").out)
    air = json.loads(
        cofire("fit", "clear-crackle", "--body", "raku", "--firing", "raku-workshop", "--json").out
    )
    assert kiln["cooling"] != air["cooling"]
    # pulled into air it sets hotter, hence with more strain to come
    assert air["set_c"]["value"] > kiln["set_c"]["value"] + 10.0


def test_pair_without_a_body_judges_ripeness_only_and_says_so(cofire) -> None:  # type: ignore[no-untyped-def]
    run = cofire("pair", "frit-gloss", "--firing", "raku-workshop")
    assert run.code == 0
    assert "--body" in run.out


@pytest.mark.parametrize("command", ["recipes", "bodies", "firings"])
def test_shelves(cofire, command: str) -> None:  # type: ignore[no-untyped-def]
    run = cofire(command)
    assert run.code == 0
    assert len(json.loads(cofire(command, "--json").out)[command]) >= 4


def test_check_finds_the_shipped_files_in_order(cofire) -> None:  # type: ignore[no-untyped-def]
    assert cofire("check").code == 0


def test_a_studio_of_ones_own(cofire) -> None:  # type: ignore[no-untyped-def]
    cofire.write("cert.csv", "SiO2,61.2\nMgO,30.9\nAl2O3,0.9\nCaO,0.6\nFe2O3,0.4\nLOI,5.8\n")
    words = (
        "--id",
        "talc-yard",
        "--name",
        "talc",
        "--supplier",
        "Tide Minerals",
        "--date",
        "2026-11",
    )
    run = cofire("materials", "add", "cert.csv", *words)
    assert run.code == 0, run.err
    cofire.write(
        "recipes/mine.toml",
        'name = "Mine"\nsurface = "matte"\nnotes = "n"\n[base]\ntalc = 20\nwhiting = 10\n'
        '"frit-3195-type" = 70\n',
    )
    data = json.loads(cofire("formula", "mine", "--json").out)
    mgo = 30.9 * 20 / (61.2 + 30.9 + 0.9 + 0.6 + 0.4 + 5.8)
    assert data["oxides_wt_percent"]["MgO"] == pytest.approx(mgo / 0.944, rel=0.02)
    shown = cofire("materials", "show", "talc")
    assert "talc-yard" in shown.out
    assert "Tide Minerals" in shown.out
    assert "respirator" in shown.out  # cautions come along


def test_both_scales_are_read(cofire) -> None:  # type: ignore[no-untyped-def]
    text = (
        'name = "F"\nsource = "s"\n[[segment]]\nrate = "270 F/h"\ntarget = "1730 F"\n'
        'hold = "10 min"\n[kiln]\nheating_cold = "900 C/h"\nheating_at_top = "200 C/h"\n'
        'top = "1100 C"\ncooling_half_time = "90 min"\nsource = "s"\n'
    )
    path = cofire.write("f.toml", text)
    data = json.loads(cofire("pair", "frit-gloss", "--firing", path, "--json").out)
    assert data["peak_c"] == pytest.approx((1730 - 32) / 1.8)


def test_no_answer_says_that_a_glaze_is_food_safe(cofire) -> None:  # type: ignore[no-untyped-def]
    for recipe in ("frit-gloss", "copper-lustre", "clear-crackle"):
        out = " ".join(cofire("formula", recipe).out.split())
        assert "food safe" not in out.lower()
        assert "food" in out.lower()


def test_help_names_every_command_with_its_own_words(cofire) -> None:  # type: ignore[no-untyped-def]
    from cofire.cli.main import COMMANDS

    out = cofire("--help").out
    for name, (_, line) in COMMANDS.items():
        assert name in out
        assert line[:30] in " ".join(out.split())
        assert cofire(name, "--help").code == 0


@pytest.mark.parametrize(
    ("typed", "said"),
    [("piar", "Did you mean “pair”"), ("wibble", "cofire --help"), ("--wibble", "--wibble")],
)
def test_a_command_that_there_is_not(cofire, typed: str, said: str) -> None:  # type: ignore[no-untyped-def]
    run = cofire(typed)
    assert run.code == 2 and run.out == ""
    assert said in run.err
    assert ("there is no command" in run.err) == (not typed.startswith("-"))
