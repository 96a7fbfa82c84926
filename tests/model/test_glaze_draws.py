"""Draws of glazes against the middle one, moved by hand."""

from __future__ import annotations

import numpy as np
import pytest

from cofire.files.library import Library
from cofire.model.conditions import Conditions
from cofire.model.glaze_draws import MIDDLE, Drawing, GlazeDraws, draw_glazes
from cofire.model.glaze_set import glaze_set

LIB = Library()
DAY = Conditions(firing=LIB.firing("raku-workshop"))


def drawn(how: Drawing) -> GlazeDraws:
    glazes, own = glaze_set(LIB.recipe("strontium-matte"))
    return draw_glazes(glazes, own[None, :], DAY, how)


@pytest.mark.parametrize("stream", [None, 3])
def test_a_place_that_is_hotter_is_a_hotter_firing(stream: int | None) -> None:
    """With only the place in doubt, a glaze at a place 8 °C hotter does what the middle one does in
    a firing 8 °C hotter: it flows as much, and its crystals grow as long."""
    places = drawn(Drawing(n=40, sources=frozenset({"pyrometer", "place"})))
    if stream is not None:
        places = places.restreamed(DAY, 0, stream)
    middle, offsets = drawn(MIDDLE), places.kiln_offset_c
    assert np.ptp(offsets) > 20.0
    t_c = np.array([800.0, 900.0])
    liquidus_c = float(middle.liquidus_c[0])
    time_s = np.linspace(0.0, 7200.0, 200)
    ware_c = np.linspace(liquidus_c + 60.0, liquidus_c - 60.0, 200)
    grown = places.crystal_minutes(time_s, ware_c)
    for k, offset in enumerate(offsets):
        hotter = middle.log10_eta(t_c + offset)[0]
        assert places.log10_eta(t_c)[k] == pytest.approx(hotter, abs=0.02)
        # it cools at a degree a minute, so hotter by as much it has as many minutes less
        assert grown[k] == pytest.approx(
            middle.crystal_minutes(time_s, ware_c + offset)[0], abs=1.0
        )
