"""The day for the wall, steps for a projector, and slips."""

from __future__ import annotations

import html
import json
import re
from decimal import Decimal
from itertools import pairwise

from cofire import Studio
from cofire.answers.batch.records import Pack
from cofire.answers.day import DayPlan
from cofire.show.sheets import classroom
from cofire.show.sheets.html import booklet_html

STUDIO = Studio()


def wall_sheet(plan: DayPlan) -> str:
    return booklet_html(classroom.wall_sheet(plan))


def projector(pack: Pack) -> str:
    return booklet_html(classroom.projector(pack))


def slips(pack: Pack, names: tuple[str, ...] = ()) -> str:
    return booklet_html(classroom.slips(pack, names))


def text_of(page: str) -> list[str]:
    """The cells and paragraphs of a page."""
    body = re.sub(r"<style>.*?</style>|<svg.*?</svg>", "", page, flags=re.DOTALL)
    found = re.findall(r"<(td|p|h1|h2|span)[^>]*>(.*?)</\1>", body, flags=re.DOTALL)
    plain = (html.unescape(re.sub(r"<[^>]+>", "", inner)).strip() for _, inner in found)
    return [text.replace("\u00a0", " ") for text in plain]


def plan(**how: object) -> DayPlan:
    return STUDIO.day(
        "raku-one-load", pots=20, pot="12 x 15 cm", chamber="60 x 50 cm", bins=5, kiln="gas-raku",
        **how,  # type: ignore[arg-type]
    )  # fmt: skip


def clocks(cells: list[str]) -> list[tuple[int, str]]:
    pairs = pairwise(cells)
    found = [(re.search(r"(\d+):(\d\d)$", at), what) for at, what in pairs]
    return [(60 * int(m[1]) + int(m[2]), what) for m, what in found if m]


def test_the_wall_has_every_moment_of_the_plan_in_order() -> None:
    made = plan(start="9:00", end="18:30")
    told = clocks(text_of(wall_sheet(made)))
    assert [at for at, _ in told] == sorted(at for at, _ in told)
    pulled = [at for at, what in told if "into bin" in what]
    planned = [540 + p.at_min for r in made.firings for p in r.pulls]
    assert pulled == [round(at) for at in planned]
    emptied = sorted(at for at, what in told if what.startswith("empty bin"))
    assert emptied == sorted(round(540 + p.free_min - 3.0) for r in made.firings for p in r.pulls)
    on = [at for at, what in told if what.endswith("kiln on")]
    assert on == [round(540 + r.starts_min) for r in made.firings]


def test_the_wall_has_a_page_a_day_and_names_two_kilns() -> None:
    made = plan(start="9:00", end="12:00", days=4, kilns=2)
    page = wall_sheet(made)
    days = {one.day for one in made.firings}
    assert page.count("<section") == len(days) > 1
    assert {one.kiln for one in made.firings} == {1, 2} and "kiln 2, pull 1" in page


def test_a_projector_shows_weights_and_steps_in_forty_points() -> None:
    pack = STUDIO.batch("turquoise-crackle", dry="2 kg", school=True)
    page = projector(pack)
    (base,) = re.findall(r"\.page\{font-size:([\d.]+)pt", page)
    sizes = {float(s) for s in re.findall(r"max\(8pt,([\d.]+)em\)", page)}
    assert any(abs(size * float(base) - 40.0) < 0.1 for size in sizes)
    cells = text_of(page)
    for line in pack.sheets[0].buckets[0].weighings:
        assert f"{line.weigh_g} g" in cells
    shown = [Decimal(c.removesuffix(" g")) for c in cells if re.fullmatch(r"[\d.]+ g", c)]
    assert sum(shown) == pack.sheets[0].dry_g
    assert "TEACHER" in page
    for step in pack.sheets[0].mixing:
        assert any(step in cell for cell in cells)


def test_a_slip_for_everybody_and_questions_that_are_blank() -> None:
    pack = STUDIO.batch(["clear-crackle", "turquoise-crackle"], people=14, school=True)
    names = ("Ines", "Łucja", "Ольга")
    page = slips(pack, names)
    for name in names:
        assert page.count(name) == 1
    assert page.count("I take lithium medicine") == 14  # one for everybody
    for asked in ("pregnant", "asthma", "nickel or cobalt", "lithium"):
        assert asked in page
    assert slips(pack).count("I have asthma") == 14
    assert not set(names) & set(re.findall(r"\w+", json.dumps(str(pack.to_dict()))))


def test_names_are_on_the_slips_and_nowhere_else(cofire) -> None:  # type: ignore[no-untyped-def]
    run = cofire("batch", "clear-crackle", "--slips", "s.html", "--names", "Ines; Tomasz ,")
    assert run.code == 0 and "Tomasz" not in run.out
    page = (cofire.folder / "s.html").read_text("utf-8")
    assert "Ines" in page and "Tomasz" in page
    held = [p for p in cofire.folder.rglob("*") if p.is_file() and p.name != "s.html"]
    assert not any("Tomasz" in p.read_text("utf-8", "replace") for p in held)
