"""Clay bodies: TOML -> records."""

from __future__ import annotations

import numpy as np

from cofire.files.dilatometer import read_curve
from cofire.files.toml import Document, Table
from cofire.records import Body


def read_body(doc: Document) -> Body:
    """One clay body per file; its id is the file name."""
    top = Table(doc, doc.data, what="the body")
    expansion = Table(doc, top.get("expansion"), "expansion", what="the body's [expansion]")
    curve = expansion.text("curve", "")
    if curve:
        measured = read_curve(doc.path.parent / curve)
        for key in ("low", "high", "range_c", "cristobalite_step_percent", "quartz_step_percent"):
            if key in expansion.data:
                raise expansion.fail(
                    f"with a curve, “{key}” is not needed.", key, hint="Keep one of the two."
                )
        error = expansion.number("curve_error_percent", 3.0)
        if not 0.0 <= error <= 50.0:
            raise expansion.fail("the error of a curve is 0 to 50 %.", "curve_error_percent")
        range_c = (20.0, min(500.0, float(measured.t_c[-1])))
        at_end = float(np.interp(range_c[1], measured.t_c, measured.strain))
        middle = 1e6 * at_end / (range_c[1] - 20.0)
        low, high = middle * (1.0 - error / 100.0), middle * (1.0 + error / 100.0)
    else:
        if "curve" in top.data:
            raise top.fail(
                "“curve” belongs under [expansion].", "curve", hint="Move the line there."
            )
        measured, error = None, 3.0
        low, high = expansion.number("low"), expansion.number("high")
        range_c = expansion.pair("range_c")
        if not (range_c[1] - range_c[0] >= 80.0 and range_c[0] >= -50.0 and range_c[1] <= 1100.0):
            raise expansion.fail(
                f"an expansion from {range_c[0]:g} to {range_c[1]:g} °C tells nothing.",
                "range_c",
                hint="Write the two temperatures it was measured between, e.g. [20, 500].",
            )
        if not 0.5 <= low <= high < 30.0:
            raise expansion.fail(
                f"an expansion from {low:g} to {high:g} is not one of a clay body.",
                "low",
                hint="Write it in 1e-6 per K: a raku body is about 5 to 7.",
            )
    steps = {
        key: expansion.pair(key, (0.0, 0.0))
        for key in ("cristobalite_step_percent", "quartz_step_percent")
    }
    for key, (least, most) in steps.items():
        if not 0.0 <= least <= most <= 1.2:
            raise expansion.fail(
                f"“{key}” is 0 to 1.2 % of length.",
                key,
                hint="Pure quartz steps by 0.45 %, a body by its share of that.",
            )
    inside = sum(
        steps[key][1]
        for key, at in (("cristobalite_step_percent", 226.0), ("quartz_step_percent", 573.0))
        if at < range_c[1]
    )
    if inside > 0.8 * low * 1e-4 * (range_c[1] - 20.0):
        raise expansion.fail(
            f"steps of {inside:g} % are more than this clay grows up to {range_c[1]:.0f} °C.",
            "cristobalite_step_percent",
            hint="Low and high hold the cristobalite step, so they have to be larger.",
        )
    stiffness = Table(doc, top.get("stiffness"), "stiffness", what="the body's [stiffness]")
    pores = Table(doc, top.get("pores", {}), "pores", what="the body's [pores]")
    porosity = pores.pair("open_porosity_percent", (-1.0, -1.0))
    moisture = pores.pair("moisture_expansion_percent", (-1.0, -1.0))
    shock = Table(doc, top.get("shock", {}), "shock", what="the body's [shock]")
    toughness = shock.pair("toughness_mpa_m05", Body.toughness_mpa_m05)
    ratio = shock.pair("work_ratio", Body.work_ratio)
    quartz = shock.pair("free_quartz_percent", Body.free_quartz_percent)
    if not 0.1 <= toughness[0] <= toughness[1] <= 5.0:
        raise shock.fail(
            "a fired clay's toughness is 0.1 to 5 MPa m^0.5.",
            "toughness_mpa_m05",
            hint="Porous bodies have 0.5 to 1, porcelain 1 to 1.7.",
        )
    if not 1.0 <= ratio[0] <= ratio[1] <= 20.0:
        raise shock.fail(
            "breaking through takes 1 to 20 times the work of starting a crack.",
            "work_ratio",
            hint="Fine dense bodies 1 to 1.5, grogged ones 2 to 4.",
        )
    if not 0.0 <= quartz[0] <= quartz[1] <= 80.0:
        raise shock.fail("free quartz is 0 to 80 % of a body.", "free_quartz_percent")
    crackle = Table(doc, top.get("crackle", {}), "crackle", what="the body's [crackle]")
    flaws = crackle.number("flaws_per_mm", 0.0) if "flaws_per_mm" in crackle.data else None
    if flaws is not None and not 0.005 <= flaws <= 5.0:
        raise crackle.fail(
            "flaws that start cracks are 0.005 to 5 per mm.",
            "flaws_per_mm",
            hint="Let “cofire tile” work it out from tiles with measured cracks.",
        )
    name = top.text("name")
    body = Body(
        id=doc.path.stem,
        name=name,
        names=top.names("names", (name,)),
        alpha_1e6_per_k=(low, high),
        range_c=range_c,
        cristobalite_step_percent=steps["cristobalite_step_percent"],
        quartz_step_percent=steps["quartz_step_percent"],
        curve=None if measured is None else (measured.t_c, measured.strain),
        curve_error_percent=error,
        youngs_modulus_gpa=stiffness.pair("youngs_modulus_gpa"),
        poisson=stiffness.pair("poisson"),
        source=top.text("source"),
        open_porosity_percent=None if porosity[0] < 0 else porosity,
        moisture_expansion_percent=None if moisture[0] < 0 else moisture,
        toughness_mpa_m05=toughness,
        work_ratio=ratio,
        free_quartz_percent=quartz,
        flaws_per_mm=flaws,
        note=top.text("note", ""),
        place=doc.place(),
    )
    for table in (top, expansion, stiffness, pores, shock, crackle):
        table.finish()
    if not 0.5 <= body.youngs_modulus_gpa[0] <= body.youngs_modulus_gpa[1] <= 150.0:
        raise stiffness.fail(
            "a fired body's stiffness is 0.5 to 150 GPa.",
            "youngs_modulus_gpa",
            hint="Porous bodies have 8 to 30, porcelain 60 to 80.",
        )
    if not 0.0 <= body.poisson[0] <= body.poisson[1] <= 0.45:
        raise stiffness.fail(
            "a body's Poisson ratio is a share from 0 to 0.45.",
            "poisson",
            hint="Fired clay has 0.15 to 0.25.",
        )
    if moisture != (-1.0, -1.0) and not 0.0 <= moisture[0] <= moisture[1] <= 1.0:
        raise pores.fail(
            "clay grows by 0 to 1 % in moist air.",
            "moisture_expansion_percent",
            hint="Porous bodies grow by 0.02 to 0.12 % in ten years.",
        )
    if porosity != (-1.0, -1.0) and not 0.0 <= porosity[0] <= porosity[1] <= 60.0:
        raise pores.fail("open pores are 0 to 60 % of a body.", "open_porosity_percent")
    return body
