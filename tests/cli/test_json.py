"""``--json`` of every command: strictly valid, as its schema says, and what the record holds."""

from __future__ import annotations

import csv
import importlib
import inspect
import json
import math
import pkgutil
import re
import shlex
from collections.abc import Mapping
from copy import deepcopy
from dataclasses import dataclass, fields, is_dataclass
from datetime import datetime
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Any, ClassVar

import click
import jsonschema
import numpy as np
import pytest

import cofire as package
from cofire.chem.oxides import INDEX, OXIDES
from cofire.cli.json_schema import json_schema
from cofire.cli.main import COMMANDS
from cofire.cli.main import cofire as program
from cofire.errors import CofireError
from cofire.record import Record, to_json
from cofire.show.json import dumps

BODY, FIRING = ("--body", "raku"), ("--firing", "raku-workshop")
#: name in the schema -> (words, exit code)
ASKED: dict[str, tuple[tuple[str, ...], int]] = {
    "pair": (("frit-gloss", "does-not-work", *FIRING, *BODY), 1),
    "fit": (("clear-crackle", *BODY, *FIRING), 0),
    "blend": (("clear-crackle", "frit-gloss", "--steps", "3", *BODY), 0),
    "firing": (("raku-workshop", "frit-gloss"), 0),
    "formula": (("white-crackle", *FIRING), 0),
    "map": (("frit-gloss", *BODY), 0),
    "shake": (("frit-gloss", *BODY), 1),
    "predict": (("glasses.csv", "--basis", "mol"), 0),
    "adjust": (("clear-crackle", "--want", "expansion 7.2"), 0),
    "levers": (("frit-gloss", "--want", "crazes at most 20 %", *BODY), 0),
    "swap": (("white-crackle", "natural borate"), 0),
    "compose": (("0.3 Na2O, 0.7 CaO, 0.35 Al2O3, 3 SiO2, 0.3 B2O3",), 0),
    "tile": (("clear-crackle, 3 brushed, crazed 4 mm", *BODY), 0),
    "fired": (("mine", "--clay", "raku", "--coat", "3 brushed", "--result", "crazed 4 mm"), 0),
    "lustre": (("copper-lustre", *FIRING), 0),
    "batch": (("clear-crackle", "cobalt-gloss", "--units", "oz", "--people", "9", *FIRING), 0),
    "day": (
        (
            *("raku-workshop", "--pots", "28", "--pot", "12 x 15 cm"),
            *("--chamber", "40 x 45 cm", "--bins", "3"),
        ),
        1,
    ),
    "card": ((), 0),
    "explain": (("unity formula",), 0),
    "materials": ((), 0),
    "materials.find": (("no-such-thing",), 1),
    "materials.show": (("talc",), 0),
    "materials.import": (
        ("sheet.csv", "--supplier", "Tide Minerals", "--date", "2026-11", "--dry-run"),
        1,
    ),
    "materials.add": (
        (
            *("certificate.csv", "--id", "talc-2026", "--name", "talc"),
            *("--supplier", "Tide Minerals", "--date", "2026-11"),
        ),
        0,
    ),
    "materials.call": (("RIO", "red iron oxide"), 0),
    "recipes": ((), 0),
    "bodies": ((), 0),
    "firings": ((), 0),
    "kilns": ((), 0),
    "init": ((".",), 0),
    "read": (("columns.csv",), 0),
    "import": (("book.csv", "--surface", "gloss", "--only-good"), 1),
    "stock": ((), 0),
    "stock.import": (("shelf.csv", "--only-good"), 1),
    "table": (("mine", "--dry", "2 kg"), 0),
    "set": (("mine", "kaolin = 12", "--why", "it crawled — “ü”"), 0),
    "keep": (("mine", "--why", "first"), 0),
    "history": (("kept",), 0),
    "kiln-log": (("log.csv", "--like", "small-fibre"), 0),
    "export": (("all.json",), 0),
    "docs": ((), 0),
    "completion": (("fish",), 0),
    "check": (("broken.toml",), 2),
}
RECIPE = 'surface = "gloss"\nname = "Mine"\n[base]\n"frit-3134-type" = 90\nkaolin = 10\n'


def write_files(cofire) -> None:  # type: ignore[no-untyped-def]
    cofire.write("recipes/mine.toml", RECIPE)
    cofire.write("recipes/kept.toml", RECIPE)
    cofire("set", "kept", "+ tin oxide = 5", "--why", "whiter")
    cofire.write("glasses.csv", "name,SiO2,Na2O,CaO\n“a”,70,20,10\nnothing,0,0,0\n")
    cofire.write("certificate.csv", "SiO2,61.2\nMgO,30.9\nAl2O3,0.9\nCaO,0.6\nLOI,5.8\n")
    cofire.write("columns.csv", "Material;Weight (g)\nflint;1.200,5\ntalc;300\n+ bentonite;15\n")
    cofire.write(
        "sheet.csv", "name,SiO2 %,MgO,LOI,remark\nour talc,62,32,6,x\ntalc ideal,62,32,6,\n"
    )
    cofire.write(
        "book.csv",
        "Glaze,kaolin,flint,whiting,mystery,cone,note\nA,30,50,20,,06,x\nB,1,x,,2,,\nMine,5,5,1,,,\n",
    )
    cofire.write("shelf.csv", "Material,kg,EUR/kg,remark\ntalc,3,2.50,\nsilica,x,0.80,\nRIO,1,,x\n")
    cofire.write("stock.toml", 'currency = "EUR"\n[silica]\nhave = "2 kg"\n')
    cofire.write("broken.toml", 'surface = "gloss"\n[base]\n"no such clay" = 90\n')
    climb = [f"{6 * k},{1100 - 1080 * math.exp(-0.1 * k):.1f}" for k in range(30)]
    fall = [f"{174 + 6 * k},{20 + 1020 * 0.9**k:.1f}" for k in range(1, 30)]
    cofire.write("log.csv", "\n".join(("time (min),temperature (C)", *climb, *fall)) + "\n")


def strictly(text: str) -> Any:
    def refuse(word: str) -> None:
        raise ValueError(word)

    return json.loads(text, parse_constant=refuse)


#: Records that stand inside one another, with keys of both.
SPREAD = {"ShelfItem", "Recipe", "Body", "Firing", "Kiln"}


@cache
def closed() -> jsonschema.Draft202012Validator:
    """The schema, and nothing but the keys that it names."""
    schema = deepcopy(json_schema())
    for name, one in schema["$defs"].items():
        if "properties" in one and name not in SPREAD:
            one["properties"].setdefault("schema", {})
            one.setdefault("unevaluatedProperties", False)
    return jsonschema.Draft202012Validator(schema)


def valid(data: Any) -> bool:
    closed().validate(data)
    return True


@pytest.mark.parametrize("name", ASKED)
def test_json_says_what_the_record_holds(cofire, monkeypatch, name: str) -> None:  # type: ignore[no-untyped-def]
    write_files(cofire)
    held: list[Any] = []

    def noted(answer: object, command: str) -> dict[str, Any]:
        held.append(answer)
        return to_json(answer, command)

    for module in ("cofire.record", "cofire.show.json"):
        monkeypatch.setattr(f"{module}.to_json", noted)
    words, code = ASKED[name]
    run = cofire(*name.split("."), *words, "--json")
    assert run.code == code, run.err
    data = strictly(run.out)
    assert valid(data)
    assert data.pop("schema") == {"name": f"cofire.{name}", "version": 1}
    if name == "predict":
        assert data["rows"]
        data["rows"] = []  # written one by one
    assert data
    (answer,) = held
    if (
        isinstance(answer, Record) and name != "predict"
    ):  # what Python prints is what the command line prints
        assert name.startswith(answer.schema)
        assert to_json(answer, name) == strictly(run.out)
    says(answer, data, name, alone=True)


def test_the_schema_refuses_what_is_wrong(cofire) -> None:  # type: ignore[no-untyped-def]
    schema = strictly(cofire("docs", "--schema").out)
    assert schema == json_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    names = schema["properties"]["schema"]["properties"]["name"]["enum"]
    assert {f"cofire.{name}" for name in (*ASKED, "error", "history.version")} == set(names)
    data = strictly(cofire("fit", "clear-crackle", *BODY, "--json").out)
    jsonschema.validate(data, schema)
    without = {key: value for key, value in data.items() if key != "glazes"}
    odd = data["glazes"][0] | {"odds": "likely"}
    for wrong in (without, data | {"glazes": [odd]}, data | {"schema": {"name": "cofire.fitt"}}):
        with pytest.raises(jsonschema.ValidationError):
            jsonschema.validate(wrong, schema)
    assert cofire("docs", "--schema", "--json").code == 2


@pytest.mark.parametrize(
    ("words", "code", "what", "hint"),
    [
        ("fit nothing-here --body raku", "unknown-name", "nothing-here", "Known: "),
        ("fit clear-crackle --body raku --wall '2 furlong'", "quantity", "furlong", "mm"),
        ("fit clear-crackle --bodi raku", "usage", "--bodi", "cofire fit --help"),
        ("no-such-command", "usage", "no-such-command", "cofire --help"),
        ("formula broken.toml", "unknown-name", "no such clay", "materials"),
        ("read gone.csv", "data-file", "no such file", ""),
    ],
)
def test_errors_are_json_too(cofire, words: str, code: str, what: str, hint: str) -> None:  # type: ignore[no-untyped-def]
    write_files(cofire)
    run = cofire(*shlex.split(words), "--json")
    assert (run.code, run.out) == (2, "")
    data = strictly(run.err)
    assert valid(data) and data["schema"]["name"] == "cofire.error" and data["exit_status"] == 2
    error = data["errors"][0]
    assert error["code"] == code
    assert what in error["message"] and hint in error["hint"]
    if "broken" in words:
        assert error["file"].endswith("broken.toml") and error["line"] == 3


def test_several_errors_and_bugs_of_ours_are_json_too(cofire, monkeypatch) -> None:  # type: ignore[no-untyped-def]
    cofire.write("bad.toml", 'surface = "gloss"\n[base]\n"no clay" = 9\n"no sand" = 9\n')
    errors = strictly(cofire("formula", "bad.toml", "--json").err)["errors"]
    assert [error["line"] for error in errors] == [3, 4]

    for trouble, code, status in (
        (RuntimeError("oops"), "bug", 70),
        (OSError(28, "oops", "disk"), "system", 2),
    ):

        def broken(*_: object, trouble: Exception = trouble) -> None:
            raise trouble

        monkeypatch.setattr("cofire.studio.Studio.explain", broken)
        run = cofire("explain", "cone", "--json")
        data = strictly(run.err)
        assert valid(data) and (run.code, run.out, data["exit_status"]) == (status, "", status)
        (error,) = data["errors"]
        assert error["code"] == code and "oops" in error["message"]
        said = cofire("explain", "cone").err  # and without --json a sentence
        assert "oops" in said and "schema" not in said


def says(record: Any, data: Any, at: str, alone: bool = False) -> None:
    """Every number and word of the JSON is one of the record, and no field is forgotten."""
    if data is None:
        assert record is None or not math.isfinite(record), at
    elif isinstance(data, dict):
        if is_dataclass(record):
            left_out = {*getattr(record, "json_hides", ()), *getattr(record, "json_spreads", ())}
            assert {f.name for f in fields(record)} - left_out <= set(data), at
        for key, inner in data.items():
            says(found(record, key), inner, f"{at}.{key}", alone and isinstance(record, Mapping))
    elif isinstance(data, list):
        assert len(data) == len(record), at
        for k, (one, inner) in enumerate(zip(record, data, strict=True)):
            says(one, inner, f"{at}[{k}]", alone)
    elif isinstance(data, str):
        texts = [str(record), *(getattr(record, word, None) for word in ("id", "name", "text"))]
        if isinstance(record, datetime):
            texts.append(f"{record:%Y-%m-%dT%H:%M:%S}")
        assert data in texts, at
    else:
        assert data == (float(record) if isinstance(record, Decimal) else record), at


def found(record: Any, key: str) -> Any:
    """What a key may stand for: of the record, else of what lies in it, nearest first."""
    level = [record]
    for _ in range(3):
        for one in level:
            if isinstance(one, Mapping) and key in one:
                return one[key]
            if isinstance(one, np.ndarray) and key in INDEX and len(one) == len(OXIDES):
                return one[INDEX[key]]
            hidden = key in getattr(one, "json_hides", ())
            if not isinstance(one, Mapping) and not hidden and hasattr(one, key):
                return getattr(one, key)
        level = [
            inner
            for one in level
            if is_dataclass(one) or isinstance(one, CofireError)
            for inner in (*spreads(one), *vars(one).values())
            if is_dataclass(inner) or isinstance(inner, Mapping)
        ]
    return None


def spreads(record: Any) -> list[Any]:
    return [getattr(record, name) for name in getattr(record, "json_spreads", ())]


def leaves(group: click.Group, trail: tuple[str, ...] = ()) -> dict[str, click.Command]:
    context = click.Context(group)
    commands = {}
    for name in group.list_commands(context):
        command = group.get_command(context, name)
        assert command is not None
        commands[".".join((*trail, name))] = command
        if isinstance(command, click.Group):
            commands |= leaves(command, (*trail, name))
    return commands


def test_every_command_has_json_and_is_asked_here() -> None:
    commands = leaves(program)  # type: ignore[arg-type]
    assert set(COMMANDS) <= set(commands)
    del commands["bench"]  # it answers in a browser
    assert set(commands) == set(ASKED)
    for name, command in commands.items():
        assert any("--json" in option.opts for option in command.params), name


def test_one_glaze_and_many_have_one_shape(cofire) -> None:  # type: ignore[no-untyped-def]
    many = strictly(cofire("fit", "clear-crackle", "frit-gloss", *BODY, "--json").out)
    for name in ("clear-crackle", "frit-gloss"):
        one = strictly(cofire("fit", name, *BODY, "--json").out)
        (alone,) = one["glazes"]
        (beside,) = (other for other in many["glazes"] if other["name"] == alone["name"])
        assert set(alone) == set(beside)
        assert set(many) <= set(one) and alone.items() <= one.items()
    one = strictly(cofire("swap", "white-crackle", "natural borate", "--json").out)
    many = strictly(cofire("swap", "white-crackle", "true-matte", "kaolin", "--json").out)
    assert set(one) == set(many) and len(many["recipes"]) == 2


def keys_of(data: Any) -> set[str]:
    if isinstance(data, list):
        return set().union(*map(keys_of, data))
    if not isinstance(data, dict):
        return set()
    return set(data).union(*map(keys_of, data.values()))


def test_the_keys_that_stay_are_there(cofire) -> None:  # type: ignore[no-untyped-def]
    text = (Path(__file__).parents[2] / "DEVELOPERS.md").read_text("utf-8")
    rows = re.findall(r"^\| `(\w+)`[^|]*\|(.*)\|$", text, re.M)
    assert [name for name, _ in rows] == ["formula", "fit", "pair", "firing", "fired", "lustre"]
    write_files(cofire)
    for name, said in rows:
        data = strictly(cofire(name, *ASKED[name][0], "--json").out)
        stay = set(re.findall(r"\w+", " ".join(re.findall(r"`([^`]+)`", said))))
        assert len(stay) > 2 and stay <= keys_of(data), (name, stay - keys_of(data))


def test_predicted_rows_are_those_of_the_table(cofire) -> None:  # type: ignore[no-untyped-def]
    write_files(cofire)
    words = ("predict", "glasses.csv", "--basis", "mol")
    table = list(csv.DictReader(cofire(*words).out.splitlines()))
    data = strictly(cofire(*words, "--json").out)
    assert (data["basis"], data["level"], len(data["rows"])) == ("mol", 0.9, len(table))
    for row, cells in zip(data["rows"], table, strict=True):
        assert list(row) == list(cells) and row["name"] == cells["name"]
        for key, cell in cells.items():
            if key != "name":
                assert row[key] == (pytest.approx(float(cell), rel=1e-5) if cell else None), key
    assert cofire(*words, "--json", "--out", "a.json").out == ""
    assert strictly((cofire.folder / "a.json").read_text("utf-8")) == data
    cofire.write("glasses.csv", "name,SiO2\n")
    assert strictly(cofire(*words, "--json").out)["rows"] == []


def test_what_is_written_is_written_also_with_json(cofire) -> None:  # type: ignore[no-untyped-def]
    write_files(cofire)
    data = strictly(cofire("table", "mine", "--csv", "mine.csv", "--json").out)
    text = (cofire.folder / "mine.csv").read_text("utf-8")
    assert all(line["written"] in text for line in data["lines"])
    assert cofire("table", "mine", "--csv", "mine.csv", "--json").out == ""  # refused: nothing said
    data = strictly(cofire("history", "kept", "--at", "1", "--save", "old.toml", "--json").out)
    assert data["text"] == RECIPE == (cofire.folder / "old.toml").read_text("utf-8")
    data = strictly(cofire("kiln-log", "log.csv", "--save", "ours", "--json").out)
    assert data["text"] == Path(data["file"]).read_text("utf-8")


@dataclass(frozen=True)
class Inner:
    id: str
    weights_g: tuple[Decimal, ...]
    json_inside: ClassVar = "id"


@dataclass(frozen=True)
class Outer:
    inner: Inner
    spread: Inner
    unity: Any
    points: Any
    edges: tuple[float, ...]
    where: Path
    secret: str = "s"
    json_also: ClassVar = ("inner.weights_g", "gone.anything", "twice")
    json_hides: ClassVar = ("secret",)
    json_spreads: ClassVar = ("spread",)
    gone: ClassVar = None

    @property
    def twice(self) -> float:
        return 2.0 * self.edges[0]


def test_the_words_of_a_record() -> None:
    glass = np.zeros(len(OXIDES))
    glass[INDEX["SiO2"]], glass[INDEX["CaO"]] = 3.0, np.nan
    inner = Inner("b", (Decimal("0.10"),))
    points = np.arange(len(OXIDES))  # as many as there are oxides, by chance
    made = Outer(Inner("a", (Decimal(7),)), inner, glass, points, (1.5, math.inf), Path("a/ü.toml"))
    wanted = {
        "weights_g": [0.1],  # of what is spread; it comes later
        "anything": None,
        "twice": 3.0,
        "inner": "a",
        "id": "b",
        "unity": {"SiO2": 3.0, "CaO": None},
        "points": list(range(len(OXIDES))),
        "edges": [1.5, None],
        "where": str(Path("a/ü.toml")),
    }
    schema = {"name": "cofire.x", "version": 1}
    assert to_json(made, "x") == {"schema": schema, **wanted}
    assert to_json({"many": [inner]}, "x")["many"] == [{"id": "b", "weights_g": [0.1]}]
    assert "ü" in dumps(to_json(made, "x"))
    with pytest.raises(TypeError, match="object"):
        to_json({"a": object()}, "x")


def records() -> list[type]:
    found = []
    for module in pkgutil.walk_packages(package.__path__, "cofire."):
        if not module.name.endswith("__main__"):
            members = inspect.getmembers(importlib.import_module(module.name), inspect.isclass)
            found += [c for _, c in members if c.__module__ == module.name]
    return found


def test_records_name_only_what_they_have() -> None:
    speaking = 0
    for record in records():
        if not is_dataclass(record):
            continue
        own = {f.name for f in fields(record)}
        words = {w: getattr(record, f"json_{w}", ()) for w in ("also", "hides", "spreads")}
        speaking += any(words.values())
        assert {*words["hides"]} <= own, record
        for name in {*words["spreads"]} - own:
            assert isinstance(getattr(record, name), property), record
        for path in words["also"]:
            first, dot, _ = path.partition(".")
            assert first in own if dot else isinstance(getattr(record, first), property), record
        inside = getattr(record, "json_inside", None)
        assert inside is None or inside in own, record
    assert speaking > 15
