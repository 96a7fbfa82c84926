"""Which spans the axes of a map have, and what of a material may stay as grains."""

from __future__ import annotations

from dataclasses import replace

import pytest

from cofire.answers.map.axes import _about, _stays
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


@pytest.mark.parametrize(
    ("own", "most", "span"),
    [
        (3.0, 100.0, (1.5, 5.1)),
        (0.4, 1.0, (0.2, 0.68)),
        (0.8, 1.0, (0.4, 1.0)),  # 1.36 is more than there can be
        (27.0, 100.0, (14.0, 46.0)),  # 13.5 and 45.9 in two digits, to the even one
        (0.005, 1.0, (0.0025, 0.0085)),
        (0.0049, 1.0, (0.0, 0.3)),
        (0.0, 1.0, (0.0, 0.3)),
    ],
)
def test_an_axis_goes_from_half_to_1_7_times(
    own: float, most: float, span: tuple[float, float]
) -> None:
    assert _about(own, most) == pytest.approx(span)
