"""A day with the kiln: how many firings N pots take, when each pot leaves, and whether it can be
kept."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from itertools import combinations
from typing import ClassVar

import numpy as np

from cofire.errors import CompositionError, refusal
from cofire.model.schedule import leavings, planned, speed
from cofire.read.size import read_sides
from cofire.read.units import clock_minutes
from cofire.record import Record
from cofire.records import Firing

#: Room between pots and over them, mm, for glaze, heat and tongs; common practice, no source.
_GAP_MM = 15.0
_HEADROOM_MM = 25.0
#: Share of a round shelf that round pots can cover; circles packed in a circle; our choice.
_PACKING = 0.70
#: Wall of a thrown pot, mm, as in other answers; biscuit, kg/m³, from memory of earthenware.
_WALL_MM, _POT_KG_M3 = 6.0, 1900.0
#: A kiln shelf, mm, and cordierite, kg/m³; from memory.
_SHELF_MM, _SHELF_KG_M3 = 15.0, 2000.0
#: Minutes to fill the kiln, to empty a bin, and for one pair of hands from the lid to the closed
#: bin; common practice, no source.
FILL_MIN = 20.0
EMPTY_BIN_MIN = 3.0
_PULL_MIN = 2.0
#: Minutes to take a red-hot shelf out and set it down; common practice, no source.
_SHELF_MIN = 3.0
#: A load that is pulled all at once leaves within this, minutes; common practice, no source.
_AT_ONCE_MIN = 20.0
#: Cold glazed pots go into a kiln no hotter than this, °C, unless told otherwise; common practice,
#: no source.
RELOAD_C = 200.0
#: What potters who warm their pots first reload at, °C; common practice, no source.
WARM_POTS_C = 560.0
#: Nobody keeps a day longer than this, minutes; our choice.
_LONGEST_MIN = 12 * 60.0
#: Nor rests longer than this in it; our choice.
_LONGEST_BREAK_MIN = 4 * 60.0
_DAY_MIN = 24 * 60.0
#: A kiln is started later by steps of this, minutes, until all its pots can leave; our choice.
_WAIT_MIN = 5.0


@dataclass(frozen=True)
class Pull:
    """What leaves the kiln together; minutes after the start. ``free_min``: its bin is empty;
    ``shelf_min``: a shelf comes out before it."""

    number: int
    pots: int
    bin: int
    at_min: float
    in_bin_min: float
    free_min: float
    shelf_min: float | None = None


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


@dataclass(frozen=True)
class Day:
    """What is asked: pots and kiln in mm, minutes of the clock (None: not said)."""

    firing: Firing
    pots: int
    pot_mm: tuple[float, float]
    chamber_mm: tuple[float, float] | None  # None: the kiln takes what is pulled
    bins: int
    per_bin: int = 1
    layers: int = 1
    kilns: int = 1
    hands: int = 2
    days: int = 1
    pot_kg: float | None = None
    reload_c: float = RELOAD_C
    start: float | None = None
    end: float | None = None
    #: When nobody pulls, empties bins or fills the kiln, minutes of the clock.
    breaks: tuple[tuple[float, float], ...] = ()

    def after_breaks(self, minute: float, takes: float) -> float:
        """The first moment from ``minute`` on, after the start, in which work that ``takes`` so
        long is not in a break."""
        midnight = minute // _DAY_MIN * _DAY_MIN
        for begin, end in sorted(self.breaks):
            begin, end = (midnight + at - (self.start or 0.0) for at in (begin, end))
            if begin - takes < minute < end:
                minute = end
        return minute

    @property
    def each_kg(self) -> float:
        """A pot's weight, as said or a thin cylinder with a floor."""
        if self.pot_kg is not None:
            return self.pot_kg
        return pot_kg(self.pot_mm)

    @property
    def longest_min(self) -> float:
        """How long a day may last."""
        both = self.start is not None and self.end is not None
        return self.end - self.start if both else _LONGEST_MIN  # type: ignore[operator]

    def load_kg(self, pots: int) -> float:
        """Pots and the shelves between their layers, in whole 100 g, as one can type it."""
        shelves_kg = 0.0
        if self.chamber_mm is not None:
            shelves = math.ceil(pots / pots_per_layer(self.pot_mm, self.chamber_mm)) - 1
            area = math.pi * (1e-3 * self.chamber_mm[0]) ** 2 / 4.0
            shelves_kg = shelves * _SHELF_KG_M3 * 1e-3 * _SHELF_MM * area
        return round(pots * self.each_kg + shelves_kg, 1)


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
    return minute - _DAY_MIN * (one.day - 1)


def pot_kg(pot_mm: tuple[float, float]) -> float:
    """Weight of a biscuit pot of a diameter and height: a thin cylinder with a floor."""
    across, high = (1e-3 * side for side in pot_mm)
    area = math.pi * across * high + math.pi * across**2 / 4.0
    return _POT_KG_M3 * 1e-3 * _WALL_MM * area


def pots_per_layer(pot_mm: tuple[float, float], chamber_mm: tuple[float, float]) -> int:
    """How many round pots (diameter, height) stand on the floor of a round chamber; 0 if none.

    Upright, with a finger's room between them.
    """
    across = pot_mm[0] + _GAP_MM
    if across > chamber_mm[0] or pot_mm[1] + _HEADROOM_MM > chamber_mm[1]:
        return 0
    return max(1, math.floor(_PACKING * (chamber_mm[0] / across) ** 2))


def layers_possible(pot_mm: tuple[float, float], chamber_mm: tuple[float, float]) -> int:
    """Layers of pots that a chamber is high enough for."""
    return int(chamber_mm[1] // (pot_mm[1] + _HEADROOM_MM))


def read_size(text: str, what: str) -> tuple[float, float]:
    """“12 x 15 cm” -> (diameter, height) in mm. Raises QuantityError."""
    size = read_sides(text, what, "Write diameter and height: “12 x 15 cm”.")
    if not all(10.0 <= side <= 3000.0 for side in size):
        raise refusal("no-such-size", what=what, text=text)
    return size


def read_breaks(texts: Sequence[str], start: str | None) -> tuple[tuple[float, float], ...]:
    """“12:00-12:45” -> minutes of the clock. Raises QuantityError."""
    if texts and start is None:
        raise refusal("break-without-start")
    breaks = []
    for text in texts:
        begin, _, end = text.replace("–", "-").partition("-")
        if not end:
            raise refusal("no-such-break", text=text)
        from_min, to_min = clock_minutes(begin), clock_minutes(end)
        if not 0.0 < to_min - from_min <= _LONGEST_BREAK_MIN:
            raise refusal("no-such-break", text=text)
        breaks.append((from_min, to_min))
    return tuple(breaks)


def plan_day(asked: Day) -> DayPlan:
    """Loads, pulls and bins, and what would help where people cannot keep the plan.

    Raises CompositionError when a pot does not fit the kiln, or the firing pulls nothing hot.
    """
    plan = _plan(asked)
    return plan if plan.kept else replace(plan, cures=tuple(_cures(asked, plan)))


def _cures(asked: Day, plan: DayPlan) -> Iterator[Cure]:
    """Single changes that help, or else the first few together that do; then the most pots that can
    be kept."""
    room = _layer(asked) * asked.layers
    tried = [("bins", min(math.ceil(room / asked.per_bin), 50)), ("kilns", asked.kilns + 1)]
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
    layer, possible = _layer(asked), 1
    if asked.chamber_mm is not None:
        possible = layers_possible(asked.pot_mm, asked.chamber_mm)
    if asked.layers > possible:
        raise refusal("layers-higher-than-kiln", layers=asked.layers, possible=possible)
    room = layer * asked.layers
    openings = _openings(replace(asked.firing, load_kg=asked.load_kg(min(room, asked.pots))))
    if not openings.at_min:
        raise refusal("nothing-pulled", asked.firing.place, firing=asked.firing.name)
    fits = _fits(asked, min(room, asked.pots), layer, openings)
    per_load = max(min(room, fits), 1)
    limit = "chamber" if fits >= min(room, asked.pots) else "bins"
    if limit == "bins" and fits >= asked.per_bin * len(openings.at_min) and not openings.at_once:
        limit = "hold"
    count = math.ceil(asked.pots / per_load)
    sizes = [asked.pots // count + (k < asked.pots % count) for k in range(count)]
    rounds = tuple(_rounds(asked, sizes, layer, stop))
    return DayPlan(asked, per_load, limit, possible, rounds)


def _fits(asked: Day, pots: int, layer: int, openings: _Openings) -> int:
    """How many of the pots hold, hands and bins let out of one firing that starts when breaks
    allow most."""

    def out(day: Day, start: float) -> int:
        pulls = _Crew.of(day, start).pull(pots, layer, day, openings, start)
        return sum(p.pots for p in pulls)

    best, most, start = out(replace(asked, breaks=()), 0.0), out(asked, 0.0), 0.0
    while most < best and start < _DAY_MIN:
        start += _WAIT_MIN
        most = max(most, out(asked, start))
    return most


def _layer(asked: Day) -> int:
    """Pots in a layer. Raises CompositionError where none fits."""
    if asked.chamber_mm is None:
        return asked.pots
    layer = pots_per_layer(asked.pot_mm, asked.chamber_mm)
    if layer == 0:
        raise refusal(
            "pot-larger-than-kiln",
            pot_across=asked.pot_mm[0],
            pot_high=asked.pot_mm[1],
            kiln_across=asked.chamber_mm[0],
            kiln_high=asked.chamber_mm[1],
        )
    return layer


def first_pulls(asked: Day, pots: int) -> list[Pull]:
    """When ``pots`` leave the first firing of a day and into which bins; fewer where hold and bins
    do not let out all of them."""
    openings = _openings(replace(asked.firing, load_kg=asked.load_kg(pots)))
    return _Crew.of(asked).pull(pots, _layer(asked), asked, openings, 0.0)


@dataclass(frozen=True)
class _Openings:
    """When pots may leave, minutes after the start of a firing from cold, and up to when."""

    at_min: tuple[float, ...]
    until_min: float
    at_once: bool  # the whole load in one go
    hot_c: float  # of the kiln at the last opening
    saved_min: float = 0.0  # by a kiln that is still warm


def _openings(firing: Firing, from_c: float | None = None) -> _Openings:
    past = planned(firing)
    found = leavings(firing, past)
    if not found:
        return _Openings((), 0.0, False, 0.0)
    saved = 0.0
    if from_c is not None:
        first = min(from_c, firing.segments[0].target_c)
        saved = float(past.time_s[int(np.argmax(past.air_c >= first))]) / 60.0
    at = tuple(opening.at_min - saved for opening in found)
    end = past.time_s[-1] / 60.0 - saved
    hot = float(np.interp(60.0 * found[-1].at_min, past.time_s, past.air_c))
    once = len(found) == 1
    until = max(end, at[0] + _AT_ONCE_MIN) if once else end
    return _Openings(at, until, once, hot, saved)


@dataclass
class _Crew:
    """Hands and bins over the day: when each is free, and what is in a bin."""

    hands: list[float]
    clean: list[float]  # when each bin is empty; infinite while it holds a pot
    due: dict[int, tuple[float, int]] = field(default_factory=dict)  # bin -> smoke over, pull
    freed: dict[int, float] = field(default_factory=dict)  # pull -> its bin is empty
    pulled: int = 0
    last: float = -math.inf  # pull; one lid is up at a time

    @classmethod
    def of(cls, asked: Day, start: float = 0.0, pulled: int = 0) -> _Crew:
        return cls([start] * asked.hands, [start] * asked.bins, pulled=pulled)

    def copy(self) -> _Crew:
        hands, clean = [*self.hands], [*self.clean]
        return _Crew(hands, clean, dict(self.due), dict(self.freed), self.pulled, self.last)

    def pull(
        self, pots: int, layer: int, asked: Day, openings: _Openings, start: float
    ) -> list[Pull]:
        """Pots leave one bin's worth at a time, from the top layer down, as openings, hands, bins
        and breaks allow."""
        smoke, gone = asked.firing.smoke, 0
        pulls: list[Pull] = []
        air_min = smoke.before_bin_s / 60.0
        while pots > 0:
            k = len(pulls)
            if openings.at_once:
                planned_min = openings.at_min[0]
            elif k < len(openings.at_min):
                planned_min = openings.at_min[k]
            else:
                break
            bin_at = min(range(len(self.clean)), key=self.clean.__getitem__)
            shelf_min = _SHELF_MIN if gone and gone % layer == 0 else 0.0
            begin = max(start + planned_min - shelf_min, self.last + _PULL_MIN, min(self.hands))
            begin = max(begin, self.clean[bin_at] - air_min - shelf_min)
            at = asked.after_breaks(begin, shelf_min + max(_PULL_MIN, air_min)) + shelf_min
            if self.due and max(min(self.due.values())[0], min(self.hands)) <= at - shelf_min:
                self.empty_one(asked)
                continue
            if at > start + openings.until_min + 1e-9:
                break
            here = min(pots, asked.per_bin, layer - gone % layer)
            self.hands[self.hands.index(min(self.hands))] = at + max(_PULL_MIN, air_min)
            self.clean[bin_at] = math.inf
            self.due[bin_at] = (at + air_min + smoke.bin_min, self.pulled)
            shelf_at = at - shelf_min if shelf_min else None
            pulls.append(Pull(self.pulled, here, bin_at + 1, at, at + air_min, math.nan, shelf_at))
            self.pulled += 1
            pots, self.last, gone = pots - here, at, gone + here
        return pulls

    def fill(self, asked: Day, ready: float) -> float:
        """When a kiln is full that may be filled from ``ready`` on, by who is free first."""
        hand = self.hands.index(min(self.hands))
        begin = asked.after_breaks(max(ready, self.hands[hand]), FILL_MIN)
        self.hands[hand] = begin + FILL_MIN
        return begin + FILL_MIN

    def empty_one(self, asked: Day) -> None:
        """The bin whose smoke is over first is emptied by whoever is free first."""
        bin_at = min(self.due, key=lambda b: self.due[b])
        over, pull = self.due.pop(bin_at)
        hand = self.hands.index(min(self.hands))
        begin = asked.after_breaks(max(over, self.hands[hand]), EMPTY_BIN_MIN)
        done = begin + EMPTY_BIN_MIN
        self.hands[hand] = self.clean[bin_at] = self.freed[pull] = done

    def all_free(self, asked: Day) -> dict[int, float]:
        """When each pull's bin is empty, if nothing more is pulled."""
        rest = self.copy()
        while rest.due:
            rest.empty_one(asked)
        return rest.freed


def _rounds(asked: Day, sizes: list[int], layer: int, stop: bool) -> list[Round]:
    """The firings in turn: kilns take turns, and one is pulled from at a time."""
    day, begins = 1, 0.0
    crew = _Crew.of(asked)
    crews: dict[int, _Crew] = {}
    state: list[tuple[float, float | None]] = [(0.0, None)] * asked.kilns  # free at, still at °C
    loaded = {n: replace(asked.firing, load_kg=asked.load_kg(n)) for n in set(sizes)}
    rounds: list[Round] = []
    waiting = list(enumerate(sizes, 1))
    while waiting:
        number, pots = waiting[0]
        done, busy, kiln, after = _one(asked, loaded[pots], number, pots, layer, day, crew, state)
        late = done.bins_free_min - begins > asked.longest_min
        if late and day < asked.days and any(r.day == day for r in rounds):
            day, begins = day + 1, begins + _DAY_MIN
            crew = _Crew.of(asked, begins, crew.pulled)
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
    layer: int,
    day: int,
    crew: _Crew,
    kilns: list[tuple[float, float | None]],
) -> tuple[Round, _Crew, int, tuple[float, float | None]]:
    """A firing, as early as the kiln, hands and bins let all its pots out."""
    kiln = min(range(len(kilns)), key=lambda k: kilns[k][0])
    ready, still_c = kilns[kiln]  # the kiln is cool enough to fill, or filled at the day's start
    can, room_c = speed(firing), firing.ambient_c
    shelves = speed(replace(firing, load_kg=firing.load_kg - pots * asked.each_kg))
    half_min = 60.0 * can.cooling_half_time_h / shelves.slowed
    # no use to start so early that all must leave while the hands are at an earlier kiln
    busy_min = max(crew.last, min(crew.hands)) - _openings(firing, room_c).until_min - FILL_MIN
    first, waits = math.inf, max(0.0, (busy_min - ready) // _WAIT_MIN * _WAIT_MIN)
    while True:
        busy, start, from_c = crew.copy(), ready + waits, room_c
        if still_c is not None:
            start = busy.fill(asked, start)
            # it cools while it waits, and the cold load takes its share of the heat
            cooled = 0.5 ** ((start - FILL_MIN - ready) / half_min)
            from_c = room_c + can.slowed * cooled * (still_c - room_c)
        openings = _openings(firing, from_c)
        pulls = busy.pull(pots, layer, asked, openings, start)
        first = min(first, start)
        if sum(p.pots for p in pulls) == pots:
            break
        if start - first > 10 * _DAY_MIN:
            raise refusal("breaks-let-none-out", firing.place, firing=firing.name, pots=pots)
        waits += _WAIT_MIN
    last = pulls[-1].at_min
    hot = max((openings.hot_c - room_c) / max(asked.reload_c - room_c, 1.0), 1.0)
    cools_min = half_min * math.log2(hot)
    freed = busy.all_free(asked)
    done = Round(
        number, day, kiln + 1, pots, max(pots - layer, 0), firing.load_kg, start, from_c,
        pulls[0].at_min, last, max(freed[p.number] for p in pulls), tuple(pulls),
    )  # fmt: skip
    again = (last + cools_min, min(asked.reload_c, openings.hot_c))
    return done, busy, kiln, again
