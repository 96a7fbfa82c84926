"""Screens: what is read first, what folds, and what no width breaks."""

from __future__ import annotations

import functools
import importlib
import re
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from rich.cells import cell_len

import cofire as package
from cofire.findings import Finding
from cofire.show.screen import Screen
from cofire.show.terminal import LEAST_WIDTH

DAY, TWO = "raku-workshop", ["clear-crackle", "turquoise-crackle"]
#: Main screens: the question in Python, its view, and a word of what would help.
ASKED: dict[str, tuple[Callable[[package.Studio], Any], str, str]] = {
    "pair yes": (lambda s: s.pair(TWO, DAY, body="yard-raku"), "pair.show_pair", "peak"),
    "pair close": (lambda s: s.pair([TWO[0], "frit-gloss", "copper-lustre"], DAY),
                   "pair.show_pair", "then yes"),
    "pair no": (lambda s: s.pair(TWO, DAY, body="unknown", odds=0.9),
                "pair.show_pair", "then yes"),
    "fit in a kiln": (lambda s: s.rank(["clear-crackle"], body="raku"),
                      "fit.show_fits", "cofire tile"),
    "fit pulled": (lambda s: s.rank(["clear-crackle"], body="raku", coat="3 brushed", firing=DAY),
                   "fit.show_fits", "cofire tile"),
    "fit shivers": (lambda s: s.rank(["frit-gloss"], body="talc-earthenware"),
                    "fit.show_fits", "cofire adjust frit-gloss"),
    "fit ranked": (lambda s: s.rank(["clear-crackle", "frit-gloss", "true-matte"], body="raku"),
                   "fit.show_fits", "cofire adjust"),
    "formula": (lambda s: s.formula("clear-crackle"), "formula.show_formula", "cofire fit"),
    "firing": (lambda s: s.firing(DAY, ["clear-crackle", "frit-gloss"]), "firing.show_firing",
               "cofire pair"),
    "adjust yes": (lambda s: s.adjust("clear-crackle", ["expansion 7.2"]), "adjust.show_adjust",
                   "--save"),
    "adjust no": (lambda s: s.adjust("satin-white", body="raku", firing=DAY, odds=0.9),
                  "adjust.show_adjust", "--from"),
    "swap": (lambda s: s.swap("white-crackle", "natural borate"), "swap.show_swaps", "--save"),
    "compose": (lambda s: s.compose("0.3 Na2O, 0.7 CaO, 0.35 Al2O3, 3 SiO2, 0.3 B2O3"),
                "compose.show_compose", "--save"),
    "blend": (lambda s: s.blend(["clear-crackle", "frit-gloss"], steps=8, firing=DAY, body="raku",
                                tiles=3), "blend.show_blend", "Fire"),
    "map": (lambda s: s.map("frit-gloss", "silica 0-40", "kaolin 0-30", body="raku", firing=DAY),
            "family_map.show_map", "to get there"),
    "levers": (lambda s: s.levers("frit-gloss", want="crazes at most 20 %", body="raku"),
               "levers.show_levers", "cofire adjust"),
    "shake": (lambda s: s.shake("frit-gloss", body="raku", firing=DAY, batch_g=200),
              "sensitivity.show_sensitivity", "fire a tile"),
    "lustre": (lambda s: s.lustre("copper-lustre", firing=DAY), "lustre.show_lustre", "bin shut"),
    "tile": (lambda s: s.tile(["clear-crackle, 3 brushed, crazed 4 mm",
                               "frit-gloss, 3 brushed, whole"], "raku"), "tile.show_tiles", "tile"),
    "day": (lambda s: s.day("raku-one-load", pots=18, pot="12 x 15 cm", chamber="60 x 50 cm",
                            bins=6, kiln="gas-raku", start="9:00", end="15:30"),
            "day.show_day", "bins"),
    "batch": (lambda s: s.batch("white-crackle", bucket="10 l", scale="1 g"), "batch.show_pack",
              ""),
}  # fmt: skip
#: Sheets to work by are as long as the work.
SHEETS = {"batch"}
WIDTHS = (60, 80, 120)
BRIEF, MORE, CAUTIONS = Screen(brief=True), Screen(more=True), Screen(cautions=True)
#: Lines that list as much as fits, and say so.
LISTS = re.compile(r"(danger|warning|caution|note) ")


@functools.cache
def answer_to(name: str) -> Any:
    return ASKED[name][0](package.Studio())


@pytest.fixture
def show(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Callable[..., list[str]]:
    def shown(name: str, width: int = 80, screen: Screen | None = None, answer: Any = None) -> Any:
        monkeypatch.setenv("COLUMNS", str(width))
        module, _, function = ASKED[name][1].rpartition(".")
        view = getattr(importlib.import_module(f"cofire.show.{module}"), function)
        capsys.readouterr()
        view(answer or answer_to(name), screen=screen or Screen())
        return capsys.readouterr().out.splitlines()

    return shown


def head(lines: list[str]) -> str:
    """What stands above the first heading, or the first empty line after something."""
    text = "\n".join(lines).lstrip("\n")
    return text.partition("\n\n")[0]


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("name", ASKED)
def test_no_line_is_wider_than_the_screen_and_nothing_is_cut(
    show: Callable[..., list[str]], name: str, width: int
) -> None:
    for screen in (None, MORE, CAUTIONS):
        for line in show(name, width, screen):
            assert cell_len(line) <= width, line
            assert "…" not in line or LISTS.match(line), line


@pytest.mark.parametrize("name", ["fit pulled", "firing", "map"])
@pytest.mark.parametrize("width", [10, 30])
def test_a_screen_too_narrow_for_a_picture_breaks_its_lines_and_no_more(
    show: Callable[..., list[str]], name: str, width: int
) -> None:
    assert all(cell_len(line) <= LEAST_WIDTH for line in show(name, width))


@pytest.mark.parametrize("name", sorted(set(ASKED) - SHEETS))
def test_an_answer_with_its_notes_fits_a_screen(show: Callable[..., list[str]], name: str) -> None:
    lines = show(name, 80)
    assert len(lines) <= 40, "\n".join(lines)


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("name", ASKED)
def test_the_headline_holds_verdict_number_and_remedy(
    show: Callable[..., list[str]], name: str, width: int
) -> None:
    first = " ".join(head(show(name, width)).split())
    yes = getattr(answer_to(name), "yes", None)
    verdict = {True: "YES", False: "NO"}.get(yes) if name not in ("batch",) else "YES"
    if verdict and name != "map":
        assert first.startswith(verdict), first
    assert re.search(r"\d", first), first
    assert ASKED[name][2] in first, first


@pytest.mark.parametrize("name", ASKED)
def test_brief_is_one_line_with_a_number(show: Callable[..., list[str]], name: str) -> None:
    for width in WIDTHS:
        (line,) = show(name, width, BRIEF)
        assert cell_len(line) <= width and re.search(r"\d", line), line
        assert not line.endswith("…"), line


@pytest.mark.parametrize("name", ASKED)
def test_no_screen_says_the_same_sentence_twice(show: Callable[..., list[str]], name: str) -> None:
    words = [re.sub(r"\W+", " ", line).strip() for line in show(name, 120)]
    long = [
        line
        for line in words
        if len(re.findall(r"[^\W\d]{2,}", line)) >= 6 and not line.startswith("[")
    ]
    assert len(long) == len(set(long)), [line for line in long if long.count(line) > 1]


@pytest.mark.parametrize("name", ["pair yes", "fit pulled", "formula", "lustre"])
def test_cautions_and_notes_fold_and_unfold(show: Callable[..., list[str]], name: str) -> None:
    answer = answer_to(name)
    findings = answer.findings if hasattr(answer, "findings") else answer.alone.findings
    cautions = [f for f in findings if f.act]
    folded, full = " ".join(show(name)), show(name, 120, CAUTIONS)
    assert f"{len(cautions)} cautions: --cautions" in folded
    for caution in cautions:
        assert caution.message not in folded
        assert caution.message.split(".")[0] in " ".join(" ".join(full).split())
    more = " ".join(" ".join(show(name, 120, MORE)).split())
    for note in (f for f in findings if f.severity == "note" and not f.act):
        assert note.message.split(";")[0].split(". ")[0] in more


def test_cautions_of_a_material_are_in_full_until_they_were_read(
    show: Callable[..., list[str]],
) -> None:
    dust = "Dust with crystalline silica scars lungs for good."
    cautions = [f for f in answer_to("formula").findings if f.materials]
    known = frozenset((f.code, one) for f in cautions for one in f.materials)
    assert any(dust in line for line in show("formula", 120, Screen(known=frozenset())))
    assert not any(dust in line for line in show("formula", 120, Screen(known=known)))
    some = frozenset(pair for pair in known if pair != ("silica-dust", "kaolin-ideal"))
    assert any(dust in line for line in show("formula", 120, Screen(known=some)))


@pytest.mark.parametrize(
    "code", ["edges", "thin-data", "melting-unknown", "overlap-runs", "supply-trips"]
)
def test_what_nobody_may_miss_stands_in_the_headline(
    show: Callable[..., list[str]], code: str
) -> None:
    from cofire.answers.findings.texts import _texts

    assert _texts()[code]["headline"] is True
    answer = answer_to("pair yes")
    grave = Finding(code, "caution", "Nobody may miss this.", headline=True)
    shown = show("pair yes", 80, None, replace(answer, findings=(*answer.findings, grave)))
    assert "Nobody may miss this." in head(shown)


def test_shivering_rims_stand_in_the_headline_of_a_fit(show: Callable[..., list[str]]) -> None:
    first = " ".join(head(show("fit shivers")).split())
    assert "could shiver" in first and "Round the edges" in first


def test_too_close_to_call_is_in_headline_and_brief(show: Callable[..., list[str]]) -> None:
    assert "too close to call" in head(show("pair close"))
    assert "too close to call" in show("pair close", 80, BRIEF)[0]


def test_an_overlap_that_runs_is_the_verdict(show: Callable[..., list[str]]) -> None:
    from cofire.answers.messages.pair import pair_sentence

    answer = answer_to("pair yes")
    runs = replace(answer.overlaps[0], runs=0.0 * answer.overlaps[0].runs + 0.6)
    wet = replace(answer, overlaps=(runs,), odds_overlaps_stay=0.4, verdict="no")
    wet = replace(wet, sentence=pair_sentence(wet))
    first = " ".join(head(show("pair yes", 80, None, wet)).split())
    assert first.startswith("NO they run where they overlap (60 %)")
    assert "over each other" in first and first.count("eep them apart") == 1


def test_what_never_happens_is_none_not_an_empty_bar(show: Callable[..., list[str]]) -> None:
    answer = answer_to("pair yes")
    dry = replace(answer.overlaps[0], runs=0.0 * answer.overlaps[0].runs)
    lines = show("pair yes", 80, None, replace(answer, overlaps=(dry,)))
    assert any(re.fullmatch(r"\s+run\s+none", line) for line in lines)


def test_what_lies_beyond_the_strip_is_marked(show: Callable[..., list[str]]) -> None:
    beyond, within = "▶ off scale", show("fit pulled", 120)
    stress = answer_to("fit pulled").alone.stress_mpa
    assert (stress.high > 180.0) == any(beyond in line for line in within)
    fit = answer_to("fit pulled").alone
    low = replace(fit, stress_mpa=replace(stress, value=0.0, low=-20.0, high=20.0),
                  most_on_the_way_mpa=replace(stress, value=0.0, low=-20.0, high=20.0))  # fmt: skip
    lines = show("fit pulled", 120, None, replace(answer_to("fit pulled"), glazes=(low,)))
    assert not any("off scale" in line for line in lines)


def test_blends_are_labelled_in_mm(show: Callable[..., list[str]]) -> None:
    lines = show("blend")
    spacing = answer_to("blend").seen.crack_spacing_mm
    assert any(f"{spacing[0]:.0f}mm" in line for line in lines)
    assert f"{spacing[0]:.0f} mm apart at A1" in head(lines)


@pytest.mark.parametrize("variables", [{"NO_COLOR": "1"}, {"PYTHONIOENCODING": "cp1252"}, {}])
def test_pipes_get_plain_text_and_the_same_exit_code(
    cofire: Any, monkeypatch: pytest.MonkeyPatch, variables: dict[str, str]
) -> None:
    import subprocess
    import sys

    for name, value in variables.items():
        monkeypatch.setenv(name, value)
    words = [sys.executable, "-m", "cofire", "fit", "frit-gloss", "--body", "talc-earthenware"]
    whole = subprocess.run(words, capture_output=True, text=True, encoding="utf-8")
    brief = subprocess.run([*words, "--brief"], capture_output=True, text=True, encoding="utf-8")
    assert whole.returncode == brief.returncode == 1
    assert not whole.stderr and "\x1b" not in whole.stdout and "shiver" in whole.stdout
    assert len(brief.stdout.splitlines()) == 1 and brief.stdout.startswith("no: ")
