"""``cofire shake`` as people type it."""

from __future__ import annotations

import json

import pytest

ALL = ("--body", "yard-raku", "--firing", "raku-workshop")


def test_it_fits_eighty_columns_and_names_every_source(cofire, monkeypatch) -> None:  # type: ignore[no-untyped-def]
    monkeypatch.setenv("COLUMNS", "80")
    run = cofire("shake", "clear-crackle", *ALL, "--more")
    assert run.code == 0, run.out
    assert max(len(line) for line in run.out.splitlines()) <= 80
    for said in ("depends most", "most carefully", "weighing", "analyses", "the glass models",
                 "coat", "pyrometer", "the clay", "all drawn at once"):  # fmt: skip
        assert said in run.out


def test_no_is_one_and_nothing_asked_is_zero(cofire) -> None:  # type: ignore[no-untyped-def]
    assert cofire("shake", "does-not-work", "--firing", "raku-workshop").code == 1
    assert cofire("shake", "does-not-work").code == 0


def test_json_has_units_and_the_same_numbers(cofire) -> None:  # type: ignore[no-untyped-def]
    data = json.loads(cofire("shake", "frit-gloss", *ALL, "--batch", "1 lb", "--json").out)
    assert data["batch_g"] == pytest.approx(453.59237)
    assert sum(m["grams"] for m in data["materials"]) == pytest.approx(453.59237)
    for row in data["materials"]:
        assert row["one_hundredth_of_the_batch_more"]["more_g"] == pytest.approx(4.5359237)
    added = sum(d["expansion_1e6_per_k"] ** 2 for d in data["half_widths_90_percent"]) ** 0.5
    assert data["squares_added"]["expansion_1e6_per_k"] == pytest.approx(added)
    assert data["weigh_most_carefully"] == "lithium carbonate"


def test_a_little_cobalt_on_a_coarse_scale(cofire) -> None:  # type: ignore[no-untyped-def]
    path = cofire.write(
        "blue.toml",
        'name = "Blue"\nsurface = "gloss"\n[base]\nfrit-3195-type = 88\nkaolin = 12\n'
        '[additions]\n"cobalt carbonate" = 0.2\n',
    )
    said = " ".join(cofire("shake", path).out.split())
    assert "cobalt carbonate: 0.2 g is too little for a scale with steps of 0.1 g" in said
    assert "500 g" in said
    assert "too little" not in cofire("shake", path, "--batch", "500 g").out


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--batch", "100"), "unit"),
        (("--scale", "0.1"), "unit"),
        (("--scale", "60 g"), "cannot weigh"),
        (("--batch", "3 mm"), "weight"),
        (("--body", "rakoo"), "Did you mean"),
    ],
)
def test_what_cannot_be_weighed_is_said(cofire, words: tuple[str, ...], said: str) -> None:  # type: ignore[no-untyped-def]
    run = cofire("shake", "frit-gloss", *words)
    assert run.code == 2
    assert said in run.err
    assert "Traceback" not in run.err
