"""Rows of a class day, from a plan made by hand: every moment, pot and bin of it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from cofire import Studio
from cofire.answers.day.crew import Pull
from cofire.answers.day.plan import DayPlan, Round
from cofire.show.sheets.cards import day_cards
from cofire.show.sheets.classroom import slips, wall_sheet
from cofire.show.sheets.pages import (
    Blanks,
    Cell,
    Head,
    Heading,
    Leaf,
    SheetTable,
    Signs,
    Slips,
    Text,
)
from cofire.show.sheets.pictograms import ACT_SIGNS

STUDIO = Studio()
POT = {"pot": "12 x 15 cm", "chamber": "65 x 45 cm"}
REAL = STUDIO.day("raku-workshop", pots=2, bins=2, start="9:00", **POT)


def rounds() -> tuple[Round, ...]:
    """Kiln 1 fires at 0:00 and at 3:00, kiln 2 at 0:30; a shelf comes out before the second pot."""
    blank = replace(REAL.firings[0], load_kg=2.5, day=1)
    first = (Pull(1, 3, 2, 60.0, 61.0, 100.0), Pull(2, 1, 1, 70.0, 71.0, 110.0, 65.0))
    return (
        replace(blank, number=1, kiln=1, pots=4, starts_min=0.0, last_pull_min=70.0, pulls=first),
        replace(blank, number=2, kiln=2, pots=1, starts_min=30.0, last_pull_min=90.0,
                pulls=(Pull(1, 1, 3, 90.0, 91.0, 130.0),)),
        replace(blank, number=3, kiln=1, pots=1, starts_min=180.0, last_pull_min=240.0,
                pulls=(Pull(1, 1, 1, 240.0, 241.0, 280.0),)),
    )  # fmt: skip


def plan(kilns: int = 2, **asked: object) -> DayPlan:
    asked = {"kilns": kilns, "breaks": (), "start": 540.0, "bins": 3, "pots": 6} | asked
    return replace(REAL, asked=replace(REAL.asked, **asked), firings=rounds())  # type: ignore[arg-type]


def leaf(made: DayPlan) -> Leaf:
    (page,) = wall_sheet(made).pages
    assert isinstance(page, Leaf)
    return page


def table(page: Leaf) -> SheetTable:
    (found,) = [block for block in page.blocks if isinstance(block, SheetTable)]
    return found


def said(made: DayPlan) -> list[tuple[str, ...]]:
    return [tuple(row[k].text for k in (1, 2, 5, 6)) for row in table(leaf(made)).rows]


def test_the_wall_tells_all_that_happens_in_its_order() -> None:
    """A kiln is filled 20 minutes before a later load; a bin is emptied in the 3 minutes before it
    is free."""
    assert said(plan(breaks=((12 * 60.0, 13 * 60.0),))) == [
        ("9:00", "kiln 1, firing 1: 4 pots in, 2.5 kg, kiln on", "", ""),
        ("9:30", "kiln 2, firing 2: one pot in, 2.5 kg, kiln on", "", ""),
        ("10:00", "kiln 1, pull 1: 3 pots into bin 2", "10:37", "bin 2"),
        ("10:05", "kiln 1, red-hot shelf out, to its place", "", ""),
        ("10:10", "kiln 1, pull 2: pot into bin 1", "10:47", "bin 1"),
        ("10:10", "kiln 1 off, lid shut", "", ""),
        ("10:30", "kiln 2, pull 1: pot into bin 3", "11:07", "bin 3"),
        ("10:30", "kiln 2 off, lid shut", "", ""),
        ("11:40", "kiln 1, fill it, one pot", "", ""),
        ("12:00", "break until 13:00", "", ""),
        ("12:00", "kiln 1, firing 3: one pot in, 2.5 kg, kiln on", "", ""),
        ("13:00", "kiln 1, pull 1: pot into bin 1", "13:37", "bin 1"),
        ("13:00", "kiln 1 off, lid shut", "", ""),
    ]


def test_of_one_kiln_there_is_no_number_and_without_a_clock_times_run_from_the_start() -> None:
    rows = said(plan(1, start=None, end=None))
    assert rows[0] == ("0:00", "firing 1: 4 pots in, 2.5 kg, kiln on", "", "")
    assert ("1:10", "kiln off, lid shut", "", "") in rows
    assert ("1:05", "red-hot shelf out, to its place", "", "") in rows


def test_rows_are_as_large_as_a_wall_asks_for_and_have_boxes_where_something_is_done() -> None:
    made = table(leaf(plan()))
    for row in made.rows:
        assert row[0] == Cell(boxes=("",)) and row[3] == Cell()
        assert (row[1].size, row[1].bold, row[2].size) == (14.0, True, 11.0)
        if row[5].text:
            assert row[4] == Cell(boxes=("",)) and (row[5].size, row[6].size) == (14.0, 11.0)
        else:
            assert row[4:] == (Cell(),) * 4
    assert made.widths[1] == made.widths[5] == ("10:00", 14.0)  # the longest of the moments


def test_what_stands_over_the_wall() -> None:
    head, signs = leaf(plan()).blocks[:2]
    assert head == Head(plan().asked.firing.name, "6 pots · 3 bins · of the clock")
    assert isinstance(signs, Signs)
    after = leaf(plan(1, start=None, end=None)).blocks[0]
    assert isinstance(after, Head) and after.about.endswith("· h:mm after the start")
    two = plan()
    second = replace(two.firings[-1], day=2)
    pages = wall_sheet(replace(two, firings=(*two.firings[:2], second))).pages
    titles = [page.blocks[0].name for page in pages]  # type: ignore[union-attr]
    assert [title.rpartition(", ")[2] for title in titles] == ["day 1", "day 2"]
    assert [page.blocks[0].about.split(" · ")[0] for page in pages] == ["5 pots", "one pot"]  # type: ignore[union-attr]


@pytest.mark.parametrize(("fuel", "act"), [("gas", "kiln-gas"), ("electricity", "kiln-electric")])
def test_the_sign_of_the_power(fuel: str, act: str) -> None:
    asked = REAL.asked
    kiln = replace(asked.firing.kiln, fuel=fuel)  # type: ignore[arg-type]
    signs = leaf(plan(firing=replace(asked.firing, kiln=kiln))).blocks[1]
    assert isinstance(signs, Signs)
    other = {"kiln-gas": "kiln-electric", "kiln-electric": "kiln-gas"}[act]
    assert ACT_SIGNS[act] in signs.plates and ACT_SIGNS[other] not in signs.plates


def test_cards_of_a_day() -> None:
    made = day_cards(plan())
    cover, *slips_ = made.pages
    assert isinstance(cover, Leaf)
    assert cover.blocks[0] == Head(
        plan().asked.firing.name, f"{plan().asked.firing.kiln.name} · 6 pots · of the clock"
    )
    rows = table(cover).rows
    assert [cell.text for cell in rows[0]][:4] == ["1", "4", "2.5 kg", "9:00"]
    bold = [True, False, False, False, True, False]
    assert [[cell.bold for cell in row] for row in rows] == [bold] * 3
    assert any(isinstance(block, Heading) for block in cover.blocks)
    cells = [cell for page in slips_ if isinstance(page, Slips) for cell in page.cells]
    assert [(cell[0].text, cell[1].text) for cell in cells] == [  # type: ignore[union-attr]
        ("firing 1, pull 1", "planned at 10:00, 3 pots, bin 2"),
        ("firing 1, pull 2", "planned at 10:10, one pot, bin 1"),
        ("firing 2, pull 1", "planned at 10:30, one pot, bin 3"),
        ("firing 3, pull 1", "planned at 13:00, one pot, bin 1"),
    ]


@pytest.mark.parametrize(("glazes", "ticks"), [(1, 1), (3, 3), (4, 0)])
def test_a_slip_has_up_to_three_glazes_to_tick(glazes: int, ticks: int) -> None:
    pack = STUDIO.batch("clear-crackle")
    pack = replace(pack, sheets=pack.sheets * glazes)
    pages = slips(pack, ["Ines", "Bo"]).pages
    (named,) = [page for page in pages[1:2] if isinstance(page, Slips)]
    assert [cell[0] for cell in named.cells] == [Text(n, 15.0, bold=True) for n in ("Ines", "Bo")]
    first = named.cells[0][1]
    if ticks:
        assert isinstance(first, SheetTable) and len(first.rows) == ticks
    else:
        assert first == Blanks((("glazes", 1),), 9.0)


@pytest.mark.parametrize(
    ("names", "people", "said", "questions"),
    [([], None, "before the class", 8), ([], 5, "before the class · 5 pupils", 5),
     (["Ines"] * 3, None, "before the class · 3 pupils", 3),
     (["Ines"] * 3, 12, "before the class · 12 pupils", 12)],
)  # fmt: skip
def test_question_slips_for_everybody(
    names: list[str], people: int | None, said: str, questions: int
) -> None:
    pack = replace(STUDIO.batch("clear-crackle"), people=people)
    front, *others = slips(pack, names).pages
    assert isinstance(front, Leaf) and front.blocks[0] == Head(pack.title, said)
    cells = [cell for page in others if isinstance(page, Slips) for cell in page.cells]
    assert len(cells) == len(names) + questions
    asked = [cell for cell in cells if cell[0] == Heading("Before the session")]
    assert len(asked) == questions
