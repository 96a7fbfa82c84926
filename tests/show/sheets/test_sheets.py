"""The printed sheets, read back the way a printer, a browser and a phone read them."""

from __future__ import annotations

import re
import shutil
import subprocess
import xml.etree.ElementTree as ET
from dataclasses import replace
from decimal import ROUND_CEILING, Decimal
from functools import cache
from io import BytesIO
from pathlib import Path
from typing import Any, Literal

import pytest
from packs import DEMO, LIBRARY, pack, sheet

from cofire import Studio
from cofire.answers.batch.records import Pack
from cofire.answers.batch.scale import UNIT_G
from cofire.errors import DataFileError
from cofire.files import toml
from cofire.files.materials import read_cautions
from cofire.findings import Finding
from cofire.records import GHS, Caution, Recipe
from cofire.show.drawing import Path as Drawn
from cofire.show.drawing import to_drawing, to_svg
from cofire.show.sheets.font_fallback import with_missing_letters
from cofire.show.sheets.html import pack_html
from cofire.show.sheets.pdf import pack_pdf
from cofire.show.sheets.pictograms import ACT_SIGNS, GHS_WORDS, pictogram
from cofire.show.sheets.qr import NAME_ONLY, code_mm, qr, recipe_words
from cofire.show.sheets.typesetter import Typesetter

pypdf = pytest.importorskip("pypdf")
stringWidth = pytest.importorskip("reportlab.pdfbase.pdfmetrics").stringWidth
Paper = Literal["A4", "Letter"]
PAPERS: tuple[Paper, ...] = ("A4", "Letter")
#: Points: 210 × 297 mm, 8.5 × 11 in.
SIZE = {"A4": (595.28, 841.89), "Letter": (612.0, 792.0)}


@cache
def class_pack() -> Pack:
    return pack(*DEMO, people=14, firing="raku-workshop", audience="school")


@cache
def class_reader(paper: Paper, large: bool = False, labels: bool = False) -> pypdf.PdfReader:
    """The class pack as it is printed; it takes seconds, so each way only once."""
    return printed(class_pack(), paper=paper, large=large, labels=labels)


@cache
def class_texts(paper: Paper) -> list[str]:
    return page_texts(class_reader(paper))


def printed(made: Pack, **how: object) -> pypdf.PdfReader:
    out = BytesIO()
    pack_pdf(made, out, **how)  # type: ignore[arg-type]
    return pypdf.PdfReader(out)


def words(text: str) -> list[str]:
    return text.split()


def page_texts(reader: pypdf.PdfReader) -> list[str]:
    return [page.extract_text() for page in reader.pages]


def tree(page: str) -> ET.Element:
    return ET.fromstring(page.removeprefix("<!doctype html>"))


@pytest.mark.parametrize("paper", PAPERS)
def test_every_weight_running_total_and_code_is_on_the_page_of_its_glaze(paper: Paper) -> None:
    made = class_pack()
    texts = class_texts(paper)
    for k, one in enumerate(made.sheets):
        said = words(texts[k + 2])
        assert one.code in said and one.recipe.name in texts[k + 2].replace("\n", " ")
        for line in one.buckets[0].weighings:
            assert f"{line.weigh_g:f}" in said and f"{line.running_g:f}" in said
        numbers = [w for w in said if re.fullmatch(r"\d+\.\d", w)]
        assert f"{one.buckets[0].total_g:f}" in numbers


def test_what_is_printed_adds_up_bucket_by_bucket() -> None:
    made = pack("turquoise-crackle", buckets=3, differ=True, step_g="1")
    said = words(page_texts(printed(made))[0])
    for bucket in made.sheets[0].buckets:
        total = 0
        for line in bucket.weighings:
            total += int(line.weigh_g)
            assert str(int(line.weigh_g)) in said
            assert str(total) in said  # the running total, summed here


def test_ounces_are_printed_as_the_scale_shows_them() -> None:
    step = f"{UNIT_G['oz'] / 100:f}"
    made = pack("cobalt-gloss", units="oz", step_g=step, base_g=2000)
    (text,) = page_texts(printed(made))
    said = words(text)
    total = 0.0
    for line in made.sheets[0].buckets[0].weighings:
        ounces = float(line.weigh_g) / 28.349523125
        total += ounces
        assert f"{ounces:.2f}" in said and f"{total:.2f}" in said
    assert "72.66" in said  # 2000 g of base and 3 % on top, in 0.01 oz
    assert "weigh, oz" in text and "weigh, g" not in text


@pytest.mark.parametrize("paper", PAPERS)
def test_cover_then_a_page_for_each_glaze_then_the_firing(paper: Paper) -> None:
    made = class_pack()
    texts = class_texts(paper)
    assert len(texts) == 2 + 12 + 1
    assert "Ines" in texts[0] and "Merryn" in texts[0]
    assert f"all together {made.cost:.2f} GBP" in texts[1]
    needs = words(texts[1])
    for need in made.needs:  # as on a terminal: grams below a kilogram, none less than needed
        g = need.need_g
        grid = Decimal("0.001") if g >= 1000 else Decimal("0.1")
        said = str((g / 1000 if g >= 1000 else g).quantize(grid, ROUND_CEILING))
        assert words(said)[0] in needs
    bought = sum(n.cost for n in made.needs if n.cost)
    assert f"materials, {bought} GBP" in " ".join(texts[1].split())
    assert "pot 17" in texts[-1] and "943 °C" in texts[-1] and "1:55" in texts[-1]
    assert len(class_reader(paper, labels=True).pages) == 15 + 2 + 5


def _bytes(made: Pack, **how: object) -> BytesIO:
    out = BytesIO()
    pack_pdf(made, out, **how)  # type: ignore[arg-type]
    return out


def test_one_glaze_for_oneself_is_one_page_and_large_type_at_most_two() -> None:
    assert len(printed(pack("clear-crackle")).pages) == 1
    for name in DEMO:
        assert 1 <= len(printed(pack(name), large=True).pages) <= 2


def test_the_same_pack_gives_the_same_bytes() -> None:
    made = pack("frit-gloss", firing="raku-one-load")
    assert _bytes(made).getvalue() == _bytes(made).getvalue()


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("large", [False, True])
def test_nothing_stands_outside_the_page(paper: Paper, large: bool) -> None:
    reader = class_reader(paper, large, labels=True)
    wide, high = SIZE[paper]
    edge = 20.0  # points: nothing but the margin, which most printers need
    seen = 0
    for page in reader.pages:
        assert (float(page.mediabox.width), float(page.mediabox.height)) == pytest.approx(
            (wide, high), abs=0.1
        )

        def look(text: str, cm: list[float], tm: list[float], font: object, size: float) -> None:
            nonlocal seen
            if text.strip():
                x = tm[4] * cm[0] + tm[5] * cm[2] + cm[4]
                y = tm[4] * cm[1] + tm[5] * cm[3] + cm[5]
                assert edge <= x <= wide - edge and edge <= y <= high - edge, text
                seen += 1

        page.extract_text(visitor_text=look)
    assert seen > 1000


def test_long_recipes_in_many_buckets_still_take_one_page() -> None:
    one = sheet(LIBRARY.recipe("satin-white"), buckets=4, differ=True)
    recipe = one.recipe
    parts = tuple(p for n in DEMO[:4] for p in LIBRARY.recipe(n).base)
    twelve = tuple({p.material.id: p for p in parts}.values())[:12]
    long = sheet(replace(recipe, base=twelve, name="A name so long that it wraps " * 2), buckets=2)
    assert len(printed(pack(sheets=(one,))).pages) == 1
    assert len(printed(pack(sheets=(long,)), paper="Letter").pages) == 1


@pytest.mark.parametrize("labels", [False, True])
def test_the_html_is_well_formed_and_needs_nothing_else(labels: bool) -> None:
    page = pack_html(class_pack(), labels=labels)
    root = tree(page)
    assert not re.search(r"https?:|<script|@import|url\(|<link|<img", page)
    pages = list(root.iter("section"))
    assert len(pages) == 15 + 7 * labels
    text = "".join(root.itertext())
    for one in class_pack().sheets:
        assert one.code in text and f"{one.dry_g:f} g dry in all" in text


@pytest.mark.parametrize("paper", PAPERS)
def test_the_html_prints_on_the_paper_that_is_asked_for(paper: Paper) -> None:
    assert f"@page{{size:{'A4' if paper == 'A4' else 'letter'};" in pack_html(
        pack("frit-gloss"), paper=paper
    )


def test_names_are_shown_as_they_are_written() -> None:
    nasty = '<b>&"x"</b> {k} INK'
    recipe = replace(LIBRARY.recipe("frit-gloss"), name=nasty)
    made = replace(pack(sheets=(sheet(recipe),)), title=nasty, assignments=((nasty, nasty),))
    root = tree(pack_html(made, labels=True))
    assert sum(t.text == nasty for t in root.iter() if t.tag in ("h1", "h3", "span", "td")) >= 3
    for text in page_texts(printed(made))[:2]:
        assert nasty in text.replace("\n", " ")


def test_letters_that_the_fonts_lack_do_not_break_the_pdf() -> None:
    recipe = replace(LIBRARY.recipe("frit-gloss"), name="Őszi máz ₂ 釉")
    one = sheet(recipe)
    text = page_texts(printed(pack(sheets=(one,))))[0]
    assert f"Őszi máz 2 ? ({one.code})" in text


def test_polish_cyrillic_and_greek_print_as_they_are_written() -> None:
    names = {"clay_kaolin": "каолин Ёжик щёлочь", "clay_ball": "żółta glina, ciągnąca",
             "flint": "Πυρίτιο άσπρο", "chalk": "křída a vápno"}  # fmt: skip
    recipe = replace(foreign(**names), name="Изразец Ґанок")
    made = pack(sheets=(sheet(recipe),))
    text = " ".join(page_texts(printed(made, labels=True))[0].split())
    for name in (recipe.name, *(p.material.name for p in recipe.parts)):
        assert name in text, name
    assert not with_missing_letters(made).sheets[0].findings


def foreign(**names: str) -> Recipe:
    """A gloss whose materials of these ids have these names."""
    recipe = LIBRARY.recipe("frit-gloss")
    parts = zip(recipe.base, names.items(), strict=False)
    base = [replace(p, material=replace(p.material, id=i.replace("_", "-"), names=(n,)))
            for p, (i, n) in parts]  # fmt: skip
    return replace(recipe, base=(*base, *recipe.base[len(base) :]))


def test_no_two_names_look_alike_in_the_pdf_and_the_page_has_them_whole() -> None:
    names = {"clay_kaolin": "高岭土", "clay_ball": "陶 白土", "flour": "flour 粉",
             "meal": "flour 粗"}  # fmt: skip
    made = pack(sheets=(sheet(foreign(**names)),))
    text = page_texts(printed(made))[0]
    table = text[text.index("weigh into") : text.index("Do\n")]
    for said in ("clay-kaolin", "clay-ball", "flour ? (flour)", "flour ? (meal)"):
        assert len(re.findall(rf"(?<!\w){re.escape(said)}(?!\w)", table)) == 1, said
    assert "in the PDF look for clay-kaolin, clay-ball, flour, meal" in " ".join(text.split())
    page = pack_html(made)
    assert all(f">{name}<" in page for name in names.values())
    told = with_missing_letters(made).sheets[0].findings
    assert [f.code for f in told] == ["pdf-letters"]
    assert with_missing_letters(with_missing_letters(made)).sheets[0].findings == told


def test_nothing_is_said_of_letters_where_none_are_lacking() -> None:
    made = pack(sheets=(sheet(foreign(kaolin_de="Kaolin, geschlämmt (weiß)")),))
    assert not with_missing_letters(made).sheets[0].findings
    text = page_texts(printed(made))[0]
    assert "Kaolin, geschlämmt (weiß)" in text and "kaolin-de" not in text


def test_a_title_without_letters_is_reported_once() -> None:
    made = replace(pack("frit-gloss", "true-matte"), title="窯 € day")
    first, second = with_missing_letters(made).sheets
    assert "the title" in first.findings[0].message and not second.findings


@pytest.mark.parametrize("name", ["clear-crackle", "frit-gloss", "copper-lustre", "silver-lustre"])
def test_a_sheet_has_the_pictograms_of_its_cautions_and_no_other(name: str) -> None:
    made = pack(name)
    wanted = {g for caution, _ in made.sheets[0].cautions for g in caution.ghs}
    page = pack_html(made)
    shown = {g for g in GHS if f'aria-label="{GHS_WORDS[g]}"' in page}
    assert shown == wanted
    assert ("corrosion" in shown) == (name == "silver-lustre")
    assert ("environment" in shown) == (name in ("copper-lustre", "silver-lustre"))


def test_a_glaze_without_hazards_has_no_diamond() -> None:
    one = sheet(LIBRARY.recipe("frit-gloss"))
    harmless = Caution("nuisance-dust", "caution", ("mixing",), "Dusty.", "common practice")
    page = pack_html(pack(sheets=(replace(one, cautions=((harmless, ("whiting",)),)),)))
    assert not any(f'aria-label="{w}"' in page for w in GHS_WORDS.values())
    assert "NOT FOR FOOD" not in page


def test_not_for_food_is_said_where_a_caution_says_so_and_safe_never() -> None:
    for name in DEMO:
        made = pack(name)
        using = {c.code for c, _ in made.sheets[0].cautions if "using" in c.act} - {"leach-test"}
        for text in (pack_html(made, labels=True), "".join(page_texts(printed(made)))):
            assert ("NOT FOR FOOD" in text) == bool(using), name
            assert not re.search(r"food[ -]?safe|safe for food", text, re.IGNORECASE)
    assert pack_html(pack("clear-crackle")).count("NOT FOR FOOD") == 1


def test_only_the_teachers_materials_are_marked() -> None:
    made = pack("frit-gloss", audience="school", people=3)
    text = page_texts(printed(made))[1]
    assert text.count("TEACHER") == 1 + 1  # the bar, and its one line
    assert "ONLY THE TEACHER HANDLES: lithium carbonate" in text
    assert "TEACHER" not in page_texts(printed(pack("frit-gloss")))[0]
    assert pack_html(made).count('class="badge"') == 1


def test_additions_stand_below_a_line_of_their_own() -> None:
    text = page_texts(printed(pack("white-crackle")))[0]
    assert text.index("kaolin") < text.index("additions, after") < text.index("tin oxide")
    assert "additions, after" not in page_texts(printed(pack("frit-gloss")))[0]


def test_rounding_and_grave_findings_come_before_the_weighing_only_where_they_matter() -> None:
    one = sheet(LIBRARY.recipe("cobalt-gloss"))
    advice = "Mix ten times as much, or weigh cobalt on a finer scale."
    matters = replace(one, rounding=replace(one.rounding, matters=True, advice=advice))
    assert advice in pack_html(pack(sheets=(matters,)))
    assert advice not in pack_html(
        pack(sheets=(replace(one, rounding=replace(one.rounding, advice=advice)),))
    )
    doubt = Finding("shared-name", "caution", "“talc” may be another one.", "", one.recipe.name)
    page = pack_html(pack(sheets=(replace(one, findings=(doubt,)),)))
    assert page.index("measured</th>") < page.index("may be another one")


def phone(said: str) -> str:
    """What a reader makes of the code's squares."""
    zxing = pytest.importorskip("zxingcpp")
    numpy = pytest.importorskip("numpy")
    picture = qr(said)
    side, dot = int(picture.width), 4
    bitmap = numpy.full((side * dot, side * dot), 255, dtype=numpy.uint8)
    dark = picture.marks[1]
    assert isinstance(dark, Drawn)
    for outline in dark.d.split("Z")[:-1]:
        points = [tuple(map(float, p.split())) for p in outline[1:].split("L")]
        (x0, y0), (x1, y1) = points[0], points[2]
        bitmap[int(y0) * dot : int(y1) * dot, int(x0) * dot : int(x1) * dot] = 0
    (read,) = zxing.read_barcodes(bitmap)
    return str(read.text)


@pytest.mark.parametrize("name", DEMO)
def test_a_phone_reads_the_recipe_off_the_code(name: str) -> None:
    one = pack(name).sheets[0]
    said, whole = recipe_words(one, "2026-10-17")
    assert whole and phone(said) == said
    assert one.code in said and one.recipe.name in said and "http" not in said
    for part in one.recipe.parts:
        assert f"{one.recipe.percent(part):.4g} {part.material.name}" in said


def many(count: int, name: str = "Everything") -> Recipe:
    """A glaze of ``count`` materials, the last four on top."""
    known = {p.material.id: p for n in DEMO for p in LIBRARY.recipe(n).parts}
    parts = list(known.values())
    for k in range(len(parts), count):
        other = replace(parts[k % len(parts)].material, id=f"other-{k}", names=(f"other {k}",))
        parts.append(replace(parts[k % len(parts)], material=other))
    recipe = replace(LIBRARY.recipe("frit-gloss"), name=name)
    return replace(
        recipe, base=tuple(parts[: count - 4]), additions=tuple(parts[count - 4 : count])
    )


def test_a_code_holds_every_material_of_twenty() -> None:
    recipe = many(20)
    one = replace(pack("frit-gloss").sheets[0], recipe=recipe)
    said, whole = recipe_words(one, "2026-10-17")
    assert whole and phone(said) == said and "…" not in said
    lines = said.splitlines()[2:]
    assert len(lines) == 20 and [x[0] for x in lines[-4:]] == ["+"] * 4
    for line, part in zip(lines, recipe.parts, strict=True):
        assert line.endswith((f" {part.material.name}", f" {part.material.id}"))


@pytest.mark.parametrize("recipe", [many(60), many(60, "ü" * 900)])
def test_a_code_that_cannot_hold_all_holds_no_half_and_says_so(recipe: Recipe) -> None:
    one = sheet(recipe)
    said, whole = recipe_words(one, "")
    assert not whole and one.code in phone(said) and recipe.base[0].material.name not in said
    made = pack(sheets=(one,))
    text = " ".join("".join(page_texts(printed(made))).split())
    assert NAME_ONLY in text and NAME_ONLY in pack_html(made)
    assert NAME_ONLY not in pack_html(pack("frit-gloss"))


@pytest.mark.parametrize("count", [5, 14, 20, 60])
def test_the_squares_of_a_code_are_wide_enough_to_photograph(count: int) -> None:
    code = qr(recipe_words(sheet(many(count)), "")[0])
    assert code_mm(code) / code.width > 0.329  # mm; three dots of a 203 dpi printer are 0.375
    assert 29.0 <= code_mm(code) <= 36.0


def test_every_diamond_is_a_red_square_on_its_point_with_black_in_it() -> None:
    for name in GHS:
        marks = [m for m in pictogram(name).marks if isinstance(m, Drawn)]
        assert marks[0].fill == "#c8102e" and marks[1].fill == "#ffffff"
        assert any("#000000" in (m.fill, m.stroke) for m in marks[2:])
        for mark in marks[2:]:
            numbers = [float(n) for n in re.findall(r"[\d.]+", mark.d)]
            points = list(zip(numbers[::2], numbers[1::2], strict=True))
            assert all(abs(x - 50) + abs(y - 50) <= 46 for x, y in points), name
        ET.fromstring(to_svg(pictogram(name), "10mm"))
    assert set(GHS_WORDS) == set(GHS)


def test_shipped_cautions_name_known_codes_and_signs() -> None:
    codes = LIBRARY.cautions
    assert set(ACT_SIGNS) <= set(codes)
    # from memory of CLP annex VI
    assert codes["nitrate-oxidiser"].ghs == ("oxidiser",)
    assert "health-hazard" in codes["lead"].ghs and "skull" in codes["vanadium"].ghs
    assert all(not codes[act].ghs for act in ("raku-pull", "reduction-smoke", "kiln-electric"))


def test_an_unknown_pictogram_is_refused_with_its_line(tmp_path: Path) -> None:
    text = (
        '[soot]\nseverity = "caution"\nact = ["lustre"]\ntext = "Black."\nsource = "ours"\n'
        'ghs = ["helth-hazard"]\n'
    )
    with pytest.raises(DataFileError, match="helth-hazard") as caught:
        read_cautions(toml.parse(text, tmp_path / "own.toml"))
    assert caught.value.place is not None and caught.value.place.line == 6
    assert "health-hazard" in caught.value.hint


def test_process_cautions_stand_on_the_cover_and_where_the_firing_happens() -> None:
    texts = class_texts("A4")
    assert "Red-hot ware" in texts[-1]
    assert not any("Red-hot ware" in t for t in texts[:14])  # once, where it happens
    alone = page_texts(printed(pack("frit-gloss", firing="raku-one-load")))
    assert "Red-hot ware" not in alone[0] and "Red-hot ware" in alone[1]


def test_a_closed_kiln_gets_a_log_instead_of_pulls() -> None:
    text = page_texts(printed(pack("frit-gloss", firing="earthenware-cone-04")))[-1]
    assert "Pull plan" not in text and "Log\n" in text and "1063 °C" in text


def test_what_is_not_given_is_left_to_write_in() -> None:
    made = pack("frit-gloss", "true-matte")
    unsaid = tuple(
        replace(n, have_g=None, buy_g=None, price_per_kg=None, cost=None) for n in made.needs
    )
    page = pack_html(replace(made, needs=unsaid, cost=None))
    assert not re.search(r"\b(None|nan)\b", page) and "all together" not in page
    two = (replace(unsaid[0], buy_g=100.0), *unsaid[1:])
    assert "To buy: 1 material, without prices" in pack_html(replace(made, needs=two, cost=None))


def test_a_pack_is_set_a_few_times_and_drawn_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """What made twelve glazes in seven buckets slow: every size of type tried from large to small,
    and every box to tick drawn anew."""
    made = pack(*DEMO, buckets=7, differ=True, firing="raku-workshop")
    tried = 0

    class Counted(Typesetter):
        def __init__(self, *how: Any) -> None:
            nonlocal tried
            tried += 1
            super().__init__(*how)

    monkeypatch.setattr("cofire.show.sheets.pdf.Typesetter", Counted)
    to_drawing.cache_clear()
    printed(made, labels=True, large=True)
    assert 12 < tried <= 12 * 4 + 3 * 3 + 4 + 1  # halving 8, 4 and 9 sizes; labels
    known = to_drawing.cache_info()
    assert known.hits > 5 * known.misses


def test_a_glaze_of_many_pages_is_set_a_few_times(monkeypatch: pytest.MonkeyPatch) -> None:
    made = Studio().batch("clear-crackle", dry="1 kg", scale_carries="10 g")
    scales: list[float] = []

    class Noted(Typesetter):
        def __init__(self, k: float, *how: Any) -> None:
            scales.append(k)
            super().__init__(k, *how)

    monkeypatch.setattr("cofire.show.sheets.pdf.Typesetter", Noted)
    assert len(printed(made).pages) > 4
    assert len(scales) <= 12  # not four for each number of pages


def test_a_glaze_too_long_for_a_page_is_set_large_enough_to_fill_two() -> None:
    """Its weights stand at 18 points in normal type."""
    for count, pages, least in ((8, 1, 0.6), (40, 2, 0.7)):
        reader = printed(pack(sheets=(sheet(many(count)),)))
        sizes: list[float] = []

        def look(text: str, cm: list[float], tm: list[float], font: object, size: float) -> None:
            sizes.append(size * bool(text.strip()))  # noqa: B023

        reader.pages[0].extract_text(visitor_text=look)
        code = max(sizes)  # the name of the glaze, 27 points
        assert len(reader.pages) == pages and code / 27.0 > least


def test_the_page_has_one_size_of_type_however_long_a_glaze_is() -> None:
    short, long = (pack_html(pack(sheets=(sheet(many(count)),))) for count in (8, 40))
    style = short[: short.index("</style>")]
    assert style == long[: long.index("</style>")] and ".page{font-size:9.4pt;" in style
    assert ".page{font-size:12pt;" in pack_html(pack("frit-gloss"), large=True)


def test_the_foot_of_a_page_never_prints_over_itself() -> None:
    title = "A very long day at Saltgrass Yard with everybody and all that they bring " * 4
    made = replace(pack("frit-gloss", "true-matte"), title=title.strip())
    for page in printed(made, paper="Letter").pages:
        found: list[tuple[float, str]] = []

        def look(text: str, cm: list[float], tm: list[float], font: object, size: float) -> None:
            if text.strip() and tm[5] * cm[3] + cm[5] < 40.0:
                found.append((tm[4] * cm[0] + cm[4], text.strip()))  # noqa: B023

        page.extract_text(visitor_text=look)
        (left, start), (middle, _), _ = sorted(found)
        assert start.endswith("…") and len(start) > 30
        assert left + stringWidth(start, "OpenSans-Regular", 7.5) + 5.0 < middle


def test_codes_and_surfaces_are_never_broken_on_the_cover() -> None:
    long = replace(LIBRARY.recipe("frit-gloss"), name="A name so long that it wraps " * 3)
    page = pack_html(pack(sheets=(sheet(long), sheet(LIBRARY.recipe("dry-matte")))))
    style = page[: page.index("</style>")]
    whole = re.findall(
        r'<td class="[a-z ]*whole"[^>]*>([^<]+)</td>', page.split("<h2>Glazes</h2>")[1]
    )
    assert re.search(r"\.whole\{white-space:nowrap", style)
    codes = [one.code for one in (sheet(long), sheet(LIBRARY.recipe("dry-matte")))]
    assert {*codes, "gloss", "dry matte"} <= set(whole)


def test_html_pages_break_only_between_blocks(tmp_path: Path) -> None:
    """As a browser prints them, where there is one."""
    browser = shutil.which("chromium")
    if browser is None:
        pytest.skip("no browser")
    made = pack("white-crackle", "frit-gloss", "turquoise-crackle", buckets=7, differ=True)
    page, out = tmp_path / "a.html", tmp_path / "a.pdf"
    page.write_text(pack_html(made, paper="Letter", large=True), encoding="utf-8")
    subprocess.run(
        [browser, "--headless", "--no-sandbox", "--disable-gpu", "--no-pdf-header-footer",
         f"--print-to-pdf={out}", page.as_uri()],
        check=True, capture_output=True,
    )  # fmt: skip
    texts = [t.strip() for t in page_texts(pypdf.PdfReader(out))]
    assert len(texts) <= 2 + 3 * 3
    assert sum("additions, after" in t for t in texts) >= 2
    for text in texts:
        lines = text.splitlines()
        assert len(lines) > 5, text  # no page for the sake of a grey line
        assert not any("additions, after" in line for line in lines[-2:]), text
        if "1. Put on" in text:
            assert "4. Weigh a litre" in text  # one list of what to do


def least_points(page: pypdf.PageObject) -> float:
    """The smallest type on a page, points: the size of the font times what scales the text."""
    sizes: list[float] = []

    def seen(text: str, cm: list[float], tm: list[float], font: object, size: float) -> None:
        if text.strip():
            sizes.append(size * abs(tm[3] or tm[1]) * abs(cm[3] or cm[1]))

    page.extract_text(visitor_text=seen)
    return min(sizes)


@pytest.mark.parametrize("buckets", [1, 2, 3, 6, 7])
@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_nothing_is_smaller_than_eight_points(buckets: int, paper: Paper) -> None:
    made = pack("white-crackle", "silver-lustre", buckets=buckets, differ=True, people=14,
                firing="raku-workshop", audience="school")  # fmt: skip
    for large in (False, True):
        for page in printed(made, paper=paper, large=large, labels=True).pages:
            assert least_points(page) >= 7.99, page.extract_text()[:60]


@pytest.mark.parametrize("large", [False, True])
@pytest.mark.parametrize("buckets", [2, 3, 5, 7])
def test_boxes_never_stand_on_names(buckets: int, large: bool) -> None:
    made = pack("white-crackle", buckets=buckets)
    found: dict[str, float] = {}

    def look(text: str, cm: list[float], tm: list[float], font: object, size: float) -> None:
        found.setdefault(text.strip(), tm[4] * cm[0] + tm[5] * cm[2] + cm[4])

    printed(made, large=large).pages[0].extract_text(visitor_text=look)
    word = made.sheets[0].buckets[0].weighings[0].part.material.name.split()[0]
    name = next(x for text, x in found.items() if text.startswith(word))
    assert name > found[str(min(buckets, 5))] + 6.0  # half a box


def test_every_bucket_table_has_its_number() -> None:
    for large, buckets in ((True, 3), (True, 7), (False, 7), (False, 4)):
        made = pack("white-crackle", buckets=buckets, differ=True)
        text = " ".join(page_texts(printed(made, large=large)))
        assert "weigh into the bucket" not in text
        for number in range(1, buckets + 1):
            assert re.search(rf"bucket {number}\b", text), (large, number)


def test_signs_stand_before_the_weighing() -> None:
    for large in (False, True):
        text = page_texts(printed(pack("white-crackle", buckets=5, differ=True), large=large))[0]
        assert text.index("RESPIRATOR ON") < text.index("soda-borosilicate")


def test_adults_only_stands_on_the_cover_and_at_the_kiln_and_powder_does_not() -> None:
    made = Studio().batch(
        ["clear-crackle", "turquoise-crackle"], pieces="14 students x 2 pots", school=True,
        firing="raku-workshop", people=14,
    )  # fmt: skip
    cover, *glazes, first, kiln = page_texts(printed(made))
    assert all("Only trained adults" in page for page in (cover, first, kiln))
    assert not any("Only trained adults" in text for text in glazes)
    assert "crystalline silica" not in kiln and "Copper fume" in kiln
    assert all("Copper fume" not in text for text in glazes)
