"""Cautions of a sheet and of the day, and materials that a school must not mix."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from cofire.answers.batch.records import Brought, Method
from cofire.answers.findings.cautions import firing_cautions, material_cautions
from cofire.answers.findings.texts import finding
from cofire.errors import CofireError, Problems, refusal
from cofire.files.library import Library
from cofire.findings import SEVERITIES, Finding
from cofire.material_kinds import is_soluble
from cofire.records import Caution, Firing, Material, Recipe

#: Nothing with these goes into a class; our choice, after common practice (lead: FDA guidance of
#: 2010; cadmium: OSHA 29 CFR 1910.1027; barium: see its caution).
NOT_IN_SCHOOL = frozenset(("lead", "cadmium", "barium"))
#: Metals that go through skin and mouth once their salts are dissolved; common practice.
_TOXIC_DISSOLVED = frozenset(
    ("copper", "cobalt", "manganese", "chromium", "nickel", "vanadium", "antimony", "silver-salt")
)
#: What only the teacher weighs: metal oxides and carbonates, what burns skin, and what gives off
#: acid fume; our choice, after common practice.
TEACHER_ONLY = _TOXIC_DISSOLVED | {
    "lithium", "soluble-caustic", "nitrate-oxidiser", "chloride-fume", "fluoride-fume",
    "asbestos-talc",
} | NOT_IN_SCHOOL  # fmt: skip


def sheet_cautions(library: Library, recipe: Recipe) -> tuple[Brought, ...]:
    """Cautions of this glaze's materials, with the materials; gravest first."""
    findings = material_cautions(library, [recipe])
    listed = [(library.cautions[f.code], f.code) for f in findings]
    listed.sort(key=lambda pair: SEVERITIES.index(pair[0].severity))
    return tuple(Brought(caution, _bearers(recipe, code)) for caution, code in listed)


def _bearers(recipe: Recipe, code: str) -> tuple[str, ...]:
    used = [p.material for p in recipe.parts if p.amount > 0.0]
    return tuple(dict.fromkeys(m.name for m in used if code in m.cautions))


def pack_cautions(
    library: Library, methods: Sequence[Method], firing: Firing | None
) -> tuple[Caution, ...]:
    """Cautions of the day's work: spraying, kiln, pulling, smoke; gravest first."""
    codes = ["spray-mist"] if "spray" in methods else []
    codes += [f.code for f in firing_cautions(library, firing)] if firing else []
    cautions = [library.cautions[code] for code in dict.fromkeys(codes) if code in library.cautions]
    return tuple(sorted(cautions, key=lambda c: SEVERITIES.index(c.severity)))


def teacher_only(recipe: Recipe) -> tuple[str, ...]:
    """Materials of a recipe that pupils do not handle, as powder."""
    used = [p.material for p in recipe.parts if p.amount > 0.0]
    return tuple(dict.fromkeys(m.name for m in used if TEACHER_ONLY & set(m.cautions)))


def refuse_for_school(recipes: Iterable[Recipe], allowed: Sequence[Material]) -> None:
    """Raise CompositionError, or Problems with one for each, for recipes that a class must not mix,
    unless the material is ``allowed``."""
    named = {m.id for m in allowed}
    errors: list[CofireError] = []
    for recipe in recipes:
        for part in recipe.parts:
            material = part.material
            why = _why_not(material)
            if part.amount > 0.0 and why and material.id not in named:
                errors.append(
                    refusal(
                        "not-at-a-school",
                        part.place,
                        recipe=recipe.name,
                        material=material.name,
                        why=why,
                    )
                )
    if errors:
        raise Problems(errors) if len(errors) > 1 else errors[0]


def _why_not(material: Material) -> str:
    codes = set(material.cautions)
    if banned := sorted(NOT_IN_SCHOOL & codes):
        return f"which brings {banned[0]}"
    if is_soluble(material) and _TOXIC_DISSOLVED & codes:
        return "a poisonous salt that dissolves in water"
    return ""


def school_findings(recipe: Recipe, firing: Firing | None) -> list[Finding]:
    """Findings for schools."""
    findings = [
        finding("kept-by-name", material=part.material.name, why=why)
        for part in recipe.parts
        if part.amount > 0.0 and (why := _why_not(part.material))
    ]
    findings.append(finding("school-dust"))
    if firing and firing.pulls:
        findings.append(finding("teacher-pulls"))
    return findings
