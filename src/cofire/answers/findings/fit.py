"""Cautions and doubts about a coat on a body, and about pots that are pulled red-hot."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cofire.findings import Finding
from cofire.model.cooling import Cooling
from cofire.model.interval import Interval
from cofire.model.survival import Survival
from cofire.records import Body, Recipe
from cofire.words import percent

if TYPE_CHECKING:
    from cofire.answers.fit import FitAnswer

#: Odds of an edge letting go above which it is worth a word; our choice.
_EDGE_ODDS = 0.2


def fit_findings(answer: FitAnswer) -> list[Finding]:
    """What to know of a coat on its body."""
    recipe, body, edge_odds = answer.recipe, answer.body, answer.odds.edges_could_shiver
    edges = Finding(
        "edges",
        "caution",
        f"it sits in strong compression: sharp edges and rims could shiver ({percent(edge_odds)}, "
        "by a weak criterion). Round the edges and look for loose flakes, which cut.",
        "Hutchinson & Suo 1992 (spalling), body toughness from memory",
        recipe.name,
    )
    return [*([edges] if edge_odds > _EDGE_ODDS else []), *body_findings(body)]


def body_findings(body: Body) -> list[Finding]:
    """What to know of any coat on a body."""
    low, high = body.alpha_1e6_per_k
    return [
        Finding(
            "accepted-tests",
            "note",
            "to know: ISO 10545-11 and ASTM C424 age glazed ware in steam (moisture growth of the "
            "body), ASTM C554 shocks it in water, ASTM C372 measures expansion. Passing one means "
            "that this piece withstood that strain, not that it never crazes; boiling and freezing "
            "by turns is common practice without a standard. A crazed pot is not for food.",
            "scopes of the standards named; studio test common practice",
            body.name,
        ),
        Finding(
            "uncalibrated",
            "note",
            "crazing odds rest on fracture mechanics and published toughness of glass; no measured "
            "case of glaze stress was found to calibrate them. A tile decides. The body's "
            f"expansion is taken as {low:.3g} to {high:.3g}e-6/K "
            f"({body.range_c[0]:.0f}-{body.range_c[1]:.0f} °C).",
            f"Hutchinson & Suo 1992; body: {body.source}",
            body.name,
        ),
    ]


#: Odds of losing the pot above which it is worth a word, and the share of hairlines; our choice.
_LOSS, _HAIRLINES = 0.1, 0.5
#: Lifted out hotter than this into air, carbon burns out of the cracks again, °C; from memory of
#: soot burning from about 450 °C on.
_CARBON_BURNS_C = 450.0


def pulled_findings(recipe: Recipe, body: Body, survives: Survival, cool: Cooling) -> list[Finding]:
    """What to know of a pot that is pulled red-hot."""
    assert cool.path is not None and cool.smoke is not None
    through = "the pull" if survives.quench is None else "pull and quench"
    found = [
        Finding(
            "shock-odds",
            "caution" if survives.together < 1.0 - _LOSS else "note",
            f"that the pot comes whole through {through} ({percent(survives.together)}) rests on a "
            "crack that starts at a grain and either runs on or stops; toughness and grog of fired "
            "clay are known to a factor of two, uneven walls, joins and old cracks not at all. "
            "Even, thin walls, grog, little free quartz, a dry pot and, before water, more time in "
            "the bin help. Stand back: pots can burst.",
            "Hasselman 1969 (crack growth in thermal shock); toughness of clay from memory",
            body.name,
        )
    ]
    lifted_c = float(cool.path.mean_c[cool.path.ends[1]])
    if cool.smoke.bin_min > 0.0 and cool.smoke.then == "air" and lifted_c > _CARBON_BURNS_C:
        found.append(
            Finding(
                "carbon-burns",
                "caution",
                f"after {cool.smoke.bin_min:g} min in the bin the wall is still near "
                f"{lifted_c:.0f} °C: opened now, carbon burns out of the cracks again and flashes "
                "fade. Keep the bin shut longer.",
                "from memory of soot burning from about 450 °C on",
                recipe.name,
            )
        )
    return found


def curve_findings(body: Body, set_c: Interval) -> list[Finding]:
    """Where the glaze sets hotter than the clay's measured curve goes."""
    if body.curve is None or set_c.high <= body.curve[0][-1]:
        return []
    return [
        Finding(
            "curve-too-short",
            "caution",
            f"the glaze sets near {set_c.value:.0f} °C, but the clay's curve ends at "
            f"{body.curve[0][-1]:.0f} °C: it is taken to go on as it ended.",
            body.source,
            body.name,
        )
    ]
