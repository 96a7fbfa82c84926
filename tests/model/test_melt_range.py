"""Melt ranges against the viscosity curve and against firings moved by hand."""

from __future__ import annotations

import numpy as np
import pytest

from cofire.files.library import Library
from cofire.model.conditions import Conditions
from cofire.model.glaze_draws import MIDDLE, draw_glazes
from cofire.model.glaze_set import glaze_set
from cofire.model.melt_range import melt_range, peaks, plain_firing
from cofire.model.ripening import stages_at
from cofire.model.schedule import Moment
from cofire.ripeness.judge import DEFAULT as CRITERIA
from cofire.ripeness.judge import ripe_enough, runs

LIB = Library()


@pytest.mark.parametrize("name", ["frit-gloss", "clear-crackle", "borate-gloss"])
def test_the_half_width_is_what_the_viscosity_is_in_doubt_by(name: str) -> None:
    """So many degrees thin or stiffen the melt by the 90 % half-width of log10 viscosity there."""
    glazes, own = glaze_set(LIB.recipe(name))
    found = melt_range(glazes, own, Conditions())
    draws = draw_glazes(glazes, own[None, :], Conditions(), MIDDLE)
    at = found.matures_c + found.half_width_c * np.array([-0.2, 0.0, 0.2])
    colder, there, hotter = draws.log10_eta(at)[0]
    width = draws.curve.width(np.array([found.matures_c]), 0.9)[0].item()
    assert (colder - hotter) / 0.4 == pytest.approx(width, rel=0.03)
    assert colder > there > hotter


def test_peaks_are_those_at_which_a_firing_just_does_it() -> None:
    """The plain firing laid 8 °C below and above each peak, and judged as any firing is."""
    glazes, own = glaze_set(LIB.recipe("frit-gloss"))
    draws = draw_glazes(glazes, own[None, :], Conditions(), MIDDLE)
    found = peaks(draws, *plain_firing(), CRITERIA)
    # whatever firing is shifted
    again = peaks(draws, *plain_firing(920.0), CRITERIA)
    for one, other in (
        (found.seals_c, again.seals_c),
        (found.matures_c, again.matures_c),
        (found.runs_c, again.runs_c),
    ):
        assert one[0] == pytest.approx(other[0], abs=2.0)

    def judged(peak_c: float) -> tuple[bool, bool]:
        time_s, ware_c = plain_firing(peak_c)
        stages = stages_at((Moment("end", time_s[-1] / 60.0, time_s, ware_c),), draws, CRITERIA)[0]
        ready = ripe_enough(stages, "gloss", CRITERIA)[0]
        return bool(ready), bool(runs(stages, CRITERIA)[0])

    assert not judged(found.matures_c[0] - 8.0)[0] and judged(found.matures_c[0] + 8.0)[0]
    assert not judged(found.runs_c[0] - 8.0)[1] and judged(found.runs_c[0] + 8.0)[1]
