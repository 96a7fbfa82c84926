"""What nobody means is refused in words, typed and in Python, before it is worked on."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from cofire import CofireError, Studio

FIRING = 'name = "Long"\nsource = "invented"\nkiln = "small-fibre"\n'
SEGMENT = '[[segment]]\nrate = "{rate} C/h"\ntarget = "{target} C"\nhold = "{hold} h"\n'
PULL = '[[pull]]\nname = "{name}"\nsegment = 1\nafter = "0 min"\ncount = {count}\nevery = "1 min"\n'


def climb(rate: float = 100, target: float = 900, hold: float = 10) -> str:
    return SEGMENT.format(rate=rate, target=target, hold=hold)


def glaze(lines: int) -> str:
    return 'surface = "gloss"\n[base]\n' + "".join(f'"dust {k}" = 1\n' for k in range(lines))


def refused(cofire: Any, sentence: str, *words: object) -> None:
    ran = cofire(*words)
    assert (ran.code, ran.out) == (2, "")
    assert sentence in ran.err


@pytest.mark.parametrize(
    ("count", "things", "words"),
    [
        (21, "glazes in one firing", ("pair", "--firing", "raku-workshop")),
        (21, "glazes in one firing", ("firing", "raku-workshop")),
        (201, "glazes on one body", ("fit", "--body", "raku")),
        (41, "glazes in one batch", ("batch", "--dry", "1 kg")),
    ],
)
def test_too_many_glazes(cofire: Any, count: int, things: str, words: tuple[str, ...]) -> None:
    refused(cofire, f"{count} {things} are too many", *words, *["frit-gloss"] * count)


def test_a_recipe_of_countless_lines_is_not_looked_up_line_by_line(
    cofire: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A suggestion for each unknown name took 3 ms: a minute for 20,000 lines."""
    asked: list[str] = []
    monkeypatch.setattr("cofire.files.library.did_you_mean", lambda *a, **_: asked.append(a[0]))
    cofire.write("recipes/long.toml", glaze(20_000))
    refused(cofire, "long.toml, line 2: 20000 lines in a recipe are", "formula", "long")
    cofire.write("long.csv", "".join(f"dust {k};1\n" for k in range(61)))
    refused(cofire, "61 lines in a recipe are too many", "read", "long.csv")
    assert not asked
    with pytest.raises(CofireError, match="the most is 60"):
        Studio().recipe({"surface": "gloss", "base": {f"dust {k}": 1 for k in range(61)}})


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        (climb() * 61, "61 segments of a firing"),
        (climb(hold=200) * 3, "hours of a firing are too many: the most is 400"),
        (climb(rate=1), "hours of a firing"),
        (climb() + PULL.format(name="a", count=300) * 2, "600 pulls of a firing"),
        (climb() + PULL.format(name="a", count=1) * 501, "501 pulls of a firing"),
    ],
)
def test_firings_that_nobody_sits_through(cofire: Any, text: str, sentence: str) -> None:
    cofire.write("recipes/firings/long.toml", FIRING + text)
    refused(cofire, sentence, "firing", "long")


def test_a_slow_kiln_makes_a_firing_long_too(cofire: Any) -> None:
    slow = (
        'name = "Slow"\nsource = "invented"\n[kiln]\nsource = "invented"\nheating_cold = "2 C/h"\n'
    )
    slow += 'heating_at_top = "2 C/h"\ntop = "1000 C"\ncooling_half_time = "5 h"\n'
    cofire.write("recipes/firings/slow.toml", slow.replace("[kiln]", climb() + "[kiln]"))
    refused(cofire, "hours of a firing are too many", "firing", "slow")


@pytest.mark.parametrize(
    ("ask", "sentence"),
    [
        (lambda s: s.adjust("frit-gloss", ["SiO2 3"] * 13), "13 targets"),
        (lambda s: s.tile(["frit-gloss, 3 brushed, whole"] * 21, "raku"), "21 tiles"),
        (lambda s: s.kiln_log(["log.csv"] * 21), "21 kiln logs"),
        (lambda s: s.set("frit-gloss", *["kaolin = 1"] * 61), "61 changes"),
        (lambda s: s.swap(["frit-gloss"] * 501, "kaolin"), "501 glazes to swap"),
        (lambda s: s.pair(["frit-gloss"] * 21, "raku-workshop"), "21 glazes"),
        (lambda s: s.rank(["frit-gloss"] * 201, "raku"), "201 glazes"),
    ],
)
def test_python_is_held_to_the_same(ask: Callable[[Studio], object], sentence: str) -> None:
    with pytest.raises(CofireError, match=sentence):
        ask(Studio())


def test_long_tables_of_readings_and_certificates(cofire: Any) -> None:
    rows = "".join(f"{k},{20 + k / 50}\n" for k in range(20_001))
    cofire.write("log.csv", "time (min),temperature (C)\n" + rows)
    refused(cofire, "log.csv: 20001 readings in a table", "kiln-log", "log.csv")
    cofire.write("paper.csv", "SiO2,1\n" * 201)
    words = ("--id", "x", "--name", "x", "--supplier", "Tide", "--date", "2026")
    refused(cofire, "201 lines in a certificate", "materials", "add", "paper.csv", *words)


def test_a_studio_of_countless_materials_asks_for_names(cofire: Any, tmp_path: Path) -> None:
    """Programs of thousands of unknowns took minutes and gigabytes."""
    one = '[own-{k}]\nnames = ["own {k}"]\nformula = "SiO2"\nsource = "invented"\n'
    cofire.write("materials/many.toml", "".join(one.format(k=k) for k in range(301)))
    for words in (("swap", "frit-gloss", "kaolin"), ("compose", "frit-gloss")):
        refused(cofire, "Name some of them with --from.", *words)
    assert cofire("compose", "frit-gloss", "--from", "own 1, frit-3134-type").code in (0, 1)


def test_checking_materials_reads_the_shipped_ones_once(
    cofire: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    """They were read anew for each material of one's own: minutes for some hundreds."""
    from cofire.answers import check

    check._shipped.cache_clear()
    read: list[object] = []
    real = check.Library
    monkeypatch.setattr(check, "Library", lambda folder: read.append(folder) or real(folder))
    one = '[own-{k}]\nnames = ["own {k}"]\nformula = "SiO2"\nsource = "invented"\n'
    cofire.write("materials/many.toml", "".join(one.format(k=k) for k in range(3)))
    cofire("check", "materials/many.toml")
    assert read == [None]
