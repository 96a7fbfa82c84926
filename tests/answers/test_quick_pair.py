"""Quick answers are those of pair by fewer draws; what did not change is not worked out again."""

from __future__ import annotations

from dataclasses import replace

import pytest

from cofire.answers import quick_pair
from cofire.answers.quick_pair import QuickPair
from cofire.model.standard_draws import N
from cofire.studio import Studio

STUDIO = Studio()


def test_with_all_draws_it_is_what_pair_says() -> None:
    at = STUDIO.conditions(firing="raku-workshop", body="yard-raku")
    look = QuickPair(N).look([STUDIO.recipe("clear-crackle")], at).pair
    pair = STUDIO.pair("clear-crackle", "raku-workshop", body="yard-raku")
    assert look.odds_together == pair.odds_together and look.sentence == pair.sentence
    for one, two in zip(look.glazes, pair.glazes, strict=True):
        assert [p.odds for p in one.pulls] == [p.odds for p in two.pulls]
        assert one.fit and two.fit and one.fit.odds == two.fit.odds
        assert one.fit.stress_mpa.value == pytest.approx(two.fit.stress_mpa.value)


def test_what_did_not_change_is_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    drawn: list[str] = []
    draw = quick_pair.draw_recipe

    def counted(recipe, at, how):  # type: ignore[no-untyped-def]
        drawn.append(recipe.id)
        return draw(recipe, at, how)

    monkeypatch.setattr(quick_pair, "draw_recipe", counted)
    at = STUDIO.conditions(firing="raku-workshop", body="yard-raku")
    clear, turquoise = (STUDIO.recipe(id) for id in ("clear-crackle", "turquoise-crackle"))
    quick = QuickPair()
    quick.look([clear, turquoise], at)
    assert drawn == ["clear-crackle", "turquoise-crackle"]
    part = clear.base[2]
    moved = replace(clear, base=(*clear.base[:2], replace(part, amount=part.amount + 1.0)))
    quick.look([moved, turquoise], at)
    assert drawn[2:] == ["clear-crackle"]
    firing = at.firing
    assert firing is not None
    steps = (replace(firing.segments[0], target_c=935.0), *firing.segments[1:])
    hotter = at.in_firing(replace(firing, segments=steps))
    assert quick.look([moved, turquoise], hotter).pair.odds_together > 0.0
    assert len(drawn) == 3


def test_a_recipe_that_only_differs_in_what_stays_undissolved_is_another() -> None:
    at = STUDIO.conditions(firing="earthenware-cone-04", body="red-earthenware")
    glaze = STUDIO.recipe("satin-white")
    stated = [replace(glaze, undissolved={glaze.parts[-1].material.id: share})
              for share in (20.0, 60.0)]  # fmt: skip
    quick = QuickPair()
    first, other = (quick.look([one], at).pair.glazes[0].fit for one in stated)
    assert first and other and first.stress_mpa.value != other.stress_mpa.value
