"""Unknown names of materials: what is offered instead."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from cofire.errors import UnknownNameError
from cofire.files import hints
from cofire.files.hints import distance
from cofire.files.library import Library

SHIPPED = Library(None)
SPOKEN = Path(__file__).with_name("spoken_names.csv")
#: Share of names whose first hint has to be right; our choice.
LEAST_RIGHT = 0.95


def spoken() -> list[tuple[str, set[str]]]:
    lines = (line for line in SPOKEN.open(encoding="utf-8") if not line.startswith("#"))
    return [(row["spoken"], set(row["meant"].split("|"))) for row in csv.DictReader(lines)]


def nearest(name: str) -> list[str]:
    """Ids of what is offered; none for a name that is known."""
    try:
        SHIPPED.material(name)
    except UnknownNameError as error:
        return [SHIPPED.material(one)[0].id for one in error.nearest]
    return []


def is_unknown(name: str) -> bool:
    try:
        return not SHIPPED.material(name)
    except UnknownNameError:
        return True


UNKNOWN = [(name, meant) for name, meant in spoken() if is_unknown(name)]


@pytest.mark.parametrize("half", [0, 1])
def test_the_first_hint_is_what_potters_mean(half: int) -> None:
    names = UNKNOWN[half::2]
    wrong = [name for name, meant in names if (nearest(name) or ["none"])[0] not in meant]
    assert len(names) > 100
    assert len(wrong) <= (1.0 - LEAST_RIGHT) * len(names), wrong


def test_the_table_names_materials() -> None:
    ids = set(SHIPPED.materials) | {"none"}
    assert not [name for name, meant in spoken() if meant - ids]


@pytest.mark.parametrize(
    ("name", "oxide"),
    [
        ("mag carb", "MgO"), ("magnesium", "MgO"), ("epsom salts", "MgO"), ("iron", "Fe2O3"),
        ("titanium", "TiO2"), ("mang carb", "MnO"), ("tin ox", "SnO2"), ("zirc", "ZrO2"),
        ("cobalt sulphat", "CoO"), ("lead chromate", "PbO"), ("lith carb", "Li2O"),
    ],
)  # fmt: skip
def test_no_hint_lacks_the_metal_that_is_named(name: str, oxide: str) -> None:
    for one in nearest(name):
        assert SHIPPED.materials[one].oxides_wt_percent.get(oxide, 0.0) > 0.0


@pytest.mark.parametrize("name", ["white", "blue stain", "stain red", "frit 9999", "salt of epsom"])
def test_nothing_is_offered_for_what_names_nothing(name: str) -> None:
    assert nearest(name) == []


@pytest.mark.parametrize(
    ("one", "other", "away"),
    [("talc", "tlac", 1), ("kaolin", "koalin", 1), ("ilmenite", "elmenit", 2), ("a", "abcd", 3)],
)
def test_typing_errors_are_counted(one: str, other: str, away: int) -> None:
    assert distance(one, other, 2) == away


def test_few_words_and_names_are_compared_and_none_is_missed(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A sheet may hold thousands of unknown names, so each must be quick."""
    named = {material.name: material for material in SHIPPED.materials.values()}
    ours = hints.Hints(named)
    words = [
        name.split()[0].casefold()[::step] for name in named for step in (1, -1) if " " in name
    ]
    compared = 0

    def counted(one: str, other: str, most: int) -> int:
        nonlocal compared
        compared += 1
        return distance(one, other, most)

    monkeypatch.setattr(hints, "distance", counted)
    known = ours._vocabulary
    for word in words:
        for most in (1, 2):
            right = {one for one in known if distance(word, one, most) <= most}
            assert set(ours._near(word, most)) == right
    assert len(words) > 50
    assert compared < 0.08 * len(words) * 2 * len(known)
