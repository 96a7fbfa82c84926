"""Pages of a class day as blocks: sizes to be read off a wall, counts, and what fits on a slip."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from cofire import Studio
from cofire.answers.batch.records import Pack
from cofire.answers.day.plan import DayPlan
from cofire.records import GHS
from cofire.show.sheets.classroom import _pupil, checklist, projector, slips, wall_sheet
from cofire.show.sheets.pages import Blanks, Head, Leaf, SheetTable, Slips, Text
from cofire.show.sheets.pictograms import GHS_WORDS, in_order, pictogram

STUDIO = Studio()


def blocks(page: Any, kind: type) -> list[Any]:
    assert isinstance(page, Leaf)
    return [one for one in page.blocks if isinstance(one, kind)]


def plan(**how: Any) -> DayPlan:
    return STUDIO.day("raku-one-load", pots=20, pot="12 x 15 cm", chamber="60 x 50 cm", bins=5,
                      kiln="gas-raku", **how)  # fmt: skip


@pytest.fixture(scope="module")
def pack() -> Pack:
    return STUDIO.batch(["clear-crackle", "turquoise-crackle"], dry="2 kg", people=14, school=True)


def test_times_on_the_wall_are_large_and_bold() -> None:
    """A time stands in 14 points, bold, and is read from further off than what is done, in 11; each
    column of times is as wide as the longest of them, and nothing is wider than the page."""
    (page,) = wall_sheet(plan(start="9:00", end="18:30")).pages
    (table,) = blocks(page, SheetTable)
    assert table.heads == ("", "when", "at the kiln", "who", "", "empty at", "", "who")
    for row in table.rows:
        assert len(row) == 8 and row[0].boxes == ("",)
        assert (row[1].size, row[1].bold) == (14.0, True) and row[1].text.count(":") == 1
        assert row[2].size == 11.0 and not row[2].bold
        if row[5].text:
            assert (row[5].size, row[5].bold, row[6].size) == (14.0, True, 11.0)
            assert row[4].boxes == ("",) and row[6].text.startswith("bin ")
        else:
            assert not any(cell.text or cell.boxes for cell in row[4:])
    longest = max((row[1].text for row in table.rows), key=len)
    assert table.widths[1] == table.widths[5] == (longest, 14.0)
    assert table.widths[6] == ("bin 10", 11.0)  # no plan has a bin of three figures
    assert sum(w for w in table.widths if isinstance(w, float)) < 0.5
    assert min(text.size for text in blocks(page, Text)) >= 8.0


@pytest.mark.parametrize(("days", "titles"), [(1, False), (4, True)])
def test_days_are_numbered_where_there_are_several(days: int, titles: bool) -> None:
    made = plan(start="9:00", end="18:30" if days == 1 else "12:00", days=days)
    pages = wall_sheet(made).pages
    heads = [blocks(page, Head)[0].name for page in pages]
    name = made.asked.firing.name
    assert heads == ([f"{name}, day {k + 1}" for k in range(len(pages))] if titles else [name])
    assert (len(pages) > 1) == titles


@pytest.mark.parametrize(
    ("start", "said"), [("9:00", "of the clock"), (None, "h:mm after the start")]
)
def test_times_say_what_they_are(start: str | None, said: str) -> None:
    (head,) = blocks(wall_sheet(plan(start=start)).pages[0], Head)
    assert said in repr(head)


def test_what_happens_in_a_day() -> None:
    """The first load stands in the kiln before the day begins, others are filled in; the kiln goes
    off right after the last pull of a firing."""
    made = plan(start="9:00", breaks=["12:00-12:30"])
    (page,) = wall_sheet(made).pages[:1]
    rows = [(row[1].text, row[2].text) for row in blocks(page, SheetTable)[0].rows]
    said = [what for _, what in rows]
    assert ("12:00", "break until 12:30") in rows
    assert said[0].startswith("firing 1: ") and said[0].endswith("kiln on")
    assert sum(what.startswith("fill it") for what in said) == len(made.firings) - 1
    off = [k for k, what in enumerate(said) if what == "kiln off, lid shut"]
    assert len(off) == len(made.firings)
    for k in off:
        pulls = [j for j in range(k) if said[j].startswith("pull ")]
        assert k - 1 == pulls[-1] and rows[k][0] == rows[k - 1][0]


def test_a_projector_shows_each_glaze_and_then_its_steps(pack: Pack) -> None:
    """Names and weights in 40 points, where 10 of a block are 9.4 on paper, and what is worn in six
    tenths of it; no weight is parted from its unit, and steps are never made smaller."""
    large = 40.0 / 9.4 * 10.0
    pages = projector(pack).pages
    assert len(pages) == 2 * len(pack.sheets)
    for sheet, weigh, steps in zip(pack.sheets, pages[::2], pages[1::2], strict=True):
        assert isinstance(weigh, Leaf) and isinstance(steps, Leaf)
        assert weigh.shrinks and not steps.shrinks
        assert weigh.kind == steps.kind == "projector"
        (table,) = blocks(weigh, SheetTable)
        assert {cell.size for row in table.rows for cell in row} == {large}
        assert table.part_size == pytest.approx(0.6 * large)
        for text in blocks(weigh, Text):
            assert text.size == pytest.approx(0.6 * large) and text.bold
        for _, weight in table.rows:
            assert weight.bold and weight.right and " " not in weight.text
        said = [text.text for text in blocks(steps, Text)]
        assert said == [f"{k}. {step}" for k, step in enumerate(sheet.mixing, 1)]
        assert {text.size for text in blocks(steps, Text)} == {large}


def test_buckets_are_told_where_there_are_several() -> None:
    one, three = (STUDIO.batch("clear-crackle", dry="3 kg", buckets=n) for n in (1, 3))
    name = one.sheets[0].recipe.name
    assert blocks(projector(one).pages[0], Head)[0].name == name
    assert blocks(projector(three).pages[0], Head)[0].name == f"{name}, bucket 1 of 3"


@pytest.mark.parametrize(("glazes", "ticks"), [(1, True), (3, True), (4, False)])
def test_three_glazes_to_tick_fit_on_a_slip(pack: Pack, glazes: int, ticks: bool) -> None:
    """More are a line to write on."""
    some = replace(pack, sheets=pack.sheets[:1] * glazes)
    slip = _pupil(some, "Ines")
    tables = [one for one in slip if isinstance(one, SheetTable)]
    lines = [words for one in slip if isinstance(one, Blanks) for words, _ in one.lines]
    assert len(tables) == ticks and ("glazes" in lines) != ticks
    assert lines[-5:] == ["pot", "tiles", "pulled at", "bin", "came out"]
    if ticks:
        assert len(tables[0].rows) == glazes
        assert all(row[0].boxes == ("",) for row in tables[0].rows)


@pytest.mark.parametrize(
    ("people", "names", "count"), [(14, (), 14), (2, ("a", "b", "c"), 3), (None, (), 8)]
)
def test_as_many_questions_as_pupils(
    pack: Pack, people: int | None, names: tuple[str, ...], count: int
) -> None:
    """As many as there are or have names; a page of eight where nobody says."""
    made = slips(replace(pack, people=people), names)
    cells = [cell for page in made.pages if isinstance(page, Slips) for cell in page.cells]
    assert len(cells) == count + len(names)
    (head,) = blocks(made.pages[0], Head)
    assert (f"{count} pupils" in repr(head)) == bool(people or names)


def test_two_hands_at_a_hot_kiln_where_nobody_says_how_many(pack: Pack) -> None:
    """Nobody said what is fired: as if it were pulled, by two; one adult may be alone with eight
    pupils while others are at the kiln."""
    listed = dict(checklist(replace(pack, ware=None, firing=None), 8))
    assert listed["trained adults at the hot kiln, by name"] == "2"
    assert listed["adults with the pupils, none of them at the kiln"] == "1"
    assert listed["gloves for the glazes, for pupils and adults"] == "9"


# --- pictograms -----------------------------------------------------------------------------------


@pytest.mark.parametrize("name", GHS)
def test_a_diamond_is_a_hundred_wide_and_high_and_says_what_it_is(name: str) -> None:
    picture = pictogram(name)
    assert (picture.width, picture.height) == (100.0, 100.0)
    assert GHS_WORDS[name] in repr(picture) and len(picture.marks) > 1


def test_the_gravest_comes_first() -> None:
    assert in_order(set(GHS)) == list(GHS)
    assert in_order({GHS[2], GHS[0]}) == [GHS[0], GHS[2]] and in_order(set()) == []
    with pytest.raises(KeyError):
        pictogram("no such diamond")
