"""Answers as plain dictionaries for --json: full precision, units in the key names."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from cofire.chem.oxides import named

if TYPE_CHECKING:
    from cofire.answers.day import DayPlan
    from cofire.answers.firing import FiringAnswer
    from cofire.answers.fit import FitAnswer
    from cofire.answers.formula import FormulaAnswer
    from cofire.answers.lustre import LustreAnswer
    from cofire.answers.pair import PairAnswer
    from cofire.findings import Finding
    from cofire.model.crackle import Net
    from cofire.model.crackle_curve import Handling
    from cofire.model.interval import Interval
    from cofire.model.survival import Survival
    from cofire.records import Material


def number(value: float) -> float | None:
    """JSON has no infinity: what cannot be reached is null."""
    return value if math.isfinite(value) else None


def findings_list(findings: tuple[Finding, ...]) -> list[dict[str, str]]:
    return [
        {
            "code": f.code,
            "severity": f.severity,
            "message": f.message,
            "source": f.source,
            "subject": f.subject,
        }
        for f in findings
    ]


def interval_dict(interval: Interval) -> dict[str, Any]:
    return {
        "value": interval.value,
        "low": interval.low,
        "high": interval.high,
        "level": interval.level,
        "unit": interval.unit,
    }


def formula_dict(answer: FormulaAnswer) -> dict[str, Any]:
    analysis, recipe = answer.analysis, answer.recipe
    return {
        "name": recipe.name,
        "surface": recipe.surface,
        "parts": [
            {
                "material": p.material.id,
                "written": p.written,
                "parts": p.amount,
                "percent_of_base": recipe.percent(p),
                "addition": p in recipe.additions,
            }
            for p in recipe.parts
        ],
        "raw_oxides_wt_percent": named(analysis.raw_wt_percent),
        "oxides_wt_percent": named(analysis.fired_wt_percent),
        "oxides_mol_percent": {k: 100.0 * v for k, v in named(analysis.mol).items()},
        "loi_percent": analysis.loi_percent,
        "unity": named(analysis.unity),
        "ratios": {k: number(v) for k, v in answer.ratios.items()},
        "expansion": {
            **interval_dict(answer.expansion),
            "range_c": list(answer.expansion_range_c),
        },
        "published_expansion": [
            {
                "table": t.name,
                "value": t.alpha_1e6_per_k,
                "unit": "1e-6/K",
                "range": t.range_c,
                "mean_absolute_error": number(t.mean_miss_1e6_per_k),
                "our_mean_absolute_error_there": number(t.our_miss_1e6_per_k),
                "citation": t.citation,
                "status": t.status,
            }
            for t in answer.tables
        ],
        "melt_expansion": {
            **interval_dict(answer.melt_expansion),
            "range_c": list(answer.expansion_range_c),
        },
        "as_fired": None
        if answer.as_fired is None
        else {
            "expansion": {
                **interval_dict(answer.as_fired.expansion),
                "range_c": list(answer.expansion_range_c),
            },
            "solids_volume_percent": answer.as_fired.solids_volume_percent,
            "stiffening_log10": answer.as_fired.stiffening_log10,
        },
        "glass_transition_c": interval_dict(answer.glass_transition),
        "youngs_modulus_gpa": interval_dict(answer.youngs_modulus),
        **{key: interval_dict(value) for key, value in answer.properties.items()},
        "isokoms": [
            {"log10_eta_pa_s": level, "temperature_c": interval_dict(value)}
            for level, value in answer.isokoms.items()
        ],
        "published_viscosity": [
            {
                "model": m.name,
                "isokoms": [
                    {"log10_eta_pa_s": level, "temperature_c": value}
                    for level, value in zip(answer.isokoms, m.isokoms_c, strict=True)
                ],
                "mean_absolute_error_log10": number(m.mean_miss_log10),
                "our_mean_absolute_error_there_log10": number(m.our_miss_log10),
                "made_for": m.made_for,
                "citation": m.citation,
                "status": m.status,
            }
            for m in answer.models
        ],
        "melt_range": {
            "seals_c": number(answer.melt_range.seals_c),
            "matures_c": number(answer.melt_range.matures_c),
            "runs_c": number(answer.melt_range.runs_c),
            "half_width_c": answer.melt_range.half_width_c,
            "schedule": answer.melt_range.schedule,
        },
        "support": answer.support,
        "findings": findings_list(answer.findings),
    }


def material_dict(material: Material) -> dict[str, Any]:
    return {
        "id": material.id,
        "names": list(material.names),
        "oxides_wt_percent": material.oxides_wt_percent,
        "loi_percent": material.loi_percent,
        "formula": material.formula,
        "source": material.source,
        "spread_wt_percent": material.spread_wt_percent,
        "dissolves": material.dissolves,
        "cautions": list(material.cautions),
        "supplier": material.supplier or None,
        "date": material.date or None,
        "note": material.note,
    }


def fit_dict(answer: FitAnswer) -> dict[str, Any]:
    return {
        "name": answer.recipe.name,
        "body": answer.body.name,
        "yes": answer.yes,
        "sentence": answer.sentence,
        "wanted": answer.wanted,
        "verdict": answer.verdict,
        "odds_wanted": answer.odds_wanted,
        "odds_ripe": answer.odds_ripe,
        "odds_right": answer.odds,
        "odds_asked": answer.at.odds,
        "odds": {
            "crazes_at_once": answer.crazes,
            "crazes_within_months": answer.crazes_later,
            "sits": answer.sits,
            "shivers": answer.shivers,
            "edges_could_shiver": answer.could_shiver,
        },
        "crackle_mm": None if answer.crackle_mm is None else interval_dict(answer.crackle_mm),
        "crackle": answer.crackle_words,
        "set_c": interval_dict(answer.set_c),
        "alpha_glaze": interval_dict(answer.alpha_glaze),
        "alpha_body": interval_dict(answer.alpha_body),
        "stress_mpa": interval_dict(answer.stress),
        "most_on_the_way_mpa": interval_dict(answer.worst),
        "shape": answer.at.shape,
        "crazed_with_the_years": [{"years": years, "odds": odds} for years, odds in answer.aging],
        "way_down": None
        if answer.way_down is None
        else {
            "temperature_c": answer.way_down.t_c.tolist(),
            "stress_low_mpa": answer.way_down.low_mpa.tolist(),
            "stress_mpa": answer.way_down.middle_mpa.tolist(),
            "stress_high_mpa": answer.way_down.high_mpa.tolist(),
        },
        "through_mpa": None
        if answer.through is None
        else {
            "coat_face": answer.through.coat_face_mpa,
            "coat_at_bond": answer.through.coat_bond_mpa,
            "body_at_bond": answer.through.body_bond_mpa,
            "body_back": answer.through.body_back_mpa,
        },
        "nets": [net_dict(net) for net in answer.nets],
        "air_and_smoke": None
        if answer.curve is None
        else {
            "air": [_handling_dict(h) for h in answer.curve.air],
            "bin": [_handling_dict(h) for h in answer.curve.bins],
        },
        "survival": survival_dict(answer.survival),
        "strip_mpa": {
            "edges_could_shiver_below": answer.strip.edge_mpa,
            "crazes_within_months_from": answer.strip.later_mpa,
            "crazes_at_once_from": answer.strip.now_mpa,
            "published_tables": dict(answer.strip.tables),
            "cracks_apart_mm": [{"mm": mm, "from_mpa": mpa} for mm, mpa in answer.strip.nets],
        },
        "coat_fired_mm": answer.at.coat(answer.layer).fired_mm,
        "coat_reading": answer.at.coat(answer.layer).reading,
        "layer": answer.layer + 1,
        "wall_mm": answer.at.wall_mm,
        "cooling": answer.at.cool.words,
        "findings": findings_list(answer.findings),
    }


def net_dict(net: Net) -> dict[str, Any]:
    return {
        "when": net.when,
        "odds": net.odds,
        "spacing_mm": None if net.spacing_mm is None else interval_dict(net.spacing_mm),
        "words": net.words,
    }


def _handling_dict(how: Handling) -> dict[str, Any]:
    return {
        "air_s": how.smoke.air_s,
        "bin_min": how.smoke.bin_min,
        "then": how.smoke.then,
        "black": net_dict(how.black),
        "whole": net_dict(how.whole),
    }


def survival_dict(survival: Survival | None) -> dict[str, Any] | None:
    if survival is None:
        return None
    return {
        "pull": survival.pull,
        "quench": survival.quench,
        "together": survival.together,
        "hairline_starts": survival.hairline,
        "into_water_c": survival.into_water_c,
        "with_walls": [{"wall_mm": w, "odds": odds} for w, odds in survival.walls],
        "with_bins": [
            {"bin_min": m, "into_water_c": c, "odds": odds} for m, c, odds in survival.bins
        ],
    }


def pair_dict(answer: PairAnswer) -> dict[str, Any]:
    return {
        "yes": answer.yes,
        "verdict": answer.verdict,
        "sentence": answer.sentence,
        "odds_together": answer.odds,
        "odds_asked": answer.at.odds,
        "firing": answer.firing.name,
        "peak_c": answer.firing.peak_c,
        "body": answer.body.name if answer.body else None,
        "coat_fired_mm": answer.at.coat(0).fired_mm,
        "wall_mm": answer.at.wall_mm,
        "glazes": [
            {
                "name": g.recipe.name,
                "surface": g.recipe.surface,
                "layer": k + 1,
                "coat_fired_mm": answer.at.coat(k).fired_mm,
                "yes": g.yes,
                "verdict": g.verdict,
                "odds": g.odds,
                "odds_ripe": g.odds_ripe,
                "pulls": [
                    {
                        "moment": p.moment,
                        "at_min": p.at_min,
                        "ware_peak_c": p.peak_c,
                        "word": p.word,
                        "odds": {"under": p.under, "ripe": p.ripe, "runs": p.runs},
                        "odds_sealed": p.sealed,
                        "odds_smooth": p.smooth,
                        "slide_mm": interval_dict(p.slide_mm),
                        "run_mm": interval_dict(p.run_mm),
                    }
                    for p in g.pulls
                ],
                "fit": fit_dict(g.fit) if g.fit else None,
            }
            for k, g in enumerate(answer.glazes)
        ],
        "overlaps": [
            {
                "first": o.first.name,
                "second": o.second.name,
                "coat_fired_mm": o.coat_mm,
                "share_of_second": o.shares.tolist(),
                "runs": o.runs.tolist(),
                "crazes": None if o.crazes is None else o.crazes.tolist(),
            }
            for o in answer.overlaps
        ],
        "survival": survival_dict(answer.survival),
        "change": answer.change_words or None,
        "odds_with_change": None if answer.change is None else answer.change.odds,
        "findings": findings_list(answer.findings),
    }


def firing_dict(answer: FiringAnswer) -> dict[str, Any]:
    every = max(1, len(answer.time_s) // 400)
    return {
        "name": answer.firing.name,
        "kiln": answer.firing.kiln.name,
        "wall_mm": answer.wall_mm,
        "load_kg": answer.firing.load_kg,
        "segments": [
            {
                "number": row.number,
                "rate_c_per_h": row.rate_c_per_h,
                "target_c": row.target_c,
                "hold_min": row.hold_min,
                "ramp_takes_min": row.took_min,
            }
            for row in answer.keyed_in
        ],
        "total_min": answer.total_min,
        "energy_kwh": answer.energy_kwh,
        "cost": answer.cost,
        "loads": [
            {
                "name": load.name,
                "at_min": load.at_min,
                "ware_c": load.ware_c,
                "cone": load.heat.words,
                "cone_low": load.cone_range[0],
                "cone_high": load.cone_range[1],
                "equivalent_peak_at_60_c_per_h_c": load.heat.equivalent_c,
                "beyond_chart": load.heat.beyond_chart,
                "extrapolated": load.heat.extrapolated,
            }
            for load in answer.loads
        ],
        "glazes": [
            {
                "name": t.recipe.name,
                "time_min": t.time_min.tolist(),
                "under": t.under.tolist(),
                "ripe": t.ripe.tolist(),
                "runs": t.runs.tolist(),
            }
            for t in answer.tracks
        ],
        "history": {
            "time_min": (answer.time_s[::every] / 60.0).tolist(),
            "pyrometer_c": answer.air_c[::every].tolist(),
            "ware_c": answer.ware_c[::every].tolist(),
        },
        "after_the_pull": None
        if answer.after is None
        else {
            "from_c": answer.after.from_c,
            "dull_red_after_s": answer.after.dull_red_s,
            "no_longer_lights_paper_after_s": list(answer.after.paper_s),
            "glazes": [
                {
                    "name": g.recipe.name,
                    "stiff_after_s": interval_dict(g.stiff_s),
                    "set_after_s": interval_dict(g.set_s),
                    "set_c": interval_dict(g.set_c),
                }
                for g in answer.after.glazes
            ],
        },
        "findings": findings_list(answer.findings),
    }


def lustre_dict(answer: LustreAnswer) -> dict[str, Any]:
    return {
        "name": answer.recipe.name,
        "metal_moves_from_c": interval_dict(answer.moves_c),
        "sticks_from_c": interval_dict(answer.sticks_c),
        "in_window_after_pull_s": None
        if answer.enters_s is None
        else [answer.enters_s, answer.leaves_s],
        "metals": [
            {"metal": m.name, "oxide": m.oxide, "wt_percent": m.wt_percent, "amount": m.word}
            for m in answer.metals
        ],
        "findings": findings_list(answer.findings),
    }


def day_dict(plan: DayPlan) -> dict[str, Any]:
    return {
        "firing": plan.firing.name,
        "pots": plan.pots,
        "pots_per_load": plan.per_load,
        "bins": plan.bins,
        "pull_every_min": plan.every_min,
        "hold_limits_pots": plan.hold_limits,
        "total_min": plan.total_min,
        "firings": [
            {
                "number": r.number,
                "pots": r.pots,
                "starts_min": r.starts_min,
                "first_pull_min": r.first_pull_min,
                "last_pull_min": r.last_pull_min,
                "bins_free_min": r.bins_free_min,
            }
            for r in plan.rounds
        ],
    }
