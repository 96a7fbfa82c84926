"""What each draw of a fit says of itself hangs together."""

from __future__ import annotations

import numpy as np
import pytest

from cofire.files.library import Library
from cofire.model.conditions import Conditions
from cofire.model.fit import fit_draws
from cofire.model.outcome import draw_recipe

LIB = Library()


@pytest.mark.parametrize("body", ["raku", "porcelain", "talc-earthenware"])
@pytest.mark.parametrize("firing", [None, "raku-workshop"])
def test_a_draw_sits_unless_it_crazes_or_shivers(body: str, firing: str | None) -> None:
    """By definition, draw for draw: a gloss sits, a crackle crazes, and nothing is both whole and
    in tension beyond its strength; it shivers where compression is beyond what holds it on."""
    at = Conditions.read(LIB, body=body, firing=firing, coat="0.3 mm fired")
    assert at.body_draws is not None
    for name in ("frit-gloss", "clear-crackle"):
        draws = fit_draws(draw_recipe(LIB.recipe(name), at), at.body_draws, at)
        if name == "frit-gloss":
            np.testing.assert_array_equal(draws.as_wanted, ~(draws.crazes | draws.shivers))
            if body == "talc-earthenware":  # which grows more than any other
                assert 0.02 < draws.shivers.mean() < 0.98
        else:
            np.testing.assert_array_equal(draws.as_wanted, draws.crackles)
        assert not (draws.crackles & ~draws.crazes_now).any()  # a rim crazes first
        assert not (draws.crazes_now & ~draws.crazes).any()
        assert not (draws.shivers & ~draws.could_shiver).any()  # the edge goes first
        np.testing.assert_array_equal(np.isfinite(draws.spacing_mm), draws.crackles)
