"""One recipe, explained: oxides, unity formula, expansion, melt range, cautions."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from cofire import glass
from cofire.answers.analysis import Analysis, analyse, with_material
from cofire.answers.cautions import material_cautions
from cofire.answers.melting import MeltRange, melt_range
from cofire.arrays import Array
from cofire.chem.composition import ratios
from cofire.chem.oxides import COUNTED, INDEX
from cofire.files.library import Library
from cofire.findings import Finding, sort_findings
from cofire.records import Firing, Recipe

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


@dataclass(frozen=True, eq=False)
class Interval:
    """A value between two bounds that hold it with probability ``level``."""

    value: float
    low: float
    high: float
    level: float
    unit: str

    @classmethod
    def of(cls, estimate: glass.Estimate, unit: str, level: float = 0.9) -> Interval:
        """The first row of an estimate."""
        value, low, high = (
            float(np.ravel(v)[0]) for v in (estimate.value, estimate.low, estimate.high)
        )
        return cls(value, low, high, level, unit)


@dataclass(frozen=True, eq=False)
class TableValue:
    """What one published additive table says, and how far it misses on measured glasses."""

    name: str
    citation: str
    alpha_1e6_per_k: float | None
    range_c: str
    status: str
    mean_miss_1e6_per_k: float


@dataclass(frozen=True, eq=False)
class FormulaAnswer:
    recipe: Recipe
    analysis: Analysis
    ratios: dict[str, float]
    expansion: Interval
    expansion_range_c: tuple[float, float]
    tables: tuple[TableValue, ...]
    glass_transition: Interval
    youngs_modulus: Interval
    melt_range: MeltRange
    support: str
    findings: tuple[Finding, ...]


def formula(library: Library, recipe: Recipe, firing: Firing | None = None) -> FormulaAnswer:
    """Explain one recipe. Raises CompositionError when it is no glaze."""
    analysis = analyse(recipe)
    mol = analysis.mol[None, :]
    support = glass.support(mol)
    findings = [
        *ambiguity_findings(recipe, analysis),
        *composition_findings(recipe, analysis),
        *material_cautions(library, [recipe]),
    ]
    return FormulaAnswer(
        recipe=recipe,
        analysis=analysis,
        ratios={k: float(v) for k, v in ratios(analysis.mol).items()},
        expansion=Interval.of(glass.expansion(mol), "1e-6/K"),
        expansion_range_c=(20.0, 300.0),
        tables=published(mol),
        glass_transition=Interval.of(glass.glass_transition(mol), "°C"),
        youngs_modulus=Interval.of(glass.youngs_modulus(mol), "GPa"),
        melt_range=melt_range(recipe, analysis, firing),
        support=support.words[0],
        findings=sort_findings(findings),
    )


def published(mol: Array) -> tuple[TableValue, ...]:
    """Every published table's expansion for one glass (1, n_oxides)."""
    out = []
    core = bool(glass.published.is_low_fire_core(mol)[0])
    for table in glass.published.tables():
        value = float(glass.published.expansion(mol, table)[0])
        out.append(
            TableValue(
                name=table.name,
                citation=table.citation,
                alpha_1e6_per_k=value if np.isfinite(value) else None,
                range_c=table.range_c,
                status=table.status,
                mean_miss_1e6_per_k=table.misses_1e6_per_k[1 if core else 0],
            )
        )
    return tuple(out)


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
        matter.append(
            Finding(
                "name-shared",
                "caution",
                f"“{part.written}” is read as “{part.material.id}”. Another material of that name "
                f"would move its expansion by up to {da:.2f}e-6/K and its maturing by up to "
                f"{dt:.0f} °C: write the id of yours, {_any_of(o.id for o in others)}.",
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


def _any_of(ids: Iterable[str]) -> str:
    *most, last = [f"“{i}”" for i in ids][:6]
    return f"{', '.join(most)} or {last}" if most else last


def composition_findings(recipe: Recipe, analysis: Analysis) -> list[Finding]:
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
    support = glass.support(mol[None, :])
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
