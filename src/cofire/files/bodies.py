"""Clay bodies: TOML -> records."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np

from cofire.errors import Place
from cofire.files import toml
from cofire.files.dilatometer import read_curve
from cofire.files.toml import Document, Table
from cofire.records import Body

#: Where clay with cristobalite and with quartz steps, °C.
_STEPS_C = {"cristobalite_step_percent": 226.0, "quartz_step_percent": 573.0}


#: Optional pairs and numbers by their table.
_PAIRS = {
    "pores": ("open_porosity_percent", "moisture_expansion_percent"),
    "shock": (
        "toughness_mpa_m05", "work_ratio", "free_quartz_percent", "free_cristobalite_percent"
    ),
    "stiffness": ("youngs_modulus_gpa", "poisson"),
    "crackle": ("onset_factor",),
}  # fmt: skip
_NUMBERS = {
    "clay": ("silica_added_percent", "grog_added_percent", "bisque_c"),
    "crackle": ("flaws_per_mm", "scatter_mpa"),
}


def read_body(doc: Document, like: Callable[[str, Place], Body]) -> Body:
    """One clay body per file; its id is the file name. ``like`` finds the body that the file says
    it is like: that one's numbers stand where the file has none of its own."""
    top = Table(doc, doc.data, what="the body", limits=toml.beside(__file__, "limits.toml"))
    kin = like(top.text("like"), doc.place("like")) if top.has("like") else None
    expansion = top.inside("expansion", None if kin is None else {})
    curve = expansion.text("curve", "")
    if not curve and top.has("curve"):
        raise top.refuse("curve-outside-expansion", "curve")
    needed = ("stiffness",) if kin is None else ()
    tables = {
        name: top.inside(name, None if name in needed else {})
        for name in dict.fromkeys((*_PAIRS, *_NUMBERS))
    }
    own: dict[str, Any] = {}
    for name, keys in _PAIRS.items():
        own |= {k: tables[name].pair(k) for k in keys if name in needed or tables[name].has(k)}
    for name, keys in _NUMBERS.items():
        own |= {key: tables[name].number(key) for key in keys if tables[name].has(key)}
    if "bisque_c" in own and kin is None:
        own["kind_bisque_c"] = own.pop("bisque_c")  # its own numbers are those of its own bisque
    own |= {
        "id": doc.path.stem,
        "name": top.name("name"),
        "names": top.names("names", (top.name("name"),)),
        "source": top.text("source"),
        "note": top.text("note", ""),
        "place": doc.place(),
    }
    if kin is None or expansion.data:
        own |= _measured(expansion, curve) if curve else _stated(expansion)
    body = Body(**own) if kin is None else replace(kin, **{"curve": kin.curve, **own})
    for table in (top, expansion, *tables.values()):
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
        **dict.fromkeys(_STEPS_C, (0.0, 0.0)),
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
    return {"alpha_1e6_per_k": (low, high), "range_c": (from_c, to_c), "curve": None, **steps}
