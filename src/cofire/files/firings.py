"""Firings and kilns: TOML -> records."""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal, cast

from cofire.errors import Place, QuantityError
from cofire.files.toml import Document, Table
from cofire.read.units import (
    difference_c,
    grams,
    hours,
    kilowatts,
    minutes,
    rate_c_per_h,
    seconds,
    temperature_c,
)
from cofire.records import Firing, Fuel, Kiln, Pull, Segment, Smoke

FLAT_OUT = "as fast as the kiln can"
#: No glaze or studio kiln works outside this; a number beyond it is a slip of unit.
PLAUSIBLE_C = (0.0, 1400.0)


def _list_of_tables(top: Table, key: str) -> list[object]:
    value = top.get(key, [])
    if not isinstance(value, list):
        raise top.fail(f"“{key}” should be written as [[{key}]].", key)
    return value


#: A kiln's name -> the kiln.
ResolveKiln = Callable[[str, Place], Kiln]


def read_firing(doc: Document, resolve: ResolveKiln) -> Firing:
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
    said = top.get("kiln")
    if said is None:
        raise top.fail(
            "the firing names no kiln.", hint='Write  kiln = "small-fibre"  (see  cofire kilns).'
        )
    if isinstance(said, str):
        kiln = resolve(said, doc.place("kiln"))
    else:
        kiln = _kiln(Table(doc, said, "kiln", what="the firing's [kiln]"), resolve)
    ambient = top.quantity("ambient", temperature_c) if "ambient" in top.data else 20.0
    load = top.quantity("load", grams) / 1000.0 if "load" in top.data else 0.0
    price = top.number("price_per_kwh", -1.0)
    firing = Firing(
        id=doc.path.stem,
        name=top.text("name"),
        segments=tuple(segments),
        pulls=tuple(pulls),
        kiln=kiln,
        source=top.text("source"),
        ambient_c=ambient,
        load_kg=load,
        price_per_kwh=None if price < 0.0 else price,
        smoke=_smoke(Table(doc, top.get("smoke"), "smoke", what="the firing's [smoke]"), pulls)
        if "smoke" in top.data
        else Smoke(),
        notes=top.text("notes", ""),
        place=doc.place(),
    )
    top.finish()
    if not -40.0 <= ambient <= 60.0:
        raise top.fail(f"a workshop at {ambient:.0f} °C is no place to fire.", "ambient")
    if not 0.0 <= load <= 2000.0:
        raise top.fail(f"a load of {load:g} kg is none of a studio kiln.", "load")
    return firing


def read_kiln(doc: Document) -> Kiln:
    """One kiln per file."""
    return _kiln(Table(doc, doc.data, what="the kiln"), None)


def _rate(text: object) -> float:
    try:
        return rate_c_per_h(text)
    except QuantityError as error:
        raise QuantityError(
            error.message, hint=f"{error.hint} For full power write “{FLAT_OUT}”."
        ) from None


def _segment(table: Table) -> Segment:
    raw = table.get("rate")
    rate = None if raw in (FLAT_OUT, "full") else table.quantity("rate", _rate)
    if rate is not None and rate <= 0.0:
        raise table.fail(
            "a rate is above zero; the target says whether it goes up or down.", "rate"
        )
    if rate is not None and not 1.0 <= rate <= 9999.0:
        raise table.fail(
            f"{rate:g} °C/h is no rate of a firing.", "rate", hint=f"Write “{FLAT_OUT}” for fast."
        )
    target = table.quantity("target", temperature_c)
    if not PLAUSIBLE_C[0] < target <= PLAUSIBLE_C[1]:
        raise table.fail(
            f"{target:.0f} °C is outside what a glaze kiln does.",
            "target",
            hint="Was it meant in °F? Write for example “1730 F”.",
        )
    hold = table.quantity("hold", minutes) if "hold" in table.data else 0.0
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
    after = table.quantity("after", minutes)
    count = table.number("count", 1)
    if count != int(count) or not 1 <= count <= 500:
        raise table.fail(f"the pull “{name}” cannot happen {count:g} times.", "count")
    every = table.quantity("every", minutes) if "every" in table.data else 0.0
    lid_s = 60.0 * table.quantity("open", minutes) if "open" in table.data else 0.0
    if count > 1 and every <= 0.0:
        raise table.fail(
            f"the pull “{name}” happens {count:g} times but does not say how often.",
            "count",
            hint='Add  every = "15 min".',
        )
    if not 0.0 <= lid_s <= 600.0:
        raise table.fail("a lid stays open between nothing and ten minutes.", "open")
    if count > 1 and 60.0 * every <= lid_s:
        raise table.fail(
            f"the lid would be open all the time: {lid_s:.0f} s every {60 * every:.0f} s.", "every"
        )
    hottest = max(range(len(segments)), key=lambda k: segments[k].target_c)
    if number - 1 < hottest:
        raise table.fail(
            f"the pull “{name}” comes in segment {number:g}, before the peak in segment "
            f"{hottest + 1}.",
            "segment",
            hint="Pull at the peak or after it.",
        )
    hold = segments[int(number) - 1].hold_min
    last = after + (count - 1) * every
    if after < 0.0 or last > hold:
        raise table.fail(
            f"the pull “{name}” comes {last if after >= 0.0 else after:g} min into a hold of "
            f"{hold:g} min.",
            "after",
            hint="Pull within the hold, or make the hold longer.",
        )
    table.finish()
    return Pull(name, int(number), after, int(count), every, lid_s)


def _smoke(table: Table, pulls: list[Pull]) -> Smoke:
    usual = Smoke()
    air_s = table.quantity("air", seconds) if "air" in table.data else usual.air_s
    bin_min = table.quantity("bin", minutes) if "bin" in table.data else usual.bin_min
    then = cast("Literal['air', 'water']", table.choice("then", ("air", "water"), usual.then))
    if not pulls:
        raise table.fail(
            "nothing is pulled hot in this firing, so there is nothing to smoke.",
            hint="Add a table  [[pull]], or take [smoke] away.",
        )
    if not 0.0 <= air_s <= 3600.0:
        raise table.fail("a pot stands in air for nothing to an hour before the bin.", "air")
    if not 0.0 <= bin_min <= 24.0 * 60.0:
        raise table.fail("a pot stays in the bin for nothing to a day.", "bin")
    table.finish()
    return Smoke(air_s, bin_min, then, assumed=False)


def _kiln(table: Table, resolve: ResolveKiln | None) -> Kiln:
    kind = table.text("kind", "") if resolve else ""
    base = resolve(kind, table.doc.place(*table.path, "kind")) if resolve and kind else None

    def need(key: str, reader: Callable[[object], float], field: str) -> float:
        if base is None or key in table.data:
            return table.quantity(key, reader)
        return float(getattr(base, field))

    def may(key: str, reader: Callable[[object], float], field: str) -> float:
        default = getattr(base or Kiln, field)
        return table.quantity(key, reader) if key in table.data else float(default)

    power = base.power_kw if base else None
    if "power" in table.data:
        power = table.quantity("power", kilowatts)
    kiln = Kiln(
        name=table.text("name", base.name if base else "your kiln"),
        heating_c_per_h=need("heating_cold", rate_c_per_h, "heating_c_per_h"),
        heating_at_top_c_per_h=need("heating_at_top", rate_c_per_h, "heating_at_top_c_per_h"),
        top_c=need("top", temperature_c, "top_c"),
        cooling_half_time_h=need("cooling_half_time", hours, "cooling_half_time_h"),
        source=table.text("source", base.source if base else None),
        fuel=cast("Fuel", table.choice("fuel", ("electricity", "gas"), (base or Kiln).fuel)),
        power_kw=power,
        wear=table.number("element_wear_percent", 100.0 * (base or Kiln).wear) / 100.0,
        lid_drop_c=may("lid_drop", difference_c, "lid_drop_c"),
        lid_drop_s=may("lid_drop_after", seconds, "lid_drop_s"),
        lid_recovery_s=may("lid_recovery", seconds, "lid_recovery_s"),
        reads_off_c=may("ware_above_pyrometer", difference_c, "reads_off_c"),
        top_to_bottom_c=may("top_to_bottom", difference_c, "top_to_bottom_c"),
    )
    table.finish()
    if min(kiln.heating_c_per_h, kiln.heating_at_top_c_per_h, kiln.cooling_half_time_h) <= 0.0:
        raise table.fail("the kiln's rates and its cooling time are above zero.")
    if kiln.heating_at_top_c_per_h > kiln.heating_c_per_h:
        raise table.fail("no kiln heats faster hot than cold.", "heating_at_top")
    if not 0.0 <= kiln.wear < 0.5:
        raise table.fail(
            "worn elements have lost between 0 and 50 % of their power.", "element_wear_percent"
        )
    if min(kiln.lid_drop_s, kiln.lid_recovery_s) <= 0.0 or not 0.0 <= kiln.lid_drop_c <= 600.0:
        raise table.fail("the lid's drop is 0 to 600 °C, its times are above zero.", "lid_drop")
    if abs(kiln.reads_off_c) > 60.0 or not 0.0 <= kiln.top_to_bottom_c <= 150.0:
        raise table.fail(
            "ware differs from the pyrometer by up to 60 °C, top from bottom by up to 150 °C.",
            "top_to_bottom",
        )
    if kiln.power_kw is not None and not 0.1 <= kiln.power_kw <= 500.0:
        raise table.fail(f"{kiln.power_kw:g} kW is no power of a kiln.", "power")
    return kiln
