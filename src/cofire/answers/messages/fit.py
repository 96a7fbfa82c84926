"""What a fit means, in words."""

from __future__ import annotations

import numpy as np

from cofire.arrays import Array
from cofire.findings import Finding
from cofire.model.cooling import Cooling
from cofire.model.survival import Survival
from cofire.records import Body, Recipe
from cofire.words import percent

#: Tension that passes and is worth naming as the cause, MPa; our choice.
_PASSING_MPA = 15.0


def sentence(
    recipe: Recipe,
    body: Body,
    wanted: str,
    share: float,
    odds: float,
    now: float,
    later: float,
    shivers: float,
    alpha_glaze: Array,
    alpha_body: Array,
    passing_mpa: float,
) -> str:
    gap = float(np.median(alpha_glaze - alpha_body))
    by = f"it shrinks {abs(gap):.1f}e-6/K {'more' if gap > 0 else 'less'} than the body"
    if passing_mpa > _PASSING_MPA:
        by = f"on its way it is pulled {passing_mpa:.0f} MPa harder than when it is cold"
    unsure = "most of the doubt is the body"
    if body.curve is None:
        unsure += ", whose expansion is known only as a range"
    if np.std(alpha_glaze) > np.std(alpha_body):
        unsure = "most of the doubt is the glaze's own expansion"
    if wanted == "crazes":
        if share >= odds:
            return f"Yes, it crackles ({percent(share)}): {by}; {unsure}."
        return (
            f"No, a crackle is not sure enough ({percent(share, odds)}, {percent(odds)} asked): it "
            f"{by}; {unsure}."
        )
    if wanted == "stays" and share >= odds:
        return (
            f"Yes, it stays on ({percent(share)}), and crazes with {percent(later)} odds, which a "
            f"lustre may: {by}; {unsure}."
        )
    if share >= odds:
        return f"Yes, it sits ({percent(share)}): {by}; {unsure}."
    danger = (
        f"it crazes with {percent(later)} odds"
        if later >= shivers
        else f"it could shiver ({percent(shivers)})"
    )
    return (
        f"No, it is not sure enough to sit ({percent(share, odds)}, {percent(odds)} asked): "
        f"{danger}, since {by}; {unsure}."
    )


#: Odds of an edge letting go above which it is worth a word; our choice.
_EDGE_ODDS = 0.2


def fit_findings(recipe: Recipe, body: Body, edge_odds: float) -> list[Finding]:
    low, high = body.alpha_1e6_per_k
    edges = Finding(
        "edges",
        "caution",
        f"it sits in strong compression: sharp edges and rims could shiver ({percent(edge_odds)}, "
        "by a weak criterion). Round the edges and look for loose flakes, which cut.",
        "Hutchinson & Suo 1992 (spalling), body toughness from memory",
        recipe.name,
    )
    return [
        *([edges] if edge_odds > _EDGE_ODDS else []),
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
