"""One recipe, explained: oxides, unity formula, expansion, melt range, cautions."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from cofire import glass
from cofire.answers.findings.cautions import material_cautions
from cofire.answers.findings.faults import fault_findings
from cofire.answers.findings.recipe import disagreement_findings, recipe_findings
from cofire.arrays import Array
from cofire.chem.composition import ratios
from cofire.files.library import Library
from cofire.findings import Finding, sort_findings
from cofire.model.analysis import Analysis, analyse
from cofire.model.conditions import Conditions
from cofire.model.glaze_draws import MIDDLE, draw_glazes
from cofire.model.glaze_set import glaze_set
from cofire.model.interval import Interval
from cofire.model.melt_range import MeltRange, melt_range
from cofire.model.solids import Mixture
from cofire.record import Record
from cofire.records import Firing, Recipe


@dataclass(frozen=True, eq=False)
class TableValue:
    """One published additive table, and its error on measured glasses."""

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


@dataclass(frozen=True, eq=False, repr=False)
class FormulaAnswer(Record):
    recipe: Recipe
    analysis: Analysis
    ratios: dict[str, float]
    expansion: Expansion  # as fired, with what stays solid
    melt_expansion: Expansion  # of the melt alone, all solids dissolved
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
    schema: ClassVar = "formula"
    json_spreads: ClassVar = ("recipe", "analysis", "properties")


def formula(library: Library, recipe: Recipe, firing: Firing | None = None) -> FormulaAnswer:
    """Explain one recipe. Raises CompositionError if it is not a glaze."""
    analysis = analyse(recipe)
    at = Conditions(firing=firing)
    glazes, parts = glaze_set(recipe)
    middle = draw_glazes(glazes, parts[None, :], at, MIDDLE)
    mol = analysis.mol[None, :]
    melt = glass.prepare(mol)
    fired = as_fired(middle.solids)
    findings = [
        *recipe_findings(recipe, middle),
        *fault_findings(recipe),
        *disagreement_findings(recipe, melt),
        *material_cautions(library, [recipe]),
    ]
    of_melt = Expansion.of(glass.expansion(melt), "1e-6/K")
    return FormulaAnswer(
        recipe=recipe,
        analysis=analysis,
        ratios={k: float(v) for k, v in ratios(analysis.mol).items()},
        expansion=fired.expansion if fired else of_melt,
        melt_expansion=of_melt,
        published_expansion=published(mol),
        as_fired=fired,
        glass_transition_c=Interval.of(glass.glass_transition(melt), "°C"),
        youngs_modulus_gpa=Interval.of(glass.youngs_modulus(melt), "GPa"),
        properties={
            key: Interval.of(model(melt), unit) for key, (model, unit) in _PROPERTIES.items()
        }
        | {"surface_tension_mn_per_m": Interval.of(glass.surface_tension(mol, 900.0), "mN/m")},
        isokoms=isokoms(melt),
        published_viscosity=published_models(mol),
        melt_range=melt_range(glazes, parts, at),
        support=glass.support(middle.middle).words[0],
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


def isokoms(at: glass.Prepared) -> tuple[Isokom, ...]:
    """Temperatures (°C) of the viscosities in ISOKOMS, with intervals."""
    curve = glass.viscosity(at)
    out = []
    for level in ISOKOMS:
        t_c = curve.isokom_estimate(level)
        value, low, high = (float(t[0]) for t in (t_c.value, t_c.low, t_c.high))
        out.append(Isokom(level, Interval(value, low, high, 0.9, "°C")))
    return tuple(out)


def as_fired(mixed: Mixture) -> AsFired | None:
    """The effect of solids on the first glaze of a mixture; None without solids."""
    volume = mixed.volume[0]
    if not volume.any():
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
