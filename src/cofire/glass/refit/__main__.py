"""Fit the property models anew from measured rows: ``python -m cofire.glass.refit``.

Writes the coefficients and the model card. Seeds are fixed. Doubt is measured on publications that
the fit did not see: rows are split by publication, never at random. ``--measured`` takes rows from
another folder of such files, ``--out`` writes to another one, whose files can replace
``glass/coefficients`` as they stand, ``--targets`` fits some properties only. ``--check`` fits anew
into a folder of its own and compares its predictions with the shipped ones.
"""

from __future__ import annotations

import argparse
import json
import sys
import tempfile
from collections.abc import Collection
from pathlib import Path

import numpy as np

from cofire import glass
from cofire.arrays import Array
from cofire.errors import CofireError, refusal
from cofire.glass import engine
from cofire.glass.engine import FOLDER, store_coefficients
from cofire.glass.refit.card import page
from cofire.glass.refit.grounds import N_LANDMARKS, Grounds
from cofire.glass.refit.judged import Judged
from cofire.glass.refit.measured import MEASURED, Measured
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

#: What ``--targets`` may name.
NAMES = (*(t.name for t in TARGETS), "viscosity")
#: Bound on the relative difference of predictions of two fits to the same rows.
SAME = 1e-6


def refit(
    grounds: Grounds | None = None, folder: Path = FOLDER, targets: Collection[str] = NAMES
) -> None:
    """Fit the ``targets`` and write coefficients, scores and the card. Raises CofireError for rows
    that cannot be read, or too few, and for unknown targets."""
    for name in set(targets) - set(NAMES):
        raise refusal("unknown-target", name=name, known=", ".join(NAMES))
    grounds = grounds or Grounds(Measured())
    store: dict[str, Array] = {"landmarks": grounds.all.at, "levels": LEVELS}
    judged: list[Judged] = []
    scores: dict[str, object] = {}
    for target in TARGETS:
        if target.name in targets:
            fitted, came_out = fit_target(target, grounds)
            store |= {f"{target.name}.{key}": value for key, value in fitted.items()}
            judged += came_out
            if target.name == "expansion":
                scores["expansion_tables"] = expansion_tables(came_out[0])
    if "viscosity" in targets:
        fitted, came_out, t_k = fit_viscosity(grounds)
        store |= {f"viscosity.{key}": value for key, value in fitted.items()}
        judged += came_out
        scores["viscosity_models"] = viscosity_models(came_out[0], t_k)
    poisson = grounds.measured.rows("poisson", "nu")
    design = np.concatenate([np.ones((len(poisson.x), 1)), poisson.x], axis=1)
    store["poisson.weights"], _ = fit(
        design, poisson.y, poisson.group, np.full(design.shape[1], 0.03)
    )
    store["surface_tension.off"], store["surface_tension.width"] = surface_tension_misses(
        grounds.measured
    )
    store["seen.high"] = grounds.high
    widths = {t.name: store[f"{t.name}.width"] for t in TARGETS if t.name in targets}
    scores |= {
        "properties": {j.name: summary(j) for j in judged},
        "support": {j.name: by_support(j) for j in judged},
        "worst": {j.name: worst_publications(j) for j in judged},
        "unseen_glazes": unseen_glazes(grounds, widths),
    }
    store_coefficients(store, folder)
    (folder / "scores.json").write_text(json.dumps(scores, indent=1) + "\n", "utf-8")
    (folder / "card.html").write_text(page(judged, scores), "utf-8")
    print(f"written to {folder}")


def surface_tension_misses(measured: Measured) -> tuple[Array, Array]:
    """By how much published factors are off on measured melts without and with lead (2,), mN/m, and
    half-widths around that at LEVELS (2, n_levels)."""
    melts = measured.rows("surface_tension", "mn_per_m", extra="t_c")
    mol = moles(melts.x)
    miss = dietzel_mn_per_m(mol, melts.extra) - melts.y
    number = renumber(melts.group)
    weight = np.bincount(number)[number] ** -PUBLICATION_POWER
    leaded = is_leaded(mol)
    off, width = [], []
    for kind in (~leaded, leaded):
        m = kind if kind.any() else np.ones(len(miss), bool)
        off.append(weighted_quantile(miss[m], weight[m], np.array([0.5]))[0])
        width.append(weighted_quantile(np.abs(miss[m] - off[-1]), weight[m], LEVELS))
    return np.array(off), np.stack(width)


def predictions() -> Array:
    """What the coefficients in use say about a spread of measured glasses, (N, n_properties)."""
    mol = moles(Measured().rows("tg", "Tg_K").x[::25])
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


def predictions_from(folder: Path) -> Array:
    """As ``predictions``, with the coefficients in another folder."""
    shipped = engine.FOLDER
    try:
        use(folder)
        return predictions()
    finally:
        use(shipped)


def use(folder: Path) -> None:
    """Take the coefficients in a folder from now on."""
    engine.FOLDER = folder
    engine.coefficients.cache_clear()
    engine.tables.cache_clear()


def difference(first: Array, second: Array) -> float:
    """Largest relative difference of two sets of predictions."""
    return float(np.max(np.abs(second - first) / np.maximum(np.abs(first), 1e-3)))


def main(words: list[str] | None = None) -> int:
    """0 when written, or the same as shipped; 1 if not the same; 2 for bad input."""
    parser = argparse.ArgumentParser("python -m cofire.glass.refit", description=__doc__)
    parser.add_argument("--measured", type=Path, default=MEASURED, help="folder of measured rows")
    parser.add_argument("--out", type=Path, default=FOLDER, help="folder to write to")
    parser.add_argument("--targets", default=",".join(NAMES), help="properties, with commas")
    parser.add_argument("--landmarks", type=int, default=N_LANDMARKS, help="how many")
    parser.add_argument("--check", action="store_true", help="compare, and write nothing")
    asked = parser.parse_args(words)
    try:
        grounds = Grounds(Measured(asked.measured), asked.landmarks)
        targets = [name.strip() for name in asked.targets.split(",")]
        if not asked.check:
            refit(grounds, asked.out, targets)
            return 0
        with tempfile.TemporaryDirectory() as name:
            refit(grounds, Path(name))
            apart = difference(predictions(), predictions_from(Path(name)))
    except CofireError as problem:
        print(problem, file=sys.stderr)
        return 2
    print(f"largest relative difference from the shipped predictions: {apart:.1e}")
    return 0 if apart <= SAME else 1


if __name__ == "__main__":
    sys.exit(main())
