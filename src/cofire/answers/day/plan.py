"""How many firings the pots of a day take, when each pot leaves, and whether it can be kept."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import combinations
from typing import ClassVar

from cofire.answers.day.asked import DAY_MIN, Day, layers_possible
from cofire.answers.day.crew import FILL_MIN, Crew, Openings, Pull, openings_of
from cofire.errors import CompositionError, refusal
from cofire.model.schedule import speed
from cofire.most import MOST
from cofire.record import Record
from cofire.records import Firing

#: What potters who warm their pots first reload at, °C; common practice, no source.
WARM_POTS_C = 560.0
#: A kiln is started later by steps of this, minutes, until all its pots can leave; our choice.
_WAIT_MIN = 5.0


@dataclass(frozen=True)
class Round:
    """One firing; minutes after the start of the first day."""

    number: int
    day: int
    kiln: int
    pots: int
    under_a_shelf: int  # of the pots
    load_kg: float  # pots and shelves between them
    starts_min: float
    from_c: float  # of the kiln once the cold load is in it
    first_pull_min: float
    last_pull_min: float
    bins_free_min: float
    pulls: tuple[Pull, ...]


@dataclass(frozen=True)
class Cure:
    """What would make the plan one that can be kept: options of the day, and how it then ends."""

    changes: tuple[tuple[str, int], ...]
    total_min: float


@dataclass(frozen=True, eq=False, repr=False)
class DayPlan(Record):
    asked: Day
    pots_per_load: int
    limited_by: str  # what says how many pots a firing takes: chamber, hold or bins
    layers_possible: int
    firings: tuple[Round, ...]
    cures: tuple[Cure, ...] = ()
    schema: ClassVar = "day"
    json_also: ClassVar = (
        "total_min", "starts_at_min", "kept", "too_long", "one_by_one", "asked.firing.name",
    )  # fmt: skip
    json_hides: ClassVar = ("asked",)

    @property
    def total_min(self) -> float:
        """Until the last bin of the last day, from that day's start."""
        return max(_of_day(one, one.bins_free_min) for one in self.firings)

    @property
    def starts_at_min(self) -> float | None:
        """Minutes of the clock: as said, or so that the last bin is empty in time."""
        if self.asked.start is None and self.asked.end is not None:
            return self.asked.end - self.total_min
        return self.asked.start

    @property
    def clocked(self) -> bool:
        """Whether times are of the clock."""
        return self.starts_at_min is not None

    @property
    def too_early(self) -> bool:
        """Whether it would have to start before midnight to end in time."""
        return self.starts_at_min is not None and self.starts_at_min < 0.0

    @property
    def too_long(self) -> bool:
        return self.total_min > self.asked.longest_min or self.too_early

    @property
    def one_by_one(self) -> bool:
        return self.pots_per_load == 1 and self.asked.pots > 1

    @property
    def kept(self) -> bool:
        """Whether people can keep this plan."""
        return not (self.too_long or self.one_by_one)


def _of_day(one: Round, minute: float) -> float:
    return minute - DAY_MIN * (one.day - 1)


def plan_day(asked: Day) -> DayPlan:
    """Loads, pulls and bins, and what would help where people cannot keep the plan.

    Raises CompositionError when a pot does not fit the kiln, or the firing pulls nothing hot.
    """
    plan = _plan(asked)
    return plan if plan.kept else replace(plan, cures=tuple(_cures(asked, plan)))


def _cures(asked: Day, plan: DayPlan) -> Iterator[Cure]:
    """Single changes that help, or else the first few together that do; then the most pots that can
    be kept."""
    room = asked.per_layer * asked.layers
    bins = min(math.ceil(room / asked.per_bin), MOST["bins"])
    tried = [("bins", bins), ("kilns", asked.kilns + 1)]
    tried += [("reload_c", int(WARM_POTS_C)), ("days", asked.days + 1)]
    if asked.layers < plan.layers_possible:
        tried.append(("layers", asked.layers + 1))
    tried = [(option, value) for option, value in tried if value > getattr(asked, option)]
    found = False
    for count in range(1, len(tried) + 1):
        for changes in combinations(tried, count):
            # mypy cannot see that each option is a number of Day
            other = _tried(replace(asked, **dict(changes)))  # type: ignore[arg-type]
            if other is not None:
                yield Cure(changes, other.total_min)
                found = True
                if count > 1:
                    break
        if found:
            break
    least, most = 0, asked.pots
    while most - least > 1:
        middle = (least + most) // 2
        kept = _tried(replace(asked, pots=middle))
        least, most = (middle, most) if kept else (least, middle)
    if least:
        yield Cure((("pots", least),), _plan(replace(asked, pots=least)).total_min)


def _tried(asked: Day) -> DayPlan | None:
    """The plan, if it can be kept."""
    try:
        plan = _plan(asked, stop=True)
    except CompositionError:  # no moment for it between the breaks
        return None
    return plan if plan.kept else None


def _plan(asked: Day, stop: bool = False) -> DayPlan:
    """The plan; with ``stop`` only up to the first firing that ends too late."""
    room, possible = asked.per_layer * asked.layers, 1
    if asked.chamber_mm is not None:
        possible = layers_possible(asked.pot_mm, asked.chamber_mm)
    if asked.layers > possible:
        raise refusal("layers-higher-than-kiln", layers=asked.layers, possible=possible)
    openings = openings_of(replace(asked.firing, load_kg=asked.load_kg(min(room, asked.pots))))
    if not openings.at_min:
        raise refusal("nothing-pulled", asked.firing.place, firing=asked.firing.name)
    fits = _fits(asked, min(room, asked.pots), openings)
    per_load = max(min(room, fits), 1)
    limit = "chamber" if fits >= min(room, asked.pots) else "bins"
    if limit == "bins" and fits >= asked.per_bin * len(openings.at_min) and not openings.at_once:
        limit = "hold"
    count = math.ceil(asked.pots / per_load)
    sizes = [asked.pots // count + (k < asked.pots % count) for k in range(count)]
    rounds = tuple(_rounds(asked, sizes, stop))
    return DayPlan(asked, per_load, limit, possible, rounds)


def _fits(asked: Day, pots: int, openings: Openings) -> int:
    """How many of the pots hold, hands and bins let out of one firing that starts when breaks
    allow most."""

    def out(day: Day, start: float) -> int:
        pulls = Crew.of(day, start).pull(pots, day, openings, start)
        return sum(p.pots for p in pulls)

    best, most, start = out(replace(asked, breaks=()), 0.0), out(asked, 0.0), 0.0
    while most < best and start < DAY_MIN:
        start += _WAIT_MIN
        most = max(most, out(asked, start))
    return most


def _rounds(asked: Day, sizes: list[int], stop: bool) -> list[Round]:
    """The firings in turn: kilns take turns, and one is pulled from at a time."""
    day, begins = 1, 0.0
    crew = Crew.of(asked)
    crews: dict[int, Crew] = {}
    state: list[tuple[float, float | None]] = [(0.0, None)] * asked.kilns  # free at, still at °C
    loaded = {n: replace(asked.firing, load_kg=asked.load_kg(n)) for n in set(sizes)}
    rounds: list[Round] = []
    waiting = list(enumerate(sizes, 1))
    while waiting:
        number, pots = waiting[0]
        done, busy, kiln, after = _one(asked, loaded[pots], number, pots, day, crew, state)
        late = done.bins_free_min - begins > asked.longest_min
        if late and day < asked.days and any(r.day == day for r in rounds):
            day, begins = day + 1, begins + DAY_MIN
            crew = Crew.of(asked, begins, crew.pulled)
            state = [(begins, None)] * asked.kilns
            continue
        rounds.append(done)
        crew, state[kiln] = busy, after
        crews[day] = crew
        waiting.pop(0)
        if stop and late:
            break
    freed = {pull: at for one in crews.values() for pull, at in one.all_free(asked).items()}
    result = []
    for one in rounds:
        pulls = tuple(replace(p, free_min=freed[p.number], number=k)
                      for k, p in enumerate(one.pulls, 1))  # fmt: skip
        result.append(replace(one, pulls=pulls, bins_free_min=max(p.free_min for p in pulls)))
    return result


def _one(
    asked: Day,
    firing: Firing,
    number: int,
    pots: int,
    day: int,
    crew: Crew,
    kilns: list[tuple[float, float | None]],
) -> tuple[Round, Crew, int, tuple[float, float | None]]:
    """A firing, as early as the kiln, hands and bins let all its pots out."""
    kiln = min(range(len(kilns)), key=lambda k: kilns[k][0])
    ready, still_c = kilns[kiln]  # the kiln is cool enough to fill, or filled at the day's start
    can, room_c = speed(firing), firing.ambient_c
    shelves = speed(replace(firing, load_kg=firing.load_kg - pots * asked.each_kg))
    half_min = 60.0 * can.cooling_half_time_h / shelves.slowed
    # no use to start so early that all must leave while the hands are at an earlier kiln
    busy_min = max(crew.last, min(crew.hands)) - openings_of(firing, room_c).until_min - FILL_MIN
    first, waits = math.inf, max(0.0, (busy_min - ready) // _WAIT_MIN * _WAIT_MIN)
    while True:
        busy, start, from_c = crew.copy(), ready + waits, room_c
        if still_c is not None:
            start = busy.fill(asked, start)
            # it cools while it waits, and the cold load takes its share of the heat
            cooled = 0.5 ** ((start - FILL_MIN - ready) / half_min)
            from_c = room_c + can.slowed * cooled * (still_c - room_c)
        openings = openings_of(firing, from_c)
        pulls = busy.pull(pots, asked, openings, start)
        first = min(first, start)
        if sum(p.pots for p in pulls) == pots:
            break
        if start - first > 10 * DAY_MIN:
            raise refusal("breaks-let-none-out", firing.place, firing=firing.name, pots=pots)
        waits += _WAIT_MIN
    last = pulls[-1].at_min
    hot = max((openings.hot_c - room_c) / max(asked.reload_c - room_c, 1.0), 1.0)
    cools_min = half_min * math.log2(hot)
    freed = busy.all_free(asked)
    done = Round(
        number, day, kiln + 1, pots, max(pots - asked.per_layer, 0), firing.load_kg, start, from_c,
        pulls[0].at_min, last, max(freed[p.number] for p in pulls), tuple(pulls),
    )  # fmt: skip
    again = (last + cools_min, min(asked.reload_c, openings.hot_c))
    return done, busy, kiln, again
