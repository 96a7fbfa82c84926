"""``cofire card``: the screen shows the scores that the refit wrote."""

from __future__ import annotations

import json
from importlib import resources
from typing import Any

import pytest


def scores() -> dict[str, Any]:
    (path,) = (
        p
        for p in (resources.files("cofire") / "glass").rglob("scores.json")  # type: ignore[attr-defined]
    )
    return dict(json.loads(path.read_text("utf-8")))


def test_the_screen_shows_every_property_and_table(cofire: Any) -> None:
    run = cofire("card")
    assert run.code == 0, run.err
    lines = run.out.splitlines()
    found = scores()
    rows = [line for line in lines if "%" in line and any(c.isdigit() for c in line)]
    for one in found["properties"].values():
        covered = f"{100.0 * one['covered_90']:.0f} %"
        assert any(f"{one['miss']:.3g}" in row and covered in row for row in rows), one["miss"]
    for group in ("expansion_tables", "viscosity_models"):
        for one in found[group].values():
            assert any(
                f"{one['miss']:.2f}" in line and f"{one['ours']:.2f}" in line for line in lines
            )
    assert all(len(line) <= 100 for line in lines)


def test_numbers_of_few_glasses_are_not_shown(cofire: Any) -> None:
    run = cofire("card")
    few = [v for v in scores()["viscosity_models"].values() if v.get("core_rows", 0) < 20]
    rows = [line for line in run.out.splitlines() if line.rstrip().endswith("–")]
    assert len(few) > 0 and len(rows) >= len(few)


def test_json_has_the_same_and_a_page_is_no_json(cofire: Any) -> None:
    data = json.loads(cofire("card", "--json").out)
    assert data.pop("schema")["name"] == "cofire.card"
    assert data == scores()
    run = cofire("card", "--json", "--save", "card.html")
    assert run.code == 2 and "choose one" in run.err
    assert not (cofire.folder / "card.html").exists()


def test_the_page_is_saved(cofire: Any) -> None:
    run = cofire("card", "--save", "card.html")
    assert run.code == 0 and "card.html" in run.out
    page = (cofire.folder / "card.html").read_text("utf-8")
    assert page.lower().startswith("<!doctype html")
    miss = scores()["properties"]["expansion"]["miss"]
    assert f"{miss:.2f}" in page or f"{miss:.3g}" in page


@pytest.mark.parametrize("words", [("card", "more"), ("card", "--save")])
def test_what_it_does_not_take(cofire: Any, words: tuple[str, ...]) -> None:
    assert cofire(*words).code == 2
