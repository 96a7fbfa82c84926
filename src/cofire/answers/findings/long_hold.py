"""Effects of a long hold that no model has: crystals, vapours, bubbles."""

from __future__ import annotations

import math

import numpy as np

from cofire import glass
from cofire.answers.findings.texts import finding, wording
from cofire.arrays import Array
from cofire.chem.oxides import INDEX
from cofire.findings import Finding, Severity
from cofire.glass.crystals import growth_um
from cofire.model.analysis import Analysis
from cofire.records import Recipe

#: Longer holds than this, h, give crystals their time; a hold stays within this many °C, and is
#: deep below the liquidus from this many; our choice.
_LONG_HOLD_H = 0.5
_SAME_C = 20.0
_DEEP_C = 100.0
#: Odds from which crystals are reported, and a size (mm) that the eye sees; our choice.
_LIKELY = 0.75
_VISIBLE_MM = 0.1
#: Hours above this, °C, from which vapours count, and what a glaze must hold (fired wt %) to give
#: them off; common practice, no source.
_VAPOUR_C = 850.0
_VAPOUR_H = 1.5
_GIVES_OFF_WT = {"B2O3": 12.0, "Na2O": 12.0, "K2O": 10.0, "Li2O": 4.0, "PbO": 5.0}
_BLISTERS_WT = {"F": 0.5, "Bi2O3": 5.0}
#: Losing this much of the raw batch as gas (wt %) keeps a stiff glaze bubbling; common practice.
_GASSY_LOI = 15.0


def crystal_findings(
    recipe: Recipe, melt: glass.Prepared, time_s: Array, ware_c: Array
) -> list[Finding]:
    """Whether the hold at the end of a history (T,) lets crystals grow in one melt: a
    matte needs them, a clear gloss clouds."""
    end_c = float(ware_c[-1])
    hold_h = float((np.diff(time_s) * (np.abs(ware_c[1:] - end_c) < _SAME_C)).sum() / 3600.0)
    if hold_h < _LONG_HOLD_H:
        return []
    liquidus = glass.liquidus(melt)
    depth = float(liquidus.value[0]) - end_c
    below = odds_below(depth, float(liquidus.sd[0]))
    log10_eta = glass.viscosity(melt).log10_eta(ware_c[None, :])
    grown_mm = 1e-3 * float(growth_um(time_s, ware_c, log10_eta, liquidus.value)[0])
    about = {
        "hold_h": hold_h,
        "end_c": end_c,
        "liquidus_c": liquidus.value[0],
        "low_c": liquidus.low[0],
        "high_c": liquidus.high[0],
    }
    if recipe.surface == "matte" and below < 0.5:
        return [finding("too-hot-for-crystals", recipe.name, **about)]
    clear = recipe.surface in ("gloss", "crackle")
    if clear and below >= _LIKELY and grown_mm >= _VISIBLE_MM:
        severity: Severity = "caution" if depth > _DEEP_C else "note"
        return [finding("may-cloud", recipe.name, severity, **about)]
    return []


def odds_below(depth_c: float, sd_c: float) -> float:
    """Odds that a temperature lies below a liquidus that is ``depth_c`` higher, known to
    ``sd_c``."""
    return 0.5 * (1.0 + math.erf(depth_c / (sd_c * math.sqrt(2.0))))


def vapour_findings(
    recipe: Recipe, analysis: Analysis, time_s: Array, ware_c: Array
) -> list[Finding]:
    """Evaporation and blisters of one glaze in a long hold."""
    hours = float((np.diff(time_s) * (ware_c[1:] > _VAPOUR_C)).sum() / 3600.0)
    if hours < _VAPOUR_H:
        return []
    wt = analysis.oxides_wt_percent

    def rich(limits: dict[str, float]) -> list[str]:
        return [o for o, most in limits.items() if wt[INDEX[o]] >= most]

    findings = []
    if leaving := rich(_GIVES_OFF_WT):
        of_lead = "PbO" in leaving
        findings.append(
            finding(
                "vapours",
                recipe.name,
                "warning" if of_lead else "note",
                hours=hours,
                above_c=_VAPOUR_C,
                oxides=" and ".join(leaving),
                lead=wording("vapours", "lead") if of_lead else "",
            )
        )
    bubbling = rich(_BLISTERS_WT)
    if bubbling or analysis.loi_percent > _GASSY_LOI:
        what = " and ".join(bubbling) or "the gas of its raw materials"
        findings.append(finding("blisters", recipe.name, what=what, hours=hours))
    return findings
