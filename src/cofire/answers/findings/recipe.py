"""Limits of a recipe's numbers: shared names, thin data, solubles, heavy losses."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from cofire import glass
from cofire.answers.findings.bought import bought_findings
from cofire.answers.findings.faults import soluble_findings
from cofire.answers.findings.texts import finding
from cofire.chem.oxides import COUNTED, INDEX
from cofire.errors import Place
from cofire.files.bought import Bought
from cofire.files.places import shipped
from cofire.files.toml import written
from cofire.findings import Finding
from cofire.material_kinds import outlasts
from cofire.model.analysis import Analysis, analyse, with_material
from cofire.model.glaze_draws import GlazeDraws
from cofire.model.solids import Mixture
from cofire.records import Part, Recipe
from cofire.words import listed

#: Solids of less than this volume share are not reported; our choice.
_TRACE_OF_VOLUME = 0.005
#: Below this share (mole fraction) an oxide the models do not know is not reported.
_TRACE = 0.002
#: Losing this much (wt % of raw) in the fire is reported; common practice, no source.
_HIGH_LOI = 20.0
#: Choosing another material of the same name matters when it moves the glaze by more than this:
#: a third of the engine's usual miss. Our choice.
_SMALL_SHIFT_1E6_PER_K = 0.1
_SMALL_SHIFT_C = 10.0


def recipe_findings(recipe: Recipe, draws: GlazeDraws) -> list[Finding]:
    """All findings about one recipe, or about a glaze of unknown recipe."""
    if isinstance(recipe, Bought):
        return bought_findings(recipe)
    analysis = analyse(recipe)
    return [
        *changed_by_yours(recipe),
        *ambiguity_findings(recipe, analysis),
        *composition_findings(recipe, analysis, draws.middle),
        *solid_findings(recipe, draws.solids),
        finding("gradual-melting"),
        finding("not-in-any-model"),
    ]


def changed_by_yours(recipe: Recipe) -> list[Finding]:
    """A shipped recipe made of one whose place a person's own file takes."""
    came_with = shipped("recipes")
    if recipe.place is None or not recipe.place.file.is_relative_to(came_with):
        return []
    own = [
        finding("made-of-yours", recipe.name, other=one.id, file=Place(one.place.file))
        for one in recipe.upon
        if one.place is not None and not one.place.file.is_relative_to(came_with)
    ]
    return own + [
        replace(found, subject=recipe.name)
        for one in recipe.upon
        for found in changed_by_yours(one)
    ]


def disagreement_findings(recipe: Recipe, at: glass.Prepared) -> list[Finding]:
    """When the viscosity curve and the softening point, fitted apart, do not agree."""
    softens = glass.littleton_point(at)
    by_curve = float(glass.viscosity(at).isokom(6.6)[0])
    if softens.low[0] <= by_curve <= softens.high[0]:
        return []
    about = {"curve_c": by_curve, "softens_c": softens.value[0]}
    return [finding("models-disagree", recipe.name, **about)]


def ambiguity_findings(recipe: Recipe, analysis: Analysis) -> list[Finding]:
    """Which analysis a shared name was read as, and how much the choice matters."""
    matter, hardly = [], []
    for part, others in recipe.ambiguous:
        mol = np.array(
            [analysis.mol, *(with_material(recipe, part.material, other) for other in others)]
        )
        alpha = glass.expansion(mol).value
        matures = glass.viscosity(mol).isokom(4.0)
        da, dt = np.abs(alpha - alpha[0]).max(), np.abs(matures - matures[0]).max()
        if da < _SMALL_SHIFT_1E6_PER_K and dt < _SMALL_SHIFT_C:
            hardly.append(part)
            continue
        ids = [f"“{o.id}”" for o in others][:6]
        matter.append(
            finding(
                "name-shared",
                recipe.name,
                written=part.written,
                id=part.material.id,
                alpha=da,
                matures_c=dt,
                ids=listed(ids, "or"),
                source=part.material.source,
            )
        )
    if hardly:
        matter.append(
            finding(
                "name-shared-harmless",
                recipe.name,
                read=", ".join(f"“{p.written}” as “{p.material.id}”" for p in hardly),
                alpha=_SMALL_SHIFT_1E6_PER_K,
                matures_c=_SMALL_SHIFT_C,
                source="; ".join(dict.fromkeys(p.material.source for p in hardly)),
            )
        )
    return matter


def melting_findings(recipe: Recipe) -> list[Finding]:
    """Materials whose files do not say how they melt, and how that was taken."""
    parts = {p.material.id: p for p in recipe.parts if p.amount > 0.0}.values()
    unknown = [p for p in parts if p.material.melting == "unknown"]
    findings = []
    if unknown:
        share = sum(recipe.percent(p) for p in recipe.parts if p.material.melting == "unknown")
        names = listed([f"“{p.written}”" for p in unknown])
        findings.append(finding("melting-unknown", recipe.name, names=names, share=share))
    for part in parts:
        one = part.material
        if one.melting == "alike":
            how = "like " + one.melts_like
        elif one.melting == "glass":
            how = "as a frit or another glass"
        else:
            continue
        findings.append(finding("melting-taken", recipe.name, written=part.written, how=how))
    return findings


def composition_findings(recipe: Recipe, analysis: Analysis, melt: glass.Prepared) -> list[Finding]:
    """Limits of the numbers: unknown oxides, thin data, melting, solubles, heavy losses."""
    findings = melting_findings(recipe)
    unknown = [o for o in COUNTED if analysis.mol[INDEX[o]] > _TRACE]
    if unknown:
        findings.append(finding("not-modelled", recipe.name, oxides=", ".join(unknown)))
    support = glass.support(melt)
    if support.grade[0] > 0.5:
        culprit = support.culprit[0]
        findings.append(
            finding(
                "thin-data",
                recipe.name,
                "caution" if support.grade[0] < 1.0 else "warning",
                lies="lies",
                where=support.words[0],
                because=f", because of {culprit}" if culprit else "",
            )
        )
    for part in recipe.parts:
        if part.amount > 0.0:
            findings += _outlasting(recipe, part)
    findings += soluble_findings(recipe)
    if analysis.loi_percent > _HIGH_LOI:
        findings.append(finding("high-loi", recipe.name, loi=analysis.loi_percent))
    return findings


def _outlasting(recipe: Recipe, part: Part) -> list[Finding]:
    """What of a material may still be there after the firing."""
    written = part.written
    match outlasts(part.material):
        case "sulfate":
            return [finding("outlasts-sulfate", recipe.name, written=written)]
        case "sulfide":
            return [finding("outlasts-sulfide", recipe.name, written=written)]
        case "carbide":
            return [finding("outlasts-carbide", recipe.name, written=written)]
        case "salt":
            return [finding("outlasts-salt", recipe.name, written=written)]
    return []


def solid_findings(recipe: Recipe, mixed: Mixture) -> list[Finding]:
    """What stays solid and by which rule; what a matte's crystals would change."""
    findings = [
        finding(
            "undissolved",
            recipe.name,
            share=100 * volume,
            kind=kind.id,
            line=written({_written(recipe, kind.id): 80}),
            source=kind.source,
        )
        for kind, volume, stated in zip(
            mixed.kinds, mixed.volume.mean(axis=0), mixed.stated, strict=True
        )
        if volume >= _TRACE_OF_VOLUME and not stated
    ]
    if recipe.surface == "matte" and not recipe.crystals:
        findings.append(finding("crystals-unknown", recipe.name))
    return findings


def _written(recipe: Recipe, grain: str) -> str:
    return next((p.written for p in recipe.parts if p.material.grain == grain), grain)
