"""Batch sheets as plain dictionaries for --json: weights as numbers, and as they are printed."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from cofire.answers.batch.weighing import shown_in
from cofire.show.machine import findings_list, number

if TYPE_CHECKING:
    from decimal import Decimal

    from cofire.answers.batch.records import Bucket, Need, Pack, Rounding, Sheet
    from cofire.records import Caution


def pack_dict(pack: Pack) -> dict[str, Any]:
    """A pack; keys carry the unit, ``printed`` is exact to the last digit in the units named."""
    return {
        "title": pack.title,
        "date": pack.date,
        "audience": pack.audience,
        "people": pack.people,
        "cost": _amount(pack.cost),
        "currency": pack.currency,
        "firing": pack.firing.id if pack.firing else None,
        "assignments": [{"who": who, "what": what} for who, what in pack.assignments],
        "needs": [_need(need) for need in pack.needs],
        "cautions": [_caution(caution, ()) for caution in pack.cautions],
        "sheets": [_sheet(sheet) for sheet in pack.sheets],
    }


def _amount(money: Decimal | None) -> float | None:
    return None if money is None else float(money)


def _need(need: Need) -> dict[str, Any]:
    return {
        "material": need.part.material.id,
        "name": need.part.material.name,
        "need_g": float(need.need_g),
        "have_g": need.have_g,
        "buy_g": need.buy_g,
        "price_per_kg": need.price_per_kg,
        "cost_of_what_to_buy": _amount(need.cost),
    }


def _caution(caution: Caution, bearers: tuple[str, ...]) -> dict[str, Any]:
    return {
        "code": caution.code,
        "severity": caution.severity,
        "acts": list(caution.act),
        "text": caution.text,
        "source": caution.source,
        "materials": list(bearers),
    }


def _sheet(sheet: Sheet) -> dict[str, Any]:
    return {
        "recipe": sheet.recipe.id,
        "name": sheet.recipe.name,
        "surface": sheet.recipe.surface,
        "code": sheet.code,
        "asked": sheet.asked,
        "dry_g": float(sheet.dry_g),
        "base_g": float(sheet.base_g),
        "scale_g": float(sheet.scale_g),
        "units": sheet.units,
        "buckets": [_bucket(bucket, sheet) for bucket in sheet.buckets],
        "rounding": _rounding(sheet.rounding),
        "cost": _amount(sheet.cost),
        "cost_per_100_g": sheet.cost_per_100_g,
        "cost_per_piece": sheet.cost_per_piece,
        "piece": sheet.piece,
        "currency": sheet.currency,
        "mixing": list(sheet.mixing),
        "keeping": list(sheet.keeping),
        "cautions": [_caution(caution, bearers) for caution, bearers in sheet.cautions],
        "teacher_only": list(sheet.teacher_only),
        "findings": findings_list(sheet.findings),
    }


def _bucket(bucket: Bucket, sheet: Sheet) -> dict[str, Any]:
    printed, running = shown_in([w.weigh_g for w in bucket.weighings], sheet.units, sheet.scale_g)
    return {
        "number": bucket.number,
        "total_g": float(bucket.total_g),
        "weighings": [
            {
                "material": w.part.material.id,
                "name": w.part.material.name,
                "addition": w.addition,
                "exact_g": w.exact_g,
                "weigh_g": float(w.weigh_g),
                "running_g": float(w.running_g),
                "printed": f"{printed[k]:f} {sheet.units}",
                "printed_running": f"{running[k]:f} {sheet.units}",
            }
            for k, w in enumerate(bucket.weighings)
        ],
        "waters": [
            {
                "method": w.method,
                "density_g_per_ml": w.density_g_per_ml,
                "water_ml": w.water_ml,
                "slurry_ml": w.slurry_ml,
                "note": w.note,
            }
            for w in bucket.waters
        ],
    }


def _rounding(rounding: Rounding) -> dict[str, Any]:
    return {
        "worst": rounding.worst.part.material.id,
        "worst_percent": rounding.worst_percent,
        "moves_expansion_1e6_per_k": number(rounding.moves_1e6_per_k),
        "moves_flow_c": number(rounding.moves_c),
        "matters": rounding.matters,
        "advice": rounding.advice,
    }
