"""Firing cards to print: the schedule, and a slip per load with blanks for what was done."""

from __future__ import annotations

from cofire.answers.firing import FiringAnswer
from cofire.model.cooling import smoke_words
from cofire.read.units import show_temperature
from cofire.show.sheets import words
from cofire.show.sheets.pages import (
    BUCKET_LABEL,
    Blanks,
    Block,
    Booklet,
    Care,
    Head,
    Heading,
    Leaf,
    Paper,
    Slips,
    Text,
    keyed_in,
    slip_pages,
)
from cofire.show.terminal import clock


def firing_cards(answer: FiringAnswer, paper: Paper = "A4") -> Booklet:
    """The schedule, then a slip for every load."""
    grave = [f for f in answer.findings if f.severity in ("danger", "warning")]
    front: list[Block] = [
        Head(answer.firing.name, words.firing_line(answer)),
        Blanks((("fired by", 3), ("date", 2))),
        keyed_in(answer),
        *([Heading("Safety")] * bool(grave)),
        *(Care(f.severity, f.subject, f.message) for f in grave),
    ]
    slips = [_slip(answer, k) for k in range(len(answer.loads))]
    first = Leaf(front, "firing cards", "cover")
    pages: list[Leaf | Slips] = [first, *slip_pages(slips, BUCKET_LABEL, paper)]
    return Booklet(f"{answer.firing.name}: firing cards", answer.firing.name, pages)


def _slip(answer: FiringAnswer, k: int) -> list[Block]:
    load, after = answer.loads[k], answer.after_the_pull
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
    planned = f"planned at {clock(load.at_min)}, {show_temperature(load.ware_c)}"
    return [
        Text(load.name, 13.0, bold=True),
        Text(planned, 9.5),
        *([Text(f"glazes {glazes}", 9.0)] if glazes else []),
        *(Blanks(tuple((text, 1) for text in line), 9.0) for line in blanks),
    ]
