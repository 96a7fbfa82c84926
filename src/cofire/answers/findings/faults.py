"""Faults that a recipe foretells before anything is mixed, each with its reason and cure."""

from __future__ import annotations

from collections.abc import Callable

from cofire.answers.findings.texts import finding
from cofire.files.toml import written
from cofire.findings import Finding
from cofire.material_kinds import (
    bentonite_missing,
    is_clay,
    is_soluble,
    percent_of,
    settles,
    shrinks_late,
)
from cofire.records import Material, Recipe
from cofire.words import listed

#: Per cent of the base from which a fault is foretold; common practice, no source.
_RAW_CLAY, _ZINC, _LIGHT_CARBONATE, _LATE_GAS, _CRYSTALS = 25.0, 12.0, 6.0, 15.0, 2.0
#: Losing this much in the fire (wt %) above its water makes a material one that gives off gas late.
_LATE_LOI = 30.0


def fault_findings(recipe: Recipe) -> list[Finding]:
    """Crawling, pinholes, settling, and crystals in the bucket, as far as the recipe tells."""
    findings = []
    clay = percent_of(recipe, is_clay)
    if clay > _RAW_CLAY:
        names = _names(recipe, is_clay)
        findings.append(finding("crawls-clay", recipe.name, share=clay, names=names))
    zinc = percent_of(recipe, _is_raw_zinc)
    if zinc > _ZINC:
        findings.append(finding("crawls-zinc", recipe.name, share=zinc))
    light = percent_of(recipe, shrinks_late)
    if light > _LIGHT_CARBONATE:
        names = _names(recipe, shrinks_late)
        findings.append(finding("crawls-carbonate", recipe.name, share=light, names=names))
    late = percent_of(recipe, _gives_gas_late)
    if late > _LATE_GAS:
        names = _names(recipe, _gives_gas_late)
        findings.append(finding("pinholes", recipe.name, share=late, names=names))
    if settles(recipe) and recipe.base:
        findings.append(
            finding("settles-hard", recipe.name, add=written(bentonite_missing(recipe)))
        )
    return findings


def soluble_findings(recipe: Recipe) -> list[Finding]:
    """Salts in the water of the bucket, and the crystals that they grow there."""
    salts = percent_of(recipe, is_soluble)
    if salts <= _CRYSTALS:
        return []
    return [finding("soluble", recipe.name, share=salts, names=_names(recipe, is_soluble))]


def _is_raw_zinc(material: Material) -> bool:
    pure = material.oxides_wt_percent.get("ZnO", 0.0) > 90.0
    return pure and not any("calcined" in name for name in (material.id, *material.names))


def _gives_gas_late(material: Material) -> bool:
    """Carbonates of the alkaline earths, which part above red heat while low-fire glass seals;
    that of magnesium alone parts before (from memory of handbooks)."""
    earths = sum(material.oxides_wt_percent.get(o, 0.0) for o in ("CaO", "MgO", "SrO", "BaO"))
    late = material.loi_percent > _LATE_LOI and earths > 40.0
    return late and not is_soluble(material) and not shrinks_late(material)


def _names(recipe: Recipe, such: Callable[[Material], bool]) -> str:
    named = [p.material.name for p in recipe.parts if p.amount > 0.0 and such(p.material)]
    return listed(list(dict.fromkeys(named)))
