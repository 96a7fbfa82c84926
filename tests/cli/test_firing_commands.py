"""firing, kiln-log, kilns, lustre and day as people type them, right and wrong."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path

import numpy as np
import pytest

from cofire.files.library import Library

FIRING = """
name = "Test day"
source = "test"
{top}
[[segment]]
rate = "{rate}"
target = "{target}"
hold = "10 min"
[[segment]]
rate = "as fast as the kiln can"
target = "916 C"
hold = "{hold}"
[[pull]]
name = "pot"
segment = {segment}
after = "0 min"
{pull}
"""
USUAL = {
    "top": 'kiln = "small-fibre"', "rate": "as fast as the kiln can", "target": "943 C",
    "hold": "60 min", "segment": 2, "pull": "",
}  # fmt: skip


def write(cofire, **changes: object) -> str:  # type: ignore[no-untyped-def]
    return str(cofire.write("day.toml", FIRING.format(**{**USUAL, **changes})))


def test_firing_draws_and_says_what_to_key_in(cofire, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    svg, cards = tmp_path / "day.svg", tmp_path / "cards.html"
    run = cofire(
        "firing", "raku-workshop", "frit-gloss", "--svg", str(svg), "--cards", str(cards),
        "--price", "0.3",
    )  # fmt: skip
    assert run.code == 0
    for said in (
        "To key in".upper(),
        "full",
        "1730",
        "kWh",
        "costing",
        "pot 17",
        "* beyond the chart",
    ):
        assert said in run.out
    assert svg.read_text("utf-8").startswith("<svg")
    assert cards.read_text("utf-8").count('class="label slip"') == 17


def test_firing_json(cofire) -> None:  # type: ignore[no-untyped-def]
    data = json.loads(cofire("firing", "raku-workshop", "frit-gloss", "--json").out)
    assert data["segments"][0]["rate_c_per_h"] is None
    assert len(data["loads"]) == 17
    assert len(data["glazes"][0]["ripe"]) == len(data["glazes"][0]["time_min"])
    assert data["energy_kwh"] > 5.0


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"target": "1730"}, "unit"),
        ({"target": "1730 C"}, "°F"),
        ({"rate": "-100 C/h"}, "above zero"),
        ({"rate": "0.01 C/h"}, "no rate of a firing"),
        ({"rate": "fast"}, "as fast as the kiln can"),
        ({"hold": "-10 min"}, "hold lasts"),
        ({"segment": 1, "target": "900 C"}, "segment 1, before the peak in segment 2"),
        ({"segment": 7}, "no segment"),
        ({"pull": "count = 5"}, "has no “every”"),
        ({"pull": 'count = 50\nevery = "15 min"'}, "into a hold of"),
        ({"pull": 'count = 3\nevery = "10 s"\nopen = "20 s"'}, "open all the time"),
        ({"pull": 'open = "2 h"'}, "lid stays open"),
        ({"top": 'kiln = "small-fiber-kiln"'}, "there is no kiln"),
        ({"top": ""}, "names no kiln"),
        ({"top": 'kiln = "small-fibre"\nload = "12"'}, "unit"),
    ],
)
def test_wrong_firings_are_refused_in_words(cofire, changes: dict[str, object], said: str) -> None:  # type: ignore[no-untyped-def]
    run = cofire("firing", write(cofire, **changes))
    assert run.code == 2
    assert said in run.err
    assert "day.toml" in run.err


def test_a_firing_too_cold_for_any_glaze(cofire) -> None:  # type: ignore[no-untyped-def]
    text = (
        'name = "cold"\nsource = "test"\nkiln = "small-fibre"\n[[segment]]\nrate = "100 C/h"\n'
        'target = "300 C"\n'
    )
    run = cofire("firing", str(cofire.write("cold.toml", text)))
    assert run.code == 2
    assert "no glaze seals" in run.err


def test_a_kiln_that_cannot_get_there(cofire) -> None:  # type: ignore[no-untyped-def]
    worn = '[kiln]\nkind = "small-fibre"\nelement_wear_percent = 40'
    text = FIRING.format(**{**USUAL, "top": "", "target": "1100 C"}) + worn
    run = cofire("firing", str(cofire.write("worn.toml", text)))
    assert run.code == 2
    assert "cannot reach" in run.err


def log(cofire, *rows: str, header: str = "time (min),temperature (C)") -> str:  # type: ignore[no-untyped-def]
    return str(cofire.write("log.csv", "\n".join((header, *rows)) + "\n"))


def climb_and_fall() -> list[str]:
    k, up_h = 700.0 / 1080.0, np.arange(0, 115, 10) / 60.0
    up = 20.0 + 900.0 / k * (1.0 - np.exp(-k * up_h))
    down_h = np.arange(10, 200, 10) / 60.0
    down = 20.0 + (up[-1] - 20.0) * 0.5 ** (down_h / 1.4)
    return [f"{60 * t:.0f},{c:.0f}" for t, c in zip(up_h, up, strict=True)] + [
        f"{110 + 60 * t:.0f},{c:.0f}" for t, c in zip(down_h, down, strict=True)
    ]


def test_a_log_becomes_a_kiln_that_firings_can_name(cofire) -> None:  # type: ignore[no-untyped-def]
    cofire.write("studio.toml", "")
    path = log(cofire, *climb_and_fall())
    run = cofire("kiln-log", path, "--like", "small-fibre", "--name", "Shed kiln", "--save", "shed")
    assert run.code == 0, run.err
    assert 'heating_cold = "90' in run.out
    assert 'cooling_half_time = "84 min"' in run.out
    assert "shed" in cofire("kilns").out
    assert cofire("firing", "raku-workshop", "--kiln", "shed").code == 0
    assert cofire("check").code == 0
    again = cofire("kiln-log", path, "--save", "shed", "--like", "small-fibre")
    assert again.code == 2
    assert "already exists" in again.err


def test_a_log_leaves_all_else_as_it_is_in_the_kiln_like_it(cofire) -> None:  # type: ignore[no-untyped-def]
    """Fuel above all: a gas kiln has other dangers than an electric one."""
    folder = cofire.write("studio.toml", "").parent
    path = log(cofire, *climb_and_fall())
    run = cofire("kiln-log", path, "--like", "gas-raku", "--save", "ours")
    assert run.code == 0, run.err
    lib = Library.open(str(folder))
    learnt = {
        "name", "source", "place", "heating_c_per_h", "heating_at_top_c_per_h", "top_c",
        "cooling_half_time_h",
    }  # fmt: skip
    ours, base = vars(lib.kiln("ours")), vars(lib.kiln("gas-raku"))
    assert ours["fuel"] == "gas"
    for key in base.keys() - learnt:
        assert ours[key] == base[key], key


@pytest.mark.parametrize("name", ['Bob "Big" kiln\\2', "Őze kemence 'kicsi'", "“x” = [1]"])
def test_a_kiln_keeps_the_name_it_was_given(cofire, name: str) -> None:  # type: ignore[no-untyped-def]
    path = log(cofire, *climb_and_fall())
    run = cofire("kiln-log", path, "--like", "small-fibre", "--name", name)
    assert run.code == 0, run.err
    assert tomllib.loads(run.out)["name"] == name


@pytest.mark.parametrize(
    ("rows", "header", "said"),
    [
        (["0,20", "10,200", "10,210", "20,400"], "time (min),temperature (C)", "twice"),
        (["0,20", "10,200", "5,210", "20,400"], "time (min),temperature (C)", "jumps back"),
        (["0,20", "10,200", "20,300", "200,900"], "time (min),temperature (C)", "only a climb"),
        (["0,20", "10,200", "20,300", "30,400"], "time,temperature (C)", "unit"),
        (["0,20", "10,200", "20,300", "30,400"], "time (min),temperature", "°C or °F"),
        (["0,20", "10,200", "20,x", "30,400"], "time (min),temperature (C)", "x"),
        (["0,20", "10,200"], "time (min),temperature (C)", "four readings"),
        (["0,20", "10,21", "20,22", "30,23"], "time (min),temperature (C)", "neither a climb"),
        (["0,20", "10,200", "20,300", "30,380"], "time (min),temperature (C)", "only a climb"),
        ([f"{10 * k},{20 + 50 * k}" for k in range(12)], "time (min),temperature (C)", "straight"),
        (
            ["0,20", "10,200", "20,201", "30,202", "40,400", "50,500"],
            "time (min),temperature (C)",
            "stands still",
        ),
    ],
)
def test_wrong_logs_are_refused_in_words(cofire, rows: list[str], header: str, said: str) -> None:  # type: ignore[no-untyped-def]
    path = log(cofire, *rows, header=header)
    like = ("--like", "small-fibre") if said in ("stands still", "straight") else ()
    run = cofire("kiln-log", path, *like)
    assert run.code == 2
    assert said in run.err


def test_lustre_and_day(cofire) -> None:  # type: ignore[no-untyped-def]
    run = cofire("lustre", "silver-lustre", "--firing", "raku-workshop")
    assert run.code == 0
    assert "reduce it between" in run.out
    run = cofire(
        "day", "raku-workshop", "--pots", "28", "--pot", "12 x 15 cm", "--chamber", "40 x 45 cm",
        "--bins", "3",
    )  # fmt: skip
    assert run.code == 1  # the kiln has to cool before the next cold pots
    said = " ".join(run.out.split())
    assert "5 firings" in said and "with 12 pots (--pots 12)" in said
    wrong = cofire(
        "day", "raku-workshop", "--pots", "2", "--pot", "12 x 15", "--chamber", "40 x 45 cm",
        "--bins", "3",
    )  # fmt: skip
    assert wrong.code == 2
    assert "12 x 15 cm" in wrong.err


def test_pair_says_what_change_of_the_firing_helps(cofire) -> None:  # type: ignore[no-untyped-def]
    words = ("pair", "frit-gloss", "earthenware-gloss", "--firing", "raku-workshop")
    run = cofire(*words)
    assert run.code == 1
    assert "then yes (" in run.out
    data = json.loads(cofire(*words, "--json").out)
    assert data["change"]["odds"] >= 0.8
    assert len(data["overlaps"][0]["runs"]) == 11


def test_the_same_from_python() -> None:
    from cofire import Studio

    studio = Studio()
    answer = studio.firing("raku-workshop", ["frit-gloss"], kiln="small-brick", load="4 kg")
    assert answer.firing.load_kg == 4.0
    assert answer.glazes[0].ripe[-1] > 0.5
    assert studio.lustre("silver-lustre").metal_moves_from_c.value > 400.0


def test_fit_draws_its_strip(cofire, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    svg = tmp_path / "strip.svg"
    run = cofire("fit", "frit-gloss", "clear-crackle", "--body", "raku", "--svg", str(svg))
    assert run.code in (0, 1)
    drawn = svg.read_text("utf-8")
    assert drawn.count('class="middle"') == 2
    assert "nan" not in drawn
