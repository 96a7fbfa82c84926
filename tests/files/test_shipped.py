"""The shipped materials, recipes, bodies and firings, as a whole."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from cofire.files.library import Library
from cofire.names import plain

PUBLISHED = Path(__file__).parents[1] / "published"
LIBRARY = Library()
MATERIALS = LIBRARY.materials


def test_there_are_enough_of_them() -> None:
    assert len(MATERIALS) >= 130
    assert len(list(LIBRARY.files("recipes"))) >= 12


@pytest.mark.parametrize(
    "name",
    """potash feldspar|soda feldspar|nepheline syenite|spodumene|petalite|lepidolite|kaolin
    ball clay|bentonite|red earthenware clay|silica|alumina hydrate|whiting|dolomite|talc
    wollastonite|magnesium carbonate|strontium carbonate|barium carbonate|bone ash|zinc oxide
    natural borate|colemanite|ulexite|borax|boric acid|soda ash|pearl ash|tin oxide|zircon|titania
    rutile|copper carbonate|black copper oxide|red copper oxide|cobalt carbonate|red iron oxide
    manganese dioxide|chrome oxide|silver nitrate|silver carbonate|bismuth subnitrate
    bismuth oxide|manganese chloride|cobalt chloride|iron chloride|tin chloride|cryolite|fluorspar
    """.replace("\n", "|").split("|"),
)
def test_what_a_low_fire_studio_asks_for_has_a_name(name: str) -> None:
    if name.strip():
        material, _ = LIBRARY.material(name.strip())
        assert material.oxides_wt_percent


@pytest.mark.parametrize("material", MATERIALS.values(), ids=lambda m: m.id)
def test_every_material_is_sourced_and_adds_up(material) -> None:  # type: ignore[no-untyped-def]
    assert material.source.strip()
    oxides = material.oxides_wt_percent
    # fluorine stands in the place of oxygen: 15.999 / (2 × 18.998) of its weight, which analysts
    # subtract as “O for F”
    total = sum(oxides.values()) - 0.42106 * oxides.get("F", 0.0) + material.loi_percent
    assert 97.5 <= total <= 102.0
    if material.formula:
        assert total == pytest.approx(100.0, abs=1e-3)
    assert material.cautions or material.dissolves == "no"
    assert all(code in LIBRARY.cautions for code in material.cautions)


def test_no_shared_name_is_somebody_elses_id() -> None:
    """Else an id could silently mean another material than the one that carries the name."""
    for material in MATERIALS.values():
        for name in material.names:
            other = MATERIALS.get(plain(name).replace(" ", "-"))
            assert other is None or other is material or plain(name) in map(plain, other.names)


def test_what_dissolves_says_so() -> None:
    """Solubility: CRC Handbook, Physical Constants of Inorganic Compounds (s, vs, sl s)."""
    for name in ("borax", "boric acid", "soda ash", "pearl ash", "silver nitrate", "nitre",
                 "copper sulfate", "cobalt chloride", "iron chloride"):  # fmt: skip
        assert LIBRARY.material(name)[0].dissolves == "yes", name
    for name in ("whiting", "silica", "kaolin", "strontium carbonate", "zircon"):
        assert LIBRARY.material(name)[0].dissolves == "no", name


def test_what_is_poisonous_says_so() -> None:
    """Classified as harmful under the GHS (supplier's safety data sheets decide)."""
    for name, code in {
        "lead bisilicate": "lead", "barium carbonate": "barium", "manganese dioxide": "manganese",
        "silica": "silica-dust", "borax": "borate", "chrome oxide": "chromium",
        "cobalt carbonate": "cobalt", "copper carbonate": "copper", "silver nitrate": "silver-salt",
        "vanadium pentoxide": "vanadium", "iron chloride": "chloride-fume",
    }.items():  # fmt: skip
        assert code in LIBRARY.material(name)[0].cautions, name


def test_talcs_differ_and_natural_borate_is_not_colemanite() -> None:
    """Two talcs on sale differ by 13 % silica; the natural ore holds half the boron of the
    mineral (analyses: see the sources in materials/)."""
    talc, others = LIBRARY.material("talc")
    silica = [m.oxides_wt_percent["SiO2"] for m in (talc, *others)]
    assert max(silica) - min(silica) > 13.0
    ore, mineral = (LIBRARY.material(n)[0] for n in ("natural borate", "colemanite"))
    assert ore.oxides_wt_percent["B2O3"] < 0.6 * mineral.oxides_wt_percent["B2O3"]


def test_firings_named_after_cones_end_where_the_published_table_says() -> None:
    """Orton self-supporting cones at 60 °C/h: Orton temperature equivalent chart."""
    text = (PUBLISHED / "orton_cones.csv").read_text("utf-8")
    table = csv.DictReader(li for li in text.splitlines() if not li.startswith("#"))
    end_c = {r["cone"]: float(r["self_supporting_60_c_per_h"]) for r in table}
    for cone in ("04", "06"):
        firing = LIBRARY.firing(f"earthenware-cone-{cone}")
        assert firing.peak_c == pytest.approx(end_c[cone], abs=1.0)
        assert firing.segments[-1].rate_c_per_h == 60.0


@pytest.mark.parametrize("path", [p for p, _ in LIBRARY.files("recipes")], ids=lambda p: p.stem)
def test_every_demo_recipe_reads_and_belongs_to_the_demo_studio(path: Path) -> None:
    recipe = LIBRARY.recipe(path)
    assert recipe.base
    assert recipe.notes


def test_no_shipped_analysis_holds_what_a_school_refuses_without_saying_so() -> None:
    bans = {"PbO": "lead", "BaO": "barium", "CdO": "cadmium"}
    for material in LIBRARY.materials.values():
        for oxide, code in bans.items():
            if material.oxides_wt_percent.get(oxide, 0.0) > 0.5:
                assert code in material.cautions or material.id == "barium-sulfate", material.id


def test_an_own_analysis_of_a_poison_stays_a_poison(cofire) -> None:  # type: ignore[no-untyped-def]
    """Who writes their own analysis of a shipped salt does not make it harmless or insoluble."""
    cofire.write("studio.toml", "")
    cofire.write(
        "materials/mine.toml",
        '[copper-sulfate]\nnames = ["copper sulfate"]\noverrides = true\n'
        'analysis = { CuO = 31.9 }\nloi = 68.1\nsource = "own"\n',
    )
    folder = cofire.write("recipes/x.txt", "").parents[1]
    own = Library.open(folder).materials["copper-sulfate"]
    shipped = MATERIALS["copper-sulfate"]
    assert own.own and own.oxides_wt_percent == {"CuO": 31.9}
    assert set(shipped.cautions) <= set(own.cautions)
    assert own.dissolves == shipped.dissolves == "yes"
