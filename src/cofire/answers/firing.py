"""One firing in full: what to key in, when loads are ready, what it costs, how glazes ripen."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from cofire.answers.findings.bought import bought_findings
from cofire.answers.findings.cautions import firing_cautions, kiln_cautions
from cofire.answers.findings.firing import speed_findings, supply_findings
from cofire.arrays import Array
from cofire.errors import refusal
from cofire.files.bought import Bought
from cofire.files.library import Library
from cofire.findings import Finding, sort_findings
from cofire.firing.cones import HeatWork, heat_work
from cofire.firing.history import History, until
from cofire.model.after_pull import IN_STILL_AIR, AfterPull, after_pull
from cofire.model.conditions import Conditions
from cofire.model.cooling import pulled
from cofire.model.glaze_draws import Drawing, GlazeDraws
from cofire.model.outcome import draw_recipe
from cofire.model.ripening import Fluidity, fluidity_up_to
from cofire.model.schedule import (
    Leaving,
    Moment,
    fired_before,
    kiln_history,
    leavings,
    planned,
    speed,
    ware_c,
)
from cofire.read.coat import Coat
from cofire.record import Record
from cofire.records import Firing, Recipe
from cofire.ripeness.judge import Criteria, ripe_enough, runs, stages_of

#: Draws and moments for the picture of ripeness; its odds have a standard error of 2.5 per cent.
_DRAWS, _NODES = 400, 160
#: Colder than this no glaze does any work worth counting.
COLD_C = 450.0
#: What a cone number is worth, °C: 90 % of the usual doubt of a pyrometer and a place in the kiln
#: (8 °C, 1 sd; see PYROMETER_SD_C and place_sd_c in model/conditions.py).
_UNSURE_C = 13.0


#: No firing before this one.
_NOTHING = np.zeros(0), np.zeros(0)


@dataclass(frozen=True)
class KeyedIn:
    """One line for a controller. A rate of None is as fast as it goes; ``ramp_takes_min`` is the
    time this kiln needs for the ramp."""

    number: int
    rate_c_per_h: float | None
    target_c: float
    hold_min: float
    ramp_takes_min: float


@dataclass(frozen=True, eq=False)
class Load:
    """Ware that leaves at one moment: when, how hot, and the cones it has bent."""

    name: str
    at_min: float
    ware_c: float
    heat: HeatWork
    cone_low: str
    cone_high: str
    json_spreads: ClassVar = ("heat",)


@dataclass(frozen=True, eq=False)
class Track:
    """How one glaze ripens along the firing: odds (M,) at ``time_min`` (M,)."""

    recipe: Recipe
    time_min: Array
    under: Array
    ripe: Array
    runs: Array
    json_also: ClassVar = ("recipe.name",)
    json_hides: ClassVar = ("recipe",)


#: A closed kiln may be opened and unloaded from here, °C; common practice, no source.
OPEN_C = 100.0


@dataclass(frozen=True, eq=False, repr=False)
class FiringAnswer(Record):
    """``time_s`` (T,) with the temperatures of pyrometer and ware."""

    firing: Firing
    coats: tuple[Coat, ...]
    wall_mm: float
    time_s: Array
    air_c: Array
    ware_c: Array
    segments: tuple[KeyedIn, ...]
    total_min: float
    energy_kwh: float | None
    cost: float | None
    openings: tuple[Leaving, ...]
    loads: tuple[Load, ...]
    glazes: tuple[Track, ...]
    after_the_pull: AfterPull | None
    findings: tuple[Finding, ...]
    schema: ClassVar = "firing"
    json_also: ClassVar = (
        "firing.name",
        "firing.kiln",
        "firing.load_kg",
        "firing.supply",
        "history",
        "cold_min",
    )
    json_hides: ClassVar = ("firing", "time_s", "air_c", "ware_c", "openings")

    @property
    def history(self) -> dict[str, Array]:
        """The temperatures at some 400 moments."""
        some = slice(None, None, max(1, len(self.time_s) // 400))
        return {
            "time_min": self.time_s[some] / 60.0,
            "pyrometer_c": self.air_c[some],
            "ware_c": self.ware_c[some],
        }

    @property
    def cold_min(self) -> float:
        """When a kiln that stays shut has cooled to where it may be opened, from the start."""
        room_c, can = self.firing.ambient_c, speed(self.firing)
        end_c = float(np.interp(60.0 * self.total_min, self.time_s, self.air_c))
        halves = np.log2(max((end_c - room_c) / max(OPEN_C - room_c, 1.0), 1.0))
        return self.total_min + 60.0 * can.cooling_half_time_h / can.slowed * float(halves)

    @property
    def shown_min(self) -> float:
        """How long the picture is: the program, and the fall after it in a closed kiln."""
        return float(self.time_s[-1] / 60.0)


def firing_answer(library: Library, recipes: list[Recipe], at: Conditions) -> FiringAnswer:
    """The firing of some conditions in full. Raises CompositionError if its kiln cannot do it, or
    if it is too cold for any glaze."""
    firing, wall_mm = at.firing, at.wall_mm
    if firing is None:
        raise refusal("no-firing")
    at.for_glazes(max(len(recipes), 1))
    if firing.peak_c < COLD_C:
        raise refusal("peak-too-low", firing.place, firing=firing.name, peak_c=firing.peak_c)
    past = kiln_history(firing)
    ware = ware_c(firing, wall_mm)
    openings = leavings(firing, past)
    energy = energy_kwh(firing)
    draws = [draw_recipe(recipe, at, Drawing(layer=k)) for k, recipe in enumerate(recipes)]
    after = None
    if openings:
        from_c = float(np.interp(60.0 * openings[0].at_min, past.time_s, ware))
        pairs = list(zip(recipes, draws, strict=True))
        still_air = pulled(wall_mm, from_c, IN_STILL_AIR)
        after = after_pull(from_c, wall_mm, pairs, still_air, firing.smoke)
    findings = [
        *firing_cautions(library, firing),
        *kiln_cautions(library, recipes),
        *speed_findings(firing),
        *supply_findings(firing),
        *(f for one in recipes if isinstance(one, Bought) for f in bought_findings(one)),
    ]
    return FiringAnswer(
        firing=firing,
        coats=at.coats,
        wall_mm=wall_mm,
        time_s=past.time_s,
        air_c=past.air_c,
        ware_c=ware,
        segments=_keyed_in(firing, planned(firing)),
        total_min=past.hold_end_s[-1] / 60.0,
        energy_kwh=energy,
        cost=None
        if energy is None or firing.price_per_kwh is None
        else energy * firing.price_per_kwh,
        openings=tuple(openings),
        loads=tuple(_loads(past, ware, openings)),
        glazes=tuple(
            track(recipe, d, past.time_s, ware, at.criteria, fired_before(at.earlier, wall_mm))
            for recipe, d in zip(recipes, draws, strict=True)
        ),
        after_the_pull=after,
        findings=sort_findings(findings),
    )


def _keyed_in(firing: Firing, past: History) -> tuple[KeyedIn, ...]:
    rows, before = [], 0.0
    for k, segment in enumerate(firing.segments):
        took = (past.ramp_end_s[k] - before) / 60.0
        before = past.hold_end_s[k]
        rows.append(KeyedIn(k + 1, segment.rate_c_per_h, segment.target_c, segment.hold_min, took))
    return tuple(rows)


def energy_kwh(firing: Firing) -> float | None:
    """Electricity (or heat) of the whole firing, kWh; None when the kiln's power is not known.

    The elements are taken to be on while a lid is up and until half of its drop is recovered.
    """
    can, past = speed(firing), planned(firing)
    if can.power_kw is None:
        return None
    rate = 3600.0 * np.diff(past.air_c) / np.diff(past.time_s)
    middle = 0.5 * (past.air_c[1:] + past.air_c[:-1])
    drawn = can.power_drawn_kw(middle, rate, firing.ambient_c)
    total = float(drawn @ np.diff(past.time_s)) / 3600.0
    for leaving in leavings(firing, past):
        if leaving.open_s > 0.0:
            idle = np.interp(60.0 * leaving.at_min, past.time_s[1:], drawn)
            full = can.power_kw * (1.0 - can.wear)
            total += (full - float(idle)) * (leaving.open_s + firing.kiln.lid_recovery_s) / 3600.0
    return total


def _loads(past: History, ware: Array, openings: list[Leaving]) -> list[Load]:
    if not openings:
        openings = [Leaving("end of firing", past.hold_end_s[-1] / 60.0, 0.0)]
    loads = []
    for leaving in openings:
        time_s, t_c = until(past.time_s, ware, 60.0 * leaving.at_min)
        heat = heat_work(time_s, t_c)
        low, high = (heat_work(time_s, t_c + shift).short for shift in (-_UNSURE_C, _UNSURE_C))
        loads.append(Load(leaving.name, leaving.at_min, float(t_c[-1]), heat, low, high))
    return loads


def track(
    recipe: Recipe,
    draws: GlazeDraws,
    time_s: Array,
    ware: Array,
    by: Criteria,
    before: tuple[Array, Array] = _NOTHING,
    *,
    n: int = _DRAWS,
    at_s: Array | None = None,
    known: Fluidity | None = None,
) -> Track:
    """Odds that a glaze is under, ripe or running at moments along the ware's history, or at those
    of ``at_s``, after the firings (T,) that it was in ``before``, by ``n`` draws; their fluidities
    are taken where they are ``known``."""
    hot = np.flatnonzero(ware > COLD_C)
    if not len(hot):
        none = np.zeros(0)
        return Track(recipe, none, none, none, none)
    some = draws.some(n)
    whole = Moment("", 0.0, time_s, ware)
    hottest_c = float(max(ware.max(), before[1].max(initial=0.0)))
    known = known or fluidity_up_to(hottest_c, some)
    if at_s is None:
        at_s = np.linspace(time_s[hot[0]], time_s[-1], _NODES)
    flowed = known.followed(whole, at_s)
    if len(before[0]):
        flowed = flowed + known.through(Moment("", 0.0, *before))
    kept = None
    if recipe.surface == "matte":
        upto = [np.searchsorted(time_s, node, side="right") for node in at_s]
        kept = np.stack([some.crystal_minutes(time_s[:k], ware[:k]) for k in upto])
    stages = stages_of(flowed, some.coat_mm, some.melt, by, kept)
    ready, ran = ripe_enough(stages, recipe.surface, by), runs(stages, by)
    running = ran.mean(axis=1)
    under = (~ready & ~ran).mean(axis=1)
    return Track(recipe, at_s / 60.0, under, 1.0 - under - running, running)
