"""Fit every property model anew from the measured rows: ``python -m cofire.glass.refit``.

Writes the coefficients and the model card. Seeds are fixed. Doubt is measured on publications that
the fit did not see: rows are split by publication, never at random. ``--check`` fits anew into a
folder of its own and compares its predictions with the shipped ones.
"""

from __future__ import annotations

import argparse
import json
import sys
import tempfile
from pathlib import Path

import numpy as np

from cofire import glass
from cofire.arrays import Array
from cofire.glass import engine
from cofire.glass.basis import basis, position, squared_distance, structure
from cofire.glass.engine import FOLDER, store_coefficients
from cofire.glass.refit.card import page
from cofire.glass.refit.judged import Judged
from cofire.glass.refit.landmarks import choose_landmarks
from cofire.glass.refit.measured import rows
from cofire.glass.refit.properties import TARGETS, fit_target
from cofire.glass.refit.scores import (
    by_support,
    expansion_tables,
    moles,
    summary,
    unseen_glazes,
    viscosity_models,
    worst_publications,
)
from cofire.glass.refit.solve import LEVELS, PUBLICATION_POWER, fit, renumber, weighted_quantile
from cofire.glass.refit.viscosity import fit_viscosity
from cofire.glass.surface_tension import dietzel_mn_per_m, is_leaded

N_LANDMARKS = 300


def refit(every: int = 1, folder: Path = FOLDER) -> None:
    """Fit everything and write coefficients, scores and the card; with ``every`` n-th publication
    only for a quick check."""
    union = np.concatenate(
        [
            rows(t.file, t.column, kind=t.kind, every=every).x[::3]
            for t in TARGETS
            if t.name in ("expansion", "glass_transition", "strain", "annealing", "liquidus")
        ]
    )
    landmarks = choose_landmarks(union, N_LANDMARKS if every == 1 else 40)
    sample = basis(union[:: max(1, len(union) // 3000)], landmarks)
    store: dict[str, Array] = {"landmarks": landmarks, "levels": LEVELS}
    judged: list[Judged] = []
    for target in TARGETS:
        fitted, came_out = fit_target(target, landmarks, sample, every)
        store |= {f"{target.name}.{key}": value for key, value in fitted.items()}
        judged += came_out
    fitted, came_out, t_k = fit_viscosity(landmarks, sample, every)
    store |= {f"viscosity.{key}": value for key, value in fitted.items()}
    judged += came_out
    poisson = rows("poisson", "nu")
    design = np.concatenate([np.ones((len(poisson.x), 1)), poisson.x], axis=1)
    store["poisson.weights"], _ = fit(
        design, poisson.y, poisson.group, 0.03 * np.eye(design.shape[1])
    )
    store["surface_tension.off"], store["surface_tension.width"] = surface_tension_misses()
    store["seen.high"] = np.percentile(union, 99.8, axis=0)
    apart = np.sqrt(squared_distance(position(union, structure(union)), landmarks).min(1))
    store["seen.apart"] = np.percentile(apart, [50.0, 95.0, 99.8])
    store_coefficients(store, folder)
    by_name = {j.name: j for j in judged}
    scores = {
        "properties": {j.name: summary(j) for j in judged},
        "expansion_tables": expansion_tables(by_name["expansion"]),
        "viscosity_models": viscosity_models(by_name["log10_eta"], t_k),
        "support": {j.name: by_support(j, landmarks, store["seen.apart"]) for j in judged},
        "worst": {j.name: worst_publications(j) for j in judged},
        "unseen_glazes": unseen_glazes(landmarks, every),
    }
    (folder / "scores.json").write_text(json.dumps(scores, indent=1) + "\n", "utf-8")
    (folder / "card.html").write_text(page(judged, scores), "utf-8")
    print(f"written to {folder}")


def surface_tension_misses() -> tuple[Array, Array]:
    """By how much published factors are off on measured melts without and with lead (2,), mN/m, and
    half-widths around that at LEVELS (2, n_levels)."""
    melts = rows("surface_tension", "mn_per_m", extra="t_c")
    mol = moles(melts.x)
    miss = dietzel_mn_per_m(mol, melts.extra) - melts.y
    number = renumber(melts.group)
    weight = np.bincount(number)[number] ** -PUBLICATION_POWER
    leaded = is_leaded(mol)
    off, width = [], []
    for m in (~leaded, leaded):
        off.append(weighted_quantile(miss[m], weight[m], np.array([0.5]))[0])
        width.append(weighted_quantile(np.abs(miss[m] - off[-1]), weight[m], LEVELS))
    return np.array(off), np.stack(width)


def predictions() -> Array:
    """What the coefficients in use say about a spread of measured glasses, (N, n_properties)."""
    mol = moles(rows("tg", "Tg_K").x[::25])
    at = glass.prepare(mol)
    models = (
        glass.expansion, glass.expansion_20_400, glass.glass_transition, glass.strain_point,
        glass.annealing_point, glass.littleton_point, glass.dilatometric_softening,
        glass.youngs_modulus, glass.density, glass.liquidus,
    )  # fmt: skip
    estimates = [model(at) for model in models]
    columns = [v for e in estimates for v in (e.value, e.low, e.high)]
    curve = glass.viscosity(at)
    columns += [curve.log10_eta(900.0), curve.width(900.0), glass.poisson_ratio(at)]
    return np.column_stack(columns)


def check() -> bool:
    """Fit anew beside the shipped coefficients and say whether predictions agree to 1e-6."""
    shipped = predictions()
    with tempfile.TemporaryDirectory() as name:
        refit(folder=Path(name))
        engine.FOLDER = Path(name)
        engine.coefficients.cache_clear()
        engine.tables.cache_clear()
        again = predictions()
    worst = float(np.max(np.abs(again - shipped) / np.maximum(np.abs(shipped), 1e-3)))
    print(f"largest relative difference from the shipped predictions: {worst:.1e}")
    return worst <= 1e-6


if __name__ == "__main__":
    parser = argparse.ArgumentParser("python -m cofire.glass.refit")
    parser.add_argument("--check", action="store_true", help="compare, and write nothing")
    if parser.parse_args().check:
        sys.exit(0 if check() else 1)
    refit()
