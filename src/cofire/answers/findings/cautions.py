"""Cautions of the materials used and of the planned work."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from cofire.files.library import Library
from cofire.findings import Finding
from cofire.records import Firing, Recipe

#: Surfaces that no calculator and no potter should serve food from without a laboratory's word.
_POROUS_OR_METALLIC = ("crackle", "lustre", "dry matte")


def material_cautions(library: Library, recipes: Iterable[Recipe]) -> list[Finding]:
    """One finding per caution, naming all materials that bring it."""
    bearers: dict[str, dict[str, str]] = {}  # of each caution: names by ids
    surfaces = set()
    for recipe in recipes:
        surfaces.add(recipe.surface)
        for part in recipe.parts:
            if part.amount > 0.0:
                for code in part.material.cautions:
                    bearers.setdefault(code, {})[part.material.id] = part.material.name
    findings = [
        _finding(library, code, ", ".join(dict.fromkeys(names.values())), tuple(names))
        for code, names in bearers.items()
    ]
    if surfaces & set(_POROUS_OR_METALLIC) and "not-for-food" in library.cautions:
        findings.append(_finding(library, "not-for-food", "crackle, lustre and dry surfaces"))
    elif "leach-test" in library.cautions:
        findings.append(_finding(library, "leach-test", "any glaze"))
    return findings


def pull_cautions(library: Library) -> list[Finding]:
    """Cautions of pulling and smoking."""
    acts = {
        "raku-pull": "pulling red-hot pots", "fire": "kiln and bins", "burns": "first aid",
        "reduction-smoke": "smoke bin",
    }  # fmt: skip
    return [_finding(library, code, act) for code, act in acts.items() if code in library.cautions]


def lustre_cautions(library: Library, process: str, pulled: bool) -> list[Finding]:
    """Cautions of reducing a lustre, or of firing a resinate."""
    acts = {"reduction-smoke": "reducing", "fire": "kiln and bins", "burns": "first aid"}
    if process == "resinate":
        acts = {"resinate-fume": "resinates", "burns": "first aid"}
    if process == "paste":
        acts["mercury-in-old-pastes"] = "lustre pastes"
    if pulled:
        acts["raku-pull"] = "pulling red-hot pots"
    return [_finding(library, code, act) for code, act in acts.items() if code in library.cautions]


def firing_cautions(library: Library, firing: Firing) -> list[Finding]:
    """Cautions of firing and pulling."""
    gas = firing.kiln.fuel == "gas"
    acts = {"kiln-gas": "gas kiln"} if gas else {"kiln-electric": "electric kiln"}
    acts["fibre-dust"] = "kiln lining"
    findings = [
        _finding(library, code, act) for code, act in acts.items() if code in library.cautions
    ]
    return [*pull_cautions(library), *findings] if firing.pulls else findings


def kiln_cautions(library: Library, recipes: Iterable[Recipe]) -> list[Finding]:
    """What these materials do at the kiln; nothing about their powder."""
    found = []
    for one in material_cautions(library, recipes):
        caution = library.cautions[one.code]
        if caution.happens_at_kiln:
            at_kiln = caution.at_kiln or caution.text
            found.append(replace(one, message=at_kiln, act="firing"))
    return found


def _finding(library: Library, code: str, subject: str, materials: tuple[str, ...] = ()) -> Finding:
    caution = library.cautions[code]
    return Finding(
        code,
        caution.severity,
        caution.whole,
        caution.source,
        subject,
        short=caution.called,
        act=caution.act[0],
        materials=materials,
    )
