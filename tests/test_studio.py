"""The Python API says the numbers of the command line."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from cofire import CofireError, Studio
from cofire.show.json import dumps, to_json

BODY, FIRING = ("--body", "raku"), ("--firing", "raku-workshop")
WHERE = {"body": "raku", "firing": "raku-workshop"}
COAT = {"coat": "3 brushed", "wall": "8 mm", "odds": 0.7}
COATED = ("--coat", "3 brushed", "--wall", "8 mm", "--odds", "0.7")
#: command -> (its words, the same asked of a studio)
ASKED: dict[str, tuple[tuple[str, ...], Callable[[Studio], Any]]] = {
    "formula": (("frit-gloss", *FIRING), lambda s: s.formula("frit-gloss", firing="raku-workshop")),
    "fit": (
        ("clear-crackle", *BODY, *FIRING, *COATED),
        lambda s: s.fit("clear-crackle", "raku", firing="raku-workshop", **COAT),
    ),
    "pair": (
        ("frit-gloss", "satin-white", *BODY, *FIRING, *COATED),
        lambda s: s.pair(["frit-gloss", "satin-white"], "raku-workshop", body="raku", **COAT),
    ),
    "firing": (
        ("raku-workshop", "frit-gloss", "--load", "4 kg", "--kiln", "small-brick"),
        lambda s: s.firing("raku-workshop", ["frit-gloss"], load="4 kg", kiln="small-brick"),
    ),
    "adjust": (
        ("clear-crackle", "--want", "expansion 7.2", "--from", "kaolin,silica"),
        lambda s: s.adjust("clear-crackle", ["expansion 7.2"], allowed=["kaolin", "silica"]),
    ),
    "swap": (
        ("white-crackle", "natural borate", "--from", "whiting,kaolin,frit-3134-type"),
        lambda s: s.swap(
            "white-crackle", "natural borate", allowed=["whiting", "kaolin", "frit-3134-type"]
        ),
    ),
    "blend": (
        ("frit-gloss", "clear-crackle", "--steps", "3", *BODY),
        lambda s: s.blend(["frit-gloss", "clear-crackle"], steps=3, body="raku"),
    ),
    "map": (
        ("frit-gloss", "--across", "silica 0-20", "--up", "kaolin 0-20", "--show", "expansion"),
        lambda s: s.map("frit-gloss", "silica 0-20", "kaolin 0-20", show="expansion"),
    ),
    "shake": (
        ("frit-gloss", "--batch", "50 g", "--scale", "1 g", "--slips", *BODY),
        lambda s: s.shake("frit-gloss", batch="50 g", scale="1 g", slips=True, body="raku"),
    ),
    "lustre": (
        ("copper-lustre", *FIRING),
        lambda s: s.lustre("copper-lustre", firing="raku-workshop"),
    ),
    "check": (("broken.toml",), lambda s: s.check(Path("broken.toml"))),
}


def strictly(text: str) -> Any:
    def refuse(word: str) -> None:
        raise ValueError(word)

    return json.loads(text, parse_constant=refuse)


@pytest.mark.parametrize("name", ASKED)
def test_a_studio_says_what_the_command_line_says(cofire, name: str) -> None:  # type: ignore[no-untyped-def]
    cofire.write("broken.toml", 'surface = "gloss"\n[base]\n"no such clay" = 90\n')
    words, ask = ASKED[name]
    run = cofire(name, *words, "--json")
    typed = strictly(run.out)
    assert typed.pop("schema") == {"name": f"cofire.{name}", "version": 1}
    asked = strictly(dumps(to_json(ask(Studio()), name)))
    del asked["schema"]
    within = {"fit": "glazes", "swap": "recipes"}.get(name)
    if within:  # the command line may be asked of several
        (typed,) = typed[within]
    assert typed == asked
    assert len(typed) > 1


def test_conditions_are_those_the_command_line_understood(cofire) -> None:  # type: ignore[no-untyped-def]
    words = (*BODY, *FIRING, *COATED, "--shape", "tile", "--cooling", "20 s air, 10 min bin")
    typed = strictly(cofire("pair", "frit-gloss", *words, "--json").out)
    at = Studio().conditions(**WHERE, **COAT, shape="tile", cooling="20 s air, 10 min bin")
    keys = ("wall_mm", "shape", "odds_asked", "coat_fired_mm", "coat_reading", "cooling")
    assert {key: typed[key] for key in keys} == {key: getattr(at, key) for key in keys}
    assert at.wall_mm == 8.0 and at.odds == 0.7
    assert at.body is not None and at.firing is not None
    assert typed["body"] == at.body.name and typed["firing"] == at.firing.name


def test_materials_and_recipes_are_those_listed(cofire) -> None:  # type: ignore[no-untyped-def]
    mine = 'surface = "gloss"\n[base]\n"frit-3134-type" = 90\nkaolin = 10\n'
    path = cofire.write("recipes/mine.toml", mine)
    studio = Studio()
    typed = {m["id"]: m for m in strictly(cofire("materials", "--json").out)["materials"]}
    ours = studio.materials()
    assert set(ours) == set(typed)
    for key, material in ours.items():
        assert typed[key]["oxides_wt_percent"] == pytest.approx(material.oxides_wt_percent)
        assert typed[key]["loi_percent"] == material.loi_percent
    typed = strictly(cofire("formula", "mine", "--json").out)
    for recipe in (
        studio.recipe("mine"),
        studio.recipe(path),
        Studio(cofire.folder).recipe("mine"),
    ):
        assert typed["name"] == recipe.name
        assert [(p["material"], p["amount"]) for p in typed["base"]] == [
            (p.material.id, p.amount) for p in recipe.base
        ]


@pytest.mark.parametrize(
    ("ask", "words"),
    [
        (lambda s: s.fit("no-such", "raku"), ("fit", "no-such", *BODY)),
        (lambda s: s.fit("frit-gloss", "no-clay"), ("fit", "frit-gloss", "--body", "no-clay")),
        (lambda s: s.adjust("frit-gloss"), ("adjust", "frit-gloss")),
        (lambda s: s.swap("frit-gloss", "tin oxide"), ("swap", "frit-gloss", "tin oxide")),
        (lambda s: s.map("frit-gloss", "silica 40-10"),
         ("map", "frit-gloss", "--across", "silica 40-10")),
        (lambda s: s.conditions(body="raku", wall="6"),
         ("fit", "frit-gloss", *BODY, "--wall", "6")),
    ],
)  # fmt: skip
def test_the_same_mistake_is_refused_in_the_same_words(cofire, ask, words) -> None:  # type: ignore[no-untyped-def]
    run = cofire(*words)
    assert run.code == 2
    with pytest.raises(CofireError) as wrong:
        ask(Studio())
    told, shown = (" ".join(text.split()) for text in (wrong.value.message, run.err))
    assert told in shown


@pytest.mark.parametrize(
    ("columns", "basis", "said"),
    [
        ({"SiO2": [1.0], "CaO": [1.0, 2.0]}, "mol", "equally long"),
        ({"SiO2": [1.0]}, "weight", "basis"),
        ({"Sio2": [1.0]}, "mol", "Sio2"),
        ({"SiO2": [-1.0]}, "mol", "negative"),
        ({"SiO2": [float("nan")]}, "wt", "missing"),
    ],
)
def test_columns_that_are_none(columns: Any, basis: Any, said: str) -> None:
    with pytest.raises(CofireError, match=said):
        Studio.predict(columns, basis)
