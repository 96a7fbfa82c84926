"""What the pages of a class day print, read back from PDF and HTML and reckoned anew."""

from __future__ import annotations

import html
import math
import re
from io import BytesIO

import pypdf
import pytest
from test_sheet_numbers import class_of, fixed, numbers, reckoned

from cofire import CofireError, Studio
from cofire.answers.batch.records import Pack
from cofire.answers.day.plan import DayPlan
from cofire.show.sheets.cards import day_cards, firing_cards
from cofire.show.sheets.classroom import checklist, projector, slips, wall_sheet
from cofire.show.sheets.html import booklet_html, pack_html
from cofire.show.sheets.pages import Booklet, slip_pages
from cofire.show.sheets.pdf import booklet_pdf, pack_pdf

STUDIO = Studio()
POT = {"pot": "12 x 15 cm", "chamber": "65 x 45 cm"}
#: A pot of 12 by 15 cm by hand: wall and floor, 6 mm, 1.9 g/cm³.
POT_KG = 1900.0 * 0.006 * (math.pi * 0.12 * 0.15 + math.pi * 0.06**2)


def bare(page: str) -> str:
    body = re.sub(r"<style>.*?</style>|<svg.*?</svg>|<title>.*?</title>", " ", page, flags=re.S)
    return html.unescape(re.sub(r"<[^>]+>", " ", body)).replace("\u00a0", " ")


def both(made: Booklet | Pack) -> list[list[str]]:
    """Its pages as paper and as screen."""
    out = BytesIO()
    (pack_pdf if isinstance(made, Pack) else booklet_pdf)(made, out)  # type: ignore[arg-type]
    page = pack_html(made) if isinstance(made, Pack) else booklet_html(made)
    paper = [p.extract_text().replace("\u00a0", " ") for p in pypdf.PdfReader(out).pages]
    return [paper, [bare(f"<{part}") for part in page.split("<section")[1:]]]


def clock(minute: float) -> str:
    return "{}:{:02d}".format(*divmod(round(minute), 60))


def test_every_page_tells_the_times_of_the_firing() -> None:
    """One load of 13 pots: day, wall, cards of both, and the pull page of a class."""
    plan = STUDIO.day("raku-workshop", pots=13, bins=4, start="9:00", **POT)
    pack = STUDIO.batch("clear-crackle", pieces="13 students x 1 pot", firing="raku-workshop",
                        bins=4)  # fmt: skip
    answer = STUDIO.firing("raku-workshop", load_kg=round(13 * POT_KG, 1))
    after = [load.at_min for load in answer.loads[:13]]
    told, by_clock = [clock(m) for m in after], [clock(540.0 + m) for m in after]
    for pages in both(wall_sheet(plan)):
        assert re.findall(r"(\d+:\d\d)\s+pull \d+", " ".join(pages)) == by_clock
    for pages in both(day_cards(plan)):
        assert re.findall(r"planned at (\d+:\d\d)", " ".join(pages)) == by_clock
    for pages in both(firing_cards(answer)):
        assert re.findall(r"planned at (\d+:\d\d)", " ".join(pages))[:13] == told
    for pages in both(pack):
        assert re.findall(r"pot \d+\s+(\d+:\d\d)", " ".join(pages)) == told


def test_each_firing_of_a_class_has_its_page() -> None:
    """27 pots with 17 pulls are firings of 14 and 13, each with its own load and times."""
    pack = STUDIO.batch("clear-crackle", pieces="27 students x 1 pot", firing="raku-workshop")
    sizes = (14, 13)
    assert pack.ware is not None
    assert [(load.first, load.last) for load in pack.ware.loads] == [(1, 14), (15, 27)]
    for pages in both(pack):
        some = [page for page in pages if "Pull plan" in page]
        found = [re.findall(r"pot (\d+)\s+(\d+:\d\d)", page) for page in some]
        assert [int(pot) for page in found for pot, _ in page] == list(range(1, 28))
        for k, (page, pots) in enumerate(zip(some, sizes, strict=True)):
            kg = round(pots * POT_KG, 1)
            assert f"firing {k + 1} of 2" in page and f"load {kg:g} kg" in page
            answer = STUDIO.firing("raku-workshop", load_kg=kg)
            assert [at for _, at in found[k]] == [clock(x.at_min) for x in answer.loads[:pots]]


def plans() -> list[DayPlan]:
    gas = {"pots": 21, "bins": 5, "kilns": 2, "kiln": "gas-raku"}
    return [
        STUDIO.day("raku-one-load", start="9:00", days=2, end="12:30", **gas, **POT),
        STUDIO.day("raku-workshop", pots=20, bins=3, layers=1, per_bin=2, hands=3, **POT),
    ]


@pytest.mark.parametrize("plan", plans(), ids=["two kilns", "no clock"])
def test_every_number_on_the_wall_and_the_cards(plan: DayPlan) -> None:
    start, asked = plan.asked.start or 0.0, plan.asked
    several = max(r.day for r in plan.firings) > 1

    def at(minute: float) -> str:
        return clock(start + minute % 1440.0 if several else start + minute)

    on_wall, on_cards = set(), set()
    for r in plan.firings:
        kg = f"{round(r.pots * POT_KG, 1):g}"
        both_have = {str(r.number), str(r.pots), kg, str(r.kiln), at(r.starts_min)}
        on_wall |= both_have | {at(r.starts_min - 20.0), at(r.last_pull_min)}
        on_cards |= both_have | {at(r.first_pull_min)}
        on_wall |= {str(sum(x.pots for x in plan.firings if x.day == r.day))}
        for p in r.pulls:
            shared = {str(p.number), str(p.pots), str(p.bin), at(p.at_min)}
            on_wall |= shared | {at(p.free_min - 3.0)}
            on_cards |= shared
        if several:
            on_wall |= {str(r.day)}
            on_cards |= {str(r.day)}
    reload = {"200", "392", str(plan.pots_per_load)}  # what is said below the table
    for pages in both(wall_sheet(plan)):
        for page in pages:
            read = numbers(re.sub(r"page \d+ of \d+", "", page))
            assert not read - on_wall - reload - {str(asked.bins)}
        assert len(pages) == max(r.day for r in plan.firings)  # a page a day
    # of the smoke, of first aid and of masks, as the firing says it
    answer = STUDIO.firing(asked.firing.name, kiln=asked.firing.kiln.name)
    rules = numbers(" ".join(f.message for f in answer.findings)) | {str(asked.pots)}
    assert answer.after_the_pull is not None
    smoke = asked.firing.smoke
    rules |= {f"{smoke.air_s:g}", f"{smoke.bin_min:g}"}
    rules |= {f"{answer.after_the_pull.dull_red_after_s.high:.0f}"}
    for pages in both(day_cards(plan)):
        read = numbers(re.sub(r"page \d+ of \d+", "", " ".join(pages)))
        assert not read - on_cards - rules
        pulls = sum(len(r.pulls) for r in plan.firings)
        assert len(re.findall(r"firing \d+, pull \d+", " ".join(pages))) == pulls


def test_every_number_on_the_projector() -> None:
    pack = class_of("14 students x 5 tiles and 2 pots")
    allowed = {str(k) for k in range(1, 10)}
    for pages in both(projector(pack)):
        for sheet in pack.sheets:
            text = " ".join(page for page in pages if sheet.code in page).replace(sheet.code, " ")
            read = numbers(re.sub(r"page \d+ of \d+", "", text))
            assert not read - reckoned(sheet) - fixed(sheet) - allowed
            assert {f"{line.weigh_g:.1f}" for line in sheet.buckets[0].weighings} <= read


@pytest.mark.parametrize(("pupils", "adults"), [(1, 1), (8, 1), (9, 2), (14, 2), (17, 3)])
def test_adults_and_gear_are_counted_from_the_class(pupils: int, adults: int) -> None:
    """One adult to 8 pupils by hand, beside as many at the kiln as the plan has hands."""
    pack = STUDIO.batch("turquoise-crackle", pieces=f"{pupils} students x 1 pot", school=True,
                        firing="raku-workshop", hands=3)  # fmt: skip
    counts = dict(checklist(pack, pupils))
    assert counts["trained adults at the hot kiln, by name"] == "3"
    assert counts["adults with the pupils, none of them at the kiln"] == str(adults)
    assert counts["heat gloves, face shields and infrared glasses"] == "3"
    assert counts["gloves for the glazes, for pupils and adults"] == str(pupils + adults)
    for pages in both(slips(pack, ["Ines"] * pupils)):
        read = numbers(re.sub(r"page \d+ of \d+", "", pages[0].replace("FFP3", "")))
        assert read == {"3", str(adults), str(pupils), str(pupils + adults), "8"}
        assert "common practice, no source" in pages[0] and "school's rules come first" in pages[0]
        assert not numbers(" ".join(pages[1:]).replace(pack.sheets[0].code, ""))


def test_a_shut_kiln_asks_for_nobody_with_tongs_and_unknown_pupils_are_not_counted() -> None:
    shut = STUDIO.batch("earthenware-gloss", people=6, firing="earthenware-cone-04")
    listed = dict(checklist(shut, 6))
    assert not any("hot kiln" in what or "face shield" in what for what in listed)
    assert listed["adults with the pupils"] == "2"  # one can go for help
    unknown = dict(checklist(STUDIO.batch("clear-crackle"), 0))
    assert unknown["adults with the pupils, none of them at the kiln"] == ""


def test_slips_are_shared_evenly_by_pages() -> None:
    """Eight to a page: 17 are 6, 6 and 5, not 8, 8 and 1."""
    counts = [len(page.cells) for page in slip_pages([[]] * 17, (91.0, 62.0, 2), "A4")]
    assert counts == [6, 6, 5]
    assert [len(p.cells) for p in slip_pages([[]] * 8, (91.0, 62.0, 2), "A4")] == [8]
    assert list(slip_pages([], (91.0, 62.0, 2), "A4")) == []


def test_a_bucket_is_never_parted_by_a_page_and_an_amount_by_a_line() -> None:
    pack = STUDIO.batch("white-crackle", dry="1000 g", scale="1 g", buckets=7)
    for large in (False, True):
        out = BytesIO()
        pack_pdf(pack, out, large=large)
        pages = [p.extract_text().replace("\u00a0", " ") for p in pypdf.PdfReader(out).pages]
        heads = [page.count("bucket 7, g") + page.count("into bucket 7") for page in pages]
        assert sum(heads) == 1  # a head that is printed again has been parted from its rows
        for water, amounts, _ in waters_of(pack):
            text = " ".join(pages)
            assert all(amount in text for amount in amounts), water


def waters_of(pack: Pack) -> list[tuple[object, tuple[str, ...], tuple[str, ...]]]:
    from cofire.show.sheets.words import waters

    return waters(pack.sheets[0])  # type: ignore[return-value]


def test_a_day_that_would_begin_the_day_before_says_so() -> None:
    plan = STUDIO.day("raku-workshop", pots=6, bins=3, end="1:00", **POT)
    assert plan.too_early and not plan.kept
    pages = both(wall_sheet(plan))
    assert "-1 day" in pages[0][0] and "+-" not in pages[0][0]


@pytest.mark.parametrize("words", ["20 tiles and -3 pots", "0 tiles", "-3 students x 2 pots"])
def test_no_fewer_than_one_piece(words: str) -> None:
    with pytest.raises(CofireError, match="too few"):
        STUDIO.batch("clear-crackle", pieces=words)
