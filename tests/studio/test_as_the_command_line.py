"""Every question asked in Python has the answer that the command line prints as JSON."""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from typing import Any

import pytest

import cofire as package
from cofire.cli.main import COMMANDS
from cofire.record import Record

RECIPE = 'surface = "gloss"\nname = "Mine"\n[base]\n"frit-3134-type" = 90\nkaolin = 10\n'
DAY = "raku-workshop"
UNITY = "0.3 Na2O, 0.7 CaO, 0.35 Al2O3, 3 SiO2, 0.3 B2O3"
TALC = "SiO2,61.2\nMgO,30.9\nAl2O3,0.9\nCaO,0.6\nLOI,5.8\n"
Ask = Callable[[package.Studio], Record]

#: words typed -> the same in Python
ASKED: dict[tuple[str, ...], Ask] = {
    ("pair", "frit-gloss", "does-not-work", "--firing", DAY, "--body", "raku", "--coat",
     "3 brushed"):
        lambda s: s.pair(["frit-gloss", "does-not-work"], DAY, body="raku", coat="3 brushed"),
    ("pair", "frit-gloss", "--firing", DAY, "--wall", "5 mm", "--load", "4 kg", "--ripple", "3 mm"):
        lambda s: s.pair("frit-gloss", DAY, wall_mm=5, load_kg=4, ripple_mm=3.0),
    ("fit", "clear-crackle", "--body", "raku", "--coat", "0.2 mm fired", "--horizon", "5"):
        lambda s: s.fit("clear-crackle", "raku", coat_mm=0.2, horizon_years=5),
    ("fit", "clear-crackle", "frit-gloss", "--body", "raku", "--cooling", "90 C/h"):
        lambda s: s.rank(["clear-crackle", "frit-gloss"], "raku", cooling_c_per_h=90),
    ("blend", "clear-crackle", "frit-gloss", "--steps", "3", "--body", "raku", "--cup", "60 g"):
        lambda s: s.blend(["clear-crackle", "frit-gloss"], steps=3, body="raku", cup="60 g"),
    ("blend", "frit-gloss", "--add", "tin oxide 0-8", "--tiles", "3", "--firing", DAY):
        lambda s: s.blend("frit-gloss", ["tin oxide 0-8"], tiles=3, firing=DAY),
    ("firing", DAY, "frit-gloss", "--price", "0.3", "--kiln", "small-brick"):
        lambda s: s.firing(DAY, "frit-gloss", price_per_kwh=0.3, kiln="small-brick"),
    ("formula", "white-crackle", "--firing", DAY): lambda s: s.formula("white-crackle", firing=DAY),
    ("map", "frit-gloss", "--across", "silica 5-30", "--show", "liquidus"):
        lambda s: s.map("frit-gloss", "silica 5-30", show="liquidus"),
    ("shake", "frit-gloss", "--body", "raku", "--batch", "50 g", "--slips"):
        lambda s: s.shake("frit-gloss", body="raku", batch_g=50, slips=True),
    ("adjust", "clear-crackle", "--want", "expansion 7.2", "--keep", "kaolin", "--only"):
        lambda s: s.adjust("clear-crackle", ["expansion 7.2"], keep=["kaolin"], allowed=[]),
    ("adjust", "clear-crackle", "--want", "expansion 8", "--from", "talc,silica", "--without",
     "kaolin", "--surface", "gloss"):
        lambda s: s.adjust("clear-crackle", ["expansion 8"], allowed=["talc", "silica"],
                           without=["kaolin"], surface="gloss"),
    ("swap", "white-crackle", "natural borate"):
        lambda s: s.swap("white-crackle", "natural borate"),
    ("swap", "--every-recipe", "natural borate", "--from", "calcium borate frit"):
        lambda s: s.swap(None, "natural borate", allowed=["calcium borate frit"]),
    ("compose", UNITY, "--in-stock"): lambda s: s.compose(UNITY, allowed="stock"),
    ("adjust", "clear-crackle", "--want", "expansion 8", "--in-stock"):
        lambda s: s.adjust("clear-crackle", ["expansion 8"], allowed="stock"),
    ("swap", "white-crackle", "kaolin", "--in-stock"):
        lambda s: s.swap("white-crackle", "kaolin", allowed="stock"),
    ("compose", UNITY): lambda s: s.compose(UNITY),
    ("compose", "frit-gloss", "--most", "4"): lambda s: s.compose("frit-gloss", most=4),
    ("tile", "clear-crackle, 3 brushed, crazed 4 mm", "--body", "raku"):
        lambda s: s.tile(["clear-crackle, 3 brushed, crazed 4 mm"], "raku"),
    ("fired", "mine"): lambda s: s.fired("mine"),
    ("levers", "frit-gloss", "--want", "stress at most 0", "--body", "raku"):
        lambda s: s.levers("frit-gloss", "stress at most 0", body="raku"),
    ("lustre", "copper-lustre", "--firing", DAY): lambda s: s.lustre("copper-lustre", firing=DAY),
    ("batch", "clear-crackle", "--dry", "2 kg", "--units", "oz", "--people", "9", "--firing", DAY,
     "--title", "Class of  nine"):
        lambda s: s.batch("clear-crackle", dry="2 kg", units="oz", people=9, firing=DAY,
                          title="Class of  nine"),
    ("batch", "clear-crackle", "turquoise-crackle", "--pieces", "14 students x 2 pots", "--pot",
     "9 x 9 cm", "--shared", "--school", "--method", "brush", "--density", "brush 1.6",
     "--bucket-size", "2 l"):
        lambda s: s.batch(["clear-crackle", "turquoise-crackle"], pieces="14 students x 2 pots",
                          pot="9 x 9 cm", shared=True, school=True, methods=["brush"],
                          density=["brush 1.6"], bucket_size_l=2),
    ("day", DAY, "--pots", "28", "--pot", "12 x 15 cm", "--chamber", "40 x 45 cm", "--bins", "3"):
        lambda s: s.day(DAY, pots=28, pot="12 x 15 cm", chamber="40 x 45 cm", bins=3),
    ("day", DAY, "--pots", "12", "--pot", "12 x 15 cm", "--chamber", "40 x 45 cm", "--bins", "4",
     "--layers", "2", "--start", "9:00", "--break", "12:00-12:45"):
        lambda s: s.day(DAY, pots=12, pot="12 x 15 cm", chamber="40 x 45 cm", bins=4, layers=2,
                        start="9:00", breaks=["12:00-12:45"]),
    ("batch", "clear-crackle", "--pieces", "14 students x 2 pots", "--firing", DAY, "--bins", "3",
     "--hands", "1", "--scale", "1 g", "--scale-carries", "2 kg"):
        lambda s: s.batch("clear-crackle", pieces="14 students x 2 pots", firing=DAY, bins=3,
                          hands=1, scale_g=1, scale_carries_g=2000),
    ("card",): lambda s: s.card(),
    ("explain", "SiO₂"): lambda s: s.explain("SiO2"),
    ("explain",): lambda s: s.explain(),
    ("materials",): lambda s: s.materials(),
    ("materials", "show", "talc"): lambda s: s.material("talc"),
    ("recipes",): lambda s: s.recipes(),
    ("bodies",): lambda s: s.bodies(),
    ("firings",): lambda s: s.firings(),
    ("kilns",): lambda s: s.kilns(),
    ("stock",): lambda s: s.stock(),
    ("read", "columns.csv"): lambda s: s.read("columns.csv"),
    ("table", "mine", "--dry", "2 kg", "--scale", "1 g"):
        lambda s: s.table("mine", dry_g=2000, scale_g=1),
    ("history", "kept"): lambda s: s.history("kept"),
    ("history", "kept", "--at", "1"): lambda s: s.version("kept", 1),
    ("kiln-log", "log.csv", "--like", "small-fibre", "--ambient", "25 C"):
        lambda s: s.kiln_log("log.csv", like="small-fibre", ambient_c=25.0),
    ("check", "broken.toml"): lambda s: s.check("broken.toml"),
}  # fmt: skip
#: These write a file, and each is asked in a folder of its own.
WRITING: dict[tuple[str, ...], Ask] = {
    ("set", "mine", "kaolin = 12"): lambda s: s.set("mine", "kaolin = 12"),
    ("keep", "mine", "--why", "first"): lambda s: s.keep("mine", "first"),
    ("materials", "add", "talc.csv", "--id", "talc-2026", "--name", "talc", "--supplier", "Tide",
     "--date", "2026-11"):
        lambda s: s.add_material("talc.csv", id="talc-2026", names=["talc"], supplier="Tide",
                                 date="2026-11"),
    ("materials", "import", "sheet.csv", "--supplier", "Tide", "--date", "2026-11", "--only-good"):
        lambda s: s.import_materials("sheet.csv", supplier="Tide", date="2026-11", only_good=True),
    ("import", "book.csv", "--surface", "gloss", "--on-clash", "rename"):
        lambda s: s.import_recipes("book.csv", surface="gloss", on_clash="rename"),
    ("stock", "import", "shelf.csv", "--on-clash", "replace"):
        lambda s: s.import_stock("shelf.csv", on_clash="replace"),
    ("import", "exported.json", "--on-clash", "rename"):
        lambda s: s.restore("exported.json", on_clash="rename"),
    ("kiln-log", "log.csv", "--save", "mine"): lambda s: s.kiln_log("log.csv", save="mine"),
    ("export", "sheets"): lambda s: s.export("sheets"),
    ("export", "all.json", "--all"): lambda s: s.export("all.json", shipped=True),
    ("materials", "call", "RIO", "red iron oxide"):
        lambda s: s.call_material("RIO", "red iron oxide"),
    ("init", "../new", "--name", "New"): lambda s: s.init("../new", "New"),
}  # fmt: skip


def write_files(cofire) -> None:  # type: ignore[no-untyped-def]
    cofire.write("recipes/mine.toml", RECIPE)
    cofire.write("recipes/kept.toml", RECIPE)
    cofire("set", "kept", "+ tin oxide = 5", "--why", "whiter")
    cofire.write("columns.csv", "Material;Weight (g)\nflint;1.200,5\ntalc;300\n+ bentonite;15\n")
    cofire.write("broken.toml", 'surface = "gloss"\n[base]\n"no such clay" = 90\n')
    cofire.write(
        "sheet.csv", "name,SiO2 %,MgO,LOI,remark\nour talc,62,32,6,x\ntalc ideal,62,32,6,\n"
    )
    cofire.write("book.csv", "Glaze,kaolin,flint,whiting,cone\nA,30,50,20,06\nMine,5,5,1,\n")
    cofire.write("talc.csv", TALC)
    said = {"surface": "gloss", "base": {"flint": 7}}
    held = {"schema": {"name": "cofire.export"}, "recipes": {"mine": said, "b": said}}
    cofire.write("exported.json", json.dumps(held))
    cofire.write("shelf.csv", "Material,kg,EUR/kg,remark\ntalc,3,2.50,\nsilica,4,0.80,\nRIO,1,,x\n")
    cofire.write("stock.toml", '[silica]\nhave = "2 kg"\n["calcium borate frit"]\nhave = "9 kg"\n')
    climb = [f"{6 * k},{1100 - 1080 * math.exp(-0.1 * k):.1f}" for k in range(30)]
    fall = [f"{174 + 6 * k},{20 + 1020 * 0.9**k:.1f}" for k in range(1, 30)]
    cofire.write("log.csv", "\n".join(("time (min),temperature (C)", *climb, *fall)) + "\n")


def in_json(record: Record) -> Any:
    return json.loads(json.dumps(record.to_dict(), allow_nan=False))


@pytest.mark.parametrize("words", ASKED, ids=" ".join)
def test_python_says_what_is_printed(cofire, words: tuple[str, ...]) -> None:  # type: ignore[no-untyped-def]
    write_files(cofire)
    printed = json.loads(cofire(*words, "--json").out)
    answer = ASKED[words](package.Studio())
    assert in_json(answer) == printed
    assert 10 < len(repr(answer)) < 400
    assert answer._repr_html_().startswith(("<svg", "<p>"))


@pytest.mark.parametrize("words", WRITING, ids=" ".join)
def test_python_writes_what_is_written(cofire, words: tuple[str, ...], monkeypatch) -> None:  # type: ignore[no-untyped-def]
    (cofire.folder / "studio.toml").unlink()
    top, answers, files = cofire.folder, [], []
    for side in ("typed", "python"):
        cofire.folder = top / side / "studio"
        cofire.folder.mkdir(parents=True)
        monkeypatch.chdir(cofire.folder)
        if words[0] != "init":
            cofire.write("studio.toml", "")
            write_files(cofire)
        if side == "typed":
            answers.append(json.loads(cofire(*words, "--json").out))
        else:
            answers.append(in_json(WRITING[words](package.Studio())))
        there = [path for path in (top / side).rglob("*") if path.is_file()]
        files.append(
            {path.name: path.read_text() for path in there if path.parent.name != "history"}
        )
    assert answers[0]["schema"] == answers[1]["schema"]
    assert answers[0].keys() == answers[1].keys()
    assert files[0] == files[1]
    assert len(files[0]) > 3


def test_every_command_is_asked() -> None:
    asked = {words[0] for words in (*ASKED, *WRITING)}
    # predict and bench have tests of their own; the others are about the command line
    assert asked == COMMANDS.keys() - {"predict", "bench", "docs", "completion"}
