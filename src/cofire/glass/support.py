"""How well the measured glasses surround a composition."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cofire.arrays import Array
from cofire.chem.oxides import COUNTED, MODELLED
from cofire.glass.basis import SCALE
from cofire.glass.engine import Prepared, coefficients, prepare
from cofire.glass.estimate import distance_grade

WORDS = ("well inside the data", "at the edge of the data", "outside the data")
#: Share (mole fraction) of oxides no model knows at which a glass counts as outside; our choice.
_UNKNOWN_OUTSIDE = 0.05
_KNOWN = np.array(MODELLED)


@dataclass(frozen=True, eq=False)
class Support:
    """``grade`` (N,) from 0 well inside to 1 outside, in words, and the oxide most to blame."""

    grade: Array
    words: tuple[str, ...]
    culprit: tuple[str, ...]


def support(mol: Array | Prepared) -> Support:
    """Grade moles (N, n_oxides), any total. Empty rows give NaN."""
    at = prepare(mol)
    over, reasons = _reasons(at)
    grade = _worst(at, reasons)
    # of the measured glass most like it, the oxide in which this one differs most
    measured = coefficients()["landmarks"][at.nearest, : len(MODELLED)]
    odd = np.abs(at.x - measured * SCALE) / SCALE
    blame = np.stack([_KNOWN[odd.argmax(axis=1)], _KNOWN[over.argmax(axis=1)],
                      np.array(COUNTED)[at.counted.argmax(axis=1)]])  # fmt: skip
    chosen = np.take_along_axis(blame, reasons.argmax(axis=0)[None], 0)[0]
    word = np.where(grade < 0.5, 0, np.where(grade < 1.0, 1, 2))
    return Support(
        grade, tuple(WORDS[w] for w in word), tuple(np.where(grade >= 0.5, chosen, "").tolist())
    )


def support_grade(mol: Array | Prepared) -> Array:
    """The grade (N,) alone, of which very many are quick.

    It grows with the distance to the nearest landmark glass (``estimate.RULER``) and with any oxide
    beyond its measured range.
    """
    at = prepare(mol)
    return _worst(at, _reasons(at)[1])


def _reasons(at: Prepared) -> tuple[Array, Array]:
    """Each oxide over the most that was measured (N, 22), and grades by distance, by that range and
    by oxides unknown to the models (3, N)."""
    store = coefficients()
    over = at.x / np.maximum(store["seen.high"], 1e-6)
    most = over.max(axis=1)
    by_distance = np.minimum(distance_grade(at.apart), 1.0)
    by_range = np.where(most > 1.0, np.clip(most - 0.5, 0.0, 1.0), 0.0)
    by_unknown = np.clip(at.counted.sum(axis=1) / _UNKNOWN_OUTSIDE, 0.0, 1.0)
    return over, np.stack([by_distance, by_range, by_unknown])


def _worst(at: Prepared, reasons: Array) -> Array:
    return np.where(np.isfinite(at.x[:, 0]), reasons.max(axis=0), np.nan)
