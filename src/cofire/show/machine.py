"""Answers as plain dictionaries for --json: full precision, units in the key names."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from cofire.answers.fit import FitAnswer
    from cofire.answers.pair import PairAnswer
    from cofire.findings import Finding
    from cofire.model.crackle import Net
    from cofire.model.crackle_curve import Handling
    from cofire.model.interval import Interval
    from cofire.model.survival import Survival


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


def fits_dict(answers: Sequence[FitAnswer]) -> dict[str, Any]:
    """One glaze or many; the keys of one alone also stand beside “glazes”."""
    glazes = [fit_dict(answer) for answer in answers]
    alone = glazes[0] if len(glazes) == 1 else {}
    return {**alone, "yes": all(a.yes for a in answers), "glazes": glazes}


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
