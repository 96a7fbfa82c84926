"""``cofire blend``: exit codes, the drawn figure, JSON, CSV and SVG that agree with each other."""

from __future__ import annotations

import csv
import json
import re
import xml.etree.ElementTree as ET
from typing import Any

import pytest

from cofire.answers.blend.blend import blend
from cofire.answers.blend.results import Plan
from cofire.files.library import Library
from cofire.model.conditions import Conditions
from cofire.show.blend import MARGIN, figure

TRIANGLE = ("blend", "white-crackle", "frit-gloss", "true-matte")
ASKED = ("--firing", "raku-workshop", "--body", "yard-raku")


def test_yes_no_and_neither(cofire) -> None:  # type: ignore[no-untyped-def]
    assert cofire(*TRIANGLE, *ASKED).code == 0
    never = cofire("blend", "does-not-work", "earthenware-gloss", "--firing", "raku-workshop",
                   "--odds", "0.99")  # fmt: skip
    assert never.code == 1
    assert "NO" in never.out
    neither = cofire(*TRIANGLE)
    assert neither.code == 0
    assert "--firing" in neither.out


def test_terminal_csv_json_and_svg_use_the_same_labels(cofire) -> None:  # type: ignore[no-untyped-def]
    words = (*TRIANGLE, *ASKED, "--steps", "4", "--cup", "50 g", "--svg", "b.svg", "--csv", "b.csv")
    data = json.loads(cofire(*words, "--json").out)
    shown = cofire(*words[:-2]).out  # a table is never replaced
    rows = list(csv.DictReader((cofire.folder / "b.csv").open(newline="")))
    assert len(rows) == len(data["rows"]) == 15
    text = "".join(ET.fromstring((cofire.folder / "b.svg").read_text()).itertext())
    for row, point in zip(rows, data["rows"], strict=True):
        assert row["label"] == point["label"]
        assert re.search(rf"\b{point['label']}\b", shown)
        assert point["label"] in text
        assert row["word"] == point["word"]
        assert float(row["odds_right"]) == pytest.approx(point["odds_right"], abs=1e-5)
        shares = [float(v) for k, v in row.items() if k.endswith("(dry share)")]
        assert sum(shares) == pytest.approx(1.0, abs=1e-5)
        cup = [round(10 * float(v)) for k, v in row.items() if k.endswith("(g)")]
        assert sum(cup) == 500
        assert sum(round(10 * v) for v in point["cup"].values()) == 500
    assert sum(data["cups"]["totals"]) == pytest.approx(15 * 50.0)


def test_changes_are_where_words_differ(cofire) -> None:  # type: ignore[no-untyped-def]
    asked = ("--firing", "raku-workshop", "--body", "white-earthenware")
    data = json.loads(cofire(*TRIANGLE, *asked, "--svg", "b.svg", "--json").out)
    word = [row["word"] for row in data["rows"]]
    assert data["changes"]
    assert all(word[p] != word[q] for p, q in data["changes"])
    picture = (cofire.folder / "b.svg").read_text()
    # one line for each, and one in the key
    assert picture.count('class="gutter"') == len(data["changes"]) + 1


@pytest.mark.parametrize(
    "words",
    [
        (*TRIANGLE, *ASKED, "--steps", "10", "--tiles", "3"),
        (*TRIANGLE, "earthenware-gloss", *ASKED, "--steps", "20"),
        (*TRIANGLE, *ASKED, "--steps", "18", "--list"),
        (*TRIANGLE, *ASKED, "--steps", "20"),
        ("blend", "white-crackle", "does-not-work", *ASKED, "--cup", "60 ml", "--slurry", "1.45"),
        ("blend", "clear-crackle", "--add", "copper carbonate 0-5", "--add", "tin oxide 0-8",
         "--cup", "500 g", *ASKED),
        ("blend", "clear-crackle", "--add", "copper carbonate 0-5"),
    ],
)  # fmt: skip
def test_never_wider_than_a_terminal(cofire, monkeypatch, words) -> None:  # type: ignore[no-untyped-def]
    monkeypatch.setenv("COLUMNS", "80")
    run = cofire(*words)
    assert run.code == 0, run.err
    assert max(len(line.rstrip()) for line in run.out.splitlines()) <= 80


def between(data: dict[str, Any]) -> list[tuple[str, str]]:
    """Labels of the points between which the word changes."""
    labels = [row["label"] for row in data["rows"]]
    return [(labels[p], labels[q]) for p, q in data["changes"]]


def borders(drawn: list[str]) -> set[tuple[str, str]]:
    """Pairs of labels beside each other with an upright line between them."""
    found = set()
    for line in drawn:
        for cell in re.finditer(r"(?=\b([A-U]\d+)\b\s*│\s*◆?([A-U]\d+)\b)", line):
            found.add((cell[1], cell[2]))
    return found


def test_lines_of_the_figure_stand_where_words_change(cofire, monkeypatch) -> None:  # type: ignore[no-untyped-def]
    monkeypatch.setenv("COLUMNS", "80")
    words = ("blend", "earthenware-gloss", "clear-crackle", "true-matte", "does-not-work",
             "--firing", "raku-workshop", "--body", "raku", "--steps", "6")  # fmt: skip
    drawn = [line for line in cofire(*words).out.splitlines() if "│" in line]
    changes = between(json.loads(cofire(*words, "--json").out))
    beside = {(one, other) for one, other in changes if one[0] == other[0]}
    assert beside
    assert borders(drawn) == beside


def test_a_line_marks_the_change_between_its_rows(cofire) -> None:  # type: ignore[no-untyped-def]
    run = cofire("blend", "does-not-work", "clear-crackle", "--steps", "8", *ASKED)
    lines = run.out.splitlines()
    data = json.loads(
        cofire("blend", "does-not-work", "clear-crackle", "--steps", "8", *ASKED, "--json").out
    )
    ((above, below),) = between(data)
    at = next(k for k, line in enumerate(lines) if "↑" in line)
    assert lines[at - 1].split()[0] == above
    assert lines[at + 1].split()[0] == below
    assert lines[at].index("under") < lines[at].index("crazes")


def test_tiles_are_named_and_marked(cofire) -> None:  # type: ignore[no-untyped-def]
    data = json.loads(cofire(*TRIANGLE, *ASKED, "--tiles", "3", "--svg", "t.svg", "--json").out)
    chosen = [data["rows"][p]["label"] for p in data["tiles"]["chosen"]]
    assert len(set(chosen)) == 3
    shown = cofire(*TRIANGLE, *ASKED, "--tiles", "3").out
    assert f"Fire {chosen[0]}" in shown
    for label in chosen:
        assert f"◆{label}" in shown
    assert (cofire.folder / "t.svg").read_text().count('class="tile"') == 4  # one in the key


def test_csv_of_additions(cofire) -> None:  # type: ignore[no-untyped-def]
    run = cofire("blend", "clear-crackle", "--add", "tin oxide 0-8", "--csv", "t.csv")
    assert run.code == 0
    rows = list(csv.DictReader((cofire.folder / "t.csv").open(newline="")))
    column = next(k for k in rows[0] if k.endswith("(% of base)"))
    assert [float(r[column]) for r in rows] == pytest.approx([0.0, 1.6, 3.2, 4.8, 6.4, 8.0])


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("frit-gloss", "true-matte", "--steps", "0"), "--steps from 1 to 20"),
        (("frit-gloss", "true-matte", "--steps", "21"), "--steps from 1 to 20"),
        (("frit-gloss",), "--add"),
        (("frit-gloss", "frit-gloss"), "same batch"),
        (("frit-gloss", "--add", "unobtainium 0-5"), "unobtainium"),
        (("frit-gloss", "--add", "tin oxide 8-2"), "tin oxide 2-8"),
        (("frit-gloss", "--add", "tin oxide -1-2"), "starts below zero"),
        (("frit-gloss", "--add", "tin oxide 0-200"), "100 %"),
        (("frit-gloss", "--add", "tin oxide 0-5", "--cup", "5 g"), "--cup"),
        (("frit-gloss", "true-matte", "--cup", "50"), "unit"),
        (("frit-gloss", "true-matte", "--cup", "60 ml"), "--slurry"),
        (("frit-gloss", "true-matte", "--slurry", "145"), "1.45"),
        (("frit-gloss", "true-matte", "--slurry", "1.4", "--slurry", "1.5", "--slurry", "1.6"),
         "3 densities for 2"),
        (("frit-gloss", "true-matte", "--tiles", "2"), "--firing"),
    ],
)  # fmt: skip
def test_bad_input_says_what_to_write(cofire, words, said: str) -> None:  # type: ignore[no-untyped-def]
    run = cofire("blend", *words)
    assert run.code == 2
    assert said in re.sub(r"\s+", " ", run.err)


def test_nothing_is_called_safe(cofire) -> None:  # type: ignore[no-untyped-def]
    out = cofire("blend", "clear-crackle", "--add", "copper carbonate 0-5", *ASKED).out.lower()
    assert "food-safe" not in out
    assert "food safe" not in out
    assert "not for food" in re.sub(r"\s+", " ", out)


#: Which way the arms of a sign reach: up, down, left, right.
ARMS = {
    " ": "", "─": "lr", "│": "ud", "┌": "dr", "┐": "dl", "└": "ur", "┘": "ul", "├": "udr",
    "┤": "udl", "┬": "dlr", "┴": "ulr", "┼": "udlr",
}  # fmt: skip


@pytest.mark.parametrize(
    ("names", "steps"),
    [
        (("does-not-work", "clear-crackle", "frit-gloss"), 6),
        (("earthenware-gloss", "clear-crackle", "true-matte", "does-not-work"), 6),
        (("does-not-work", "clear-crackle"), 6),
    ],
)
def test_lines_of_the_figure_are_closed_and_part_what_differs(
    names: tuple[str, ...], steps: int
) -> None:
    """Poured in at one label, water reaches the labels of the same word that hang together with it
    and no others; and no line ends in the open."""
    lib = Library()
    at = Conditions(lib.body("raku"), lib.firing("raku-workshop"))
    answer = blend(lib, Plan([lib.recipe(n) for n in names], steps=steps), at)
    assert answer.changes
    drawn = [line.plain[MARGIN:] for line in figure(answer, 6, 2)]
    at = {(r, c): sign for r, line in enumerate(drawn) for c, sign in enumerate(line)}
    for (r, c), sign in at.items():
        arms = ARMS.get(sign, "")
        for arm, back, where in (("u", "d", (r - 1, c)), ("d", "u", (r + 1, c)),
                                 ("l", "r", (r, c - 1)), ("r", "l", (r, c + 1))):  # fmt: skip
            if arm in arms:
                assert back in ARMS.get(at.get(where, " "), ""), (r, c, sign)
    start = {
        match[0]: (r, match.start())
        for r, line in enumerate(drawn)
        for match in re.finditer(r"[A-U]\d+", line)
    }
    assert set(start) == set(answer.points.labels)
    if answer.points.form == "triangle":  # its first corner stands over the middle
        assert abs(start["A1"][1] + 1 - len(drawn[-1]) / 2) <= 1
    for p, label in enumerate(answer.points.labels):
        joined, ahead = {p}, [p]
        while ahead:
            here = ahead.pop()
            for a, b in answer.points.neighbours.tolist():
                for one, other in ((a, b), (b, a)):
                    alike = answer.words[one] == answer.words[other]
                    if one == here and alike and other not in joined:
                        joined.add(other)
                        ahead.append(other)
        wet, pour = {start[label]}, [start[label]]
        while pour:
            r, c = pour.pop()
            for where in ((r - 1, c), (r + 1, c), (r, c - 1), (r, c + 1)):
                if where in at and where not in wet and not ARMS.get(at[where], ""):
                    wet.add(where)
                    pour.append(where)
        reached = {other for other, spot in start.items() if spot in wet}
        assert reached == {answer.points.labels[q] for q in joined}
