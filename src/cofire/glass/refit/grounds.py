"""What all fits of one refit share: the measured rows and the landmarks of each fold."""

from __future__ import annotations

from dataclasses import dataclass, fields
from functools import cached_property

import numpy as np

from cofire.arrays import Array
from cofire.glass.refit.landmarks import Landmarks, choose_landmarks
from cofire.glass.refit.measured import Measured, Rows
from cofire.glass.refit.solve import FOLDS, fold_of

#: More meet unseen publications better, at a cost of time and room in proportion; our choice.
N_LANDMARKS = 500
#: Files and columns whose glasses choose the landmarks.
_CHOOSING = (
    ("expansion", "alpha_1e7_per_K"), ("expansion_any_range", "cte_1e6_per_K"),
    ("fixed_points", "t_c"), ("tg", "Tg_K"), ("visc", "log10_eta_Pas"), ("liquidus", "t_c"),
)  # fmt: skip


@dataclass(frozen=True, eq=False)
class Grounds:
    """Landmarks chosen from all measured glasses, and for each fold from those of the others: a
    landmark laid on a glass that was left out would know too much of it."""

    measured: Measured
    count: int = N_LANDMARKS

    @cached_property
    def all(self) -> Landmarks:
        return choose_landmarks(self._glasses.x, self.count)

    @cached_property
    def of_fold(self) -> tuple[Landmarks, ...]:
        fold = fold_of(self._glasses.group)
        return tuple(choose_landmarks(self._glasses.x[fold != k], self.count) for k in range(FOLDS))

    @cached_property
    def sample(self) -> Array:
        """Columns of a spread of about 3000 measured glasses."""
        return self.all.columns(self._glasses.x[:: max(1, len(self._glasses.x) // 3000)])

    @cached_property
    def high(self) -> Array:
        """The most of each oxide in all but a few of the measured glasses (22,), mole fractions."""
        return np.asarray(np.percentile(self._glasses.x, 99.8, axis=0))

    @cached_property
    def _glasses(self) -> Rows:
        files = [self.measured.rows(name, column) for name, column in _CHOOSING]
        return Rows(
            *(np.concatenate([getattr(rows, f.name) for rows in files]) for f in fields(Rows))
        )
