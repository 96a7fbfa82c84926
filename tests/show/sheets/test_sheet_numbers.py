"""Every number on the pages of a class, read back from PDF and HTML and reckoned anew."""

from __future__ import annotations

import html
import math
import re
from decimal import Decimal
from functools import cache
from io import BytesIO
from pathlib import Path

import pypdf
import pytest

import cofire
from cofire import Studio
from cofire.answers.batch.records import Pack, Sheet
from cofire.files.toml import beside
from cofire.model.slurry import solids_g_per_cm3
from cofire.show.sheets.html import pack_html
from cofire.show.sheets.pdf import pack_pdf

STUDIO = Studio()
BATCH = Path(cofire.__file__).parent / "answers" / "batch" / "pack.py"
#: Numbers stand alone or before a unit, never in a code or in the name of a material.
NUMBER = re.compile(r"(?<![\w.,])\d+(?:[.:]\d+)*(?![\w]*[A-Z])")


@cache
def class_of(people: str) -> Pack:
    return STUDIO.batch(
        ["clear-crackle", "turquoise-crackle"], pieces=people, school=True, people=14,
        firing="raku-workshop", bins=3, title="Open day", scale="0.5 g", scale_carries="1.5 kg",
    )  # fmt: skip


def numbers(text: str) -> set[str]:
    return set(NUMBER.findall(text.replace("\u00a0", " ")))


def said(pack: Pack) -> tuple[list[str], list[str]]:
    """The pages as PDF and as HTML."""
    out = BytesIO()
    pack_pdf(pack, out)
    paper = [page.extract_text() for page in pypdf.PdfReader(out).pages]
    bare = re.sub(r"<style>.*?</style>|<svg.*?</svg>", " ", pack_html(pack), flags=re.S)
    screen = [html.unescape(re.sub(r"<[^>]+>", " ", part)) for part in bare.split("<section")[1:]]
    return paper, screen


def fixed(sheet: Sheet) -> set[str]:
    """Numbers of sentences that are the same for every batch, and of names."""
    sentences = [*beside(str(BATCH), "mixing.toml").values()]
    sentences += [c.text + c.at_kiln for c, _ in sheet.cautions]
    sentences += [p.material.name for p in sheet.recipe.parts]
    # usual densities, the measured volume, and the mesh of sieves
    return set().union(*map(numbers, sentences)) | numbers("1.45 1.55 1.40 1.50 1.65 100 80")


def reckoned(sheet: Sheet) -> set[str]:
    """All that depends on the batch: weights from the recipe, water by Brongniart's formula."""
    result: set[str] = set()
    solids = solids_g_per_cm3(sheet.recipe.parts)

    def volumes(ml: float) -> set[str]:
        return {f"{ml:.0f}", f"{math.ceil(ml):d}", f"{math.floor(ml):d}"}

    for bucket in sheet.buckets:
        total = Decimal(0)
        shows = Decimal(0)
        bowl = 1
        for line in bucket.weighings:
            shows = line.weigh_g + (shows if line.bowl == bowl else 0)
            bowl = line.bowl
            total += line.weigh_g
            result |= {f"{line.weigh_g:.1f}", f"{shows:.1f}"}
        result |= {f"{total:.1f}", str(bucket.number), str(bowl)}
        dry = float(total)
        wet, waters = [], []
        for density in (1.50, 1.45, 1.60):
            # a litre of slurry that weighs P g holds (P - 1000) S / (S - 1) g of dry glaze
            slurry = dry * (solids - 1.0) / (solids * (density - 1.0))
            water = density * slurry - dry
            wet.append(slurry)
            waters.append(water)
            result |= volumes(slurry) | volumes(water)
            result |= {f"{density:.2f}", f"{1000 * density:.0f}", f"{100 * density:.0f}"}
        result |= volumes(max(wet) / 0.75) | volumes(min(dry, 0.9 * min(waters)))
    whole = sum((b.total_g for b in sheet.buckets), Decimal(0))
    result |= {f"{whole:.1f}", str(len(sheet.buckets))}
    result |= {str(k) for k in range(1, len(sheet.mixing) + 1)}
    result |= numbers(sheet.asked) | {"1500.0"}  # what was asked for, and what the scale carries
    return result


@pytest.mark.parametrize("people", ["14 students x 5 tiles and 2 pots", "14 students x 1 mug"])
def test_every_number_of_a_glaze_is_reckoned_anew(people: str) -> None:
    pack = class_of(people)
    for pages in said(pack):
        for k, sheet in enumerate(pack.sheets):
            page = " ".join(p for p in pages if f"{sheet.code}, glaze" in p)
            read = numbers(page.replace(sheet.code, " "))
            foot = numbers(f"glaze {k + 1} of 2 page 0 {len(pages)}") | set("123456789")
            unexplained = read - reckoned(sheet) - fixed(sheet) - foot
            assert not unexplained
            for bucket in sheet.buckets:
                assert {f"{line.weigh_g:.1f}" for line in bucket.weighings} <= read


def test_firing_day_pack_and_cards_tell_the_same_times() -> None:
    from cofire.show.sheets.cards import firing_cards
    from cofire.show.sheets.html import booklet_html
    from cofire.show.terminal import clock

    pack = class_of("14 students x 5 tiles and 2 pots")
    assert pack.ware is not None
    each, load = pack.ware.each, pack.ware.load_kg
    (day,) = STUDIO.day(
        "raku-workshop", pots=each, pot="12 x 15 cm", chamber="80 x 45 cm", bins=3
    ).firings
    answer = STUDIO.firing("raku-workshop", load_kg=load)
    assert day.load_kg == load
    told = [clock(pull.at_min) for pull in day.pulls]
    assert told == [clock(one.at_min) for one in answer.loads[:each]]
    cards = re.findall(r"planned at (\d+:\d\d)", booklet_html(firing_cards(answer)))
    assert cards[:each] == told
    for pages in said(pack):
        some = [p for p in pages if "Pull plan" in p]
        assert len(some) == pack.ware.firings
        for page in some:
            rows = re.findall(r"pot \d+\s+(\d+:\d\d)\s+\d+ °C \(\d+ °F\)\s+(\d+)", page)
            assert [at for at, _ in rows] == told
            assert [int(bin) for _, bin in rows] == [pull.bin for pull in day.pulls]
