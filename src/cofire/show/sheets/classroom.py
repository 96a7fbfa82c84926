"""Pages of a class beside its batch sheets: the day by the clock for the wall, steps for a
projector, slips for pupils, questions before the session. Nothing typed on them is kept."""

from __future__ import annotations

from collections.abc import Sequence

from cofire.answers.batch.records import Pack
from cofire.answers.day import EMPTY_BIN_MIN, FILL_MIN, DayPlan
from cofire.show.day import notes, when
from cofire.show.sheets import words
from cofire.show.sheets.pages import (
    BUCKET_LABEL,
    Blanks,
    Block,
    Booklet,
    Cell,
    Head,
    Heading,
    Leaf,
    Paper,
    SheetTable,
    Signs,
    Slips,
    Text,
    slip_pages,
)
from cofire.show.sheets.pictograms import ACT_SIGNS
from cofire.show.terminal import clock

#: Type that a class reads off a wall, in points, as the size of a block.
_PROJECTED = 40.0 / 9.4 * 10.0
_AT_THE_KILN = ("trained-adults", "raku-pull", "fire", "reduction-smoke")
_SLIPS_ON_A_PAGE = 8
#: A slip has room for so many glazes to tick.
_TO_TICK = 3
_QUESTIONS = (
    "I am or may be pregnant, or breast-feed", "I have asthma", "nickel or cobalt allergy",
    "I take lithium medicine", "I would rather say it myself",
)  # fmt: skip
_CHECKS = (
    "adults at the hot kiln, trained, by name", "adults with the pupils, as the school's rules ask",
    "respirators, fitted, P100 or FFP3", "gloves and goggles for the glazes",
    "heat gloves, face shields and infrared glasses", "cotton or wool clothes, closed shoes",
    "line for pupils, and their way out", "extinguisher and hose tried",
    "cool running water within reach, first aider named", "wind, dry grass and fire ban looked at",
    "question slips read, and given back or destroyed", "data sheets of all materials at hand",
)  # fmt: skip


def wall_sheet(plan: DayPlan) -> Booklet:
    """A page for each day: what happens when, and who does it, to write in."""
    asked, pages = plan.asked, []
    for day in dict.fromkeys(one.day for one in plan.firings):
        firings = [one for one in plan.firings if one.day == day]
        events: list[tuple[float, str, str]] = []
        filled = set()
        for one in firings:
            kiln = f"kiln {one.kiln}, " if asked.kilns > 1 else ""
            off = f"kiln {one.kiln} off" if asked.kilns > 1 else "kiln off"
            on = f"{kiln}firing {one.number}: {one.pots} pots in, {one.load_kg:g} kg, kiln on"
            events.append((one.starts_min, when(plan, one, one.starts_min), on))
            if one.kiln in filled:  # the first load of a day stands in it before the day begins
                begin = one.starts_min - FILL_MIN
                events.append((begin, when(plan, one, begin), f"{kiln}fill it, {one.pots} pots"))
            filled.add(one.kiln)
            for p in one.pulls:
                if p.shelf_min is not None:
                    out = f"{kiln}red-hot shelf out, to its place"
                    events.append((p.shelf_min, when(plan, one, p.shelf_min), out))
                said = f"{kiln}pull {p.number}: pot into bin {p.bin}" if p.pots == 1 else (
                    f"{kiln}pull {p.number}: {p.pots} pots into bin {p.bin}")  # fmt: skip
                events.append((p.at_min, when(plan, one, p.at_min), said))
                emptied = p.free_min - EMPTY_BIN_MIN
                events.append((emptied, when(plan, one, emptied), f"empty bin {p.bin}"))
            last = when(plan, one, one.last_pull_min)
            events.append((one.last_pull_min + 0.01, last, f"{off}, lid shut"))
        for begin, end in asked.breaks:
            minute = begin - (asked.start or 0.0) + 1440.0 * (day - 1)
            events.append((minute, clock(begin), f"break until {clock(end)}"))
        rows = tuple(
            (Cell(boxes=("",)), Cell(at, 14.0, True), Cell(what, 12.0), Cell())
            for _, at, what in sorted(events)
        )
        title = f"{asked.firing.name}, day {day}" if asked.days > 1 else asked.firing.name
        about = f"{sum(one.pots for one in firings)} pots · {asked.bins} bins"
        blocks: list[Block] = [
            Head(title, f"{about} · {'of the clock' if plan.clocked else 'h:mm after the start'}"),
            Signs((), tuple(ACT_SIGNS[code] for code in (*_AT_THE_KILN, _power(plan)))),
            SheetTable(("", "when", "what", "who"), rows, (0.05, 0.16, None, 0.26), ruled="all"),
            *(Text(note, 10.0) for note in notes(plan)),
            Text(words.SDS, 8.5),
        ]
        pages.append(Leaf(blocks, "for the wall"))
    return Booklet(f"{asked.firing.name}: the day", asked.firing.name, pages)


def _power(plan: DayPlan) -> str:
    return "kiln-gas" if plan.asked.firing.kiln.fuel == "gas" else "kiln-electric"


def projector(pack: Pack) -> Booklet:
    """For each glaze what to weigh and what to do, as large as a class reads off a wall."""
    pages = []
    for sheet in pack.sheets:
        first = sheet.buckets[0]
        weights, _ = words.weights(sheet, first)
        names = [w.part.material.name for w in first.weighings]
        unit = f" {sheet.shown_unit}".rstrip()
        # never broken over two lines
        weights = [f"{weight}{unit}".replace(" ", "\u00a0") for weight in weights]
        each = "" if len(sheet.buckets) == 1 else f", bucket 1 of {len(sheet.buckets)}"
        rows = tuple(
            (
                Cell(name, _PROJECTED, badge="TEACHER" * (name in sheet.teacher_only)),
                Cell(weight, _PROJECTED, True, True),
            )
            for name, weight in zip(names, weights, strict=True)
        )
        codes = [c for c, _ in sheet.cautions]
        blocks: list[Block] = [
            Head(f"{sheet.recipe.name}{each}", sheet.code),
            Signs((), tuple(words.signs(codes))),
            SheetTable((), rows, (None, (max(weights, key=len), _PROJECTED)), words.parts(first)),
            *(Text(f"{k}. {step}", _PROJECTED) for k, step in enumerate(sheet.mixing, 1)),
        ]
        pages.append(Leaf(blocks, sheet.code, "projector", shrinks=False))
    return Booklet(f"{pack.title}: for a projector", pack.title, pages, landscape=True)


def slips(pack: Pack, names: Sequence[str] = (), paper: Paper = "A4") -> Booklet:
    """A checklist for the adults, a slip for every pupil by name, and question slips to fill in
    before the session: one for everybody, blank."""
    checks = tuple((Cell(boxes=("",)), Cell(check, 11.0), Cell()) for check in _CHECKS)
    first: list[Block] = [
        Head(pack.title, "before the class"),
        Blanks((("pupils", 1), ("adults", 1), ("date", 1))),
        SheetTable(("", "looked at", "by"), checks, (0.05, None, 0.3), ruled="all"),
        Text(words.SDS, 8.5),
    ]
    count = max(len(names), pack.people or 0) or _SLIPS_ON_A_PAGE
    pages: list[Leaf | Slips] = [
        Leaf(first, "checklist"),
        *slip_pages([_pupil(pack, name) for name in names], BUCKET_LABEL, paper),
        *slip_pages([_questions()] * count, BUCKET_LABEL, paper),
    ]
    return Booklet(f"{pack.title}: slips", pack.title, pages)


def _pupil(pack: Pack, name: str) -> list[Block]:
    glazes = [f"{sheet.code} {sheet.recipe.name}" for sheet in pack.sheets]
    few = len(glazes) <= _TO_TICK
    return [
        Text(name, 15.0, bold=True),
        *([_ticks(glazes)] if few else [Blanks((("glazes", 1),), 9.0)]),
        Blanks((("pot", 1), ("tiles", 1)), 9.0),
        Blanks((("pulled at", 1), ("bin", 1)), 9.0),
        Blanks((("came out", 1),), 9.0),
    ]


def _questions() -> list[Block]:
    return [
        Heading("Before the session"),
        Text("For your teacher only. Nobody asks why; this slip is not kept.", 8.5),
        Blanks((("name", 1),), 9.0),
        _ticks(_QUESTIONS),
    ]


def _ticks(lines: Sequence[str]) -> SheetTable:
    """A box to tick before each line."""
    rows = tuple((Cell(line, 9.0, boxes=("",), box_mm=3.4),) for line in lines)
    return SheetTable((), rows, (None,))
