"""Firing cards to print: the schedule, and a slip per load with blanks for what was done."""

from __future__ import annotations

from dataclasses import replace

from cofire.answers.day.plan import DayPlan
from cofire.answers.firing import FiringAnswer, firing_answer
from cofire.files.library import Library
from cofire.model.conditions import Conditions
from cofire.model.cooling import smoke_words
from cofire.read.units import show_temperature
from cofire.show.day import when
from cofire.show.sheets import words
from cofire.show.sheets.pages import (
    BUCKET_LABEL,
    Blanks,
    Block,
    Booklet,
    Care,
    Cell,
    Head,
    Heading,
    Leaf,
    Paper,
    SheetTable,
    Slips,
    Text,
    keyed_in,
    slip_pages,
)
from cofire.show.terminal import clock
from cofire.words import counted


def firing_cards(answer: FiringAnswer, paper: Paper = "A4") -> Booklet:
    """The schedule, then a slip for every load."""
    front: list[Block] = [
        Head(answer.firing.name, words.firing_line(answer)),
        Blanks((("fired by", 3), ("date", 2))),
        keyed_in(answer),
        *_grave(answer),
    ]
    planned = (f"{clock(x.at_min)}, {show_temperature(x.ware_c)}" for x in answer.loads)
    slips = [_slip(answer, x.name, at) for x, at in zip(answer.loads, planned, strict=True)]
    return _booklet(answer, front, slips, paper)


def day_cards(plan: DayPlan, paper: Paper = "A4") -> Booklet:
    """All firings of a day, then a slip for every pull, with the times of the plan."""
    asked, name = plan.asked, plan.asked.firing.name
    same = replace(asked.firing, load_kg=plan.firings[0].load_kg)
    answer = firing_answer(Library(None), [], Conditions(firing=same))
    rows = tuple(
        tuple(Cell(text, 11.0, k in (0, 4)) for k, text in enumerate((
            str(one.number), str(one.pots), f"{one.load_kg:g} kg",
            *(when(plan, one, at) for at in (one.starts_min, one.first_pull_min)), str(one.kiln),
        )))
        for one in plan.firings
    )  # fmt: skip
    heads = ("firing", "pots", "load", "kiln on", "first pull", "kiln")
    clocked = "of the clock" if plan.clocked else "h:mm after the start"
    front: list[Block] = [
        Head(name, f"{asked.firing.kiln.name} · {asked.pots} pots · {clocked}"),
        Blanks((("fired by", 3), ("date", 2))),
        SheetTable(heads, rows, (None,) * len(heads)),
        *_grave(answer),
    ]
    slips = [
        _slip(
            answer,
            f"firing {one.number}, pull {p.number}",
            f"{when(plan, one, p.at_min)}, {counted(p.pots, 'pot')}, bin {p.bin}",
        )
        for one in plan.firings
        for p in one.pulls
    ]
    return _booklet(answer, front, slips, paper)


def _booklet(
    answer: FiringAnswer, front: list[Block], slips: list[list[Block]], paper: Paper
) -> Booklet:
    first, name = Leaf(front, "firing cards", "cover"), answer.firing.name
    pages: list[Leaf | Slips] = [first, *slip_pages(slips, BUCKET_LABEL, paper)]
    return Booklet(f"{name}: firing cards", name, pages)


def _grave(answer: FiringAnswer) -> list[Block]:
    """What is dangerous at the kiln."""
    grave = [f for f in answer.findings if f.severity in ("danger", "warning")]
    safety = [Heading("Safety")] * bool(grave)
    return [*safety, *(Care(f.severity, f.subject, f.message) for f in grave)]


def _slip(answer: FiringAnswer, name: str, planned: str) -> list[Block]:
    """A card to fill in for one pull, by its name and when and how it is planned."""
    after = answer.after_the_pull
    glazes = ", ".join(track.recipe.name for track in answer.glazes)
    blanks = [("pulled at", "pot"), *([] if glazes else [("glazes",)])]
    if after:
        soft = [g.stiff_after_s.high for g in after.glazes]
        wait = f"{max(soft):.0f} s" if soft else f"{after.dull_red_after_s.high:.0f} s"
        blanks += [
            (f"stiff after {wait} in air; took",),
            (f"planned {smoke_words(after.smoke)}; bin was",),
            ("quenched in water?", "cracks?"),
        ]
    blanks.append(("came out",))
    return [
        Text(name, 13.0, bold=True),
        Text(f"planned at {planned}", 9.5),
        *([Text(f"glazes {glazes}", 9.0)] if glazes else []),
        *(Blanks(tuple((text, 1) for text in line), 9.0) for line in blanks),
    ]
