"""The measured rows, as files beside the models."""

from __future__ import annotations

import csv
import gzip
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from cofire.arrays import Array
from cofire.chem.oxides import MODELLED

MEASURED = Path(__file__).parents[1] / "measured"


@dataclass(frozen=True, eq=False)
class Rows:
    """One measured file: mole fractions (N, 22), value (N,), publication by name (N,)."""

    x: Array
    y: Array
    group: np.ndarray[Any, Any]
    core: np.ndarray[Any, Any]
    extra: Array  # a second number column: temperature or range, else zero

    def only(self, keep: Any) -> Rows:
        """The rows to keep, a mask (N,)."""
        return Rows(*(v[keep] for v in (self.x, self.y, self.group, self.core, self.extra)))


def read_table(name: str) -> list[dict[str, str]]:
    """All rows of one file, as text. Only a source tree holds them, not an installed wheel."""
    with gzip.open(MEASURED / f"{name}.csv.gz", "rt", encoding="utf-8") as lines:
        return list(csv.DictReader(lines))


def rows(name: str, column: str, *, kind: str = "", extra: str = "", every: int = 1) -> Rows:
    """Rows of one file (of one ``kind``); ``every`` n-th publication only, for quick checks."""
    table = [r for r in read_table(name) if not kind or r["kind"] == kind]
    ids = {g: i for i, g in enumerate(dict.fromkeys(r["group"] for r in table))}
    table = [r for r in table if ids[r["group"]] % every == 0]
    x = np.array([[float(r[o]) for o in MODELLED] for r in table])
    return Rows(
        x=x / x.sum(axis=1, keepdims=True),
        y=np.array([float(r[column]) for r in table]),
        group=np.array([r["group"] for r in table]),
        core=np.array([r["core"] == "1" for r in table]),
        extra=np.array([float(r[extra]) if extra else 0.0 for r in table]),
    )
