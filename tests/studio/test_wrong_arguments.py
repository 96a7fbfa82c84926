"""Whatever is wrong with an argument, a CofireError says so: no other error ever comes out."""

from __future__ import annotations

import contextlib
import inspect
from decimal import Decimal
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import cofire

STUDIO = cofire.Studio()
#: Enough for a method to run, where an argument has no default.
USUAL: dict[str, Any] = {
    "recipe": "frit-gloss", "recipes": ["frit-gloss"], "body": "raku", "firing": "raku-workshop",
    "gone": "kaolin", "formula": "frit-gloss", "tiles": ["frit-gloss, 1 dip, whole"],
    "logs": "no.csv", "kiln": "small-fibre", "name": "talc", "material": "talc",
    "nickname": "T", "to": "x.json", "exported": "no.json", "id": "a", "names": ["a"],
    "supplier": "b", "date": "c", "pots": 3, "pot": "9 x 9 cm", "chamber": "40 x 40 cm", "bins": 1,
    "number": 1, "pack": None, "file": "a.toml", "compositions": {"SiO2": [1.0]}, "basis": "mol",
    "answer": None, "plan": None, "want": "wider",
}  # fmt: skip
WRONG: list[Any] = [
    None, 3, -1, 2.5, float("nan"), float("inf"), True, "", " ", "\0", "no such thing", "5" * 500,
    "x" * 5000, [], [4], [None], ["a", 3], {}, {"base": 3}, {3: 4}, {"base": {"kaolin": None}},
    {"base": {"kaolin": -1}}, {"surface": "gloss", "base": {"kaolin": float("nan")}}, b"bytes",
    object(), np.zeros(3), np.zeros((2, 2)), 10**30, -(10**30), Decimal("NaN"), {"a"}, 1j, "=1+1",
    Path("no/such/file"), Path("\0"), Path("x" * 5000), Path(), ("a", "b"), "a/b",
]  # fmt: skip
METHODS = [
    name
    for name in dir(cofire.Studio)
    if not name.startswith("_") and callable(getattr(cofire.Studio, name))
]
CONDITIONS = sorted(cofire.Conditions.read.__globals__["Asked"].__annotations__)
BATCH = [
    "dry", "dry_g", "bucket", "bucket_l", "pieces", "tile", "mug", "pot", "shared", "methods",
    "density", "scale", "scale_g", "units", "buckets", "bucket_size", "bucket_size_l", "school",
    "even_with", "people", "teams", "title", "date", "bins", "hands", "scale_carries",
    "scale_carries_g",
]  # fmt: skip


def ask(method: Any, **given: Any) -> None:
    """Ask; a CofireError is an answer too, anything else is not."""
    try:
        method(**given)
    except cofire.CofireError as error:
        assert str(error).strip()
        assert "Traceback" not in str(error)


def usual(method: Any) -> dict[str, Any]:
    return {
        name: USUAL[name]
        for name, parameter in inspect.signature(method).parameters.items()
        if parameter.default is parameter.empty
        and parameter.kind not in (parameter.VAR_KEYWORD, parameter.VAR_POSITIONAL)
    }


@pytest.fixture(autouse=True)
def _elsewhere(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)


@pytest.mark.parametrize("name", METHODS)
def test_arguments_of_every_kind(name: str) -> None:
    method = getattr(STUDIO, name)
    for parameter in inspect.signature(method).parameters.values():
        if parameter.kind is parameter.VAR_KEYWORD:
            continue
        for wrong in WRONG:
            if parameter.kind is parameter.VAR_POSITIONAL:
                with contextlib.suppress(cofire.CofireError):
                    method(*usual(method).values(), wrong)
            elif not (name == "init" and isinstance(wrong, str | Path)):
                ask(method, **(usual(method) | {parameter.name: wrong}))


@pytest.mark.parametrize("name", CONDITIONS)
def test_conditions_of_every_kind(name: str) -> None:
    for wrong in WRONG:
        ask(STUDIO.conditions, **({"firing": "raku-workshop"} | {name: wrong}))
        ask(STUDIO.conditions, **{name: wrong})


@pytest.mark.parametrize("name", BATCH)
def test_batches_of_every_kind(name: str) -> None:
    for wrong in WRONG:
        ask(STUDIO.batch, recipes="frit-gloss", **{name: wrong})
        ask(STUDIO.batch, recipes="frit-gloss", **({"pieces": "20 tiles"} | {name: wrong}))


@pytest.mark.parametrize(
    ("method", "given"),
    [
        ("fit", {}),
        ("fit", {"recipe": "frit-gloss", "body": "raku", "colour": "red"}),
        ("pair", {"recipes": "frit-gloss", "firing": "raku-workshop", "odds": 80}),
        ("blend", {"recipes": ["frit-gloss"] * 9}),
        ("blend", {"recipes": ["frit-gloss", "cobalt-gloss"], "steps": True}),
        ("blend", {"recipes": ["frit-gloss", "cobalt-gloss"], "scale": "1 g"}),
        ("map", {"recipe": "frit-gloss", "show": "bogus"}),
        ("batch", {"recipes": "frit-gloss", "dry": "1 kg", "dry_g": 1000}),
        ("batch", {"recipes": "frit-gloss", "units": "stone"}),
        ("batch", {"recipes": "frit-gloss", "people": 0}),
        ("formula", {"recipe": 5}),
        ("check", {"nothing": 1}),
    ],
)
def test_what_is_refused(method: str, given: dict[str, Any]) -> None:
    with pytest.raises(cofire.CofireError):
        getattr(STUDIO, method)(**given)


def test_a_studio_that_is_none() -> None:
    for wrong in WRONG:
        if wrong not in ("", None, Path()) if not isinstance(wrong, np.ndarray) else True:
            with pytest.raises(cofire.CofireError):
                cofire.Studio(wrong)
    with pytest.raises(cofire.CofireError, match="Studio"):
        cofire.Studio(3)  # type: ignore[arg-type]


def test_numbers_of_numpy_are_numbers() -> None:
    at = STUDIO.conditions(wall_mm=np.float32(5.0), odds=np.float64(0.9))
    assert (at.wall_mm, at.odds) == (5.0, 0.9)
    assert STUDIO.blend(["frit-gloss", "cobalt-gloss"], steps=np.int64(3)).to_dict()["steps"] == 3


@pytest.mark.parametrize(
    ("method", "given"),
    [
        ("lustre", {"recipe": "copper-lustre", "body": "raku"}),
        ("lustre", {"recipe": "copper-lustre", "coat_mm": 0.3}),
        ("fit", {"recipe": "frit-gloss", "body": "raku", "ripple_mm": 3}),
        ("firing", {"firing": "raku-workshop", "odds": 0.9}),
        ("tile", {"tiles": ["frit-gloss, 1 dip, whole"], "body": "raku", "coat": "2 dips"}),
        ("pair", {"recipes": "frit-gloss", "firing": "raku-workshop", "steam": "5 bar, 2 h"}),
        ("map", {"recipe": "frit-gloss", "price_per_kwh": 3}),
    ],
)
def test_what_an_answer_does_not_read_is_refused(method: str, given: dict[str, Any]) -> None:
    with pytest.raises(cofire.CofireError, match="no condition called"):
        getattr(STUDIO, method)(**given)


def test_answers_cannot_change_later_answers() -> None:
    before = STUDIO.formula("frit-gloss").to_dict()
    material = STUDIO.recipe("frit-gloss").base[0].material
    for change in ("clear", "pop", "update", "setdefault"):
        with pytest.raises(cofire.CofireError):
            getattr(material.oxides_wt_percent, change)("B2O3")
    STUDIO.card().scores.clear()
    assert STUDIO.card().scores
    assert STUDIO.formula("frit-gloss").to_dict() == before


def test_exact_decimals_are_numbers() -> None:
    pack = STUDIO.batch("clear-crackle", dry_g=Decimal("1000.5"))
    weight = pack.sheets[0].buckets[0].weighings[0].weigh_g
    assert STUDIO.table("clear-crackle", dry_g=weight).unit == "g"


def test_the_recipe_whose_formula_it_is_makes_it() -> None:
    for name in ("frit-gloss", "satin-white", "borate-gloss", "white-crackle"):
        assert STUDIO.compose(name).yes
