"""Cautions and doubts about a blend."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from cofire import glass
from cofire.answers.blend.points import FEW_STEPS, enough
from cofire.answers.blend.results import Blend
from cofire.answers.findings.cautions import firing_cautions, material_cautions
from cofire.answers.findings.firing import speed_findings
from cofire.answers.findings.fit import body_findings
from cofire.answers.findings.recipe import ambiguity_findings, composition_findings
from cofire.answers.findings.texts import finding
from cofire.arrays import Mask
from cofire.files.library import Library
from cofire.findings import Finding, Severity
from cofire.model.analysis import analyse
from cofire.model.slurry import SOLIDS_G_PER_CM3
from cofire.records import Part, Recipe
from cofire.words import listed

#: Labels that are named in a sentence before it says how many more there are; our choice.
_NAMED = 8
#: Solids of less than this volume share are not reported; our choice.
_TRACE = 0.005


def blend_findings(library: Library, answer: Blend) -> list[Finding]:
    """Cautions and doubts."""
    findings = [
        *_corners(answer),
        *_merged(answer),
        *_thin(answer),
        *_grains(answer),
        *_cups(answer),
        finding("gradual-melting"),
        finding("not-in-any-model"),
    ]
    if answer.tiles is not None:
        findings.append(finding("tiles-shared"))
    if answer.at.firing:
        findings += speed_findings(answer.at.firing) + firing_cautions(library, answer.at.firing)
    if answer.at.body:
        findings += body_findings(answer.at.body)
    return findings + material_cautions(library, _at_most(answer))


def _at_most(answer: Blend) -> list[Recipe]:
    """The corners, or the one recipe with all additions at their maximum."""
    if not answer.additions:
        return list(answer.recipes)
    recipe = answer.recipes[0]
    per = recipe.base_total / 100.0
    parts = tuple(Part(a.material.name, a.high * per, a.material) for a in answer.additions)
    shared = tuple((p, a.others) for p, a in zip(parts, answer.additions, strict=True) if a.others)
    more = (*recipe.additions, *parts)
    return [replace(recipe, additions=more, ambiguous=(*recipe.ambiguous, *shared))]


def _corners(answer: Blend) -> list[Finding]:
    findings = []
    for recipe in _at_most(answer):
        analysis = analyse(recipe)
        findings += ambiguity_findings(recipe, analysis)
        # the limits of the data are reported for every point
        of_it = composition_findings(recipe, analysis, glass.prepare(analysis.mol))
        findings += [f for f in of_it if f.code != "thin-data"]
    recipe = answer.recipes[0]
    for added in answer.additions:
        material = added.material
        held = sum(recipe.percent(p) for p in recipe.parts if p.material.id == material.id)
        if held > 0.0:
            findings.append(finding("on-top", recipe.name, share=held, material=material.name))
    return findings


def _merged(answer: Blend) -> list[Finding]:
    """Facts in which the corners differ and a blend cannot."""
    recipes = answer.recipes
    findings = []
    if len({r.surface for r in recipes}) > 1:
        text = ", ".join(f"{r.name}: {r.surface}" for r in recipes)
        findings.append(finding("surfaces-differ", surfaces=text))
    if any(r.crystals != recipes[0].crystals for r in recipes):
        findings.append(finding("crystals-dropped"))
    clash = any(
        r.undissolved[key] != other.undissolved[key]
        for r in recipes
        for other in recipes
        for key in r.undissolved.keys() & other.undissolved.keys()
    )
    if clash or any(r.fluorine_kept != recipes[0].fluorine_kept for r in recipes):
        findings.append(finding("corners-disagree"))
    return findings


def _thin(answer: Blend) -> list[Finding]:
    """Points outside the measured glasses."""
    support, labels = answer.seen.support, answer.points.labels
    grades: tuple[tuple[str, Severity, Mask], ...] = (
        ("outside the data", "warning", support.grade >= 1.0),
        ("at the edge of the data", "caution", (support.grade > 0.5) & (support.grade < 1.0)),
    )
    findings = []
    for where, severity, of in grades:
        rows = np.flatnonzero(of)
        if not len(rows):
            continue
        blamed = [support.culprit[p] for p in rows if support.culprit[p]]
        because = f", mostly because of {max(blamed, key=blamed.count)}" if blamed else ""
        lie = "lies" if len(rows) == 1 else "lie"
        lies = f"{listed([labels[p] for p in rows], most=_NAMED)} {lie}"
        found = finding("thin-data", "", severity, lies=lies, where=where, because=because)
        findings.append(replace(found, headline=severity == "warning"))
    return findings


def _grains(answer: Blend) -> list[Finding]:
    solids = answer.seen.solids
    findings = [
        finding(
            "undissolved-at",
            share=100 * volume.max(),
            at=answer.points.labels[int(volume.argmax())],
            kind=kind.id,
            source=kind.source,
        )
        for kind, volume, stated in zip(solids.kinds, solids.volume.T, solids.stated, strict=True)
        if volume.max() >= _TRACE and not stated
    ]
    if "matte" in answer.surfaces and answer.at.firing:
        findings.append(finding("matte-under"))
    return findings


def _cups(answer: Blend) -> list[Finding]:
    findings = []
    if answer.slurry_g_per_ml is not None:
        findings.append(finding("slurry-solids", solids=SOLIDS_G_PER_CM3))
    cups = answer.cups
    if cups is None:
        return findings
    for k, ingredient in enumerate(answer.ingredients):
        used = cups.amounts[:, k]
        step = cups.steps[k]
        least = float(used[used > 0.0].min()) / step
        if least < FEW_STEPS - 1e-6:
            findings.append(
                finding(
                    "few-steps",
                    ingredient.name,
                    least=least * step,
                    unit=cups.units[k],
                    steps=f"{least:.0f} step{'s' * (round(least) != 1)}",
                    cup=enough(least, cups.cup),
                    cup_unit=cups.cup.unit,
                )
            )
    return findings
