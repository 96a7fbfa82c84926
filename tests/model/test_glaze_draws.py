"""Draws of glazes against the middle one, moved by hand."""

from __future__ import annotations

import numpy as np
import pytest

from cofire.errors import CompositionError
from cofire.files.library import Library
from cofire.model.conditions import Conditions
from cofire.model.glaze_draws import MIDDLE, Drawing, GlazeDraws, draw_glazes
from cofire.model.glaze_set import glaze_set
from cofire.model.ripening import fluidity_up_to

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
    # half a degree in half a minute: down through its liquidus, and up from where it is too stiff
    liquidus_c, stiff_c = float(middle.liquidus_c[0]), float(middle.curve.isokom(6.0)[0])
    histories = [
        (30.0 * np.arange(len(ware_c)), ware_c)
        for ware_c in (
            np.arange(liquidus_c + 60.0, liquidus_c - 60.0, -0.5),
            np.arange(stiff_c - 60.0, min(stiff_c + 60.0, liquidus_c - 60.0), 0.5),
        )
    ]
    grown = [places.crystal_minutes(*history) for history in histories]
    assert all(np.ptp(minutes) > 10.0 for minutes in grown)
    for k, offset in enumerate(offsets):
        hotter = middle.log10_eta(t_c + offset)[0]
        assert places.log10_eta(t_c)[k] == pytest.approx(hotter, abs=0.02)
        for minutes, (time_s, ware_c) in zip(grown, histories, strict=True):
            there = middle.crystal_minutes(time_s, ware_c + offset)[0]
            assert minutes[k] == pytest.approx(there, abs=1.0)


def test_models_that_run_wild_leave_numbers() -> None:
    """Far outside every measured glass a curve of viscosity leaves what single precision holds:
    sums of its fluidity were infinite or no number at all."""
    wild = {
        "surface": "matte",
        "base": {"kaolin-ideal": 1.2, "frit-zinc": 1.0},
        "additions": {"talc-czech": 43749.5, "manganese-dioxide": 60.4},
    }
    also = {
        "surface": "dry matte",
        "base": {"manganese-sulfate": 22.8, "ceria": 12131.2, "sodium-nitrate": 8.7},
        "additions": {"silica": 0.01},
    }
    silver = {"surface": "gloss", "base": {"silver-nitrate": 114614.0, "frit-strontium": 13.3}}
    with np.errstate(all="raise", under="ignore"):
        for recipe in (wild, also, silver):
            glazes, own = glaze_set(LIB.recipe(recipe))
            draws = draw_glazes(glazes, own[None, :], DAY, Drawing(400))
            flow = fluidity_up_to(1400.0, draws)
            assert all(np.isfinite(flow.through(moment)).all() for moment in DAY.when)


def test_what_is_no_glaze_is_refused_by_all_that_draws_it() -> None:
    """“adjust” reckoned with tin chloride alone, where “formula” refused it."""
    with pytest.raises(CompositionError, match="no silica and no boron"):
        glaze_set(LIB.recipe({"surface": "gloss", "base": {"tin chloride": 20}}))
