"""When a lustre can be reduced, by each of three processes: a paste on a fired glaze, metal in the
glaze, and bought resinates."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar, Literal

import numpy as np

from cofire import glass
from cofire.answers.findings.bought import bought_findings
from cofire.answers.findings.cautions import lustre_cautions, material_cautions
from cofire.answers.findings.texts import finding
from cofire.arrays import Array
from cofire.chem.oxides import INDEX
from cofire.errors import refusal
from cofire.files.bought import Bought
from cofire.files.library import Library
from cofire.findings import Finding, sort_findings
from cofire.glass.estimate import Z90
from cofire.model.after_pull import seconds_in_air
from cofire.model.analysis import analyse
from cofire.model.body_draws import heat_in_air
from cofire.model.conditions import Conditions
from cofire.model.glaze_draws import GlazeDraws
from cofire.model.interval import Interval
from cofire.model.outcome import draw_recipe
from cofire.model.schedule import cooled_to
from cofire.model.standard_draws import normals
from cofire.record import Record
from cofire.records import Firing, Recipe

Process = Literal["paste", "glaze", "resinate"]
#: log10 Pa·s between which a glaze can be reduced. Ions trade places far below the transition; at
#: it (10^12) grains of metal grow within the hour of an old lustre firing, a little softer within
#: the minutes of a bin. Below 10^7.5 paste and ash sink in and shelves stick; metal that is in the
#: glaze needs no paste, and may be hotter until ash sinks into it too (10^6). Glazes of Hispano-
#: Moresque make so come to 450-630 °C; reported firings are 500-650 °C (see the tests). Our choice.
WINDOWS: dict[Process, tuple[float, float]] = {
    "paste": (12.0, 7.5), "glaze": (11.5, 6.0), "resinate": (12.0, 7.5)
}  # fmt: skip
#: How far the limits may be off though viscosity were known, °C, 90 %: 50 to 100; our choice.
_DOUBT_C = 75.0
#: Makers of resinates print 600 to 780 °C; from memory. They burn off first and then bite into a
#: glaze that has just begun to soften.
RESINATE_C = (600.0, 780.0)

#: Metal in the fired glaze, wt %: too little to shine, usual from, usual to; more is wasted or goes
#: black. Common practice, no source.
_USUAL_WT = {
    "CuO": ("copper", 0.5, 5.0),
    "Ag": ("silver", 0.2, 2.0),
    "Bi2O3": ("bismuth", 1.0, 6.0),
}
#: Alkalis that ions of a paste trade places with, and how few of them, mol %, are none; our choice.
_ALKALIS, _LEAST_ALKALI = ("Na2O", "K2O", "Li2O"), 0.5


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
    hot: seconds in still air at which a pot enters and leaves it. With one that stays closed:
    from when to when the ware is in it, minutes from the start, as the kiln heats and cools."""

    recipe: Recipe
    process: Process
    metal_moves_from_c: Interval
    sticks_from_c: Interval
    metals: tuple[Metal, ...]
    window_after_pull_s: tuple[Interval, Interval] | None
    in_window_min: tuple[tuple[float, float], ...]
    firing: Firing | None
    findings: tuple[Finding, ...]
    schema: ClassVar = "lustre"
    json_also: ClassVar = ("in_window_after_pull_s",)
    json_spreads: ClassVar = ("recipe",)

    @property
    def in_window_after_pull_s(self) -> tuple[float, float] | None:
        """The middles of ``window_after_pull_s``."""
        if self.window_after_pull_s is None:
            return None
        enters, leaves = self.window_after_pull_s
        return enters.value, leaves.value


def lustre(
    library: Library, recipe: Recipe, at: Conditions, process: Process | None = None
) -> LustreAnswer:
    """The reduction window of one glaze. The process is the paste for a glaze without metal.

    Raises CompositionError if it is not a glaze, and where nothing in it can turn.
    """
    metals = _metals(recipe)
    if process is None:
        sold_as_one = not recipe.known and recipe.surface == "lustre"
        process = "glaze" if metals or sold_as_one else "paste"
    _require(process, recipe, metals)
    firing, wall_mm = at.firing, at.wall_mm
    draws = draw_recipe(recipe, at)
    window_c = _window_c(draws, process)
    moves, sticks = (Interval.of_draws(t_c, "°C") for t_c in window_c)
    painted, too_hot = process == "resinate", False
    if painted:
        metals = ()  # it brings its own
        if sticks.value <= moves.value:
            raise refusal("too-soft-for-resinate", recipe.place, recipe=recipe.name, c=moves.value)
    window: tuple[Interval, Interval] | None = None
    spans: tuple[tuple[float, float], ...] = ()
    if firing is not None and firing.pulls and not painted:
        from_c = float(at.when[-1].ware_c[-1])
        heat = heat_in_air("pot", draws.n)
        leaves, enters = (
            Interval.of_draws(seconds_in_air(from_c, t_c, wall_mm, heat=heat), "s")
            for t_c in window_c
        )
        window = enters, leaves
    elif firing is not None:
        time_s, ware_c = cooled_to(firing, wall_mm, moves.value)
        too_hot = painted and bool(ware_c.max() > sticks.value)
        if not too_hot:
            spans = _spans(time_s / 60.0, ware_c, moves.value, sticks.value)
    findings = _findings(recipe, process, metals, draws.solids.melt_mol[:1])
    if firing is not None and too_hot:
        findings.append(finding("resinate-too-hot", firing=firing.name, c=sticks.value))
    elif firing is not None and not spans and not (window and window[1].value > 0.0):
        findings.append(finding("lustre-never", recipe.name, firing=firing.name))
    if len(spans) > 1:
        hours = spans[-1][0] / 60.0
        findings.append(finding("lustre-cools-into-it", recipe.name, hours=hours))
    return LustreAnswer(
        recipe=recipe,
        process=process,
        metal_moves_from_c=moves,
        sticks_from_c=sticks,
        metals=metals,
        window_after_pull_s=window,
        in_window_min=spans,
        firing=firing,
        findings=sort_findings(
            [
                *findings,
                *material_cautions(library, [recipe]),
                *lustre_cautions(library, process, bool(firing and firing.pulls) and not painted),
            ]
        ),
    )


def _metals(recipe: Recipe) -> tuple[Metal, ...]:
    if not recipe.known:
        return ()
    wt = analyse(recipe).oxides_wt_percent
    return tuple(
        Metal(name, oxide, float(wt[INDEX[oxide]]), _amount(float(wt[INDEX[oxide]]), low, high))
        for oxide, (name, low, high) in _USUAL_WT.items()
        if wt[INDEX[oxide]] > 0.01
    )


def _require(process: Process, recipe: Recipe, metals: tuple[Metal, ...]) -> None:
    """Raises CompositionError where nothing can turn."""
    if not recipe.known:
        return
    if process == "glaze" and not metals:
        raise refusal("no-metal-to-turn", recipe.place, recipe=recipe.name)
    alkali = 100.0 * sum(float(analyse(recipe).mol[INDEX[o]]) for o in _ALKALIS)
    if process == "paste" and alkali < _LEAST_ALKALI:
        raise refusal("no-alkali-to-trade", recipe.place, recipe=recipe.name, alkali=alkali)


def _window_c(draws: GlazeDraws, process: Process) -> tuple[Array, Array]:
    """From where to where of each draw (n,), °C; the doubt is that of viscosity and of the limits
    themselves."""
    moves, sticks = (
        draws.curve.isokom(level)[draws.pick] + _doubt_c(draws, level) for level in WINDOWS[process]
    )
    # the limits are off together: one process, one glaze
    off = _DOUBT_C / Z90 * normals("lustre ends", draws.n)
    moves, sticks = moves + off, sticks + off
    if process == "resinate":
        moves = np.maximum(moves, RESINATE_C[0])
        sticks = np.maximum(np.minimum(sticks, RESINATE_C[1]), RESINATE_C[0])
    return moves, sticks


def _doubt_c(draws: GlazeDraws, log10_eta: float) -> Array:
    """The curve's doubt at a viscosity, as degrees, per draw."""
    t_c = draws.curve.isokom(log10_eta)
    width = draws.curve.width(t_c, 0.9) / np.maximum(-draws.curve.slope(t_c), 1e-6)
    return np.asarray(width[draws.pick] * draws.viscosity_error)


def _spans(
    time_min: Array, ware_c: Array, low_c: float, high_c: float
) -> tuple[tuple[float, float], ...]:
    """From when to when temperatures (T,) lie between two, the ends straight between moments."""
    fine = np.linspace(time_min[0], time_min[-1], 8001)
    at = np.interp(fine, time_min, ware_c)
    inside = np.concatenate([[False], (at >= low_c) & (at <= high_c), [False]])
    turns = np.flatnonzero(np.diff(inside.astype(int)))
    return tuple((float(fine[a]), float(fine[b - 1])) for a, b in turns.reshape(-1, 2) if b - 1 > a)


def _amount(wt: float, low: float, high: float) -> str:
    if wt < low:
        return f"little: {low:g} to {high:g} % is usual"
    if wt > high:
        return f"much: more than the usual {low:g} to {high:g} % is wasted or turns black"
    return f"usual ({low:g} to {high:g} %)"


def _findings(
    recipe: Recipe, process: Process, metals: tuple[Metal, ...], melt_mol: Array
) -> list[Finding]:
    if isinstance(recipe, Bought):
        return [finding("lustre-window", recipe.name), *bought_findings(recipe)]
    findings = [finding("lustre-window", recipe.name)]
    findings.append(finding("resinate-window") if process == "resinate" else finding("resinate"))
    if process == "paste" and not metals:
        findings.append(finding("no-metal", recipe.name))
    if any(m.oxide == "CuO" for m in metals):
        findings.append(finding("reoxidation", recipe.name))
    if glass.support(melt_mol).grade[0] >= 1.0:
        findings.append(finding("thin-data-lustre", recipe.name))
    return findings
