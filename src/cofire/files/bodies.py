"""Clay bodies: TOML -> records."""

from __future__ import annotations

from typing import Any

import numpy as np

from cofire.files import toml
from cofire.files.dilatometer import read_curve
from cofire.files.toml import Document, Table
from cofire.records import Body

#: Where clay with cristobalite and with quartz steps, °C.
_STEPS_C = {"cristobalite_step_percent": 226.0, "quartz_step_percent": 573.0}


def read_body(doc: Document) -> Body:
    """One clay body per file; its id is the file name."""
    top = Table(doc, doc.data, what="the body", limits=toml.beside(__file__, "limits.toml"))
    expansion = top.inside("expansion")
    curve = expansion.text("curve", "")
    if not curve and top.has("curve"):
        raise top.refuse("curve-outside-expansion", "curve")
    optional = {
        "pores": ("open_porosity_percent", "moisture_expansion_percent"),
        "shock": ("toughness_mpa_m05", "work_ratio", "free_quartz_percent"),
    }
    stiffness, crackle = top.inside("stiffness"), top.inside("crackle", {})
    tables = [top, expansion, stiffness, crackle]
    more: dict[str, Any] = {}
    for name, keys in optional.items():
        table = top.inside(name, {})
        more |= {key: table.pair(key) for key in keys if table.has(key)}
        tables.append(table)
    if crackle.has("flaws_per_mm"):
        more["flaws_per_mm"] = crackle.number("flaws_per_mm")
    body = Body(
        id=doc.path.stem,
        name=top.name("name"),
        names=top.names("names", (top.name("name"),)),
        youngs_modulus_gpa=stiffness.pair("youngs_modulus_gpa"),
        poisson=stiffness.pair("poisson"),
        source=top.text("source"),
        note=top.text("note", ""),
        place=doc.place(),
        **(_measured(expansion, curve) if curve else _stated(expansion)),
        **more,
    )
    for table in tables:
        table.finish()
    return body


def _measured(expansion: Table, curve: str) -> dict[str, Any]:
    """The fields that a dilatometer's curve gives."""
    for key in ("low", "high", "range_c", *_STEPS_C):
        if expansion.has(key):
            raise expansion.refuse("not-with-a-curve", key)
    measured = read_curve(expansion.doc.path.parent / curve)
    error = expansion.number("curve_error_percent", Body.curve_error_percent)
    end_c = min(500.0, float(measured.t_c[-1]))
    grown = float(np.interp(end_c, measured.t_c, measured.strain))
    middle = 1e6 * grown / (end_c - 20.0)
    return {
        "alpha_1e6_per_k": (middle * (1.0 - error / 100.0), middle * (1.0 + error / 100.0)),
        "range_c": (20.0, end_c),
        "curve": (measured.t_c, measured.strain),
        "curve_error_percent": error,
    }


def _stated(expansion: Table) -> dict[str, Any]:
    """The fields of a clay whose expansion is known between two temperatures."""
    low, high = expansion.number("low"), expansion.number("high")
    from_c, to_c = expansion.pair("range_c")
    if not (to_c - from_c >= 80.0 and from_c >= -50.0 and to_c <= 1100.0):
        raise expansion.refuse("range-too-narrow", "range_c", from_c=from_c, to_c=to_c)
    if not 0.5 <= low <= high < 30.0:
        raise expansion.refuse("no-expansion-of-clay", "low", low=low, high=high)
    steps = {key: expansion.pair(key, (0.0, 0.0)) for key in _STEPS_C}
    inside = sum(steps[key][1] for key, at_c in _STEPS_C.items() if at_c < to_c)
    if inside > 0.8 * low * 1e-4 * (to_c - 20.0):
        raise expansion.refuse(
            "steps-too-large", "cristobalite_step_percent", inside=inside, to_c=to_c
        )
    return {"alpha_1e6_per_k": (low, high), "range_c": (from_c, to_c), **steps}
