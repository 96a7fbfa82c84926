"""The same awkward text is the same number, or refused, wherever a number can be typed."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path

import click
import pytest

from cofire.answers.blend.additions import read_addition
from cofire.answers.blend.points import read_cup
from cofire.answers.change.relative_targets import read_target
from cofire.answers.compose import read_unity
from cofire.answers.map.axes import _read as read_axis
from cofire.answers.set_amount import read_wanted
from cofire.chem.oxides import INDEX
from cofire.cli.common import Number
from cofire.errors import CofireError, QuantityError
from cofire.files import toml
from cofire.files.certificates import read_certificate
from cofire.files.dilatometer import read_curve
from cofire.files.kiln_logs import read_kiln_log
from cofire.files.library import Library
from cofire.files.stock import stock_in
from cofire.files.tables import read_table
from cofire.read.amounts import amount_of
from cofire.read.coat import read_coat
from cofire.read.cooling import read_cooling
from cofire.read.number import written
from cofire.read.size import read_sides
from cofire.read.units import minutes
from cofire.records import Smoke

LIB = Library(None)
RECIPE = LIB.recipe("clear-crackle")

#: One number each, between 0.01 and 5, so that it may be a coat or a share as well.
ONE = {
    "2.5": 2.5, "2,5": 2.5, "+2,5": 2.5, "2.": 2.0, "0,250": 0.25, "0.125": 0.125, ".5": 0.5,
    "1.2345": 1.2345, "3,14159": 3.14159, "7.2e-1": 0.72, "7,250E-1": 0.725, "1/4": 0.25,
    "½": 0.5, "00002.5": 2.5,
}  # fmt: skip
#: In a list or behind a name a blank ends a number, and a comma in front parts it from what is
#: there: these are refused there, never misread.
ALONE_ONLY = {"2 1/2": 2.5, "2 ½": 2.5, "1 1⁄4": 1.25, ",125": 0.125}
TWO = ["1,200", "1.500", "1.250", "2,000"]
NONE = [
    "nan", "inf", "1_0", "1.2.3", "1,2,3", "1,20,300", "0x1", "1e", "1e400", "1e-400", "1/0", "3/0",
    "١٢", "１", "1٣", "1²", "1..2", "2-", "five", "9" * 70, "1.5/2",
]  # fmt: skip


def toml_of(folder: Path, name: str, text: str) -> Path:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def recipe(text: str, folder: Path) -> float:
    path = toml_of(
        folder, "r.toml", f'surface = "gloss"\n[base]\nkaolin = "{text} g"\nsilica = "9 g"\n'
    )
    return LIB.recipe(path).base[0].amount


def recipe_in_parts(text: str, folder: Path) -> float:
    path = toml_of(folder, "r.toml", f'surface = "gloss"\n[base]\nkaolin = "{text}"\nsilica = 9\n')
    return LIB.recipe(path).base[0].amount


def stock(text: str, folder: Path) -> float:
    doc = toml.parse(f'[kaolin]\nhave = "{text} g"\n', folder / "stock.toml")
    return stock_in(doc, LIB).of(LIB.material("kaolin")[0].id).have_g or 0.0


def price(text: str, folder: Path) -> float:
    doc = toml.parse(f'[kaolin]\nprice = "{text} per 2 kg"\n', folder / "stock.toml")
    return 2.0 * (stock_in(doc, LIB).of(LIB.material("kaolin")[0].id).price_per_kg or 0.0)


def price_of(text: str, folder: Path) -> float:
    doc = toml.parse(f'[kaolin]\nprice = "5 per {text} kg"\n', folder / "stock.toml")
    return 5.0 / (stock_in(doc, LIB).of(LIB.material("kaolin")[0].id).price_per_kg or 1.0)


def certificate(text: str, folder: Path) -> float:
    value = (ONE | ALONE_ONLY).get(text)
    said = "99" if value is None else written(100.0 - value)
    return read_certificate(f"K2O\t{text}\nSiO2\t{said}\nLOI\t0\n", folder).oxides_wt_percent["K2O"]


def log(text: str, folder: Path) -> float:
    path = toml_of(
        folder, "log.csv", f"time (min);temperature (C)\n0;20\n{text};100\n10;200\n20;300\n"
    )
    return 60.0 * read_kiln_log(path).time_h[1]


def log_temperature(text: str, folder: Path) -> float:
    path = toml_of(
        folder, "log.csv", f"time (min);temperature (C)\n0;{text}\n5;100\n10;200\n20;300\n"
    )
    return read_kiln_log(path).t_c[0]


def curve(text: str, folder: Path) -> float:
    rows = "".join(f"{t};{t // 100}/20\n" for t in range(100, 600, 100))
    path = toml_of(folder, "clay.csv", f"temperature (C);dL/L0 (%)\n{text};0\n{rows}")
    return read_curve(path).t_c[0]


def firing(text: str, folder: Path) -> float:
    path = toml_of(
        folder,
        "f.toml",
        'name = "f"\nsource = "s"\nkiln = "small-fibre"\n[[segment]]\nrate = "100 C/h"\n'
        f'target = "900 C"\nhold = "{text} min"\n',
    )
    return LIB.firing(path).segments[0].hold_min


def set_to(text: str) -> float:
    return float(read_wanted(f"kaolin = {text}").amount or "x")


def smoke(text: str) -> float:
    found = read_cooling(f"20 s air,{text} min bin")
    assert isinstance(found, Smoke) and found.air_s == 20.0
    return found.bin_min


def table(text: str) -> float:
    return float(read_table(text.encode(), Path("t")).rows[0].amount)


def axis(text: str) -> float:
    _, span = read_axis(f"silica 0–{text}")
    if span is None:  # then “silica 0–…” is the name of a material, and there is none
        raise QuantityError("no span")
    return span[1]


ALONE: dict[str, Callable[[str, Path], float]] = {
    "weight in a recipe": recipe,
    "parts in a recipe": recipe_in_parts,
    "stock": stock,
    "price": price,
    "weight of a price": price_of,
    "certificate": certificate,
    "time of a log": log,
    "temperature of a log": log_temperature,
    "curve of a clay": curve,
    "hold of a firing": firing,
    "set": lambda t, _: set_to(t),
    "amount": lambda t, _: float(amount_of(t).value),
    "table": lambda t, _: table(f"kaolin;{t}\nsilica;3\n"),
    "table of grams": lambda t, _: table(f"kaolin\t{t} g\nsilica\t3 g\n"),
    "cup": lambda t, _: read_cup(f"{t} kg", "0.1 mg").size / 1000.0,
    "first side": lambda t, _: read_sides(f"{t} x 15 cm", "it", "h")[0] / 10.0,
    "second side": lambda t, _: read_sides(f"15 cm by {t} in", "it", "h")[1] / 25.4,
    "coat": lambda t, _: read_coat(f"{t} mm fired").fired_mm,
    "time": lambda t, _: minutes(f"{t}min"),
    "option": lambda t, _: Number().convert(t, None, None),
}
INSIDE: dict[str, Callable[[str, Path], float]] = {
    "cooling": lambda t, _: smoke(t),
    "target": lambda t, _: read_target(f"kaolin at most {t} %", LIB, RECIPE).high,
    "target for a net": lambda t, _: (
        math.exp(read_target(f"crackle at least {t} cm", LIB, RECIPE).low) / 10.0
    ),
    "addition": lambda t, _: read_addition(LIB, f"tin oxide 0-{t} %").high,
    "addition from": lambda t, _: read_addition(LIB, f"tin oxide {t} to 50").low,
    "axis": lambda t, _: axis(t),
    "unity": lambda t, _: read_unity(f"1 CaO, {t} SiO2")[INDEX["SiO2"]],
    "unity behind": lambda t, _: read_unity(f"CaO 1,SiO2 {t}")[INDEX["SiO2"]],
}
READERS = ALONE | INSIDE


@pytest.mark.parametrize("reader", READERS)
@pytest.mark.parametrize("text", ONE)
def test_one_number_is_the_same_everywhere(text: str, reader: str, tmp_path: Path) -> None:
    assert READERS[reader](text, tmp_path) == pytest.approx(ONE[text], rel=1e-9)


@pytest.mark.parametrize("reader", READERS)
@pytest.mark.parametrize("text", ALONE_ONLY)
def test_never_misread(text: str, reader: str, tmp_path: Path) -> None:
    try:
        found = READERS[reader](text, tmp_path)
    except CofireError:
        assert reader in INSIDE
    else:
        assert found == pytest.approx(ALONE_ONLY[text], rel=1e-9)


@pytest.mark.parametrize("reader", READERS)
@pytest.mark.parametrize("text", TWO)
def test_two_meanings_are_refused_everywhere(text: str, reader: str, tmp_path: Path) -> None:
    with pytest.raises((CofireError, click.BadParameter)) as wrong:
        READERS[reader](text, tmp_path)
    bare = text.replace(",", "").replace(".", "")
    assert f"may be {text.replace(',', '.')} or {bare}" in str(wrong.value)


@pytest.mark.parametrize("reader", READERS)
@pytest.mark.parametrize("text", NONE)
def test_no_number_is_refused_everywhere(text: str, reader: str, tmp_path: Path) -> None:
    with pytest.raises((CofireError, click.BadParameter)):
        READERS[reader](text, tmp_path)


def test_the_command_line_refuses_alike(cofire) -> None:  # type: ignore[no-untyped-def]
    path = cofire.write("mine.toml", 'surface = "gloss"\n[base]\nkaolin = "1,200 g"\n')
    studio = ("formula", path), ("check", path)
    cofire.write("table.csv", "kaolin;1,200\nsilica;3\n")
    cofire.write("cert.csv", "SiO2;1,200\n")
    said = [cofire(*words) for words in (
        *studio,
        ("batch", "clear-crackle", "--dry", "1,200 g"),
        ("table", "clear-crackle", "--dry", "1,200 kg"),
        ("read", "table.csv"),
        ("materials", "add", "cert.csv", "--id", "x", "--name", "x", "--supplier", "y",
         "--date", "2026-11"),
        ("adjust", "clear-crackle", "--want", "expansion 1,200"),
        ("blend", "clear-crackle", "--add", "tin oxide 0-1,200"),
        ("map", "clear-crackle", "--across", "silica 0-1,200", "--up", "kaolin 0-5"),
        ("compose", "1 CaO, 1,200 SiO2"),
        ("day", "raku-workshop", "--pots", "3", "--pot", "1,200 x 15 cm", "--chamber", "40 x 45 cm",
         "--bins", "3"),
        ("day", "raku-workshop", "--pots", "1,200", "--pot", "12 x 15 cm", "--chamber",
         "40 x 45 cm", "--bins", "3"),
        ("batch", "clear-crackle", "--pieces", "1,200 tiles"),
        ("batch", "clear-crackle", "--pieces", "3 pots", "--pot", "1,200 x 15 mm"),
        ("fit", "clear-crackle", "--body", "raku", "--coat", "1,200 mm fired"),
        ("fit", "clear-crackle", "--body", "raku", "--cooling", "1,200 C/h"),
        ("fit", "clear-crackle", "--body", "raku", "--odds", "1,200"),
        ("tile", "clear-crackle, 1,200 mm fired, whole", "--body", "raku"),
        ("tile", "clear-crackle, 3 brushed, crazed 1,200 mm", "--body", "raku"),
        ("firing", "raku-workshop", "--price", "1,200"),
    )]  # fmt: skip
    for run in said:
        assert run.code == 2 and "may be 1.200 or 1200" in " ".join((run.out + run.err).split()), (
            run
        )
    for run in said[:2]:
        assert "mine.toml, line 3" in run.out + run.err
