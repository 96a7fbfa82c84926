"""What a school does not mix, however little of it there is."""

from __future__ import annotations

from dataclasses import replace

import pytest

from cofire.answers.batch.safety import refuse_for_school, school_findings
from cofire.errors import CompositionError
from cofire.files.library import Library
from cofire.records import Part, Recipe

LIB = Library()


def holding(name: str, amount: float) -> Recipe:
    recipe = LIB.recipe("clear-crackle")
    return replace(recipe, additions=(Part(name, amount, LIB.material(name)[0]),))


@pytest.mark.parametrize("name", ["red lead", "barium carbonate", "copper sulfate"])
def test_a_little_poison_is_poison(name: str) -> None:
    for amount in (0.01, 0.5, 20.0):
        with pytest.raises(CompositionError):
            refuse_for_school([holding(name, amount)], [])
        kept = [f.code for f in school_findings(holding(name, amount), None)]
        assert kept == ["kept-by-name", "school-dust"]
    refuse_for_school([holding(name, 0.0)], [])  # a line that is only kept in the file
    assert [f.code for f in school_findings(holding(name, 0.0), None)] == ["school-dust"]


def test_only_the_teacher_pulls() -> None:
    for firing, told in (("raku-workshop", True), ("earthenware-cone-04", False)):
        found = school_findings(LIB.recipe("clear-crackle"), LIB.firing(firing))
        assert ("teacher-pulls" in [f.code for f in found]) == told
