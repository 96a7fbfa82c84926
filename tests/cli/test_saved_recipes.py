"""What adjust, swap and compose save is the recipe that they told of."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path
from typing import Any

import pytest

WISH = ("adjust", "clear-crackle", "--want", "expansion 7.2")


def formula(cofire: Any, name: object) -> dict[str, Any]:
    return dict(json.loads(cofire("formula", name, "--json").out))


def amounts(path: Path, section: str = "base") -> dict[str, float]:
    return dict(tomllib.loads(path.read_text("utf-8"))[section])


def test_an_adjusted_recipe_is_saved_as_it_was_told(cofire: Any) -> None:
    """The file brings the expansion that was asked, whatever the answer said of itself."""
    run = cofire(*WISH, "--save", "new.toml", "--json")
    assert run.code == 0, run.err
    first = json.loads(run.out)["proposals"][0]
    saved = formula(cofire, "new.toml")
    assert saved["expansion"]["value"] == pytest.approx(7.2, abs=0.06)
    assert sum(amounts(cofire.folder / "new.toml").values()) == pytest.approx(100.0, abs=0.011)
    assert {p["material"]: p["amount"] for p in saved["base"]} == pytest.approx(first["base"])
    assert {p["material"]: p["amount"] for p in saved["additions"]} == pytest.approx(
        first["additions"]
    )
    assert saved["unity"] == pytest.approx(first["unity"], rel=1e-3, abs=1e-5)
    assert cofire("check", "new.toml").code == 0
    was = (cofire.folder / "new.toml").read_bytes()
    again = cofire(*WISH, "--save", "new.toml")
    assert again.code == 2 and "new.toml" in again.err
    assert (cofire.folder / "new.toml").read_bytes() == was


def test_on_the_screen_it_says_where_it_was_saved(cofire: Any) -> None:
    run = cofire(*WISH, "--save", "new.toml")
    assert run.code == 0 and "new.toml" in run.out
    for name, amount in amounts(cofire.folder / "new.toml").items():
        assert f"{amount:.1f}" in run.out and name.split(",")[0].split("-")[0] in run.out
    refused = cofire(*WISH, "--save", "new.txt")
    assert refused.code == 2 and not (cofire.folder / "new.txt").exists()


def test_a_cheaper_recipe_reads_the_prices_of_the_stock(cofire: Any) -> None:
    """By hand: 60 of 6, 28 of 5, 12 of 1.20 and 1 of 2 a kg are 516.4 for 101 kg, 0.511 for 100 g;
    prices are written as people buy: for a bag, or per pound."""
    cofire.write(
        "stock.toml",
        '["frit-3110-type"]\nprice = "30 per 5 kg"\n["frit-3134-type"]\nprice = "5 / kg"\n'
        '["kaolin-ideal"]\nprice = "30.00 per 25 kg"\n[silica]\nprice = "0.80 per kg"\n'
        '["bentonite-sodium"]\nprice = "0.90718474 per lb"\n',
    )
    words = ("adjust", "clear-crackle", "--want", "cost at most 0.45", "--json")
    data = json.loads(cofire(*words).out)
    (before,) = (w for w in data["now"]["targets"] if w["target"].startswith("cost"))
    assert before["value"] == pytest.approx(51.64 / 101.0, rel=1e-6)
    assert data["yes"]
    per_kg = {"frit-3110-type": 6.0, "frit-3134-type": 5.0, "kaolin-ideal": 1.2, "silica": 0.8,
              "bentonite-sodium": 2.0}  # fmt: skip
    for proposal in data["proposals"]:
        parts = {**proposal["base"], **proposal["additions"]}
        assert set(parts) <= set(per_kg)  # nothing comes in whose price nobody gave
        cost = sum(per_kg[key] * part for key, part in parts.items()) / sum(parts.values()) / 10.0
        assert cost <= 0.4501
        (met,) = (w for w in proposal["targets"] if w["target"].startswith("cost"))
        assert met["value"] == pytest.approx(cost, rel=1e-6)
    (cofire.folder / "stock.toml").unlink()
    refused = cofire(*words)
    assert refused.code == 2 and "price" in refused.err


def test_rebuilt_recipes_are_saved_one_by_one(cofire: Any) -> None:
    (cofire.folder / "new").mkdir()
    words = ("swap", "white-crackle", "true-matte", "kaolin", "--save", "new", "--json")
    run = cofire(*words)
    data = json.loads(run.out)
    assert run.code == (0 if data["yes"] else 1)
    assert len(data["recipes"]) == 2 and not data["failed"]
    saved = {p.stem: p for p in (cofire.folder / "new").iterdir()}
    assert set(saved) == {r["ways"][0]["id"] for r in data["recipes"]}
    for one in data["recipes"]:
        way = one["ways"][0]
        told = formula(cofire, saved[way["id"]])
        assert one["without"] not in {p["material"] for p in (*told["base"], *told["additions"])}
        assert told["unity"] == pytest.approx(way["unity"], rel=2e-3, abs=1e-4)
        assert told["notes"].startswith(f"From “{one['name']}” without ")
    was = {name: path.read_bytes() for name, path in saved.items()}
    again = cofire(*words)  # resumes: what it made already is fine
    assert again.code == run.code
    assert {p.stem: p.read_bytes() for p in (cofire.folder / "new").iterdir()} == was


def test_a_swap_needs_a_folder_that_is_there(cofire: Any) -> None:
    run = cofire("swap", "white-crackle", "kaolin", "--save", "nowhere")
    assert run.code == 2 and "does not exist" in run.err
    assert not (cofire.folder / "nowhere").exists()
    refused = cofire("swap", "--every-recipe", "white-crackle", "kaolin")
    assert refused.code == 2 and "--every-recipe" in refused.err
    nobody = cofire("swap", "--every-recipe", "lead bisilicate")
    assert nobody.code == 2


def test_the_screen_tells_of_one_swap_and_of_many(cofire: Any) -> None:
    (cofire.folder / "new").mkdir()
    one = cofire("swap", "white-crackle", "kaolin", "--save", "new")
    assert one.code == 0, one.err
    assert "new" in one.out and "white-crackle-swapped" in [
        p.stem for p in (cofire.folder / "new").iterdir()
    ]
    many = cofire("swap", "white-crackle", "frit-gloss", "tin oxide")
    assert many.code == 1  # one of them holds none
    assert "Clear water gloss" in many.out


def test_a_composed_recipe_is_saved(cofire: Any) -> None:
    """The formula typed comes back out of the file."""
    typed = {"Na2O": 0.3, "CaO": 0.7, "Al2O3": 0.35, "SiO2": 3.0, "B2O3": 0.3}
    words = ", ".join(f"{v} {k}" for k, v in typed.items())
    run = cofire("compose", words, "--save", "made.toml")
    assert run.code == 0, run.err
    assert "made.toml" in run.out
    found = formula(cofire, "made.toml")["unity"]
    for oxide, moles in typed.items():
        assert found[oxide] == pytest.approx(moles, abs=0.02)


def test_what_a_swap_moves_stands_out(cofire: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    """Bold is what differs from the recipe by half of the last digit shown, or more."""
    words = ("swap", "white-crackle", "kaolin")
    way = json.loads(cofire(*words, "--json").out)["recipes"][0]["ways"][0]
    after = {p["written"]: p["amount"] for p in (*way["base"], *way["additions"])}
    recipe = formula(cofire, "white-crackle")
    before = {p["written"]: p["amount"] for p in (*recipe["base"], *recipe["additions"])}
    monkeypatch.setenv("FORCE_COLOR", "1")
    lines = cofire(*words).out.splitlines()
    seen = set()
    for name, amount in before.items():
        if name not in after:
            continue
        (line, *_) = (text for text in lines if name in text and f"{after[name]:.1f}" in text)
        moved = abs(after[name] - amount) >= 0.05
        assert (f"\x1b[1m{after[name]:.1f}" in line) == moved, line
        seen.add(moved)
    assert seen == {True, False}
