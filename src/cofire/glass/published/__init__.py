"""Models and tables that other people published, for comparison beside our own."""

from __future__ import annotations

from cofire.glass.published.expansion import ExpansionTable, expansion, is_low_fire_core, tables
from cofire.glass.published.viscosity import (
    Curve,
    ViscosityModel,
    fluegel_isokoms,
    giordano_curve,
    lakatos_curve,
    models,
)

__all__ = [
    "Curve", "ExpansionTable", "ViscosityModel", "expansion", "fluegel_isokoms", "giordano_curve",
    "is_low_fire_core", "lakatos_curve", "models", "tables",
]  # fmt: skip
