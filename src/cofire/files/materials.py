"""Materials and cautions: TOML tables -> records, each analysis checked against itself."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Any, cast

from cofire.chem.composition import oxides_from_atoms, solid_mass
from cofire.chem.formulas import atoms
from cofire.chem.oxides import INDEX, named, vector
from cofire.errors import CofireError, Place, Problems, QuantityError, did_you_mean, refusal
from cofire.files.toml import Document, Table
from cofire.findings import SEVERITIES
from cofire.names import flaw
from cofire.read.units import millimetres, temperature_c
from cofire.records import GHS, SIGNS, Caution, Dissolves, Material

#: Oxides plus LOI of a careful analysis add up to 100 within its rounding and minor elements;
#: common practice, no source.
TOTAL_RANGE = (97.5, 102.0)
#: An analysis may differ this much (wt %) from its formula, for real minerals.
FORMULA_TOLERANCE = 1.0
#: Sizes of grains that a glaze material can have, µm and meshes to the inch; our choice.
_D50_UM, _MESH = (0.05, 500.0), (20, 1250)

#: What an oxide brings with it whatever the material is called, above this many wt %; common
#: practice, no source.
_BRINGS = {
    "PbO": "lead", "BaO": "barium", "CdO": "cadmium", "MnO": "manganese", "Cr2O3": "chromium",
    "V2O5": "vanadium", "NiO": "nickel", "Sb2O3": "antimony", "CoO": "cobalt", "CuO": "copper",
    "Ag": "silver-salt", "Li2O": "lithium", "F": "fluoride-fume", "MoO3": "molybdenum",
}  # fmt: skip
_BRINGS_ABOVE_WT = 0.5
#: A salt that dissolves at all, with this much fluorine (wt %), is taken for a poison; our choice,
#: after sodium silicofluoride (61 %) and lithium fluoride (73 %).
_POISON_ABOVE_WT = 30.0


def cautions_of(
    oxides: dict[str, float], dissolves: str, stated: Iterable[str] = (), *, glass: bool = False
) -> tuple[str, ...]:
    """The cautions ``said``, and those that an analysis (wt %) calls for and that are missing.

    Any silica that is not ``glass`` may hold quartz, so a material with silica is taken to; glass
    has its own dust caution.
    """
    codes = list(stated)
    if oxides.get("SiO2", 0.0) > _BRINGS_ABOVE_WT and "glass-dust" not in codes:
        codes.append("glass-dust" if glass else "silica-dust")
    brought = {c for oxide, c in _BRINGS.items() if oxides.get(oxide, 0.0) > _BRINGS_ABOVE_WT}
    codes += [code for code in _BRINGS.values() if code in brought]
    codes += ["barium-leach"] * ("barium" in brought)
    if dissolves != "no":
        codes += ["fluoride-poison"] * (oxides.get("F", 0.0) > _POISON_ABOVE_WT and not glass)
        if oxides.get("B2O3", 0.0) > _BRINGS_ABOVE_WT and not glass:
            codes.append("borate" if dissolves == "yes" else "borate-mineral")
    if dissolves == "yes":
        codes += ["chromium-vi"] * ("chromium" in brought)
        codes += ["soluble"] * ("soluble-caustic" not in codes)
    # in glass and in rock lithium is bound: no salt that poisons
    rock = dissolves == "no" and oxides.get("SiO2", 0.0) > _BRINGS_ABOVE_WT
    bound = {"lithium"} if rock or (glass and dissolves != "yes") else set()
    return tuple(c for c in dict.fromkeys(codes) if c not in bound or c in stated)


def read_materials(doc: Document, *, own: bool) -> list[Material]:
    """All materials of one file, or Problems with every error in it."""
    materials: list[Material] = []
    errors: list[CofireError] = []
    for key, data in doc.data.items():
        try:
            materials.append(_material(doc, key, data, own=own))
        except CofireError as error:
            errors.append(error)
    if errors:
        raise Problems(errors) if len(errors) > 1 else errors[0]
    return materials


def _material(doc: Document, key: str, data: Any, *, own: bool) -> Material:
    what = f"material “{key}”"
    if wrong := flaw(key):
        raise doc.refuse("bad-name", key, name=key, wrong=wrong)
    table = Table(doc, data, key, what=what)
    names = table.names("names")
    if not names:
        raise table.refuse("material-without-name", "names")
    formula = table.get("formula")
    analysis = table.get("analysis")
    if formula is None and analysis is None:
        raise table.refuse("no-formula-no-analysis")
    from_formula = _from_formula(table, formula) if formula is not None else None
    if analysis is not None:
        oxides = _oxide_table(table, "analysis", analysis)
        loi = table.number("loi")
        if not -60.0 <= loi <= 100.0:
            raise table.refuse("impossible-loi", "loi", loi=loi)
        problem = contradiction(oxides, loi)
        if problem:
            raise table.refuse("analysis-contradicts-itself", "analysis", problem=problem)
        if from_formula:
            _compare(table, oxides, loi, *from_formula)
    elif from_formula:
        oxides, loi = from_formula
    melts_c = _melts(table)
    known = not own or table.get("melts") is not None
    dissolves = cast("Dissolves", table.choice("dissolves", ("no", "slightly", "yes"), "no"))
    cautions = table.names("cautions", ())
    if own:  # the shipped ones are gone over one by one
        cautions = cautions_of(oxides, dissolves, cautions, glass=melts_c == float("-inf"))
    d50_um, sieve_mesh = _grain_size(table)
    record = Material(
        id=key,
        names=names,
        oxides_wt_percent=oxides,
        loi_percent=loi,
        source=table.text("source"),
        formula=formula,
        spread_wt_percent=_oxide_table(table, "spread", table.get("spread", {})),
        melts_c=melts_c,
        melting="stated" if known else "unknown",
        grain=table.text("grain", ""),
        d50_um=d50_um,
        sieve_mesh=sieve_mesh,
        dissolves=dissolves,
        cautions=cautions,
        note=table.text("note", ""),
        supplier=table.text("supplier", ""),
        date=table.text("date", ""),
        default_for=table.names("default_for", ()),
        rare=table.flag("rare"),
        place=Place(doc.path),
        own=own,
    )
    if not own and table.get("overrides", False):
        raise table.refuse("shipped-overrides", "overrides")
    table.get("overrides")
    table.finish()
    return record


def _melts(table: Table) -> float:
    raw = table.text("melts", "never")
    if raw in ("never", "glass"):
        return float("-inf") if raw == "glass" else float("inf")
    try:
        return temperature_c(raw)
    except QuantityError as error:
        raise table.fail(
            f"“melts”: {error.message}",
            "melts",
            hint="Write “743 C”, “glass” for a frit, or “never”.",
        ) from None


def _grain_size(table: Table) -> tuple[float | None, float | None]:
    """Middle size of grains, µm, and meshes of the sieve to the inch, as far as the file says."""
    d50, sieve = table.get("d50"), table.get("sieve")
    if d50 is not None and sieve is not None:
        raise table.refuse("grain-size", "sieve", raw=sieve)
    if d50 is not None:
        um = 1000.0 * table.quantity("d50", millimetres, d50)
        if not _D50_UM[0] <= um <= _D50_UM[1]:
            raise table.refuse("grain-size", "d50", raw=d50)
        return um, None
    if sieve is None:
        return None, None
    found = re.fullmatch(r"([0-9]{2,4}) *mesh", table.text("sieve").strip())
    if found is None or not _MESH[0] <= int(found[1]) <= _MESH[1]:
        raise table.refuse("grain-size", "sieve", raw=sieve)
    return None, float(found[1])


def _from_formula(table: Table, formula: object) -> tuple[dict[str, float], float]:
    if not isinstance(formula, str):
        raise table.refuse("formula-not-in-quotes", "formula")
    try:
        wt, loi = oxides_from_atoms(atoms(formula))
    except KeyError as unknown:
        raise table.refuse(
            "unknown-element-in-formula", "formula", formula=formula, element=unknown.args[0]
        ) from None
    except ValueError as problem:
        raise table.refuse(
            "unreadable-formula", "formula", formula=formula, problem=problem
        ) from None
    if not named(wt):
        raise table.refuse("nothing-after-firing", "formula", formula=formula)
    return named(wt), loi


def _oxide_table(table: Table, key: str, data: object) -> dict[str, float]:
    if not isinstance(data, dict):
        raise table.refuse("no-table-of-oxides", key)
    out: dict[str, float] = {}
    for oxide, value in data.items():
        if oxide not in INDEX:
            raise table.refuse(
                "no-oxide-in-table",
                key,
                oxide=oxide,
                hint=did_you_mean(oxide, INDEX) or "Volatile ones belong to the loi.",
            )
        amount = table.check_number(value, key, f"{oxide} in “{key}”")
        if not 0.0 <= amount <= 200.0:
            raise table.refuse("impossible-share", key, oxide=oxide, amount=amount)
        out[oxide] = amount
    return out


def contradiction(oxides: dict[str, float], loi: float) -> str:
    """Why oxides (wt %) and LOI (wt %) cannot both be true, or an empty string."""
    total = float(solid_mass(vector(oxides))) + loi
    if TOTAL_RANGE[0] <= total <= TOTAL_RANGE[1]:
        return ""
    text = f"oxides and loss on ignition add up to {total:.1f} % instead of 100 %"
    without = total - loi
    if abs(without - 100.0) < 1.5 and loi > 2.0:
        return text + "; the oxides look like those of the fired material (loi = 0)."
    return text + "."


def _compare(
    table: Table, oxides: dict[str, float], loi: float, ideal: dict[str, float], ideal_loi: float
) -> None:
    gap = vector(oxides) - vector(ideal)
    worst = max(INDEX, key=lambda o: abs(gap[INDEX[o]]))
    if max(abs(gap[INDEX[worst]]), abs(loi - ideal_loi)) > FORMULA_TOLERANCE:
        raise table.refuse(
            "analysis-against-formula",
            "analysis",
            worst=worst,
            analysed=oxides.get(worst, 0),
            by_formula=ideal.get(worst, 0),
            loi=loi,
            ideal_loi=ideal_loi,
        )


def read_cautions(doc: Document) -> list[Caution]:
    """The cautions that materials and acts refer to by code."""
    result = []
    for key, data in doc.data.items():
        table = Table(doc, data, key, what=f"caution “{key}”")
        severity = table.choice("severity", SEVERITIES)
        result.append(
            Caution(
                code=key,
                severity=severity,  # type: ignore[arg-type]
                act=table.names("act"),
                text=table.text("text"),
                source=table.text("source"),
                place=doc.path,
                ghs=_known(table, "ghs", GHS),
                hazards=table.names("hazards", ()),
                unsettled=table.names("unsettled", ()),
                signs=_known(table, "signs", SIGNS),
                at_kiln=table.text("at_kiln", ""),
                short=table.text("short", ""),
            )
        )
        table.finish()
    return result


def _known(table: Table, key: str, known: tuple[str, ...]) -> tuple[str, ...]:
    names = table.names(key, ())
    for name in names:
        if name not in known:
            hint = did_you_mean(name, known) or f"Known: {', '.join(known)}."
            raise table.refuse("no-such-pictogram", key, called=name, hint=hint)
    return names


def require_codes(materials: list[Material], codes: set[str]) -> None:
    """DataFileError for the first material that names an unknown caution."""
    for material in materials:
        for code in material.cautions:
            if code not in codes:
                raise refusal(
                    "no-such-caution",
                    material.place,
                    id=material.id,
                    code=code,
                    hint=did_you_mean(code, codes),
                )
