"""Bodies and firings: TOML -> records."""

from __future__ import annotations

from collections.abc import Callable

from cofire.errors import QuantityError
from cofire.files.toml import Document, Table
from cofire.records import Body, Firing, Kiln, Pull, Segment
from cofire.units import minutes, rate_c_per_h, temperature_c

FLAT_OUT = "as fast as the kiln can"
#: No glaze or studio kiln works outside this; a number beyond it is a slip of unit.
PLAUSIBLE_C = (0.0, 1400.0)


def read_body(doc: Document) -> Body:
    """One clay body per file; its id is the file name."""
    top = Table(doc, doc.data, what="the body")
    expansion = Table(doc, top.get("expansion"), "expansion", what="the body's [expansion]")
    low, high = expansion.number("low"), expansion.number("high")
    if not 0.0 < low <= high < 30.0:
        raise expansion.fail(
            f"an expansion from {low:g} to {high:g} is not one of a clay body.",
            "low",
            hint="Write it in 1e-6 per K: a raku body is about 5 to 7.",
        )
    stiffness = Table(doc, top.get("stiffness"), "stiffness", what="the body's [stiffness]")
    pores = Table(doc, top.get("pores", {}), "pores", what="the body's [pores]")
    porosity = pores.pair("open_porosity_percent", (-1.0, -1.0))
    moisture = pores.pair("moisture_expansion_percent", (-1.0, -1.0))
    name = top.text("name")
    body = Body(
        id=doc.path.stem,
        name=name,
        names=top.names("names", (name,)),
        alpha_1e6_per_k=(low, high),
        range_c=expansion.pair("range_c"),
        youngs_modulus_gpa=stiffness.pair("youngs_modulus_gpa"),
        poisson=stiffness.pair("poisson"),
        source=top.text("source"),
        open_porosity_percent=None if porosity[0] < 0 else porosity,
        moisture_expansion_percent=None if moisture[0] < 0 else moisture,
        note=top.text("note", ""),
        place=doc.place(),
    )
    for table in (top, expansion, stiffness, pores):
        table.finish()
    if body.youngs_modulus_gpa[0] <= 0.0:
        raise stiffness.fail("a body's stiffness is above zero.", "youngs_modulus_gpa")
    return body


def _quantity(table: Table, key: str, read: Callable[[object], float]) -> float:
    value = table.get(key)
    if value is None:
        raise table.fail(f"{table.what} has no “{key}”.")
    try:
        return read(value)
    except QuantityError as error:
        raise table.fail(f"“{key}”: {error.message}", key, hint=error.hint) from None


def _list_of_tables(top: Table, key: str) -> list[object]:
    value = top.get(key, [])
    if not isinstance(value, list):
        raise top.fail(f"“{key}” should be written as [[{key}]].", key)
    return value


def read_firing(doc: Document) -> Firing:
    """One firing per file; its id is the file name."""
    top = Table(doc, doc.data, what="the firing")
    segments: list[Segment] = []
    for index, data in enumerate(_list_of_tables(top, "segment")):
        segments.append(_segment(Table(doc, data, "segment", str(index), what="the segment")))
    if not segments:
        raise top.fail("the firing has no segment.", hint="Add a table  [[segment]]")
    pulls = [
        _pull(Table(doc, data, "pull", str(index), what="the pull"), segments)
        for index, data in enumerate(_list_of_tables(top, "pull"))
    ]
    kiln = _kiln(Table(doc, top.get("kiln"), "kiln", what="the firing's [kiln]"))
    ambient = _quantity(top, "ambient", temperature_c) if "ambient" in top.data else 20.0
    top.get("ambient")
    firing = Firing(
        id=doc.path.stem,
        name=top.text("name"),
        segments=tuple(segments),
        pulls=tuple(pulls),
        kiln=kiln,
        source=top.text("source"),
        ambient_c=ambient,
        notes=top.text("notes", ""),
        place=doc.place(),
    )
    top.finish()
    if not -40.0 <= ambient <= 60.0:
        raise top.fail(f"a workshop at {ambient:.0f} °C is no place to fire.", "ambient")
    return firing


def _segment(table: Table) -> Segment:
    raw = table.get("rate")
    rate = None if raw == FLAT_OUT else _quantity(table, "rate", rate_c_per_h)
    if rate is not None and rate <= 0.0:
        raise table.fail(
            "a rate is above zero; the target says whether it goes up or down.", "rate"
        )
    target = _quantity(table, "target", temperature_c)
    if not PLAUSIBLE_C[0] < target <= PLAUSIBLE_C[1]:
        raise table.fail(
            f"{target:.0f} °C is outside what a glaze kiln does.",
            "target",
            hint="Was it meant in °F? Write for example “1730 F”.",
        )
    hold = _quantity(table, "hold", minutes) if "hold" in table.data else 0.0
    if hold < 0.0 or hold > 60.0 * 200:
        raise table.fail("a hold lasts between nothing and 200 hours.", "hold")
    table.finish()
    return Segment(rate, target, hold)


def _pull(table: Table, segments: list[Segment]) -> Pull:
    name = table.text("name")
    number = table.number("segment")
    if number != int(number) or not 1 <= number <= len(segments):
        raise table.fail(
            f"there is no segment {number:g}.",
            "segment",
            hint=f"The firing has segments 1 to {len(segments)}.",
        )
    after = _quantity(table, "after", minutes)
    hold = segments[int(number) - 1].hold_min
    if not 0.0 <= after <= hold:
        raise table.fail(
            f"the pull “{name}” comes {after:g} min into a hold of {hold:g} min.",
            "after",
            hint="Pull within the hold, or make the hold longer.",
        )
    table.finish()
    return Pull(name, int(number), after)


def _kiln(table: Table) -> Kiln:
    kiln = Kiln(
        heating_c_per_h=_quantity(table, "heating_cold", rate_c_per_h),
        heating_at_top_c_per_h=_quantity(table, "heating_at_top", rate_c_per_h),
        top_c=_quantity(table, "top", temperature_c),
        cooling_half_time_h=_quantity(table, "cooling_half_time", minutes) / 60.0,
        source=table.text("source"),
    )
    table.finish()
    if min(kiln.heating_c_per_h, kiln.heating_at_top_c_per_h, kiln.cooling_half_time_h) <= 0.0:
        raise table.fail("the kiln's rates and its cooling time are above zero.")
    return kiln
