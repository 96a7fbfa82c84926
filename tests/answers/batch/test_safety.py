"""What a school does not mix, however little of it there is."""

from __future__ import annotations

import csv
from dataclasses import replace
from pathlib import Path

import pytest

from cofire.answers.batch.mixing import left_over
from cofire.answers.batch.safety import (
    pack_cautions,
    refuse_for_school,
    school_findings,
    teacher_only,
)
from cofire.errors import CompositionError
from cofire.files.library import Library
from cofire.records import Part, Recipe

LIB = Library()
#: Acute toxicity 1 to 3 and CMR 1A or 1B; CMR 2. CLP Annex I (from memory).
NEVER = {"H300", "H301", "H310", "H311", "H330", "H331", "H340", "H350", "H360"}
SUSPECTED = {"H341", "H351", "H361"}


def holding(name: str, amount: float) -> Recipe:
    recipe = LIB.recipe("clear-crackle")
    return replace(recipe, additions=(Part(name, amount, LIB.material(name)[0]),))


@pytest.mark.parametrize("name", ["lithium carbonate", "barium carbonate", "copper sulfate"])
def test_a_little_poison_is_poison(name: str) -> None:
    for amount in (0.01, 0.5, 20.0):
        with pytest.raises(CompositionError):
            refuse_for_school(LIB, [holding(name, amount)], [])
        kept = [f.code for f in school_findings(LIB, holding(name, amount))]
        assert kept == ["kept-by-name", "school-dust"]
    refuse_for_school(LIB, [holding(name, 0.0)], [])  # a line that is only kept in the file
    assert [f.code for f in school_findings(LIB, holding(name, 0.0))] == ["school-dust"]


def test_adults_alone_are_named_for_the_hot_kiln_of_a_school() -> None:
    for name, told in (("raku-workshop", True), ("earthenware-cone-04", False)):
        for school in (True, False):
            codes = {c.code for c in pack_cautions(LIB, (), LIB.firing(name), school)}
            assert ("trained-adults" in codes) == (told and school)


# --- classes ------------------------------------------------------------------------------------

CLASSES = Path(__file__).parents[2] / "published" / "hazard_classes.csv"


def classes() -> list[tuple[str, tuple[str, ...], str]]:
    text = CLASSES.read_text("utf-8")
    table = csv.DictReader(li for li in text.splitlines() if not li.startswith("#"))
    return [(r["material"], tuple(r["h_statements"].split()), r["basis"]) for r in table]


@pytest.mark.parametrize(("name", "stated", "basis"), classes(), ids=lambda v: str(v)[:24])
def test_a_material_has_the_classes_of_its_label(
    name: str, stated: tuple[str, ...], basis: str
) -> None:
    """Harmonised classes stand in full; what is notified only may stand as unsettled."""
    cautions = [LIB.cautions[code] for code in LIB.material(name)[0].cautions]
    said = {h for c in cautions for h in c.hazards}
    if basis == "notified":
        said |= {h for c in cautions for h in c.unsettled}
    assert set(stated) <= said, set(stated) - said


@pytest.mark.parametrize(("name", "stated", "basis"), classes(), ids=lambda v: str(v)[:24])
def test_a_school_refuses_by_class(name: str, stated: tuple[str, ...], basis: str) -> None:
    """Acutely toxic (categories 1 to 3) and CMR 1A or 1B without any override, the suspected by
    name; what has no class passes."""
    allowed = [LIB.material(name)[0]]
    recipe = holding(name, 2.0)
    if any(h[:4] in NEVER for h in stated):
        with pytest.raises(CompositionError) as wrong:
            refuse_for_school(LIB, [recipe], allowed)
        assert "--even-with" not in wrong.value.hint
    elif any(h[:4] in SUSPECTED for h in stated):
        with pytest.raises(CompositionError, match="must not mix") as wrong:
            refuse_for_school(LIB, [recipe], [])
        assert "--even-with" in wrong.value.hint
        refuse_for_school(LIB, [recipe], allowed)
    elif not stated:
        refuse_for_school(LIB, [recipe], [])


@pytest.mark.parametrize("name", ["barium sulfate", "petalite", "spodumene", "lithium frit"])
def test_the_harmless_is_not_warned_of(name: str) -> None:
    codes = set(LIB.material(name)[0].cautions)
    assert not codes & {"barium", "lithium"}
    assert name not in teacher_only(LIB, holding(name, 5.0))


def test_signs_follow_hazards() -> None:
    """CLP, Annex IV, precautionary statements P260, P280 and P201 (from memory)."""
    for caution in LIB.cautions.values():
        if caution.code == "fibre-dust":  # nobody mixes it
            continue
        starts = {h[:4] for h in caution.hazards}
        if starts & {"H330", "H331", "H332", "H334", "H350", "H351", "H372"}:
            assert "respirator" in caution.signs, caution.code
        if starts & {"H311", "H312", "H314", "H315", "H317"}:
            assert "gloves" in caution.signs, caution.code
        if starts & {"H314"} and caution.code != "nickel":
            assert "goggles" in caution.signs, caution.code
        if starts & {"H360", "H361", "H362"}:
            assert "pregnant" in caution.signs, caution.code
            assert "pregnant" in caution.text or "unborn" in caution.text, caution.code
        if starts & {"H300", "H301", "H310", "H311", "H330", "H331"}:
            assert "skull" in caution.ghs, caution.code


def test_what_a_caution_says_at_the_kiln_is_not_about_powder() -> None:
    for caution in LIB.cautions.values():
        if caution.happens_at_kiln and not caution.only_at_kiln and caution.ghs:
            assert caution.at_kiln, caution.code
        assert "weigh" not in caution.at_kiln.lower()


def test_the_kiln_page_warns_of_fibre_infrared_power_fire_and_burns() -> None:
    said = " ".join(c.text for c in pack_cautions(LIB, (), LIB.firing("raku-workshop"), True))
    for words in ("ceramic fibre", "infrared", "isolator", "plug", "extinguisher", "dry grass",
                  "wind", "fire ban", "stay hot", "running water", "carbon monoxide",
                  "pregnant"):  # fmt: skip
        assert words in said, words


# --- what is left over --------------------------------------------------------------------------


def said_of_waste(name: str) -> str:
    return " ".join(left_over(LIB, holding(name, 5.0)))


@pytest.mark.parametrize("name", [m.id for m in LIB.materials.values()])
def test_nothing_is_sent_down_a_drain(name: str) -> None:
    said = said_of_waste(name)
    assert "Nothing goes down a drain" in said and "Local rules" in said
    stated = {h[:4] for c in LIB.materials[name].cautions for h in LIB.cautions[c].hazards}
    assert ("handed in as hazardous waste" in said) == bool(stated & NEVER)
    if LIB.materials[name].dissolves == "yes" and not stated & NEVER:
        assert "is in the clear water too: pour none of it off" in said


def test_waste_is_told_by_what_is_in_it() -> None:
    assert "fired to a lump of glass" in said_of_waste("whiting")
    assert "Scraps and mud hold copper carbonate, poisonous" in said_of_waste("copper carbonate")
    assert "Do not fire it to be rid of it" in said_of_waste("red lead")
    assert "ammonia" in said_of_waste("silver nitrate")
    assert "Rags" in said_of_waste("nitre") and "Rags" not in said_of_waste("borax")
