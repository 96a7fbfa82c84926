"""What the numbers of a recipe cannot carry: shared names, thin data, solubles, heavy losses."""

from __future__ import annotations

import numpy as np

from cofire import glass
from cofire.chem.oxides import COUNTED, INDEX
from cofire.findings import Finding
from cofire.model.analysis import Analysis, analyse, with_material
from cofire.model.glaze_draws import GlazeDraws
from cofire.model.solids import Mixture
from cofire.records import Recipe
from cofire.words import listed

#: Solids of less than this volume share are not worth a word; our choice.
_TRACE_OF_VOLUME = 0.005
#: Below this share (mole fraction) an oxide the models do not know is not worth a word.
_TRACE = 0.002
#: Losing this much (wt % of raw) in the fire is worth a word; common practice, no source.
_HIGH_LOI = 20.0
#: Base share (per cent) of water-soluble material worth a word; common practice, no source.
_SOLUBLE_SHARE = 2.0
#: Choosing another material of the same name matters when it moves the glaze by more than this:
#: a third of the engine's usual miss. Our choice.
_SMALL_SHIFT_1E6_PER_K = 0.1
_SMALL_SHIFT_C = 10.0

UNMODELLED = Finding(
    "not-in-any-model",
    "note",
    "the numbers are those of the melted glass. Bubbles, crystals nobody stated, the layer between "
    "glaze and body, and boron, alkalis or lead that evaporate in a long hold are in no model.",
    "limits of the models, see  cofire card",
)


def recipe_findings(recipe: Recipe, draws: GlazeDraws) -> list[Finding]:
    """All that an answer about one recipe has to say of it."""
    analysis = analyse(recipe)
    return [
        *ambiguity_findings(recipe, analysis),
        *composition_findings(recipe, analysis, draws.middle),
        *solid_findings(recipe, draws.solids),
        UNMODELLED,
    ]


def disagreement_findings(recipe: Recipe, at: glass.Prepared) -> list[Finding]:
    """When the viscosity curve and the softening point, fitted apart, do not agree."""
    softens = glass.littleton_point(at)
    by_curve = float(glass.viscosity(at).isokom(6.6)[0])
    if softens.low[0] <= by_curve <= softens.high[0]:
        return []
    return [
        Finding(
            "models-disagree",
            "caution",
            f"the viscosity curve lets it soften at {by_curve:.0f} °C, the model of measured "
            f"softening points at {softens.value[0]:.0f} °C: glasses like it were hardly measured, "
            "so take a tile's word over both.",
            "two models fitted to different measured rows",
            recipe.name,
        )
    ]


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
            Finding(
                "name-shared",
                "caution",
                f"“{part.written}” is read as “{part.material.id}”. Another material of that name "
                f"would move its expansion by up to {da:.2f}e-6/K and its maturing by up to "
                f"{dt:.0f} °C: write the id of yours, {listed(ids, 'or')}.",
                part.material.source,
                recipe.name,
            )
        )
    if hardly:
        read = ", ".join(f"“{p.written}” as “{p.material.id}”" for p in hardly)
        matter.append(
            Finding(
                "name-shared",
                "note",
                f"read {read}; others of the same name would hardly change it "
                f"(under {_SMALL_SHIFT_1E6_PER_K}e-6/K and {_SMALL_SHIFT_C:.0f} °C).",
                "; ".join(dict.fromkeys(p.material.source for p in hardly)),
                recipe.name,
            )
        )
    return matter


def composition_findings(recipe: Recipe, analysis: Analysis, melt: glass.Prepared) -> list[Finding]:
    """What the numbers cannot carry: unknown oxides, thin data, solubles, heavy losses."""
    found = []
    mol = analysis.mol
    unknown = [o for o in COUNTED if mol[INDEX[o]] > _TRACE]
    if unknown:
        found.append(
            Finding(
                "not-modelled",
                "caution",
                f"{', '.join(unknown)}: counted in the analysis but in no property model; "
                "the intervals are widened for it.",
                "measured data hold none of it",
                recipe.name,
            )
        )
    support = glass.support(melt)
    if support.grade[0] > 0.5:
        found.append(
            Finding(
                "thin-data",
                "caution" if support.grade[0] < 1.0 else "warning",
                f"lies {support.words[0]}"
                + (f", because of {support.culprit[0]}" if support.culprit[0] else "")
                + ": trust the interval, not the middle.",
                "distance from the measured glasses the models were fitted to",
                recipe.name,
            )
        )
    soluble = [p for p in recipe.parts if p.material.dissolves == "yes" and p.amount > 0]
    share = sum(recipe.percent(p) for p in soluble)
    if share > _SOLUBLE_SHARE:
        names = ", ".join(p.material.name for p in soluble)
        found.append(
            Finding(
                "soluble",
                "caution",
                f"{share:.0f} parts per 100 dissolve in water ({names}): do not sieve off or pour "
                "away the water, mix fresh, and expect crystals in a bucket that stands.",
                "common practice, no source",
                recipe.name,
            )
        )
    if analysis.loi_percent > _HIGH_LOI:
        found.append(
            Finding(
                "high-loi",
                "caution",
                f"{analysis.loi_percent:.0f} % leaves as gas and water: fire gently through red "
                "heat, and expect pinholes or crawling if it is rushed.",
                "common practice, no source",
                recipe.name,
            )
        )
    return found


def solid_findings(recipe: Recipe, mixed: Mixture) -> list[Finding]:
    """What stays solid and by which rule; what a matte's crystals would change."""
    found = []
    volume = mixed.volume.mean(axis=0)
    for k, kind in enumerate(mixed.kinds):
        if volume[k] < _TRACE_OF_VOLUME or mixed.stated[k]:
            continue
        found.append(
            Finding(
                "undissolved",
                "note",
                f"about {100 * volume[k]:.0f} % of its volume is taken to stay as grains of "
                f"{kind.id}, which low-fire melts hardly dissolve: counted in expansion and flow. "
                "If you know better, write above [base] how many per cent of the material stay: "
                f'undissolved = {{ "{_written(recipe, kind.id)}" = 80 }}.',
                kind.source,
                recipe.name,
            )
        )
    if recipe.surface == "matte" and not recipe.crystals:
        found.append(
            Finding(
                "crystals-unknown",
                "note",
                "crystals that make a matte take oxides out of its glass, so its expansion can "
                "lie outside the interval. If you know which and how much (weight per cent of the "
                "glaze), write it above [base], for example  crystals = { wollastonite = 15 }.",
                "rule of mixtures, Turner 1946",
                recipe.name,
            )
        )
    return found


def _written(recipe: Recipe, grain: str) -> str:
    return next((p.written for p in recipe.parts if p.material.grain == grain), grain)
