"""How well the measured glasses surround a composition."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cofire.arrays import Array
from cofire.chem.oxides import COUNTED, MODELLED
from cofire.glass.basis import CHUNK, position, squared_distance
from cofire.glass.engine import coefficients

WORDS = ("well inside the data", "at the edge of the data", "outside the data")
#: Share (mole fraction) of oxides no model knows at which a glass counts as outside; our choice.
_UNKNOWN_OUTSIDE = 0.05


@dataclass(frozen=True)
class Support:
    """``grade`` (N,) from 0 well inside to 1 outside, in words, and the oxide most to blame."""

    grade: Array
    words: tuple[str, ...]
    culprit: tuple[str, ...]


def support(mol: Array) -> Support:
    """Grade moles (N, n_oxides), any total. Empty rows give NaN.

    The grade grows with the distance to the nearest landmark glass (0 at the median of the
    measured glasses, a half at their 95th percentile, 1 at their 99.8th) and with any oxide beyond
    its measured range.
    """
    mol = np.atleast_2d(np.asarray(mol, dtype=float))
    grades, culprits = [np.zeros(0)], []
    for start in range(0, len(mol), CHUNK):
        grade, culprit = _grade(mol[start : start + CHUNK])
        grades.append(grade)
        culprits.extend(culprit)
    grade = np.concatenate(grades)
    word = np.where(grade < 0.5, 0, np.where(grade < 1.0, 1, 2))
    return Support(grade, tuple(WORDS[w] for w in word), tuple(culprits))


def _grade(mol: Array) -> tuple[Array, list[str]]:
    store = coefficients()
    n = len(MODELLED)
    total = mol[:, :n].sum(axis=1, keepdims=True)
    x = np.divide(mol[:, :n], total, out=np.full_like(mol[:, :n], np.nan), where=total > 0)
    everything = np.maximum(mol.sum(axis=1, keepdims=True), 1e-300)
    counted = mol[:, n:] / everything
    apart = np.sqrt(squared_distance(position(x), store["landmarks"]).min(axis=1))
    by_distance = np.interp(apart, store["seen.apart"], [0.0, 0.5, 1.0])
    over = x / np.maximum(store["seen.high"], 1e-6)
    by_range = np.clip(over.max(axis=1) - 0.5, 0.0, 1.0) * (over.max(axis=1) > 1.0)
    by_unknown = np.clip(counted.sum(axis=1) / _UNKNOWN_OUTSIDE, 0.0, 1.0)
    grade = np.where(
        np.isfinite(x[:, 0]), np.maximum.reduce([by_distance, by_range, by_unknown]), np.nan
    )
    names = []
    for row in range(len(mol)):
        if by_unknown[row] >= max(by_distance[row], by_range[row]) and by_unknown[row] > 0.0:
            names.append(COUNTED[int(counted[row].argmax())])
        elif np.isfinite(grade[row]) and grade[row] >= 0.5:
            names.append(MODELLED[int(over[row].argmax())])
        else:
            names.append("")
    return grade, names
