"""The parts of the bench's picture: true scale, and grips that move what they say."""

from __future__ import annotations

import math

import pytest

from cofire.answers.quick_pair import Look, QuickPair
from cofire.show.drawing import Path
from cofire.show.pictures.bench import along_firing, pot_picture
from cofire.studio import Studio

STUDIO = Studio()


@pytest.fixture(scope="module")
def look() -> Look:
    at = STUDIO.conditions(firing="raku-workshop", body="yard-raku")
    recipes = [STUDIO.recipe(id) for id in ("clear-crackle", "turquoise-crackle")]
    return QuickPair().look(recipes, at)


def test_a_grip_moves_its_number_as_far_as_it_moves(look: Look) -> None:
    grips = {grip.path: grip for grip in along_firing(look.pair, look.tracks, 900.0).grips}
    peak, hold = grips["firing.segment.0.target"], grips["firing.segment.1.target"]
    # two levels of one axis: their distance on the picture is that of their values
    assert (hold.y - peak.y) * peak.per_unit == pytest.approx(peak.value - hold.value, abs=0.01)
    first, last = grips["firing.pull.0.after"], grips["firing.pull.0.every"]
    pulls = look.pair.firing.pulls[0]
    between = (last.x - first.x) * first.per_unit
    assert between == pytest.approx((pulls.count - 1) * pulls.every_min, rel=1e-3)
    assert last.per_unit * (pulls.count - 1) == pytest.approx(first.per_unit)


def test_grips_are_a_finger_apart(look: Look) -> None:
    for width in (340.0, 900.0, 1400.0):
        grips = along_firing(look.pair, look.tracks, width).grips
        for k, one in enumerate(grips):
            for other in grips[:k]:
                assert math.hypot(one.x - other.x, one.y - other.y) >= 43.9


def test_what_is_likely_is_drawn_and_what_is_not_is_not(look: Look) -> None:
    kinds = {mark.kind for mark in along_firing(look.pair, look.tracks, 900.0).picture.marks
             if isinstance(mark, Path)}  # fmt: skip
    assert {"coat-under", "coat-ripe"} <= kinds and "coat-runs" not in kinds
    assert "runs 0.0 mm" in pot_picture(look.pair).says
