"""``cofire predict`` by its table alone: whatever does not matter must not matter."""

from __future__ import annotations

import csv
import io
import re
from pathlib import Path

import molmass
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cofire.answers.predict_table import TableOfGlasses
from cofire.files.long_tables import LongTable
from cofire.show.predict import write_csv

OXIDES = (
    "SiO2", "B2O3", "Al2O3", "Li2O", "Na2O", "K2O", "MgO", "CaO", "SrO", "BaO", "ZnO", "PbO",
    "TiO2", "ZrO2", "SnO2", "P2O5", "Fe2O3", "MnO", "CuO", "CoO", "Bi2O3",
)  # fmt: skip
MASS = {o: float(molmass.Formula(o).mass) for o in OXIDES}
glass = st.dictionaries(st.sampled_from(OXIDES[1:]), st.floats(0.5, 30.0), max_size=7).flatmap(
    lambda parts: st.floats(30.0, 80.0).map(lambda silica: {"SiO2": silica, **parts})
)
several = st.lists(glass, min_size=1, max_size=4)


def table(
    glasses: list[dict[str, float]], order: list[str] | None = None, scale: float = 1.0
) -> str:
    columns = order or sorted({o for g in glasses for o in g})
    rows = [",".join(repr(g[o] * scale) if o in g else "" for o in columns) for g in glasses]
    return "\n".join([",".join(columns), *rows]) + "\n"


def answer(text: str, basis: str = "mol") -> list[dict[str, str]]:
    out = io.StringIO()
    glasses = TableOfGlasses(LongTable(io.BytesIO(text.encode()), Path("t.csv")), basis)  # type: ignore[arg-type]
    write_csv(glasses, out, lambda done: None)
    assert glasses.remarks() == []
    return list(csv.DictReader(out.getvalue().splitlines()))


def same(a: list[dict[str, str]], b: list[dict[str, str]], rel: float) -> None:
    """Alike to ``rel``, temperatures in kelvin; the support, which lies from 0 to 1, to the same of
    its range; the ends of a band to the same of their distance from its middle, as they are worked
    out from there, and may come near 0 K."""
    assert len(a) == len(b)
    for one, other in zip(a, b, strict=True):
        assert list(one) == list(other)
        for key, value in one.items():
            if value == "" or other[key] == "":
                assert value == other[key], key
            else:
                zero = 273.15 if "_c" in key else 0.0
                middle = other[re.sub("_(low|high)$", "", key)]
                band = abs(float(middle) - float(other[key])) if middle else 0.0
                far = max(20.0, band) * rel
                bound = pytest.approx(zero + float(other[key]), rel=rel, abs=far)
                assert zero + float(value) == bound, key


@settings(max_examples=25, deadline=None)
@given(several, st.randoms())
def test_column_order_never_matters(glasses: list[dict[str, float]], random) -> None:  # type: ignore[no-untyped-def]
    columns = sorted({o for g in glasses for o in g})
    shuffled = list(columns)
    random.shuffle(shuffled)
    assert answer(table(glasses)) == answer(table(glasses, shuffled))


@settings(max_examples=25, deadline=None)
@given(several, st.floats(1e-6, 1e6), st.sampled_from(["mol", "wt"]))
def test_the_total_of_a_row_never_matters(
    glasses: list[dict[str, float]], scale: float, basis: str
) -> None:
    same(answer(table(glasses), basis), answer(table(glasses, scale=scale), basis), 1e-5)


@settings(max_examples=25, deadline=None)
@given(several)
def test_the_other_rows_never_matter(glasses: list[dict[str, float]]) -> None:
    alone = [row for g in glasses for row in answer(table([g]))]
    same(answer(table(glasses)), alone, 1e-5)
    same(answer(table(glasses[::-1]))[::-1], alone, 1e-5)


@settings(max_examples=25, deadline=None)
@given(several)
def test_weights_and_moles_agree(glasses: list[dict[str, float]]) -> None:
    """Converted with molmass, whose atomic weights differ from ours by up to 3e-4."""
    by_weight = [{o: v * MASS[o] for o, v in g.items()} for g in glasses]
    same(answer(table(glasses)), answer(table(by_weight), "wt"), 1e-3)


@settings(max_examples=15, deadline=None)
@given(glass, st.sampled_from([("FeO", "Fe2O3", 0.5), ("MnO2", "MnO", 1.0), ("Cu2O", "CuO", 2.0)]))
def test_other_states_count_as_ours_beside_it(
    parts: dict[str, float], state: tuple[str, str, float]
) -> None:
    """Both states in one table add up: analysts print FeO and Fe2O3 side by side."""
    written, counted, per = state
    together = {**parts, counted: parts.get(counted, 0.0) + 4.0 * per}
    apart = {**parts, written: 4.0}
    same(answer(table([apart])), answer(table([together])), 1e-5)
    mass = float(molmass.Formula(written).mass)
    ratio = per * MASS[counted] / mass
    together[counted] = parts.get(counted, 0.0) + 4.0 * ratio
    same(answer(table([apart]), "wt"), answer(table([together]), "wt"), 1e-3)


def test_bands_hold_their_middle_and_all_is_in_range() -> None:
    glasses = [{"SiO2": 60.0, "Na2O": 20.0, o: 10.0} for o in OXIDES if o not in ("SiO2", "Na2O")]
    for row in answer(table(glasses)):
        for band in ("expansion", "glass_transition_c", "youngs_modulus_gpa"):
            low, middle, high = (float(row[band + end]) for end in ("_low", "", "_high"))
            assert low < middle < high
        assert float(row["seals_c"]) < float(row["matures_c"]) < float(row["runs_c"])
        assert 0.0 <= float(row["support"]) <= 1.0


def test_the_written_table_is_the_shown_table(cofire) -> None:  # type: ignore[no-untyped-def]
    path = cofire.write(
        "t.csv", b'\xef\xbb\xbfname,Na2O,SiO2\r\n"a, b",20,70\r\n' + "ü,20,60\r\n".encode()
    )
    shown = cofire("predict", path, "--basis", "mol")
    assert cofire("predict", path, "--basis", "mol", "--out", "o.csv").code == 0
    assert (cofire.folder / "o.csv").read_text("utf-8") == shown.out
    assert [r["name"] for r in csv.DictReader(shown.out.splitlines())] == ["a, b", "ü"]


def test_viscosity_is_that_of_its_own_row(cofire) -> None:  # type: ignore[no-untyped-def]
    """At its own isokoms a glass has the viscosity they are named for: 1e6, 1e4 and 10^2.5 Pa·s."""
    first = cofire("predict", cofire.write("t.csv", "SiO2,Na2O,CaO\n74,16,10\n"), "--basis", "mol")
    row = next(csv.DictReader(first.out.splitlines()))
    lines = [f"74,16,10,{row[k]}" for k in ("seals_c", "matures_c", "runs_c")]
    path = cofire.write("u.csv", "\n".join(["SiO2,Na2O,CaO,temperature_c", *lines]) + "\n")
    hot = list(csv.DictReader(cofire("predict", path, "--basis", "mol").out.splitlines()))
    assert [float(r["log10_viscosity"]) for r in hot] == pytest.approx([6.0, 4.0, 2.5], abs=0.01)
    for r in hot:
        low, high = float(r["log10_viscosity_low"]), float(r["log10_viscosity_high"])
        assert low < float(r["log10_viscosity"]) < high


def test_blank_lines_at_the_end_are_no_rows(cofire) -> None:  # type: ignore[no-untyped-def]
    cofire.write("t.csv", "name,SiO2,Na2O\na,70,30\n\n\n")
    assert len(cofire("predict", "t.csv", "--basis", "mol").out.splitlines()) == 2
