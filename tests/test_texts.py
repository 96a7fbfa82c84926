"""Texts that stand in data files: each is used, and gets the fields that it asks for."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path
from string import Formatter

import pytest

from cofire import errors
from cofire.answers.batch import mixing
from cofire.answers.findings import texts
from cofire.errors import Place, QuantityError
from cofire.files import toml
from cofire.findings import SEVERITIES

SOURCE = Path(toml.__file__).parents[1]
FILE = Path(texts.__file__).with_name("texts.toml")
TEXTS = toml.read(FILE).data


def asked(text: str) -> set[str]:
    return {name for _, name, _, _ in Formatter().parse(text) if name is not None}


def calls(word: str) -> Iterator[tuple[str, ast.Call]]:
    """Every call of a function of this name whose first argument is text, and where it stands."""
    for path in SOURCE.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if (
                isinstance(node, ast.Call)
                and node.args
                and word in (getattr(node.func, "id", ""), getattr(node.func, "attr", ""))
            ):
                yield f"{path.name}:{node.lineno}", node


def test_every_text_is_used_and_every_one_used_is_there() -> None:
    used = set()
    for where, call in calls("finding"):
        name = call.args[0]
        assert isinstance(name, ast.Constant), f"{where} hides which text it uses"
        used.add(name.value)
    assert used == set(TEXTS)


def test_the_program_gives_the_fields_that_a_text_asks_for() -> None:
    for where, call in calls("finding"):
        about = TEXTS[call.args[0].value]  # type: ignore[attr-defined]
        wanted = asked(about["message"]) | asked(about["source"])
        given = {k.arg for k in call.keywords if k.arg}
        assert given <= wanted, where
        if all(k.arg for k in call.keywords):
            assert given == wanted, where


@pytest.mark.parametrize("name", TEXTS)
def test_a_text_has_what_a_finding_needs(name: str) -> None:
    about = TEXTS[name]
    assert about["severity"] in SEVERITIES
    assert about["message"].strip() and about["source"].strip()


def test_a_missing_field_is_an_error() -> None:
    with pytest.raises(KeyError, match="top_c"):
        texts.finding("above-the-kiln", "a firing", peak_c=1300.0, source="its maker")


def test_a_text_is_filled_in() -> None:
    nothing = texts.wording("scale-too-coarse", "nothing")
    about = {"weights": "0.2 g of tin oxide", "step_g": 1.0, "nothing": nothing}
    one = texts.finding("scale-too-coarse", "glaze", "warning", **about)
    assert (one.code, one.severity, one.subject) == ("scale-too-coarse", "warning", "glaze")
    assert one.message == (
        "0.2 g of tin oxide: too little for a scale with steps of 1 g, which shows nothing "
        "for some."
    )


@pytest.mark.parametrize(
    "file",
    [
        f
        for f in sorted(SOURCE.rglob("*.toml"))
        if "new_studio" not in str(f) and f.parent != SOURCE
    ],
    ids=lambda f: f.name,
)
def test_data_files_of_the_program_are_of_plain_lines_which_are_quick_to_read(file: Path) -> None:
    """All but the texts of errors, which are read only after one."""
    assert toml._of_plain_lines(file.read_text(encoding="utf-8")) is not None


def test_the_sentences_of_mixing_are_those_that_are_used() -> None:
    sentences = toml.read(Path(mixing.__file__).with_name("mixing.toml")).data
    code = Path(mixing.__file__).read_text(encoding="utf-8")
    assert [name for name in sentences if f'"{name}"' not in code] == []
    for where, call in calls("_say"):
        name = call.args[0]
        if isinstance(name, ast.Constant):
            given = {k.arg for k in call.keywords}
            assert given == asked(sentences[name.value]), where


def test_the_texts_of_errors_are_those_that_are_used() -> None:
    refusals = toml.read(Path(errors.__file__).with_suffix(".toml")).data
    used = set()
    for word, known in (("refusal", set()), ("refuse", {"what", "key"})):
        for where, call in calls(word):
            name = call.args[0]
            if not isinstance(name, ast.Constant):  # handed on: named elsewhere in that file
                (path,) = SOURCE.rglob(where.partition(":")[0])
                nodes = ast.walk(ast.parse(path.read_text(encoding="utf-8")))
                texts = {n.value for n in nodes if isinstance(n, ast.Constant)}
                used |= texts & set(refusals)
                continue
            used.add(name.value)
            wanted = asked(refusals[name.value]["message"])
            wanted |= asked(refusals[name.value].get("hint", ""))
            assert {k.arg for k in call.keywords} == wanted - known, where
    assert used == set(refusals)


def test_a_refusal_is_the_error_that_its_code_names() -> None:
    error = errors.refusal("without-amount", Place(Path("x.csv"), 3), called="kaolin")
    assert isinstance(error, QuantityError)
    assert (
        str(error) == "x.csv, line 3: “kaolin” has no amount. Write how much, or delete the line."
    )
