"""What of a material may stay as grains, so that its oxides alone do not say what it does."""

from __future__ import annotations

from dataclasses import replace

import pytest

from cofire.answers.map.axes import _stays
from cofire.files.library import Library
from cofire.records import Part

LIB = Library()


@pytest.mark.parametrize(
    ("name", "said", "stays"),
    [("zircon", None, True), ("zircon", 60.0, True), ("zircon", 0.0, False),
     ("kaolin", None, False), ("whiting", 40.0, False)],
)  # fmt: skip
def test_grains_stay_unless_all_is_said_to_dissolve(
    name: str, said: float | None, stays: bool
) -> None:
    material = LIB.material(name)[0]
    part = Part(name, 8.0, material)
    undissolved = {} if said is None else {material.id: said}
    recipe = replace(LIB.recipe("frit-gloss"), additions=(part,), undissolved=undissolved)
    assert _stays(recipe, part) == stays
