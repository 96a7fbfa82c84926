"""The shipped materials as a table, against mineral handbooks and a second chemistry library."""

from __future__ import annotations

import csv
import re
import tomllib
from collections import Counter
from pathlib import Path
from statistics import median
from typing import Any

import molmass
import pytest

from cofire.files.library import Library
from cofire.files.places import shipped
from cofire.names import plain
from cofire.records import Material

PUBLISHED = Path(__file__).parents[1] / "published"
LIBRARY = Library(None)
MATERIALS = LIBRARY.materials
WITH_FORMULA = [m for m in MATERIALS.values() if m.formula]
WRITTEN: list[tuple[str, dict[str, Any]]] = [
    pair
    for path in sorted(shipped("materials").glob("*.toml"))
    for pair in tomllib.loads(path.read_text("utf-8")).items()
]

#: What becomes of each element in an oxidising fire, written down anew: the oxide it ends as.
ENDS_AS = {
    "Si": "SiO2", "B": "B2O3", "Al": "Al2O3", "Li": "Li2O", "Na": "Na2O", "K": "K2O", "Mg": "MgO",
    "Ca": "CaO", "Sr": "SrO", "Ba": "BaO", "Zn": "ZnO", "Pb": "PbO", "Ti": "TiO2", "Zr": "ZrO2",
    "Sn": "SnO2", "P": "P2O5", "Fe": "Fe2O3", "Mn": "MnO", "Cu": "CuO", "Co": "CoO",
    "Bi": "Bi2O3", "F": "F", "Ni": "NiO", "Cr": "Cr2O3", "V": "V2O5", "Ag": "Ag", "Au": "Au",
    "Ce": "CeO2", "Sb": "Sb2O3", "Mo": "MoO3", "Cd": "CdO",
}  # fmt: skip


def published(name: str) -> list[dict[str, str]]:
    lines = (PUBLISHED / name).read_text("utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


def atoms(formula: str) -> Counter[str]:
    """Atoms of a formula such as “0.3Na2O·2SiO2”, read by molmass part by part."""
    total: Counter[str] = Counter()
    for part in formula.split("·"):
        match = re.fullmatch(r"(\d+\.\d+|\d+)?(.+)", part)
        assert match
        for symbol, item in molmass.Formula(match[2]).composition().items():
            total[symbol] += float(match[1] or 1) * item.count  # type: ignore[assignment]
    return total


def fired(component: str, grams: float) -> dict[str, float]:
    """Grams of an element, oxide or salt -> grams of the oxides it leaves."""
    held = atoms(component)
    mass = sum(n * molmass.ELEMENTS[symbol].mass for symbol, n in held.items())
    left = {}
    for symbol, n in held.items():
        if oxide := ENDS_AS.get(symbol):
            unit = molmass.Formula(oxide)
            left[oxide] = grams * n / mass * unit.mass / unit.composition()[symbol].count
    return left


def test_there_are_enough_materials_and_none_is_lost_between_file_and_library() -> None:
    assert len(MATERIALS) >= 130
    assert [key for key, _ in WRITTEN] == list(MATERIALS)


@pytest.mark.parametrize(("key", "table"), WRITTEN, ids=[key for key, _ in WRITTEN])
def test_every_material_is_named_and_sourced_in_its_file(key: str, table: dict[str, Any]) -> None:
    assert re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", key)
    assert table["names"]
    assert all(name.strip() == name != "" for name in table["names"])
    assert len({plain(name) for name in table["names"]}) == len(table["names"])
    assert table["source"].strip()
    assert ("formula" in table) != ("analysis" in table)
    if "analysis" in table:  # ideal is what a formula is; an analysis comes from somebody
        assert "theoretical" not in table["source"]


@pytest.mark.parametrize(
    ("key", "table"), [w for w in WRITTEN if "analysis" in w[1]], ids=lambda w: str(w)[:30]
)
def test_an_analysis_and_its_loss_add_up(key: str, table: dict[str, Any]) -> None:
    """A whole-rock analysis is acceptable from 98 to 102 %, wider here by 0.5 for traces that were
    not printed (common practice, no source). Fluorine stands in for oxygen: no part of it."""
    oxides = table["analysis"]
    total = sum(oxides.values()) - oxides.get("F", 0.0) + table["loi"]
    assert 97.5 <= total <= 102.0
    assert all(0.0 < amount <= 100.0 for amount in oxides.values())


def test_analyses_add_up_to_a_hundred_on_the_whole() -> None:
    """Single ones may be off by a rounding; if most were, something would be read wrongly."""
    totals = [
        sum(t["analysis"].values()) - t["analysis"].get("F", 0.0) + t["loi"]
        for _, t in WRITTEN
        if "analysis" in t
    ]
    assert median(totals) == pytest.approx(100.0, abs=0.25)
    assert median(abs(total - 100.0) for total in totals) < 0.6


MINERALS = published("minerals.csv")


@pytest.mark.published
@pytest.mark.parametrize("key", sorted({row["material"] for row in MINERALS}))
def test_ideal_minerals_are_as_printed_in_handbooks(key: str) -> None:
    """To 0.1 wt %: handbooks round to 0.01 and differ in their atomic weights."""
    material = MATERIALS[key]
    rows = [row for row in MINERALS if row["material"] == key]
    assert all(row["source"] for row in rows)
    expected: Counter[str] = Counter()
    for row in rows:
        expected.update(fired(row["component"], float(row["wt_percent"])))  # type: ignore[arg-type]
    assert set(material.oxides_wt_percent) == set(expected)
    for oxide, value in expected.items():
        assert material.oxides_wt_percent[oxide] == pytest.approx(value, abs=0.1), oxide
    volatile = [row for row in rows if row["component"] in ("H2O", "CO2", "SO3", "N2O5", "Cl")]
    if volatile:
        loss = sum(float(row["wt_percent"]) for row in volatile)
        assert material.loi_percent == pytest.approx(loss, abs=0.1)


@pytest.mark.parametrize("material", WITH_FORMULA, ids=lambda m: m.id)
def test_every_formula_agrees_with_a_second_library(material: Material) -> None:
    """molmass has its own parser and its own atomic weights (3e-4 apart at most)."""
    assert material.formula
    expected = fired(material.formula, 100.0)
    assert set(material.oxides_wt_percent) == set(expected)
    for oxide, value in expected.items():
        assert material.oxides_wt_percent[oxide] == pytest.approx(value, abs=0.04), oxide
    # each two fluorines stand in the place of one oxygen
    oxygen_for_f = molmass.Formula("O").mass / (2.0 * molmass.Formula("F").mass)
    kept = sum(expected.values()) - oxygen_for_f * expected.get("F", 0.0)
    assert material.loi_percent == pytest.approx(100.0 - kept, abs=0.05)


def test_no_name_is_the_id_of_another_material() -> None:
    """An id always wins, so such a name would silently mean another material."""
    ids = {plain(key): key for key in MATERIALS}
    taken = [
        (material.id, name, ids[plain(name)])
        for material in MATERIALS.values()
        for name in material.names
        if ids.get(plain(name), material.id) != material.id
    ]
    assert taken == []


def test_every_name_leads_somewhere() -> None:
    """A name that several carry needs exactly one of them to answer to it."""
    for material in MATERIALS.values():
        for name in (material.id, *material.names):
            meant, others = LIBRARY.material(name)
            assert material in (meant, *others), name


#: What is harmful whatever it is called. Harmonised classification under GHS / CLP Annex VI.
HARMFUL = {
    "PbO": "lead", "BaO": "barium", "MnO": "manganese", "Cr2O3": "chromium", "V2O5": "vanadium",
    "NiO": "nickel", "CoO": "cobalt", "CuO": "copper", "CdO": "cadmium", "Sb2O3": "antimony",
    "Ag": "silver-salt", "B2O3": "borate", "F": "fluoride-fume", "Li2O": "lithium",
}  # fmt: skip
#: Bound in a glass or a hard mineral, these are not the soluble salts the warning is about.
BOUND = {"B2O3", "Li2O", "BaO"}
INSOLUBLE = {"barium-sulfate", "amblygonite"}  # the barium meal is not absorbed; a hard mineral


@pytest.mark.parametrize("material", MATERIALS.values(), ids=lambda m: m.id)
def test_hazards_are_known_and_follow_from_what_is_in_it(material: Material) -> None:
    assert set(material.cautions) <= set(LIBRARY.cautions)
    assert len(set(material.cautions)) == len(material.cautions)
    glassy = material.melts_c == float("-inf")
    for oxide, code in HARMFUL.items():
        bound = oxide in BOUND and (glassy or "SiO2" in material.oxides_wt_percent)
        if material.oxides_wt_percent.get(oxide, 0.0) > 5.0 and not bound:
            assert any(c.startswith(code) for c in material.cautions) or material.id in INSOLUBLE
    if material.formula:
        held = atoms(material.formula)
        if "Cl" in held:
            assert "chloride-fume" in material.cautions
        if "S" in held:
            assert "sulfur-fume" in material.cautions
        if "N" in held:
            assert "nitrate-oxidiser" in material.cautions
    if material.dissolves == "yes":
        assert {"soluble", "soluble-caustic"} & set(material.cautions)


def test_hazards_say_what_to_do_and_who_says_so() -> None:
    used = {code for material in MATERIALS.values() for code in material.cautions}
    for code, caution in LIBRARY.cautions.items():
        assert caution.text.strip()
        assert caution.source.strip()
        assert caution.act
        if caution.act == ("mixing",):  # the others may come from a firing or a lustre
            assert code in used


@pytest.mark.published
@pytest.mark.parametrize("row", published("solubility.csv"), ids=lambda row: row["material"])
def test_what_dissolves_is_flagged(row: dict[str, str]) -> None:
    """More than 2 g in 100 g of water is lost with the water poured off a slurry; less than
    2 mg is not. In between either word will do (our bounds)."""
    said = MATERIALS[row["material"]].dissolves
    grams = float(row["g_per_100_g_water"])
    if grams > 2.0:
        assert said == "yes"
    elif grams > 0.05:
        assert said == "slightly"
    elif grams < 0.002:
        assert said == "no"


#: Where a material is dug or sold from is no brand; neither is the person a salt is named for.
PROPER = {
    "American", "British", "Canadian", "Cascade", "Chile", "Chinese", "Cornish", "Cornwall",
    "Czech", "English", "Georgia", "Indian", "Norwegian", "Range",
}  # fmt: skip


def test_no_material_is_called_by_a_makers_brand() -> None:
    """Brands are written with a capital or a code; a number stands only before “type”, a year
    or an export grade."""
    for material in MATERIALS.values():
        for name in material.names:
            assert not re.search(r"[®™©]|\b(inc|ltd|gmbh|co)\b", name, re.IGNORECASE), name
            for word in re.findall(r"[A-Za-z]*[A-Z][A-Za-z]*", name):
                assert word in PROPER, name
            for match in re.finditer(r"\d+", name):
                rest = name[match.end() :]
                before = name[: match.start()]
                usual = re.match(r"s\b| type\b|$", rest) and (
                    rest.startswith(" type")
                    or re.fullmatch(r"(18|19|20)\d\ds?", match[0] + rest)
                    or before.endswith("grade ")
                )
                assert usual, name
