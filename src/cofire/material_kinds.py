"""What a material does in a recipe besides its oxides: suspend a slurry, gel, dissolve, colour."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from cofire.chem.formulas import atoms
from cofire.records import Material, Recipe

#: Words by which materials are known; common practice, no source.
_GELS = ("bentonite", "hectorite", "montmorillonite", "smectite")
_CLAYS = ("kaolin", "clay", *_GELS)
_BORATES = ("natural borate", "borate replacement", "colemanite", "ulexite", "probertite",
            "hydroboracite", "inyoite")  # fmt: skip
#: Oxides that colour, cloud or shine: a material that is mostly one of them is there for that.
COLOURS = ("TiO2", "ZrO2", "SnO2", "Fe2O3", "MnO", "CuO", "CoO", "Bi2O3", "NiO", "Cr2O3", "V2O5",
           "Ag", "Au", "CeO2", "Sb2O3", "MoO3", "CdO")  # fmt: skip
_MOSTLY = 30.0
#: Materials that differ by less than this in every oxide, wt % of the fired, are equal; our choice.
_TWIN = 4.0
#: More of a gel than this turns a slurry to jelly, per cent of the base; common practice, no
#: source.
MOST_GEL = 3.0
#: Clay that keeps a slurry up, per cent of the base, and how many times clay a gel counts: 2 % of
#: bentonite are added where 10 % of kaolin would do; common practice, no source.
_CLAY_PERCENT, _GEL_COUNTS = 8.0, 5.0


def _called(material: Material, words: tuple[str, ...]) -> bool:
    names = " ".join((material.id, *material.names)).lower().replace("-", " ")
    return any(w in names for w in words) and "calcined" not in names and "frit" not in names


def is_gel(material: Material) -> bool:
    """Whether a few per cent of it turn a slurry to jelly."""
    return _called(material, _GELS)


def is_clay(material: Material) -> bool:
    """Whether it is a raw clay, gels among them."""
    return _called(material, _CLAYS)


def is_borate(material: Material) -> bool:
    """Whether it is a borate that swells in the bucket and gels there."""
    return _called(material, _BORATES)


def is_soluble(material: Material) -> bool:
    """Whether it goes into the water of the bucket."""
    return material.dissolves == "yes"


def is_colour(material: Material) -> bool:
    """Whether it is in a recipe for its colour, opacity or metal."""
    fired = max(100.0 - material.loi_percent, 1.0)
    share = sum(material.oxides_wt_percent.get(o, 0.0) for o in COLOURS)
    return 100.0 * share / fired > _MOSTLY


def is_twin(one: Material, other: Material) -> bool:
    """Whether exchanging them makes the same glaze."""
    a, b = (m.oxides_wt_percent for m in (one, other))
    all_a, all_b = (max(sum(wt.values()), 1e-9) / 100.0 for wt in (a, b))
    return all(abs(a.get(o, 0.0) / all_a - b.get(o, 0.0) / all_b) < _TWIN for o in {*a, *b})


@dataclass(frozen=True)
class GrainSize:
    """``d50_um``: half of its weight is finer; ``sd_ln`` is the doubt of its logarithm."""

    d50_um: float
    sd_ln: float
    source: str


#: A sieve of n meshes to the inch lets through 15000/n µm (ASTM E11: 75 µm at 200, 45 at 325), and
#: what was milled to pass it centres near a quarter of that; from memory of curves of flint.
_OPENING_UM, _OF_OPENING = 15000.0, 0.25
#: Rock is milled to pass about 325 mesh; clays and precipitates are finer, as is what gives off gas
#: and falls apart (common practice, no source).
_MILLED_UM, _FINE_UM = 12.0, 2.0
#: Rock: so much silica or alumina, and no more than so much LOI (wt %); our choice.
_ROCK_WT, _ROCK_LOI = 40.0, 3.0
#: Doubt of ln d50 of a measured size, of a sieve and of no word at all; our choice.
_MEASURED_SD, _SIEVED_SD, _UNKNOWN_SD = 0.1, 0.25, 0.5


def grain_size(material: Material) -> GrainSize:
    """How coarse a material is: as its file says, or usually is."""
    if material.d50_um is not None:
        return GrainSize(material.d50_um, _MEASURED_SD, "its file")
    if (mesh := material.sieve_mesh) is not None:
        return GrainSize(_OF_OPENING * _OPENING_UM / mesh, _SIEVED_SD, f"its {mesh:g} mesh sieve")
    wt = material.oxides_wt_percent
    rock = max(wt.get("SiO2", 0.0), wt.get("Al2O3", 0.0)) >= _ROCK_WT
    milled = rock and material.loi_percent <= _ROCK_LOI
    usual = "milled rock" if milled else "clays and chemicals"
    return GrainSize(_MILLED_UM if milled else _FINE_UM, _UNKNOWN_SD, f"usual for {usual}")


def shrinks_late(material: Material) -> bool:
    """Whether it is a light carbonate of magnesium, whose coat shrinks and lifts."""
    magnesia = material.oxides_wt_percent.get("MgO", 0.0)
    return magnesia > 35.0 and material.loi_percent > 40.0


def outlasts(material: Material) -> str:
    """What of it may still be there after a low firing, though it counts as gone: “sulfate”,
    “sulfide”, “carbide” or “salt”; empty for what gives off its gases, or has no formula.

    Sulfates of alkalis, alkaline earths and lead hold beyond 1000 °C, those of other metals part by
    850 °C; sulfides, carbides and table salt leave slowly (from memory of handbooks).
    """
    found = atoms(material.formula) if material.formula else {}
    if "S" in found:
        lasting = {"Na", "K", "Li", "Mg", "Ca", "Sr", "Ba", "Pb"} & set(found)
        return "sulfide" if "O" not in found else "sulfate" if lasting else ""
    if "C" in found and "O" not in found and "H" not in found:
        return "carbide"
    return "salt" if "Cl" in found and {"Na", "K", "Li"} & set(found) else ""


def keeps_up(material: Material) -> float:
    """Parts of clay that a part of it is worth for suspending a slurry."""
    return _GEL_COUNTS if is_gel(material) else float(is_clay(material) or is_borate(material))


def percent_of(recipe: Recipe, such: Callable[[Material], float]) -> float:
    """Share of the materials for which ``such`` holds, per cent of the base."""
    return sum(recipe.percent(p) * such(p.material) for p in recipe.parts)


def settles(recipe: Recipe) -> bool:
    """Whether its slurry settles hard."""
    return percent_of(recipe, keeps_up) < _CLAY_PERCENT


def bentonite_missing(recipe: Recipe) -> float:
    """Bentonite that suspends the slurry, per cent of the base, in halves; never enough to gel
    it."""
    missing = (_CLAY_PERCENT - percent_of(recipe, keeps_up)) / _GEL_COUNTS
    return max(math.ceil(2.0 * missing - 1e-9) / 2.0, 0.0)
