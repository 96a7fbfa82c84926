"""Cautions and doubts about a blend."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from cofire import glass
from cofire.answers.batch.slurry import SOLIDS_G_PER_CM3
from cofire.answers.blend.points import FEW_STEPS, enough
from cofire.answers.findings.cautions import firing_cautions, material_cautions
from cofire.answers.findings.firing import speed_findings
from cofire.answers.findings.fit import body_findings
from cofire.answers.findings.recipe import UNMODELLED, ambiguity_findings, composition_findings
from cofire.files.library import Library
from cofire.findings import Finding
from cofire.model.analysis import analyse
from cofire.records import Part, Recipe
from cofire.words import listed

if TYPE_CHECKING:
    from cofire.answers.blend.blend import Blend

#: Labels that are named in a sentence before it says how many more there are; our choice.
_NAMED = 8
#: Solids of less than this volume share are not worth a word; our choice.
_TRACE = 0.005


def blend_findings(library: Library, answer: Blend, whole: Recipe) -> list[Finding]:
    """Cautions and doubts; ``whole`` is the recipe of all corners' materials together."""
    found = [
        *_corners(answer),
        *_merged(answer),
        *_thin(answer),
        *_grains(answer, whole),
        *_cups(answer),
        *_tiles(answer),
        UNMODELLED,
    ]
    if answer.at.firing:
        found += speed_findings(answer.at.firing) + firing_cautions(library, answer.at.firing)
    if answer.at.body:
        found += body_findings(answer.at.body)
    return found + material_cautions(library, _at_most(answer))


def _at_most(answer: Blend) -> list[Recipe]:
    """The corners, or the one recipe with all its additions at their most."""
    if not answer.additions:
        return list(answer.recipes)
    recipe = answer.recipes[0]
    per = recipe.base_total / 100.0
    parts = tuple(Part(a.material.name, a.high * per, a.material) for a in answer.additions)
    shared = tuple((p, a.others) for p, a in zip(parts, answer.additions, strict=True) if a.others)
    more = (*recipe.additions, *parts)
    return [replace(recipe, additions=more, ambiguous=(*recipe.ambiguous, *shared))]


def _corners(answer: Blend) -> list[Finding]:
    found = []
    for recipe in _at_most(answer):
        analysis = analyse(recipe)
        found += ambiguity_findings(recipe, analysis)
        # where the data end is said of every point
        of_it = composition_findings(recipe, analysis, glass.prepare(analysis.mol))
        found += [f for f in of_it if f.code != "thin-data"]
    for added in answer.additions:
        recipe = answer.recipes[0]
        held = [recipe.percent(p) for p in recipe.parts if p.material.id == added.material.id]
        if sum(held) > 0.0:
            found.append(
                Finding(
                    "on-top",
                    "note",
                    f"already holds {sum(held):.3g} % {added.material.name}; what is added comes "
                    "on top of it.",
                    "the recipe itself",
                    recipe.name,
                )
            )
    return found


def _merged(answer: Blend) -> list[Finding]:
    """What corners say differently and one blend cannot keep apart."""
    recipes = answer.recipes
    found = []
    if len({r.surface for r in recipes}) > 1:
        said = ", ".join(f"{r.name}: {r.surface}" for r in recipes)
        found.append(
            Finding(
                "surfaces-differ",
                "note",
                "each point is judged as the surface of the corner it holds most of, of equals the "
                f"first ({said}).",
                "our choice",
            )
        )
    if any(r.crystals != recipes[0].crystals for r in recipes):
        found.append(
            Finding(
                "crystals-dropped",
                "caution",
                "not all corners state the same crystals, so no point is given any.",
                "our choice",
            )
        )
    clash = any(
        r.undissolved[key] != other.undissolved[key]
        for r in recipes
        for other in recipes
        for key in r.undissolved.keys() & other.undissolved.keys()
    )
    if clash or any(r.fluorine_kept != recipes[0].fluorine_kept for r in recipes):
        found.append(
            Finding(
                "corners-disagree",
                "caution",
                "the corners say differently how much of a material stays undissolved or how much "
                "fluorine stays: the first corner's word on grains and the mean of fluorine are "
                "taken for all points.",
                "our choice",
            )
        )
    return found


def _thin(answer: Blend) -> list[Finding]:
    """Points that the measured glasses do not surround."""
    grade, labels = answer.seen.support.grade, answer.points.labels
    found = []
    for word, severity, of in (
        ("outside the data", "warning", grade >= 1.0),
        ("at the edge of the data", "caution", (grade > 0.5) & (grade < 1.0)),
    ):
        rows = np.flatnonzero(of)
        if not len(rows):
            continue
        blamed = [answer.seen.support.culprit[p] for p in rows if answer.seen.support.culprit[p]]
        because = f", mostly because of {max(blamed, key=blamed.count)}" if blamed else ""
        lie = "lies" if len(rows) == 1 else "lie"
        found.append(
            Finding(
                "thin-data",
                "warning" if severity == "warning" else "caution",
                f"{listed([labels[p] for p in rows], most=_NAMED)} {lie} {word}{because}: trust "
                "the interval, not the middle.",
                "distance from the measured glasses the models were fitted to",
            )
        )
    return found


def _grains(answer: Blend, whole: Recipe) -> list[Finding]:
    solids = answer.seen.solids
    found = []
    for kind, volume, stated in zip(solids.kinds, solids.volume.T, solids.stated, strict=True):
        if volume.max() < _TRACE or stated:
            continue
        at = answer.points.labels[int(volume.argmax())]
        found.append(
            Finding(
                "undissolved",
                "note",
                f"up to {100 * volume.max():.0f} % of the volume (at {at}) is taken to stay as "
                f"grains of {kind.id}, which low-fire melts hardly dissolve: counted in expansion "
                "and flow. A recipe that says “undissolved” says better.",
                kind.source,
            )
        )
    if "matte" in answer.surfaces and answer.at.firing:
        found.append(
            Finding(
                "matte-under",
                "note",
                "of a matte, “under” also means that crystals had no time to grow, or that the "
                "firing is too hot to keep them.",
                "what a matte is asked, see  cofire pair",
            )
        )
    return found


def _cups(answer: Blend) -> list[Finding]:
    found = []
    if answer.slurry_g_per_ml is not None:
        found.append(
            Finding(
                "slurry-solids",
                "note",
                "dry solids in a slurry follow from its density by Brongniart's formula with "
                f"solids of {SOLIDS_G_PER_CM3:g} g/cm³; at 2.5 or 2.7 all of them would be 2 to 3 "
                "% off alike. Much that dissolves in water counts as solids too.",
                "theoretical; density of clay, feldspar and silica from memory",
            )
        )
    cups = answer.cups
    if cups is None:
        return found
    for k, ingredient in enumerate(answer.ingredients):
        used = cups.amounts[:, k]
        step = cups.steps[k]
        least = float(used[used > 0.0].min()) / step
        if least < FEW_STEPS - 1e-6:
            found.append(
                Finding(
                    "few-steps",
                    "caution",
                    f"the least of it, {least * step:g} {cups.units[k]}, is only {least:.0f} "
                    f"step{'s' * (round(least) != 1)} of the scale. A cup of "
                    f"{enough(least, cups.cup):g} {cups.cup.unit} or a finer --scale makes it "
                    "exact to a tenth.",
                    "our choice",
                    ingredient.name,
                )
            )
    return found


def _tiles(answer: Blend) -> list[Finding]:
    if answer.tiles is None:
        return []
    return [
        Finding(
            "tiles-shared",
            "note",
            "tiles are chosen, one after the other, to lower the summed variance of how far each "
            "point is from ripe and from crazing. The models and the clay are taken to err alike "
            "at all points, and a tile to be off by a quarter of the usual doubt: where glazes "
            "differ much, a tile tells less of the others than this.",
            "draws whose errors all points share; a quarter is our choice",
        )
    ]
