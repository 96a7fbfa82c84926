"""Cautions and doubts about a coat on a body, and about pots that are pulled red-hot."""

from __future__ import annotations

from cofire.answers.findings.texts import finding
from cofire.answers.results.fit import FitAnswer
from cofire.findings import Finding
from cofire.firing.wall import IN_BIN, times_still_air
from cofire.model.cooling import Cooling
from cofire.model.interval import Interval
from cofire.model.survival import Survival
from cofire.records import Body, Recipe
from cofire.words import percent

#: Odds of an edge letting go above which it is reported; our choice.
_EDGE_ODDS = 0.2


def fit_findings(answer: FitAnswer) -> list[Finding]:
    """Findings about a coat on its body."""
    findings = body_findings(answer.body)
    if answer.odds.edges_could_shiver > _EDGE_ODDS:
        findings.insert(
            0, finding("edges", answer.recipe.name, odds=percent(answer.odds.edges_could_shiver))
        )
    return findings


def body_findings(body: Body) -> list[Finding]:
    """Findings about any coat on a body."""
    (low, high), (from_c, to_c) = body.alpha_1e6_per_k, body.range_c
    about = {"low": low, "high": high, "from_c": from_c, "to_c": to_c, "source": body.source}
    return [finding("accepted-tests", body.name), finding("uncalibrated", body.name, **about)]


#: Odds of losing the pot above which it is reported, and the share of hairlines; our choice.
_LOSS = 0.1
#: Lifted out hotter than this into air, carbon burns out of the cracks again, °C; from memory of
#: soot burning from about 450 °C on.
_CARBON_BURNS_C = 450.0
#: Where ways to cool are compared, °C.
_HOT_C = 600.0


def pulled_findings(
    recipe: Recipe, body: Body, survives: Survival, cooling: Cooling
) -> list[Finding]:
    """Findings about a pot that is pulled red-hot."""
    assert cooling.path is not None and cooling.smoke is not None
    through = "the pull" if survives.quench is None else "pull and quench"
    findings = [
        finding(
            "shock-odds",
            body.name,
            "caution" if survives.together < 1.0 - _LOSS else "note",
            through=through,
            breaks=survives.breaks,
        )
    ]
    smoke = cooling.smoke
    if smoke.fan_s or smoke.spray_s or smoke.bed != "bin":
        lets = {bed: 100.0 * IN_BIN[bed] / IN_BIN["bin"] for bed in ("sawdust", "buried")}
        more = {way: times_still_air(way, _HOT_C) for way in ("fan", "spray")}
        findings.append(finding("heat-of-ways", recipe.name, at_c=_HOT_C, **more, **lets))
    lifted_c = float(cooling.path.mean_c[cooling.path.ends[1]])
    bin_min = cooling.smoke.bin_min
    if bin_min > 0.0 and cooling.smoke.then == "air" and lifted_c > _CARBON_BURNS_C:
        findings.append(finding("carbon-burns", recipe.name, bin_min=bin_min, lifted_c=lifted_c))
    return findings


def curve_findings(body: Body, set_c: Interval) -> list[Finding]:
    """Where the glaze sets hotter than the clay's measured curve goes."""
    if body.curve is None or set_c.high <= (end_c := body.curve[0][-1]):
        return []
    about = {"set_c": set_c.value, "end_c": end_c, "source": body.source}
    return [finding("curve-too-short", body.name, **about)]
