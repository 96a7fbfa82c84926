"""``cofire batch`` as people type it."""

from __future__ import annotations

import json
import re
from decimal import Decimal
from pathlib import Path

import pytest

STOCK = (
    'currency = "EUR"\n["soda-borosilicate frit, 3110 type"]\nhave = "4 kg"\n'
    'price = "12.50 per 5 kg"\n[kaolin]\nhave = "8 oz"\nprice = "1,20 / kg"\n'
)
CLASS = (
    *("--pieces", "14 students x 5 test tiles and 2 pots", "--school", "--teams", "4"),
    *("--firing", "raku-workshop", "--body", "raku", "--title", "Open day at Saltgrass Yard"),
)


def flat(text: str) -> str:
    return " ".join(text.split())


@pytest.mark.parametrize("more", [(), CLASS, ("--units", "oz", "--buckets", "5", "--dry", "9 oz")])
def test_it_fits_eighty_columns(cofire, monkeypatch, more) -> None:  # type: ignore[no-untyped-def]
    monkeypatch.setenv("COLUMNS", "80")
    cofire.write("stock.toml", STOCK)
    run = cofire("batch", "clear-crackle", "turquoise-crackle", "earthenware-gloss", *more)
    assert run.code == 0, run.err
    assert max(len(line) for line in run.out.splitlines()) <= 80
    for said in ("[ ]", " then ", "additions", "water in all", "MIX", "KEEP",
                 "SAFETY", "WHAT IS LEFT OVER", "MATERIALS IN ALL", "version"):  # fmt: skip
        assert said in run.out


@pytest.mark.parametrize(
    ("how", "unit"),
    [
        (("--dry", "2 kg"), "g"),
        (("--dry", "1 lb", "--scale", "0.01 oz"), "oz"),
        (("--dry", "3 lb", "--units", "lb"), "lb"),
        (("--bucket", "5 gal", "--units", "kg"), "kg"),
        (("--dry", "333.3 g", "--buckets", "2"), "g"),
    ],
)
def test_what_is_on_paper_adds_up(cofire, how: tuple[str, ...], unit: str) -> None:  # type: ignore[no-untyped-def]
    """The printed digits themselves, read back, in decimals."""
    run = cofire("batch", "satin-white", *how)
    assert run.code == 0, run.err
    assert f"weigh, {unit}" in run.out
    rows = re.findall(r"^ *\[ ].*? {2,}([\d.]+) +([\d.]+) +([\d.]+) *$", run.out, re.M)
    rows = [row for row in rows if float(row[1]) > 0.0]
    assert len(rows) >= 6
    so_far, beside, bowls = Decimal(0), Decimal(0), list[Decimal]()
    for weigh, running, other in rows:
        if Decimal(weigh) == Decimal(running):  # the next bucket, or an empty bowl on the scale
            bowls.append(so_far)
            so_far = Decimal(0)
        so_far += Decimal(weigh)
        beside += Decimal(other)
        assert str(so_far) == running
    bowls.append(so_far)
    totals = re.findall(r"in all +([\d.]+) +([\d.]+) *$", run.out, re.M)
    # all that was weighed is all that the buckets hold, whatever bowls it went through
    assert sum(bowls) == sum(Decimal(total) for total, _ in totals)
    assert beside == sum(Decimal(other) for _, other in totals)


def test_json_and_paper_say_the_same(cofire) -> None:  # type: ignore[no-untyped-def]
    cofire.write("stock.toml", STOCK)
    words = ("batch", "clear-crackle", "--dry", "2 kg", "--density", "brush 1.55")
    data = json.loads(cofire(*words, "--json").out)
    out = flat(cofire(*words).out)
    (sheet,) = data["sheets"]
    (bucket,) = sheet["buckets"]
    assert sheet["base_g"] == 2000.0 and sheet["units"] == "g"
    assert sum(w["weigh_g"] for w in bucket["weighings"] if not w["addition"]) == 2000.0
    (printed,) = sheet["printed"]
    for w, shown in zip(bucket["weighings"], printed, strict=True):
        assert f"{w['name']} {shown.removesuffix(' g')}" in out
    assert [w["density_g_per_ml"] for w in bucket["waters"]] == [1.5, 1.45, 1.55]
    for w in bucket["waters"]:
        assert f"{w['water_ml']:.0f} ml" in out
    assert f"version {sheet['code']}" in out
    assert data["currency"] == "EUR" and sheet["cost"] is None
    needs = {n["name"]: n for n in data["needs"]}
    assert needs["kaolin"]["buy_g"] == pytest.approx(240.0 - 8 * 28.349523125)
    assert needs["kaolin"]["price_per_kg"] == 1.2
    assert needs["soda-borosilicate frit, 3110 type"]["buy_g"] == 0.0


def test_a_class_with_its_teacher(cofire) -> None:  # type: ignore[no-untyped-def]
    run = cofire("batch", "clear-crackle", "turquoise-crackle", *CLASS)
    out = flat(run.out)
    assert run.code == 0
    for said in ("Open day at Saltgrass Yard", "14 people", "Team 4 (3)", "only the teacher",
                 "Teacher weighs copper carbonate for",
                 "70 tiles", "28 pots", "Red-hot ware", "trained adults"):  # fmt: skip
        assert said in out, said
    shared = json.loads(cofire("batch", "clear-crackle", "turquoise-crackle", *CLASS, "--shared",
                               "--json").out)  # fmt: skip
    alone = json.loads(cofire("batch", "clear-crackle", "turquoise-crackle", *CLASS, "--json").out)
    for half, whole in zip(shared["sheets"], alone["sheets"], strict=True):
        assert half["dry_g"] == pytest.approx(whole["dry_g"] / 2.0, abs=0.3)


def test_a_school_refuses_and_says_what_to_do(cofire) -> None:  # type: ignore[no-untyped-def]
    run = cofire("batch", "silver-lustre", "--school")
    assert run.code == 2 and run.out == ""
    assert "silver nitrate" in run.err and "--even-with" in run.err and "line 12" in run.err
    kept = cofire("batch", "silver-lustre", "--school", "--even-with", "silver nitrate")
    assert kept.code == 0 and "no pupil may touch this glaze" in flat(kept.out)
    assert cofire("batch", "silver-lustre").code == 0


def test_a_scale_that_shows_nothing_is_no(cofire) -> None:  # type: ignore[no-untyped-def]
    run = cofire("batch", "cobalt-gloss", "--dry", "20 g", "--scale", "1 g")
    assert run.code == 1
    out = flat(run.out)
    assert "shows nothing for some" in out and "Mix 1000 g of base or more" in out
    assert cofire("batch", "cobalt-gloss", "--dry", "20 g").code == 0


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--dry", "2"), "unit"),
        (("--dry", "2 litres of"), "weight"),
        (("--dry", "0 g"), "a studio cannot mix"),
        (("--dry", "-2 kg"), "a studio cannot mix"),
        (("--dry", "20000 kg"), "a studio cannot mix"),
        (("--bucket", "10"), "unit"),
        (("--bucket", "10 kg"), "volume"),
        (("--bucket", "0 l"), "a studio cannot mix"),
        (("--dry", "2 kg", "--bucket", "10 l"), "each say how much"),
        (("--buckets", "2", "--bucket-size", "5 l"), "both split"),
        (("--buckets", "0"), "buckets"),
        (("--bucket-size", "0 l"), "buckets"),
        (("--bucket-size", "1 ml"), "buckets"),
        (("--pieces", "lots"), "how many pieces"),
        (("--pieces", "3 pots", "--pot", "12 cm"), "size of a pot"),
        (("--pieces", "3 pots", "--pot", "12 x 15 m"), "pot"),
        (("--shared",), "--pieces"),
        (("--density", "0.9"), "a glaze slurry cannot weigh"),
        (("--density", "spray 1.4"), "--method spray"),
        (("--scale", "0.1"), "unit"),
        (("--scale", "0 g"), "cannot weigh a glaze"),
        (("--scale", "1 kg"), "cannot weigh a glaze"),
        (("--even-with", "leed"), "leed"),
        (("--body", "rakoo"), "Did you mean"),
        (("--people", "3", "--teams", "4"), "teams"),
        (("--coat", "3"), "fired or dry"),
    ],
)
def test_bad_input(cofire, words: tuple[str, ...], said: str) -> None:  # type: ignore[no-untyped-def]
    run = cofire("batch", "clear-crackle", *words)
    assert run.code == 2, run
    assert said in run.err and run.out == "" and "Traceback" not in run.err


@pytest.mark.parametrize(
    ("text", "line", "said"),
    [
        ('[kaolin]\nhave = "4"\n', 2, "unit"),
        ("[kaolin]\nhave = 4\n", 2, "unit"),
        ('[kaolin]\nhave = "-4 kg"\n', 2, "cannot be"),
        ('[kaolin]\nprice = "cheap"\n', 2, "not a price of a weight"),
        ('[kaolin]\nprice = "12.50"\n', 2, "not a price of a weight"),
        ('[kaolin]\nprice = "1,200 per 5 kg"\n', 2, "1.200 or 1200"),
        ('[kaolin]\nprice = "2 per 0 kg"\n', 2, "not a price of a weight"),
        ('[kaolin]\nprice = "2 per 3 mm"\n', 2, "weight"),
        ('[kaolin]\nprise = "2 / kg"\n', 2, "price"),
        ('\n[kaolim]\nhave = "1 kg"\n', 2, "Did you mean"),
        ('[kaolin]\nhave = "1 kg"\n["china clay"]\nhave = "1 kg"\n', 3, "under two names"),
        ("currency = 3\n", 1, "text"),
        ('kaolin = "4 kg"\n', 1, "is not a table"),
        ("dear cofire\n", 1, "read"),
    ],
)
def test_a_stock_file_with_a_mistake(cofire, text: str, line: int, said: str) -> None:  # type: ignore[no-untyped-def]
    cofire.write("stock.toml", text)
    run = cofire("batch", "clear-crackle")
    assert run.code == 2, run
    assert f"stock.toml, line {line}:" in run.err and said in run.err, run.err
    assert len(run.err.splitlines()) % 2 == 0


def test_every_mistake_of_a_stock_file_at_once(cofire) -> None:  # type: ignore[no-untyped-def]
    cofire.write("stock.toml", '[kaolim]\nhave = "1 kg"\n[silica]\nhave = "1"\n')
    run = cofire("batch", "clear-crackle")
    assert "line 1" in run.err and "line 4" in run.err


def test_files_that_cannot_be_written_lose_nothing(cofire, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    from cofire.errors import DataFileError
    from cofire.files.atomic_write import writing, writing_bytes

    target = tmp_path / "sheet.pdf"
    target.write_bytes(b"old")
    with pytest.raises(RuntimeError), writing_bytes(target) as out:
        out.write(b"new")
        raise RuntimeError
    assert target.read_bytes() == b"old"
    with writing_bytes(target) as out:
        out.write(b"\x00new")
    assert target.read_bytes() == b"\x00new"
    with writing(tmp_path / "sheet.html") as page:
        page.write("33.3 g · 1 cm²\n")
    assert (tmp_path / "sheet.html").read_bytes() == "33.3 g · 1 cm²\n".encode()
    with pytest.raises(DataFileError), writing_bytes(tmp_path / "no" / "sheet.pdf"):
        pass
    assert not [p for p in tmp_path.iterdir() if p.name.startswith(".sheet")]


OWN = """
[my-frit]
names = ["gloss frit X"]
analysis = { PbO = 65, SiO2 = 30, Al2O3 = 5 }
loi = 0
source = "own"
[my-barium]
names = ["matte frit X"]
analysis = { BaO = 40, SiO2 = 60 }
loi = 0
melts = "glass"
cautions = ["glass-dust"]
source = "own"
[blue-salt]
names = ["blue salt"]
analysis = { CuO = 32 }
loi = 68
dissolves = "yes"
source = "own"
[litharge]
names = ["litharge"]
overrides = true
analysis = { PbO = 100 }
loi = 0
source = "own"
[yard-sand]
names = ["yard sand"]
analysis = { SiO2 = 99, PbO = 0.4 }
loi = 0.6
source = "own"
"""


@pytest.mark.parametrize(
    ("name", "brings"),
    [("gloss frit X", "lead"), ("matte frit X", "barium"), ("blue salt", "poisonous salt"),
     ("litharge", "lead"), ("yard sand", "")],
)  # fmt: skip
def test_missing_cautions_of_an_own_material_come_from_its_analysis(cofire, name, brings) -> None:  # type: ignore[no-untyped-def]
    cofire.write("materials/mine.toml", OWN)
    cofire.write(
        "recipes/x.toml",
        'name = "X"\nsurface = "gloss"\n[base]\n"soda-borosilicate frit, 3110 type" = 80\n'
        f'kaolin = 10\n"{name}" = 10\n',
    )
    run = cofire("batch", "x", "--school")
    grown_up = flat(cofire("batch", "x").out)
    if not brings:
        assert run.code == 0 and "danger" not in grown_up
        return
    assert run.code == 2 and run.out == ""
    assert name in run.err and brings in run.err
    assert ("--even-with" in run.err) == (brings != "lead")
    assert f"{name}: " in grown_up.split("SAFETY")[1]


def test_check_says_what_it_read_into_a_file(cofire) -> None:  # type: ignore[no-untyped-def]
    cofire.write("materials/mine.toml", OWN)
    run = cofire("check")
    assert run.code == 0
    assert "mine.toml, line 2: note: “my-frit” does not name lead, glass-dust" in run.out
    assert "“my-barium” does not name barium, barium-leach;" in run.out
    assert (
        'cautions = ["glass-dust", "barium", "barium-leach"]' in run.out
    )  # what was written stays
    assert "“blue-salt” does not name copper, soluble" in run.out
    assert (cofire.folder / "materials/mine.toml").read_text() == OWN
    told = cofire.write("materials/mine.toml", OWN.replace(
        "overrides = true", 'overrides = true\ncautions = ["lead"]'))  # fmt: skip
    assert "“litharge” does not name" not in cofire("check", told).out


def test_a_certificate_and_a_hand_written_file_say_the_same(cofire) -> None:  # type: ignore[no-untyped-def]
    cofire.write("paper.csv", "SiO2, 40\nBaO, 30\nCuO, 20\nLi2O, 10\nLOI, 0\n")
    cofire("materials", "add", "paper.csv", "--id", "by-paper", "--name", "frit P",
           "--supplier", "S", "--date", "2026-01-01", "--dissolves", "yes")  # fmt: skip
    cofire.write(
        "materials/by-hand.toml",
        '[by-hand]\nnames = ["frit H"]\ndissolves = "yes"\nsource = "own"\nloi = 0\n'
        "analysis = { SiO2 = 40, BaO = 30, CuO = 20, Li2O = 10 }\n",
    )
    both = [
        json.loads(cofire("materials", "show", key, "--json").out)["cautions"]
        for key in ("by-paper", "by-hand")
    ]
    assert sorted(both[0]) == sorted(both[1])
    assert {"barium", "barium-leach", "copper", "lithium", "soluble", "glass-dust"} == set(both[0])


def test_what_to_buy_is_never_less_than_what_is_missing(cofire) -> None:  # type: ignore[no-untyped-def]
    frit = "soda-borosilicate frit, 3110 type"
    cofire.write("stock.toml", f'["{frit}"]\nhave = "1 g"\n')
    for dry, needed, buy in (
        ("2592 g", "1.555 kg", "1.554 kg"),
        ("2625 g", "1.575 kg", "1.574 kg"),
        ("1668 g", "1.001 kg", "1.000 kg"),
        ("100 g", "60.0 g", "59.0 g"),
    ):
        run = cofire("batch", "clear-crackle", "--dry", dry, "--scale", "1 g", "--html", "a.html")
        assert run.code == 0
        row = re.search(rf"{frit} +(\S+ \S+) +(\S+ \S+) +(\S+ \S+)", run.out)
        assert row and row.groups() == (needed, "1.0 g", buy)
        assert buy in (cofire.folder / "a.html").read_text()


def test_printed_costs_add_up_to_the_printed_total(cofire) -> None:  # type: ignore[no-untyped-def]
    frits = ("soda-borosilicate frit, 3110 type", "kaolin", "calcium borate frit, 3134 type")
    cofire.write(
        "stock.toml",
        "".join(f'["{f}"]\nhave = "0 g"\nprice = "{p} / kg"\n'
                for f, p in zip(frits, (3, 2, 4), strict=True)),
    )  # fmt: skip
    out = cofire("batch", "clear-crackle", "--dry", "2592 g", "--scale", "1 g").out
    lines = [Decimal(v) for v in re.findall(r"kg +0\.0 g .* ([\d.]+) *$", out, re.M)]
    lines += [Decimal(v) for v in re.findall(r"[\d.]+ g +0\.0 g .* ([\d.]+) *$", out, re.M)]
    (total,) = re.findall(r"To buy: 4 materials, ([\d.]+)", out)
    assert len(lines) == 3 and sum(lines) == Decimal(total)


def test_one_glaze_cannot_be_shared(cofire) -> None:  # type: ignore[no-untyped-def]
    run = cofire("batch", "clear-crackle", "--pieces", "20 tiles", "--shared")
    assert run.code == 0 and "shared by" not in run.out
    both = cofire("batch", "clear-crackle", "white-crackle", "--pieces", "20 tiles", "--shared")
    assert "shared by 2 glazes" in flat(both.out)
