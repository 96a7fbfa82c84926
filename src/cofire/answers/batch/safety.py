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

#: H statements, by how they begin, with what no school mixes whoever asks: acute toxicity of
#: categories 1 to 3, and what may cause cancer or harm genes, fertility or the unborn (1A and 1B),
#: lead and cadmium among them. CLP Annex I (from memory).
NEVER = {
    "H300": "toxic when swallowed", "H301": "toxic when swallowed", "H310": "toxic on skin",
    "H311": "toxic on skin", "H330": "toxic when inhaled", "H331": "toxic when inhaled",
    "H340": "harms genes", "H350": "may cause cancer",
    "H360": "harms fertility or the unborn child",
}  # fmt: skip
#: Those with what a school mixes only by name: suspected of the same (category 2), and what harms
#: organs over time.
_SUSPECTED = {
    "H341": "suspected of harming genes", "H351": "suspected of causing cancer",
    "H361": "suspected of harming fertility or the unborn child",
    "H372": "harms organs over time",
}  # fmt: skip
#: Rated high by mouth and lung, though classed as harmful only (McCann, Artist Beware, 1991).
_BY_NAME = frozenset(("barium",))
#: Metals that go through skin and mouth once their salts are dissolved; common practice.
_TOXIC_DISSOLVED = frozenset(("copper", "manganese", "chromium", "silver-salt", "corrosive-salt"))
#: What only the teacher weighs, besides what a school refuses: metal oxides and carbonates, what
#: burns skin, and what gives off acid fume; our choice, after common practice.
_TEACHER_ONLY = _TOXIC_DISSOLVED | {
    "soluble-caustic", "nitrate-oxidiser", "chloride-fume", "fluoride-fume", "asbestos-talc",
}  # fmt: skip


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
    library: Library, methods: Sequence[Method], firing: Firing | None, school: bool = False
) -> tuple[Caution, ...]:
    """Cautions of the day's work: spraying, kiln, pulling, smoke; gravest first."""
    codes = ["trained-adults"] if school and firing and firing.pulls else []
    codes += ["spray-mist"] if "spray" in methods else []
    codes += [f.code for f in firing_cautions(library, firing)] if firing else []
    cautions = [library.cautions[code] for code in dict.fromkeys(codes) if code in library.cautions]
    return tuple(sorted(cautions, key=lambda c: SEVERITIES.index(c.severity)))


def teacher_only(library: Library, recipe: Recipe) -> tuple[str, ...]:
    """Materials of a recipe that pupils do not handle, as powder."""
    used = [p.material for p in recipe.parts if p.amount > 0.0]
    kept = [m for m in used if _TEACHER_ONLY & set(m.cautions) or any(_why_not(library, m))]
    return tuple(dict.fromkeys(m.name for m in kept))


def refuse_for_school(
    library: Library, recipes: Iterable[Recipe], allowed: Sequence[Material]
) -> None:
    """Raise CompositionError, or Problems with one for each, for recipes that a class must not mix.

    ``allowed`` materials pass, unless they are acutely toxic, may cause cancer or harm genes,
    fertility or the unborn child.
    """
    named = {m.id for m in allowed}
    errors: list[CofireError] = []
    for recipe in recipes:
        for part in recipe.parts:
            never, why = _why_not(library, part.material)
            by_name = why and part.material.id not in named
            if part.amount > 0.0 and (never or by_name):
                errors.append(
                    refusal(
                        "never-at-a-school" if never else "not-at-a-school",
                        part.place,
                        recipe=recipe.name,
                        material=part.material.name,
                        why=never or why,
                    )
                )
    if errors:
        raise Problems(errors) if len(errors) > 1 else errors[0]


def _why_not(library: Library, material: Material) -> tuple[str, str]:
    """Why no school mixes it, and why one does by name only; empty if it does."""
    codes = [code for code in material.cautions if code in library.cautions]
    cautions = [library.cautions[code] for code in codes]
    settled = [(c, h) for c in cautions for h in c.hazards]
    unsettled = [(c, h) for c in cautions for h in c.unsettled if h != "H372"]  # quartz
    if never := _first(settled, NEVER):
        return never, ""
    if banned := _BY_NAME.intersection(codes):
        return "", f"which brings {min(banned)}"
    if is_soluble(material) and _TOXIC_DISSOLVED.intersection(codes):
        return "", "a poisonous salt that dissolves in water"
    return "", _first(settled + unsettled, _SUSPECTED) or _first(unsettled, NEVER)


def _first(hazards: Sequence[tuple[Caution, str]], reasons: dict[str, str]) -> str:
    for start, why in reasons.items():
        for caution, hazard in hazards:
            if hazard.startswith(start):
                return f"which brings {caution.called}: {why} ({hazard})"
    return ""


def school_findings(library: Library, recipe: Recipe) -> list[Finding]:
    """Findings for schools."""
    findings = [
        finding("kept-by-name", material=part.material.name, why=why)
        for part in recipe.parts
        if part.amount > 0.0 and (why := "".join(_why_not(library, part.material)))
    ]
    findings.append(finding("school-dust"))
    return findings
