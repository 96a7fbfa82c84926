"""How own materials melt: said, read off the analysis, or not known and said so."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest

import cofire
from cofire.files.library import Library
from cofire.files.melting import is_melted, with_melting

SHIPPED = Library(None).materials
#: Of these the analysis cannot tell it: a natural glass, and a salt that melts like one.
_NATURAL = {"volcanic-ash", "pumice", "waterglass"}
#: The oxides and the loss are nearly those of another compound that melts elsewhere.
_TWINS = {"sodium-nitrate", "sodium-bicarbonate", "galena", "white-lead", "cornwall-stone-british"}
FRIT = "SiO2,69.8\nNa2O,15.3\nCaO,6.3\nAl2O3,3.7\nB2O3,2.6\nK2O,2.3\n"


@pytest.mark.parametrize("key", sorted(SHIPPED.keys() - _NATURAL))
def test_analyses_tell_glass_from_minerals(key: str) -> None:
    """Every shipped frit is known for one by its analysis alone; no mineral is taken for one."""
    material = SHIPPED[key]
    assert is_melted(material.oxides_wt_percent, material.loi_percent) == (
        material.melts == "glass"
    )


def test_kin_never_tell_wrong() -> None:
    """Each shipped material, left out: what the others tell of its melting is right to 200 °C, or
    nothing is told. (Those too near another to be told apart by an analysis are known below.)"""
    told = 0
    for key, material in SHIPPED.items():
        others = [m for m in SHIPPED.values() if m.id != key]
        silent = replace(material, melts_c=float("inf"), melting="unknown", grain="")
        found = with_melting(silent, others)
        if found.melting == "unknown" or key in _NATURAL | _TWINS:
            continue
        told += 1
        if material.melts_c in (float("inf"), float("-inf")):
            assert found.melts_c == material.melts_c, key
        else:
            assert abs(found.melts_c - material.melts_c) < 200.0, key
    assert told > 100


def own(cofire, text: str) -> None:  # type: ignore[no-untyped-def]
    cofire.write("materials/own.toml", text)


def with_frit(cofire, name: str) -> dict:  # type: ignore[no-untyped-def, type-arg]
    cofire.write(
        "recipes/r.toml",
        f'surface = "crackle"\n[base]\n"{name}" = 60\n"3134 type frit" = 28\nkaolin = 12\n',
    )
    run = cofire("pair", "r", "--firing", "raku-workshop", "--json")
    return json.loads(run.out)  # type: ignore[no-any-return]


def test_a_frit_from_its_certificate_melts_as_the_shipped_one(cofire) -> None:  # type: ignore[no-untyped-def]
    """The same analysis under another name has the same odds to the digit, the dust too."""
    cofire.write("c.csv", FRIT)
    add = ("materials", "add", "c.csv", "--supplier", "Tide", "--date", "2026-11")
    run = cofire(*add, "--id", "mine", "--name", "my frit")
    assert "“glass” is taken" in run.out
    written = (cofire.folder / "materials/mine.toml").read_text()
    assert 'melts = "glass"' in written and "glass-dust" in written and "silica" not in written
    theirs = with_frit(cofire, "3110 type frit")
    assert with_frit(cofire, "my frit")["odds_together"] == theirs["odds_together"]
    assert cofire("check").code == 0


def test_an_own_file_that_is_silent_is_read_the_same(cofire) -> None:  # type: ignore[no-untyped-def]
    analysis = ", ".join(line.replace(",", " = ") for line in FRIT.split())
    text = f'[quiet]\nnames = ["quiet"]\nanalysis = {{ {analysis} }}\nloi = 0\nsource = "x"\n'
    own(cofire, text)
    theirs = with_frit(cofire, "3110 type frit")
    mine = with_frit(cofire, "quiet")
    assert mine["odds_together"] == theirs["odds_together"]
    codes = {finding["code"]: finding for finding in mine["findings"]}
    assert "frit-3110-type" in codes["melting-taken"]["message"]
    assert "frit-3110-type" in cofire("check").out
    assert "glass-dust" in cofire("materials", "show", "quiet", "--json").out


def test_what_is_not_known_to_melt_says_so_first(cofire) -> None:  # type: ignore[no-untyped-def]
    own(
        cofire,
        '[odd]\nnames = ["odd"]\nanalysis = { SiO2 = 30, Al2O3 = 5, CaO = 30, MgO = 20 }\n'
        'loi = 15\nsource = "x"\n',
    )
    cofire.write("recipes/r.toml", 'surface = "gloss"\n[base]\nodd = 50\n"3134 type frit" = 50\n')
    for words in (
        ("pair", "r", "--firing", "raku-workshop"),
        ("formula", "r"),
        ("fit", "r", "--body", "raku"),
    ):
        head = " ".join(cofire(*words).out.split()[:70])
        assert "how “odd” (50 % of the base) melts is not known" in head, words
    assert "does not say how it melts" in cofire("check").out


@pytest.mark.parametrize("melts", ["glass", "743 C", "1150 F", "never"])
def test_what_is_said_counts(cofire, melts: str) -> None:  # type: ignore[no-untyped-def]
    cofire.write("c.csv", FRIT)
    words = (
        "c.csv",
        "--id",
        "mine",
        "--name",
        "m",
        "--supplier",
        "T",
        "--date",
        "d",
        "--melts",
        melts,
    )
    assert cofire("materials", "add", *words).code == 0
    shown = json.loads(cofire("materials", "show", "mine", "--json").out)
    expected = {"glass": "glass", "743 C": "743 C", "1150 F": "621.111 C", "never": None}
    assert shown["melts"] == expected[melts]


def test_a_wrong_melting_is_refused(cofire) -> None:  # type: ignore[no-untyped-def]
    cofire.write("c.csv", FRIT)
    words = (
        "c.csv",
        "--id",
        "mine",
        "--name",
        "m",
        "--supplier",
        "T",
        "--date",
        "d",
        "--melts",
        "hot",
    )
    run = cofire("materials", "add", *words)
    assert run.code == 2 and "“never”" in run.err
    assert not (cofire.folder / "materials/mine.toml").exists()


def test_a_melting_without_unit_names_no_file_that_is_not_there(tmp_path: Path) -> None:
    (tmp_path / "studio.toml").touch()
    said = {"supplier": "Tide", "date": "2026", "names": ["n"], "melts": "750"}
    with pytest.raises(cofire.CofireError, match="no unit") as refused:
        cofire.Studio(tmp_path).add_material(text="SiO2 100", id="n", **said)
    assert refused.value.place is None and "743 C" in refused.value.hint
