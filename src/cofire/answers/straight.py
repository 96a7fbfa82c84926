"""Wishes that are straight lines in the amounts: as rows of a program, and what they came to."""

from __future__ import annotations

import numpy as np

from cofire.answers.sight import Sight
from cofire.answers.wishes import Wish
from cofire.arrays import Array
from cofire.chem.composition import flux_moles, unity, wt_from_mol
from cofire.chem.oxides import INDEX, MOLAR_MASS
from cofire.formulate.program import Row


def rows_of(wish: Wish, sight: Sight, start: Array) -> list[Row]:
    """A wish that is a straight line in the amounts; one for each of its ends."""
    family, at = sight.family, sight.columns.astype(int)
    if wish.kind in ("amount", "share"):
        weights = np.array([float(m.id in wish.names) for m in sight.materials])
        return [Row(weights, wish.low, wish.high, wish.scale)]
    grams = family.grams / (MOLAR_MASS if wish.kind in ("unity", "ratio") else 1.0)
    names = [INDEX[o] for o in wish.names]
    top = grams[:, names].sum(axis=1)
    if wish.kind == "ratio":
        top, bottom = grams[:, names[0]], grams[:, names[1]]
    elif wish.kind == "unity":
        bottom = flux_moles(grams)
    elif wish.kind == "weight":
        bottom = 0.01 * grams.sum(axis=1)
    else:  # loss on ignition, of all that is weighed
        top, bottom = family.lost, np.full(len(family.lost), 0.01)
    now = max(float(sight.whole(start) @ bottom), 1e-9)
    rows = []
    for bound, least in ((wish.low, True), (wish.high, False)):
        if np.isfinite(bound):
            line = top - bound * bottom
            fixed = float(sight.additions @ line)
            low, high = (-fixed, np.inf) if least else (-np.inf, -fixed)
            rows.append(Row(line[at], low, high, wish.scale * now))
    return rows


def straight_values(wish: Wish, sight: Sight, rows: Array) -> Array:
    """What such a wish has come to in base parts (P, V), (P,)."""
    whole = sight.whole(rows)
    mol = sight.family.mol(whole)
    names = [INDEX[o] for o in wish.names if o in INDEX]
    if wish.kind in ("amount", "share"):
        return np.asarray(rows @ np.array([float(m.id in wish.names) for m in sight.materials]))
    if wish.kind == "loi":
        return np.asarray(100.0 * (whole @ sight.family.lost) / whole.sum(axis=1))
    if wish.kind == "weight":
        return np.asarray(wt_from_mol(mol)[:, names].sum(axis=1))
    if wish.kind == "ratio":
        with np.errstate(divide="ignore", invalid="ignore"):
            return np.asarray(mol[:, names[0]] / mol[:, names[1]])
    return np.asarray(unity(mol)[:, names].sum(axis=1))
