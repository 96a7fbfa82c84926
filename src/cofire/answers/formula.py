"""One recipe, explained: oxides, unity formula, expansion, melt range, cautions."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from cofire import glass
from cofire.answers.findings.cautions import material_cautions
from cofire.arrays import Array
from cofire.chem.composition import ratios
from cofire.chem.oxides import COUNTED, INDEX
from cofire.files.library import Library
from cofire.findings import Finding, sort_findings
from cofire.model.analysis import Analysis, analyse, with_material
from cofire.model.interval import Interval
from cofire.model.melting import MeltRange, melt_range
from cofire.model.solids import Mixture, mixture, solid_findings
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
class TableValue:
    """What one published additive table says, and how far it misses on measured glasses."""

    table: str
    citation: str
    expansion_1e6_per_k: float | None
    range: str
    status: str
    mean_miss_1e6_per_k: float
    our_miss_1e6_per_k: float  # on the same glasses


@dataclass(frozen=True, eq=False)
class ModelValue:
    """Isokoms (°C) of a published viscosity model at ``ISOKOMS``; None outside its range."""

    model: str
    citation: str
    made_for: str
    status: str
    isokoms_c: tuple[float | None, ...]
    mean_miss_log10: float
    our_miss_log10: float  # on the same glasses


@dataclass(frozen=True, eq=False)
class Expansion(Interval):
    """Mean linear expansion, 1e-6/K, between two temperatures."""

    range_c: tuple[float, float] = (20.0, 300.0)


@dataclass(frozen=True, eq=False)
class Isokom:
    """Where a glass has one viscosity."""

    log10_eta_pa_s: float
    temperature_c: Interval


@dataclass(frozen=True, eq=False)
class AsFired:
    """The glaze with what stays solid in it: shares by kind (per cent of its volume)."""

    expansion: Expansion
    solids_volume_percent: dict[str, float]
    stiffening_log10: float


@dataclass(frozen=True, eq=False)
class FormulaAnswer:
    recipe: Recipe
    analysis: Analysis
    ratios: dict[str, float]
    expansion: Expansion
    published_expansion: tuple[TableValue, ...]
    as_fired: AsFired | None
    glass_transition_c: Interval
    youngs_modulus_gpa: Interval
    properties: dict[str, Interval]
    isokoms: tuple[Isokom, ...]
    published_viscosity: tuple[ModelValue, ...]
    melt_range: MeltRange
    support: str
    findings: tuple[Finding, ...]
    json_spreads: ClassVar = ("recipe", "analysis", "properties")


def formula(library: Library, recipe: Recipe, firing: Firing | None = None) -> FormulaAnswer:
    """Explain one recipe. Raises CompositionError when it is no glaze."""
    analysis = analyse(recipe)
    mol = analysis.mol[None, :]
    at = glass.prepare(mol)
    mixed = mixture(recipe, mol)
    support = glass.support(mixed.melt_mol)
    findings = [
        *ambiguity_findings(recipe, analysis),
        *composition_findings(recipe, analysis, mixed),
        *solid_findings(recipe, mixed),
        *disagreement_findings(recipe, at),
        UNMODELLED,
        *material_cautions(library, [recipe]),
    ]
    return FormulaAnswer(
        recipe=recipe,
        analysis=analysis,
        ratios={k: float(v) for k, v in ratios(analysis.mol).items()},
        expansion=Expansion.of(glass.expansion(at), "1e-6/K"),
        published_expansion=published(mol),
        as_fired=as_fired(mixed),
        glass_transition_c=Interval.of(glass.glass_transition(at), "°C"),
        youngs_modulus_gpa=Interval.of(glass.youngs_modulus(at), "GPa"),
        properties={key: Interval.of(model(at), unit) for key, (model, unit) in _PROPERTIES.items()}
        | {"surface_tension_mn_per_m": Interval.of(glass.surface_tension(mol, 900.0), "mN/m")},
        isokoms=isokoms(at),
        published_viscosity=published_models(mol),
        melt_range=melt_range(recipe, analysis, firing),
        support=support.words[0],
        findings=sort_findings(findings),
    )


#: key with its unit -> model and unit
_PROPERTIES: dict[str, tuple[Callable[[glass.Prepared], glass.Estimate], str]] = {
    "expansion_20_400_1e6_per_k": (glass.expansion_20_400, "1e-6/K"),
    "littleton_c": (glass.littleton_point, "°C"),
    "dilatometric_softening_c": (glass.dilatometric_softening, "°C"),
    "annealing_c": (glass.annealing_point, "°C"),
    "strain_c": (glass.strain_point, "°C"),
    "liquidus_c": (glass.liquidus, "°C"),
    "density_g_per_cm3": (glass.density, "g/cm³"),
}
#: log10 of Pa·s at which viscosity models are compared: it runs, it levels, it softens.
ISOKOMS = (2.5, 4.0, 6.6)

UNMODELLED = Finding(
    "not-in-any-model",
    "note",
    "the numbers are those of the melted glass. Bubbles, crystals nobody stated, the layer between "
    "glaze and body, and boron, alkalis or lead that evaporate in a long hold are in no model.",
    "limits of the models, see  cofire card",
)


def isokoms(at: glass.Prepared) -> tuple[Isokom, ...]:
    """Temperatures (°C) of the viscosities in ISOKOMS, with what the curve's doubt makes of it."""
    curve = glass.viscosity(at)
    out = []
    for level in ISOKOMS:
        t_c = curve.isokom(level)
        slope = (curve.log10_eta(t_c - 5.0) - curve.log10_eta(t_c + 5.0)) / 10.0
        half = curve.width(t_c) / np.maximum(slope, 1e-6)
        value, wide = float(t_c[0]), float(half[0])
        out.append(Isokom(level, Interval(value, value - wide, value + wide, 0.9, "°C")))
    return tuple(out)


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


def as_fired(mixed: Mixture) -> AsFired | None:
    """What solids do to the first glaze of a mixture; None when there are none to speak of."""
    volume = mixed.volume[0]
    if volume.sum() < 0.005:
        return None
    of_glass = glass.expansion(mixed.melt_mol)
    youngs, poisson = glass.youngs_modulus(mixed.melt_mol), glass.poisson_ratio(mixed.melt_mol)
    value, low, high = (
        float(mixed.expansion(v, youngs.value, poisson)[0])
        for v in (of_glass.value, of_glass.low, of_glass.high)
    )
    return AsFired(
        Expansion(value, low, high, 0.9, "1e-6/K"),
        {k.id: 100.0 * float(v) for k, v in zip(mixed.kinds, volume, strict=True) if v > 5e-4},
        float(mixed.stiffening[0]),
    )


def _misses(score: dict[str, float], core: bool) -> tuple[float, float]:
    """Another model's mean miss and ours on the same glasses, of the low-fire core if that is
    where the glaze lies and enough were measured there."""
    where = "core_" if core and score.get("core_rows", 0) >= 20 else ""
    return score.get(f"{where}miss", float("nan")), score.get(f"{where}ours", float("nan"))


def published_models(mol: Array) -> tuple[ModelValue, ...]:
    """Every published viscosity model's isokoms for one glass (1, n_oxides)."""
    out = []
    core = bool(glass.published.is_low_fire_core(mol)[0])
    for model in glass.published.models():
        curve = model.curve(mol)
        low, high = model.log10_eta_range
        temperatures = tuple(
            float(t) if low <= level <= high and np.isfinite(t) else None
            for level in ISOKOMS
            for t in curve.isokom(level)
        )
        miss, ours = _misses(glass.scores()["viscosity_models"][model.id], core)
        out.append(
            ModelValue(
                model.name, model.citation, model.made_for, model.status, temperatures, miss, ours
            )
        )
    return tuple(out)


def published(mol: Array) -> tuple[TableValue, ...]:
    """Every published table's expansion for one glass (1, n_oxides)."""
    out = []
    core = bool(glass.published.is_low_fire_core(mol)[0])
    for table in glass.published.tables():
        value = float(glass.published.expansion(mol, table)[0])
        miss, ours = _misses(glass.scores()["expansion_tables"][table.id], core)
        out.append(
            TableValue(
                table=table.name,
                citation=table.citation,
                expansion_1e6_per_k=value if np.isfinite(value) else None,
                range=table.range_c,
                status=table.status,
                mean_miss_1e6_per_k=miss,
                our_miss_1e6_per_k=ours,
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


def composition_findings(recipe: Recipe, analysis: Analysis, mixed: Mixture) -> list[Finding]:
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
    support = glass.support(mixed.melt_mol[:1])
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
