"""How predictions of unseen publications came out."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from cofire.arrays import Array
from cofire.glass.refit.solve import LEVELS


@dataclass(frozen=True, eq=False)
class Judged:
    """Rows of one property as predicted by fits that saw nothing of their publication."""

    name: str
    x: Array
    y: Array
    value: Array
    width: Array  # half-width of an interval over its factor
    factor: Array  # at LEVELS, (n_levels,) or one row of them for each glass
    group: Any
    core: Any
    apart: Array  # distance to the nearest landmark

    @property
    def error(self) -> Array:
        return self.value - self.y

    def covered(self, level: float, part: Any = slice(None)) -> float:
        """Share of rows (of a part) inside their interval at one of LEVELS."""
        half = self.factor[..., LEVELS.tolist().index(level)] * self.width
        inside = (np.abs(self.error) <= half)[part]
        return float(inside.mean()) if len(inside) else float("nan")

    def miss(self, part: Any = slice(None)) -> float:
        """Mean absolute error of rows (of a part)."""
        return float(np.abs(self.error)[part].mean()) if len(self.y[part]) else float("nan")

    def line(self) -> str:
        return (
            f"{self.name:20} unseen publications: mean miss {self.miss():.3f}, low-fire core "
            f"{self.miss(self.core):.3f}; 90 % covers {self.covered(0.9):.3f}, core "
            f"{self.covered(0.9, self.core):.3f}  ({len(self.y)} rows, {self.core.sum()} core)"
        )
