"""Blends for programs and spreadsheets: full precision, units in the names."""

from __future__ import annotations

import csv
from typing import IO, Any

from cofire.answers.blend.blend import Blend
from cofire.show.machine import findings_list, number

#: name here -> name in ``Glance``
_SEEN = {
    "expansion_1e6_per_k": "alpha_1e6_per_k",
    "expansion_half_width_90_1e6_per_k": "half_width_1e6_per_k",
    "liquidus_c": "liquidus_c",
    "loi_percent": "loi_percent",
    "stress_mpa": "stress_mpa",
    "odds_crazes_at_once": "crazes",
    "odds_crazes_within_months": "crazes_later",
    "odds_shivers": "shivers",
    "odds_fits": "fits",
    "crack_spacing_mm": "spacing_mm",
    "black_crack_spacing_mm": "black_mm",
    "odds_under_at_first_pull": "under",
    "odds_ripe_at_every_pull": "ripe",
    "odds_runs_at_last_pull": "runs",
    "ripe_by_decades": "ripe_by_decades",
    "safe_by_decades": "safe_by_decades",
}


def _predicted(answer: Blend, p: int) -> dict[str, Any]:
    """What is known of a point; only what was asked."""
    found: dict[str, Any] = {}
    for key, name in _SEEN.items():
        values = getattr(answer.seen, name)
        if values is not None:
            found[key] = number(float(values[p]))
    if answer.yes is not None:
        found["odds_right"] = float(answer.right[p])
        found["word"] = answer.words[p]
    found["judged_as"] = answer.surfaces[p]
    found["data"] = answer.seen.support.words[p]
    return found


def blend_dict(answer: Blend) -> dict[str, Any]:
    """The whole answer; ``crack_spacing_mm`` is null where it does not craze."""
    labels, cups, tiles = answer.points.labels, answer.cups, answer.tiles
    ids = [one.id for one in answer.ingredients]
    points = []
    for p, label in enumerate(labels):
        point: dict[str, Any] = {
            "label": label,
            "share_by_dry_weight": dict(zip(ids, answer.shares[p].tolist(), strict=True)),
        }
        if answer.percent is not None:
            added = [a.material.id for a in answer.additions]
            point["percent_of_base"] = dict(zip(added, answer.percent[p].tolist(), strict=True))
        if cups:
            point["cup"] = {
                f"{key} ({unit})": float(v)
                for key, unit, v in zip(ids, cups.units, cups.amounts[p], strict=True)
            }
        points.append(point | _predicted(answer, p))
    return {
        "form": answer.points.form,
        "steps": answer.points.steps,
        "ingredients": [{"id": one.id, "name": one.name} for one in answer.ingredients],
        "slurry_g_per_ml": None
        if answer.slurry_g_per_ml is None
        else answer.slurry_g_per_ml.tolist(),
        "firing": answer.at.firing.name if answer.at.firing else None,
        "body": answer.at.body.name if answer.at.body else None,
        "cooling": answer.at.cool.words if answer.at.body else None,
        "coat_fired_mm": answer.at.coat(0).fired_mm,
        "wall_mm": answer.at.wall_mm,
        "odds_asked": answer.at.odds,
        "yes": answer.yes,
        "sentence": answer.sentence,
        "points": points,
        "changes": [
            {
                "between": [labels[p], labels[q]],
                "words": [answer.words[p], answer.words[q]],
            }
            for p, q in answer.changes
        ],
        "in_all": None
        if cups is None
        else [
            {"id": key, "amount": float(total), "unit": unit, "dry_g": float(dry)}
            for key, total, unit, dry in zip(ids, cups.totals, cups.units, cups.dry_g, strict=True)
        ],
        "tiles": None
        if tiles is None
        else [
            {"label": labels[p], "doubt_left": left}
            for p, left in zip(tiles.chosen, tiles.left, strict=True)
        ],
        "findings": findings_list(answer.findings),
    }


def write_csv(answer: Blend, out: IO[str]) -> None:
    """One row a point; an empty field where there is no number."""
    ids, cups = [one.id for one in answer.ingredients], answer.cups
    added = [] if answer.percent is None else [a.material.id for a in answer.additions]
    head = ["label", *(f"{key} (dry share)" for key in ids)]
    head += [f"{key} (% of base)" for key in added]
    if cups:
        head += [f"{key} ({unit})" for key, unit in zip(ids, cups.units, strict=True)]
    table = csv.writer(out)
    table.writerow([*head, *_predicted(answer, 0)])
    for p, label in enumerate(answer.points.labels):
        row: list[Any] = [label, *(f"{v:.6g}" for v in answer.shares[p])]
        if answer.percent is not None:
            row += [f"{v:.6g}" for v in answer.percent[p]]
        if cups:
            row += [f"{v:.9g}" for v in cups.amounts[p]]
        table.writerow([*row, *map(_field, _predicted(answer, p).values())])


def _field(value: object) -> str:
    if value is None:
        return ""
    return f"{value:.6g}" if isinstance(value, float) else str(value)
