"""When a lustre can be reduced: soft enough for metal to move, too stiff to smear or stick."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from cofire import glass
from cofire.answers.findings.cautions import material_cautions
from cofire.answers.findings.texts import finding
from cofire.arrays import Array
from cofire.chem.oxides import INDEX
from cofire.files.library import Library
from cofire.findings import Finding, sort_findings
from cofire.model.after_pull import seconds_in_air
from cofire.model.analysis import analyse
from cofire.model.conditions import Conditions
from cofire.model.glaze_draws import GlazeDraws
from cofire.model.interval import Interval
from cofire.model.outcome import draw_recipe
from cofire.record import Record
from cofire.records import Firing, Recipe

#: log10 Pa·s between which a glaze can be reduced to a lustre. At its transition (10^12) ions trade
#: places within minutes; below 10^7.5 paint and ash sink in and shelves stick. Glazes of Hispano-
#: Moresque make so come to 450-630 °C; reported firings are 500-650 °C (see the tests). Our choice.
MOVES_LOG10_ETA = 12.0
STICKS_LOG10_ETA = 7.5

#: Metal in the fired glaze, wt %: too little to shine, usual from, usual to; more is wasted or goes
#: black. Common practice, no source.
_USUAL_WT = {
    "CuO": ("copper", 0.5, 5.0),
    "Ag": ("silver", 0.2, 2.0),
    "Bi2O3": ("bismuth", 1.0, 6.0),
}


@dataclass(frozen=True)
class Metal:
    """One metal of a lustre, its share of the fired glaze and what that suggests."""

    metal: str
    oxide: str
    wt_percent: float
    amount: str


@dataclass(frozen=True, eq=False, repr=False)
class LustreAnswer(Record):
    """The window is from ``metal_moves_from_c`` up to ``sticks_from_c``. With a firing that pulls
    hot: seconds in still air at which a pot enters and leaves it."""

    recipe: Recipe
    metal_moves_from_c: Interval
    sticks_from_c: Interval
    metals: tuple[Metal, ...]
    in_window_after_pull_s: tuple[float, float] | None
    firing: Firing | None
    findings: tuple[Finding, ...]
    schema: ClassVar = "lustre"
    json_spreads: ClassVar = ("recipe",)


def lustre(library: Library, recipe: Recipe, at: Conditions) -> LustreAnswer:
    """The reduction window of one glaze. Raises CompositionError if it is not a glaze."""
    firing, wall_mm = at.firing, at.wall_mm
    draws = draw_recipe(recipe, at)
    temperatures = [
        draws.curve.isokom(level)[draws.pick] + _doubt_c(draws, level)
        for level in (MOVES_LOG10_ETA, STICKS_LOG10_ETA)
    ]
    moves, sticks = (Interval.of_draws(t, "°C") for t in temperatures)
    wt = analyse(recipe).oxides_wt_percent
    metals = tuple(
        Metal(name, oxide, float(wt[INDEX[oxide]]), _amount(float(wt[INDEX[oxide]]), low, high))
        for oxide, (name, low, high) in _USUAL_WT.items()
        if wt[INDEX[oxide]] > 0.01
    )
    window = None
    if firing is not None and firing.pulls:
        from_c = float(at.when[-1].ware_c[-1])
        enters, leaves = seconds_in_air(from_c, np.array([sticks.value, moves.value]), wall_mm)
        window = float(enters), float(leaves)
    findings = _findings(recipe, metals, draws.solids.melt_mol[:1])
    return LustreAnswer(
        recipe=recipe,
        metal_moves_from_c=moves,
        sticks_from_c=sticks,
        metals=metals,
        in_window_after_pull_s=window,
        firing=firing,
        findings=sort_findings([*findings, *material_cautions(library, [recipe])]),
    )


def _doubt_c(draws: GlazeDraws, log10_eta: float) -> Array:
    """The curve's doubt at a viscosity, as degrees, per draw."""
    t_c = draws.curve.isokom(log10_eta)
    slope = (draws.curve.log10_eta(t_c - 4.0) - draws.curve.log10_eta(t_c + 4.0)) / 8.0
    width = draws.curve.width(t_c, 0.9) / np.maximum(slope, 1e-6)
    return np.asarray(width[draws.pick] * draws.viscosity_error)


def _amount(wt: float, low: float, high: float) -> str:
    if wt < low:
        return f"little: {low:g} to {high:g} % is usual"
    if wt > high:
        return f"much: more than the usual {low:g} to {high:g} % is wasted or turns black"
    return f"usual ({low:g} to {high:g} %)"


def _findings(recipe: Recipe, metals: tuple[Metal, ...], melt_mol: Array) -> list[Finding]:
    findings = [finding("lustre-window", recipe.name), finding("resinate")]
    if not metals:
        findings.append(finding("no-metal", recipe.name))
    if any(m.oxide == "CuO" for m in metals):
        findings.append(finding("reoxidation", recipe.name))
    if glass.support(melt_mol).grade[0] >= 1.0:
        findings.append(finding("thin-data-lustre", recipe.name))
    return findings
