"""``cofire predict``: a stable table in, a stable table out."""

from __future__ import annotations

import csv
import io

import molmass
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cofire.studio import Studio

BANDS = ("expansion", "glass_transition_c", "youngs_modulus_gpa")
COLUMNS = [
    "name",
    *(f"{b}{end}" for b in BANDS for end in ("", "_low", "_high")),
    *(f"{i}{end}" for i in ("seals_c", "matures_c", "runs_c") for end in ("", "_low", "_high")),
    "support",
]  # fmt: skip


def rows(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text)))


def test_columns_order_and_empty_rows(cofire) -> None:  # type: ignore[no-untyped-def]
    table = "name,SiO2,Na2O,CaO,B2O3\na,60,10,15,15\nb,0,0,0,0\nc,6,1,1.5,1.5\n,,,,\nd,70,20,10,\n"
    run = cofire("predict", cofire.write("t.csv", table), "--basis", "mol")
    assert run.code == 0
    out = rows(run.out)
    assert [r["name"] for r in out] == ["a", "b", "c", "", "d"]
    assert set(COLUMNS) <= set(out[0])
    assert out[0]["name"] == "a"
    a, b, c = out[0], out[1], out[2]
    assert b["expansion"] == b["support"] == ""
    assert run.err.count("holds no oxide") == 2
    assert "line 3" in run.err
    assert {k: v for k, v in a.items() if k != "name"} == {
        k: v for k, v in c.items() if k != "name"
    }  # any total
    for band in BANDS:
        assert float(a[f"{band}_low"]) < float(a[band]) < float(a[f"{band}_high"])
    assert float(a["seals_c"]) < float(a["matures_c"]) < float(a["runs_c"])
    assert 0.0 <= float(a["support"]) <= 1.0
    assert "log10_viscosity" not in a


def test_viscosity_at_a_temperature(cofire) -> None:  # type: ignore[no-untyped-def]
    table = "temperature_c,SiO2,Na2O,CaO\n1000,75,15,10\n,75,15,10\n1200,75,15,10\n"
    hot = rows(cofire("predict", cofire.write("t.csv", table), "--basis", "wt").out)
    first, blank, last = (r["log10_viscosity"] for r in hot)
    assert float(first) > float(last)
    assert blank == ""
    assert hot[0]["log10_viscosity_low"] < first < hot[0]["log10_viscosity_high"]


def test_unknown_columns_are_errors_unless_ignored(cofire) -> None:  # type: ignore[no-untyped-def]
    path = cofire.write("t.csv", "SiO2,Na20,CaO,note\n70,20,10,x\n")
    run = cofire("predict", path, "--basis", "mol")
    assert run.code == 2
    assert "Na20" in run.err
    assert "Na2O" in run.err  # did you mean
    assert "--ignore" in run.err
    assert cofire("predict", path, "--basis", "mol", "--ignore").code == 0


@pytest.mark.parametrize(
    ("written", "counted", "per"), [("FeO", "Fe2O3", 0.5), ("MnO2", "MnO", 1), ("Cu2O", "CuO", 2)]
)
def test_other_states_of_an_oxide(cofire, written: str, counted: str, per: float) -> None:  # type: ignore[no-untyped-def]
    """A mole of FeO is half a mole of Fe2O3; by weight with molmass's molar masses."""
    base = "SiO2,Na2O,CaO"
    one = cofire.write("a.csv", f"{base},{written}\n60,20,15,4\n")
    by_mole = cofire.write("b.csv", f"{base},{counted}\n60,20,15,{4 * per}\n")
    ratio = per * molmass.Formula(counted).mass / molmass.Formula(written).mass
    by_weight = cofire.write("c.csv", f"{base},{counted}\n60,20,15,{4 * ratio}\n")
    for basis, other in (("mol", by_mole), ("wt", by_weight)):
        a, b = (rows(cofire("predict", p, "--basis", basis).out)[0] for p in (one, other))
        for key in ("expansion", "glass_transition_c", "matures_c"):
            assert float(a[key]) == pytest.approx(float(b[key]), rel=2e-4)


def test_out_writes_whole_files_or_none(cofire) -> None:  # type: ignore[no-untyped-def]
    good, bad = "SiO2,Na2O\n70,30\n", "SiO2,Na2O\n70,30\n70,lots\n"
    target = cofire.folder / "out.csv"
    assert (
        cofire("predict", cofire.write("g.csv", good), "--basis", "mol", "--out", target).code == 0
    )
    kept = target.read_bytes()
    other = target.with_name("other.csv")
    run = cofire("predict", cofire.write("b.csv", bad), "--basis", "mol", "--out", other)
    assert not other.exists()
    assert run.code == 2
    assert "line 3" in run.err
    assert target.read_bytes() == kept
    assert [p.name for p in cofire.folder.iterdir() if p.name.startswith(".")] == []


@pytest.mark.parametrize(
    ("table", "words"),
    [
        ("", "empty"),
        ("name\nx\n", "no oxide column"),
        ("SiO2,SiO2\n1,2\n", "twice"),
        ("SiO2,Na2O\n70,-3\n", "negative"),
        ("SiO2,Na2O\n70,nan\n", "not a number"),
        ("SiO2,Na2O\n1e308,1e308\n", "not a usable number"),
        ("SiO2,Na2O,temperature_c\n70,30,950\n70,30,9e9\n", "line 3"),
        ("SiO2,Na2O\n70,3,5\n", "line 2"),
        (b"SiO2,Na2O\n70,30\n# \x81\n", "UTF-8"),
    ],
)
def test_bad_tables(cofire, table: str | bytes, words: str) -> None:  # type: ignore[no-untyped-def]
    run = cofire("predict", cofire.write("t.csv", table), "--basis", "mol")
    assert run.code == 2
    assert words in run.err
    assert "Traceback" not in run.err


oxides = st.sampled_from(["B2O3", "Al2O3", "Li2O", "Na2O", "K2O", "MgO", "CaO", "ZnO", "PbO"])
glasses = st.dictionaries(oxides, st.floats(0.1, 40.0), min_size=2, max_size=6)


@settings(max_examples=20, deadline=None)
@given(glasses, st.floats(20.0, 80.0), st.permutations(range(7)))
def test_order_and_basis_never_matter(
    parts: dict[str, float], silica: float, order: list[int]
) -> None:
    """Mole and weight tables agree when converted with molmass's molar masses."""
    mol = {"SiO2": silica, **parts}
    mass = {o: v * molmass.Formula(o).mass for o, v in mol.items()}
    keys = sorted(mass, key=lambda o: order[hash(o) % 7])
    one = Studio.predict({o: [v] for o, v in mol.items()}, "mol")
    other = Studio.predict({o: [mass[o]] for o in keys}, "wt")
    for column in COLUMNS[1:]:
        assert np.asarray(one[column]) == pytest.approx(
            np.asarray(other[column]), rel=1e-3, abs=1e-3
        )
