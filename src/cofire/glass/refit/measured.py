"""The measured rows, as files beside the models or in a folder of one's own."""

from __future__ import annotations

import csv
import gzip
import zlib
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np

from cofire.arrays import Array
from cofire.chem.oxides import MODELLED
from cofire.errors import Place, refusal

MEASURED = Path(__file__).parents[1] / "measured"
#: How far mole fractions of a row may be from 1 together: they are rounded.
_SUM = 0.005


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


@dataclass(frozen=True)
class Measured:
    """A folder of measured files; ``every`` takes about one publication in so many, the same ones
    in every file, for a quick check. Only a source tree holds the shipped rows, not a wheel."""

    folder: Path = MEASURED
    every: int = 1
    without: tuple[str, ...] = ()  # publications that are left out
    _tables: dict[str, dict[str, Any]] = field(default_factory=dict, repr=False, init=False)

    def rows(self, name: str, column: str, *, kind: str = "", extra: str = "") -> Rows:
        """Rows of one file (of one ``kind``). Raises CofireError for a file or row that cannot be
        read, with its place."""
        table = self._table(name)
        keep = table["kind"] == kind if kind else slice(None)
        rows = Rows(
            x=table["x"],
            y=self._numbers(name, column),
            group=table["group"],
            core=table["core"],
            extra=self._numbers(name, extra) if extra else np.zeros(len(table["x"])),
        )
        return rows.only(keep)

    def _table(self, name: str) -> dict[str, Any]:
        if name not in self._tables:
            path = self._path(name)
            try:
                with gzip.open(path, "rt", encoding="utf-8", newline="") as lines:
                    cells = list(csv.reader(lines))
            except FileNotFoundError:
                raise refusal("no-measured-file", Place(path)) from None
            except (OSError, EOFError, zlib.error, UnicodeDecodeError, csv.Error) as problem:
                raise refusal("measured-unreadable", Place(path), reason=problem) from None
            head = cells[0] if cells else []
            for row, line in enumerate(cells[1:], 2):
                if len(line) != len(head):
                    raise refusal("measured-row", Place(path, row), what=f"{len(line)} cells")
            columns = dict(zip(head, map(np.array, zip(*cells[1:], strict=True)), strict=False))
            self._tables[name] = columns
            self._tables[name] = self._checked(name, columns)
        return self._tables[name]

    def _checked(self, name: str, columns: dict[str, Any]) -> dict[str, Any]:
        """The columns with what all files share as numbers; of every n-th publication only."""
        x = np.column_stack([self._numbers(name, oxide) for oxide in MODELLED])
        total = x.sum(axis=1)
        self._refuse(name, (x < 0.0).any(axis=1), "a mole fraction below 0")
        self._refuse(name, np.abs(total - 1.0) > _SUM, "mole fractions that do not add up to 1")
        group, core = self._texts(name, "group"), self._texts(name, "core")
        self._refuse(name, group == "", "no publication under “group”")
        self._refuse(name, (core != "0") & (core != "1"), "neither 0 nor 1 under “core”")
        kept = np.array([zlib.crc32(f"every{g}".encode()) % self.every == 0 for g in group], bool)
        kept &= ~np.isin(group, self.without)
        columns = {k: v[kept] for k, v in columns.items()}
        return columns | {
            "x": (x / total[:, None])[kept],
            "core": (core == "1")[kept],
            "kind": columns.get("kind", np.full(kept.sum(), "")),
        }

    def _texts(self, name: str, column: str) -> Any:
        columns = self._tables[name]
        if column not in columns:
            raise refusal("measured-column", Place(self._path(name), 1), column=column)
        return columns[column]

    def _numbers(self, name: str, column: str) -> Array:
        texts = self._texts(name, column)
        try:
            numbers = np.asarray(texts, dtype=float)
        except ValueError:
            bad = np.array([not _is_number(t) for t in texts])
            self._refuse(name, bad, f"no number under “{column}”")
            raise
        self._refuse(name, ~np.isfinite(numbers), f"no number under “{column}”")
        return numbers

    def _refuse(self, name: str, bad: Any, what: str) -> None:
        if bad.any():
            raise refusal("measured-row", Place(self._path(name), int(bad.argmax()) + 2), what=what)

    def _path(self, name: str) -> Path:
        return self.folder / f"{name}.csv.gz"


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True
