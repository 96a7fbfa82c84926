"""Pages of a class beside its batch sheets: the day by the clock for the wall, steps for a
projector, slips for pupils, questions before the session. Nothing typed on them is kept."""

from __future__ import annotations

from collections.abc import Sequence

from cofire.answers.batch.records import Pack
from cofire.answers.day.asked import DAY_MIN
from cofire.answers.day.crew import EMPTY_BIN_MIN, FILL_MIN
from cofire.answers.day.plan import DayPlan
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
from cofire.words import counted

#: Type that a class reads off a wall, in points, as the size of a block.
_PROJECTED = 40.0 / 9.4 * 10.0
_SIGNS = 0.6 * _PROJECTED
_AT_THE_KILN = ("trained-adults", "raku-pull", "fire", "reduction-smoke")
_SLIPS_ON_A_PAGE = 8
#: A slip has room for so many glazes to tick.
_TO_TICK = 3
_QUESTIONS = (
    "I am or may be pregnant, or breast-feed", "I have asthma", "nickel or cobalt allergy",
    "I take lithium medicine", "I would rather say it myself",
)  # fmt: skip
#: Pupils to an adult, beside those at the kiln; common practice, no source.
_PUPILS_TO_AN_ADULT = 8
#: What is worn for a glaze, by its sign.
_WORN = {
    "respirator": "respirators, fitted, P100 or FFP3, for pupils and adults",
    "gloves": "gloves for the glazes, for pupils and adults",
    "goggles": "goggles for the glazes, for pupils and adults",
}  # fmt: skip
_AT_HOT_KILN = (
    "heat gloves, face shields and infrared glasses", "cotton or wool clothes, closed shoes",
)  # fmt: skip
_OUTDOORS = (
    "line for pupils, and their way out", "extinguisher and hose tried",
    "wind, dry grass and fire ban looked at",
)  # fmt: skip
_CHECKS = (
    "cool running water within reach, first aider named",
    "question slips read, and given back or destroyed", "data sheets of all materials at hand",
)  # fmt: skip


def wall_sheet(plan: DayPlan) -> Booklet:
    """A page for each day: what happens when, and who does it, to write in."""
    asked, pages = plan.asked, []
    for day in dict.fromkeys(one.day for one in plan.firings):
        firings = [one for one in plan.firings if one.day == day]
        rows = tuple(
            (
                *(Cell(boxes=("",)), Cell(shown, 14.0, True), Cell(what, 11.0), Cell()),
                *((Cell(boxes=("",)), Cell(empty, 14.0, True), Cell(bin, 11.0), Cell())
                  if bin else (Cell(),) * 4),
            )
            for _, shown, what, empty, bin in _events(plan, day)
        )  # fmt: skip
        title = f"{asked.firing.name}, day {day}" if plan.firings[-1].day > 1 else asked.firing.name
        about = f"{counted(sum(one.pots for one in firings), 'pot')} · {counted(asked.bins, 'bin')}"
        heads = ("", "when", "at the kiln", "who", "", "empty at", "", "who")
        time = (max((row[1].text for row in rows), key=len), 14.0)
        widths = (0.045, time, None, 0.13, 0.045, time, ("bin 10", 11.0), 0.13)
        blocks: list[Block] = [
            Head(title, f"{about} · {'of the clock' if plan.clocked else 'h:mm after the start'}"),
            Signs((), tuple(ACT_SIGNS[code] for code in (*_AT_THE_KILN, _power(plan)))),
            SheetTable(heads, rows, widths, ruled="all"),
            *(Text(note, 10.0) for note in notes(plan)),
            Text(words.SDS, 8.5),
        ]
        pages.append(Leaf(blocks, "for the wall"))
    return Booklet(f"{asked.firing.name}: the day", asked.firing.name, pages)


def _events(plan: DayPlan, day: int) -> list[tuple[float, str, str, str, str]]:
    """What happens in a day, in order: minute, that moment as shown, what at the kiln, and of a
    pull when its bin is emptied, and which."""
    asked, filled = plan.asked, set()
    events: list[tuple[float, str, str, str, str]] = []

    def add(minute: float, what: str, empty: str = "", bin: str = "") -> None:
        events.append((minute, when(plan, one, minute, dated=False), what, empty, bin))

    for one in (one for one in plan.firings if one.day == day):
        kiln = f"kiln {one.kiln}, " if asked.kilns > 1 else ""
        add(one.starts_min, f"{kiln}firing {one.number}: {counted(one.pots, 'pot')} in, "
            f"{one.load_kg:g} kg, kiln on")  # fmt: skip
        if one.kiln in filled:  # the first load of a day stands in it before the day begins
            add(one.starts_min - FILL_MIN, f"{kiln}fill it, {counted(one.pots, 'pot')}")
        filled.add(one.kiln)
        for p in one.pulls:
            if p.shelf_min is not None:
                add(p.shelf_min, f"{kiln}red-hot shelf out, to its place")
            pots = "pot" if p.pots == 1 else f"{p.pots} pots"
            emptied = when(plan, one, p.free_min - EMPTY_BIN_MIN, dated=False)
            said = f"{kiln}pull {p.number}: {pots} into bin {p.bin}"
            add(p.at_min, said, emptied, f"bin {p.bin}")
        # after the pull of the same minute
        off = f"kiln {one.kiln} off" if asked.kilns > 1 else "kiln off"
        add(one.last_pull_min + 0.01, f"{off}, lid shut")
    for begin, end in asked.breaks:
        minute = begin - (asked.start or 0.0) + DAY_MIN * (day - 1)
        events.append((minute, clock(begin), f"break until {clock(end)}", "", ""))
    return sorted(events)


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
        widths = (None, (max(weights, key=len), _PROJECTED))
        parts, worn = words.parts(first), " · ".join(words.signs(codes))
        weigh: list[Block] = [
            Head(f"{sheet.recipe.name}{each}", sheet.code),
            *([Text(worn, _SIGNS, bold=True)] if worn else []),
            SheetTable((), rows, widths, parts, part_size=_SIGNS),
        ]
        steps = [Text(f"{k}. {step}", _PROJECTED) for k, step in enumerate(sheet.mixing, 1)]
        pages.append(Leaf(weigh, sheet.code, "projector"))
        pages.append(Leaf(steps, sheet.code, "projector", shrinks=False))
    return Booklet(f"{pack.title}: for a projector", pack.title, pages, landscape=True)


def slips(pack: Pack, names: Sequence[str] = (), paper: Paper = "A4") -> Booklet:
    """A checklist for the adults, a slip for every pupil by name, and question slips to fill in
    before the session: one for everybody, blank."""
    pupils = max(len(names), pack.people or 0)
    checks = tuple(
        (Cell(boxes=("",)), Cell(check, 11.0), Cell(count, 13.0, True), Cell())
        for check, count in checklist(pack, pupils)
    )
    first: list[Block] = [
        Head(pack.title, f"before the class · {pupils} pupils" if pupils else "before the class"),
        Blanks((("pupils", 1), ("adults", 1), ("date", 1))),
        SheetTable(
            ("", "looked at", "at least", "by"), checks, (0.05, None, 0.12, 0.26), ruled="all"
        ),
        Text(
            f"One adult to {_PUPILS_TO_AN_ADULT} pupils, beside those at the kiln, and never one "
            "alone: common practice, no source. Your school's rules come first: write their number "
            "over it where it is higher.",
            8.5,
        ),
        Text(words.SDS, 8.5),
    ]
    count = pupils or _SLIPS_ON_A_PAGE
    pages: list[Leaf | Slips] = [
        Leaf(first, "checklist"),
        *slip_pages([_pupil(pack, name) for name in names], BUCKET_LABEL, paper),
        *slip_pages([_questions()] * count, BUCKET_LABEL, paper),
    ]
    return Booklet(f"{pack.title}: slips", pack.title, pages)


def checklist(pack: Pack, pupils: int) -> list[tuple[str, str]]:
    """What to look at before a class, and of how many: adults for the pupils and hands at the hot
    kiln, what is worn by hazard. A firing that pulls nothing has no hot kiln; nothing is counted
    where nobody said how many pupils come."""
    hot = pack.firing is None or bool(pack.firing.pulls)
    hands = str(pack.ware.hands if pack.ware else 2) if hot else ""
    with_pupils = -(-pupils // _PUPILS_TO_AN_ADULT)
    # one of two can go for help
    adults = max(with_pupils, 1 if hot else 2)
    who = str(pupils + adults) if pupils else ""
    worn = {sign for s in pack.sheets for c, _ in s.cautions for sign in c.signs}
    lines = [("trained adults at the hot kiln, by name", hands)] if hot else []
    lines.append(
        ("adults with the pupils" + ", none of them at the kiln" * hot, str(adults) * bool(pupils))
    )
    lines += [(what, who) for sign, what in _WORN.items() if sign in worn]
    lines += [(what, hands) for what in _AT_HOT_KILN] if hot else []
    lines += [(what, "") for what in _OUTDOORS] if hot else []
    return [*lines, *((what, "") for what in _CHECKS)]


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
