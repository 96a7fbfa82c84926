"""The day for the wall, steps for a projector, and slips."""

from __future__ import annotations

import base64
import hashlib
import html
import json
import re
import shutil
import subprocess
from collections import Counter
from decimal import Decimal
from io import BytesIO
from itertools import pairwise
from pathlib import Path

import pypdf
import pytest
from test_sheets import least_points

from cofire import CofireError, Studio
from cofire.answers.batch.records import Pack, Sheet, Weighing
from cofire.answers.day.plan import DayPlan
from cofire.show.sheets import classroom
from cofire.show.sheets.cards import firing_cards
from cofire.show.sheets.html import booklet_html, pack_html
from cofire.show.sheets.pages import Booklet, Paper
from cofire.show.sheets.pdf import booklet_pdf
from cofire.show.sheets.phone import phone_page

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
    at_kiln = [at for at, what in told if not what.startswith("bin")]
    assert at_kiln == sorted(at_kiln)
    pulled = [at for at, what in told if "into bin" in what]
    planned = [540 + p.at_min for r in made.firings for p in r.pulls]
    assert pulled == [round(at) for at in planned]
    # beside each pull, its own bin and when that is emptied
    emptied = [(at, what) for at, what in told if what.startswith("bin")]
    assert emptied == [
        (round(540 + p.free_min - 3.0), f"bin {p.bin}") for r in made.firings for p in r.pulls
    ]
    off = [at for at, what in told if what.startswith("kiln off")]
    assert off == [round(540 + r.last_pull_min) for r in made.firings]
    on = [at for at, what in told if what.endswith("kiln on")]
    assert on == [round(540 + r.starts_min) for r in made.firings]
    fill = [at for at, what in told if "fill it" in what]
    assert fill == [round(520 + r.starts_min) for r in made.firings[1:]]


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


# --- as PDF ---------------------------------------------------------------------------------------


def pdf_of(booklet: Booklet, paper: Paper = "A4") -> pypdf.PdfReader:
    out = BytesIO()
    booklet_pdf(booklet, out, paper=paper)
    return pypdf.PdfReader(out)


def plain(text: str) -> str:
    return " ".join(text.replace("\u00a0", " ").split())


def booklets() -> dict[str, Booklet]:
    pack = STUDIO.batch(["clear-crackle", "turquoise-crackle"], dry="2 kg", people=14, school=True)
    days = plan(start="9:00", end="12:00", days=4, kilns=2, breaks=["10:30-10:45"])
    return {
        "wall": classroom.wall_sheet(days),
        "projector": classroom.projector(pack),
        "slips": classroom.slips(pack, ("Ines", "Łucja", "Ольга", "Ελένη")),
        "cards": firing_cards(STUDIO.firing("raku-workshop", load="6 kg")),
    }


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("name", ["wall", "projector", "slips", "cards"])
def test_paper_says_what_the_page_says(name: str, paper: Paper) -> None:
    """Every number of the page is on paper as often, and nothing is smaller than 8 points."""
    booklet = booklets()[name]
    reader = pdf_of(booklet, paper)
    paper_words = plain(" ".join(page.extract_text() for page in reader.pages))
    foot = re.compile(r"page \d+ of \d+")
    told = Counter(re.findall(r"\d+[:.]?\d*", foot.sub("", paper_words)))
    html_page = booklet_html(booklet)
    body = re.sub(
        r"<style>.*?</style>|<svg.*?</svg>|<title>.*?</title>", " ", html_page, flags=re.S
    )
    body = re.sub(r"<footer>.*?</footer>", " ", body)
    shown = Counter(re.findall(r"\d+[:.]?\d*", plain(html.unescape(re.sub(r"<[^>]+>", " ", body)))))
    assert shown - told == Counter(), shown - told
    for page in reader.pages:
        assert least_points(page) >= 7.99


def test_names_on_slips_print_and_those_that_cannot_are_refused() -> None:
    pack = STUDIO.batch("clear-crackle", people=3)
    text = plain(" ".join(p.extract_text() for p in pdf_of(booklets()["slips"]).pages))
    assert all(name in text for name in ("Ines", "Łucja", "Ольга", "Ελένη"))
    with pytest.raises(CofireError, match="李娜") as wrong:
        pdf_of(classroom.slips(pack, ("李娜",)))
    assert ".html" in wrong.value.hint
    assert "李娜" in booklet_html(classroom.slips(pack, ("李娜",)))


def test_python_writes_each_page_both_ways(tmp_path: Path) -> None:
    pack = STUDIO.batch("clear-crackle", dry="1 kg")
    writes = {
        STUDIO.projector: pack, STUDIO.slips: pack, STUDIO.wall: plan(start="9:00"),
        STUDIO.cards: STUDIO.firing("raku-workshop"),
    }  # fmt: skip
    for k, (write, answer) in enumerate(writes.items()):
        for ending in ("html", "pdf"):
            made = write(answer, tmp_path / f"{k}.{ending}")
            assert made.stat().st_size > 1000
        with pytest.raises(CofireError, match="cannot be the name"):
            write(answer, tmp_path / "a.txt")
        with pytest.raises(CofireError, match="not"):
            write("something else", tmp_path / "b.pdf")


# --- on a phone -----------------------------------------------------------------------------------


def steps_of(sheet: Sheet, line: Weighing) -> int:
    return int(line.weigh_g / sheet.scale_g)


def browsed(page: str, folder: Path, at: str = "", extra: str = "") -> str:
    """The page as a phone's browser leaves it after its scripts."""
    browser = shutil.which("chromium")
    if browser is None:
        pytest.skip("no browser")
    file = folder / "page.html"
    file.write_text(page.replace("</body>", f"{extra}</body>"), encoding="utf-8")
    done = subprocess.run(
        [browser, "--headless", "--no-sandbox", "--disable-gpu", "--window-size=390,844",
         "--virtual-time-budget=2000", "--dump-dom", f"{file.as_uri()}{at}"],
        check=True, capture_output=True,
    )  # fmt: skip
    return done.stdout.decode()


def test_a_phone_page_has_every_weighing_and_needs_nothing_else() -> None:
    pack = STUDIO.batch(["white-crackle", "clear-crackle"], dry="5 kg", buckets=2, scale="0.1 g")
    page = phone_page(pack)
    assert not re.search(r"https?:|@import|url\(|<link|<img|src=", page)
    policy = re.search(r'Content-Security-Policy" content="([^"]+)"', page)
    script = re.search(r"<script>(.*?)</script>", page, re.S)
    assert policy and script and "default-src 'none'" in policy[1]
    digest = base64.b64encode(hashlib.sha256(script[1].encode()).digest()).decode()
    assert f"script-src 'sha256-{digest}'" in policy[1]
    for sheet in pack.sheets:
        for bucket in sheet.buckets:
            start = page.index(f'id="{sheet.code}.{bucket.number}"')
            part = page[start : page.index("</div>", start)]
            said = [int(n) for n in re.findall(r'data-steps="(\d+)"', part)]
            assert said == [steps_of(sheet, line) for line in bucket.weighings]
            assert sum(said) * sheet.scale_g == bucket.total_g


@pytest.mark.parametrize("how", [
    {"scale": "0.1 g"}, {"units": "lb", "scale": "0.05 oz"}, {"units": "kg", "scale": "1 g"},
])  # fmt: skip
def test_a_phone_keeps_the_ticks_and_says_the_total(how: dict[str, str], tmp_path: Path) -> None:
    (sheet,) = (pack := STUDIO.batch("clear-crackle", dry="2 kg", buckets=2, **how)).sheets
    lines = sheet.buckets[0].weighings
    ticks = "1" * (len(lines) - 1)
    seen = browsed(phone_page(pack), tmp_path, f"#{sheet.code}&{sheet.code}.1={ticks}")
    first, second = re.findall(r"<output>(.*?)</output>", seen)
    # by the running total that the sheet prints on the last line that is ticked
    held = sheet.shown(sheet.buckets[0])[1][len(ticks) - 1]
    assert first == f"{held} {sheet.shown_unit}".rstrip()
    assert {c for c in second if c.isdigit()} == {"0"}
    asked = f"<script>{seen}</script>"
    assert f'<section data-code="{sheet.code}">' in asked and "<nav hidden" in asked


def test_a_phone_bears_a_broken_address_and_one_glaze_twice(tmp_path: Path) -> None:
    pack = STUDIO.batch(["clear-crackle", "clear-crackle"], dry="1 kg")
    page, code = phone_page(pack), pack.sheets[0].code
    assert page.count(f'id="{code}.1"') == page.count("<section") == 1
    seen = browsed(page, tmp_path, f"#{code}%E0%A4%A&{code}.1=9x1")
    (total,) = re.findall(r"<output>(.*?)</output>", seen)
    assert total == "0.0 g" and f'<section data-code="{code}" hidden' in seen
    assert "<nav>" in seen


MEASURE = """<p id="broken"></p><script>
const broken = [], tall = document.createRange();
const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
while (walk.nextNode()) {
  const node = walk.currentNode;
  if (["SCRIPT", "STYLE"].includes(node.parentElement.tagName)) continue;
  for (const word of node.data.matchAll(/[^\\s-]+/g)) {
    tall.setStart(node, word.index); tall.setEnd(node, word.index + word[0].length);
    const rows = new Set([...tall.getClientRects()].map(r => Math.round(r.top)));
    if (rows.size > 1) broken.push(word[0]);
  }
}
document.getElementById("broken").textContent = "broken: " + broken.join("|") +
  "; wide: " + (document.documentElement.scrollWidth > innerWidth);
</script>"""


def test_broken_words_would_be_seen(tmp_path: Path) -> None:
    seen = browsed("<body><p style='width:3em;overflow-wrap:anywhere'>borosilicate</p></body>",
                   tmp_path, extra=MEASURE)  # fmt: skip
    assert "broken: borosilicate; wide: false" in seen


def test_no_name_is_broken_on_a_phone(tmp_path: Path) -> None:
    pack = STUDIO.batch(
        ["clear-crackle", "turquoise-crackle", "silver-lustre", "satin-white"],
        pieces="14 students x 5 tiles and 2 pots", firing="raku-workshop",
    )  # fmt: skip
    loose = re.sub(r"<meta http-equiv.*?/>", "", phone_page(pack))
    cards = booklet_html(booklets()["cards"])
    for page in (pack_html(pack, labels=True), loose, cards):
        seen = browsed(page, tmp_path, f"#{pack.sheets[0].code}", MEASURE)
        found = re.search(r'id="broken">broken: (.*?); wide: (\w+)', seen)
        assert found and found[1] == "" and found[2] == "false", found
