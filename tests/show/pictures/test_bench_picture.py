"""The parts of the bench's picture: true scale, and grips that move what they say."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from cofire.answers.quick_pair import Look, QuickPair
from cofire.show.drawing import Path
from cofire.show.pictures.bench import along_firing, pot_picture
from cofire.show.pictures.net import HIGH_MM, WIDE_MM, crackle_elements, cracks
from cofire.studio import Studio

STUDIO = Studio()


@pytest.fixture(scope="module")
def look() -> Look:
    at = STUDIO.conditions(firing="raku-workshop", body="yard-raku")
    recipes = [STUDIO.recipe(id) for id in ("clear-crackle", "turquoise-crackle")]
    return QuickPair().look(recipes, at)


@pytest.mark.parametrize("apart_mm", [2.0, 3.0, 5.0, 8.0])
def test_cracks_stand_as_far_apart_as_they_say(apart_mm: float) -> None:
    pieces = len(cracks(apart_mm)) + 1
    drawn = (WIDE_MM + 8.0) * (HIGH_MM + 8.0)  # it is cut out of a larger sheet
    assert math.sqrt(drawn / pieces) == pytest.approx(apart_mm, rel=0.12)


def test_every_crack_ends_at_an_older_one() -> None:
    lines = [line for line, _ in cracks(5.0)]
    for k, line in enumerate(lines):
        for end in (line[0], line[-1]):
            on_rim = min(abs(end[0] + 4), abs(end[0] - WIDE_MM - 4), abs(end[1] + 4),
                         abs(end[1] - HIGH_MM - 4)) < 1e-6  # fmt: skip
            older = (_distance(end, other[0], other[-1]) for other in lines[:k])
            assert on_rim or min(older) < 1e-6


def _distance(p: tuple[float, float], a: tuple[float, float], b: tuple[float, float]) -> float:
    dx, dy = b[0] - a[0], b[1] - a[1]
    t = ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / (dx * dx + dy * dy)
    t = min(max(t, 0.0), 1.0)
    return math.hypot(p[0] - a[0] - t * dx, p[1] - a[1] - t * dy)


def test_a_glaze_without_cracks_is_drawn_without(look: Look) -> None:
    fit = look.pair.glazes[0].fit
    assert fit is not None
    whole = replace(fit, odds=fit.odds._replace(crazes_at_once=0.1))
    assert crackle_elements(whole)[0].count("<path") < 5 < crackle_elements(fit)[0].count("<path")


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
