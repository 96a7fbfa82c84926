"""Reading the tables of this folder: CSV with remarks on top."""

from __future__ import annotations

import csv
from pathlib import Path


def read(name: str) -> list[dict[str, str]]:
    """Rows of one of the tables beside this file."""
    lines = (Path(__file__).parent / name).read_text("utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))
