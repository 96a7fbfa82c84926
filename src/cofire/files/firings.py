"""Firings and kilns: TOML -> records."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any, cast, get_args

from cofire.errors import Place, QuantityError, refusal
from cofire.files import toml
from cofire.files.toml import Document, Table
from cofire.most import at_most
from cofire.read.units import (
    difference_c,
    grams,
    hours,
    kilowatts,
    minutes,
    rate_c_per_h,
    seconds,
    temperature_c,
    volts,
)
from cofire.records import Bed, End, Firing, Kiln, Pull, Segment, Smoke

FLAT_OUT = "as fast as the kiln can"

#: A kiln's name -> the kiln.
ResolveKiln = Callable[[str, Place], Kiln]


def read_firing(doc: Document, resolve: ResolveKiln) -> Firing:
    """One firing per file; its id is the file name."""
    top = Table(doc, doc.data, what="the firing", limits=toml.beside(__file__, "limits.toml"))
    tables = top.list_of("segment")
    if not tables:
        raise top.refuse("no-segments")
    at_most("segments of a firing", len(tables), doc.place("segment"))
    segments = [_segment(table) for table in tables]
    tables = top.list_of("pull")
    at_most("pulls of a firing", len(tables), doc.place("pull"))
    pulls = [_pull(table, segments) for table in tables]
    at_most("pulls of a firing", sum(pull.count for pull in pulls), doc.place("pull"))
    kiln = top.get("kiln")
    if kiln is None:
        raise top.refuse("no-kiln")
    firing = Firing(
        id=doc.path.stem,
        name=top.name("name"),
        segments=tuple(segments),
        pulls=tuple(pulls),
        kiln=resolve(kiln, doc.place("kiln"))
        if isinstance(kiln, str)
        else _kiln(top.inside("kiln"), resolve),
        source=top.text("source"),
        ambient_c=top.quantity("ambient", temperature_c, default=Firing.ambient_c),
        load_kg=top.quantity("load", lambda text: grams(text) / 1000.0, default=Firing.load_kg),
        price_per_kwh=top.number("price_per_kwh") if top.has("price_per_kwh") else None,
        smoke=_smoke(top.inside("smoke"), pulls) if top.has("smoke") else Smoke(),
        notes=top.text("notes", ""),
        place=doc.place(),
    )
    top.finish()
    return firing


def read_kiln(doc: Document) -> Kiln:
    """One kiln per file."""
    return _kiln(
        Table(doc, doc.data, what="the kiln", limits=toml.beside(__file__, "limits.toml")), None
    )


def _rate(text: object) -> float:
    try:
        rate = rate_c_per_h(text)
    except QuantityError as error:
        raise QuantityError(
            error.message, hint=f"{error.hint} For full power write “{FLAT_OUT}”."
        ) from None
    if rate <= 0.0:
        raise refusal("rate-below-zero")
    return rate


def _segment(table: Table) -> Segment:
    full = table.get("rate") in (FLAT_OUT, "full")
    segment = Segment(
        None if full else table.quantity("rate", _rate),
        table.quantity("target", temperature_c),
        table.quantity("hold", minutes, default=0.0),
    )
    table.finish()
    return segment


def _pull(table: Table, segments: list[Segment]) -> Pull:
    name = table.name("name")
    number = table.number("segment")
    if number != int(number) or not 1 <= number <= len(segments):
        raise table.refuse("no-such-segment", "segment", number=number, count=len(segments))
    after = table.quantity("after", minutes)
    count = table.number("count", 1)
    if count != int(count) or not 1 <= count <= 500:
        raise table.refuse("pull-cannot-be-counted", "count", called=name, count=count)
    every = table.quantity("every", minutes, default=0.0)
    lid_s = 60.0 * table.quantity("open", minutes, default=0.0)
    if count > 1 and every <= 0.0:
        raise table.refuse("pulls-without-every", "count", called=name, count=count)
    if count > 1 and 60.0 * every <= lid_s:
        raise table.refuse("lid-always-open", "every", lid_s=lid_s, every_s=60 * every)
    hottest = max(range(len(segments)), key=lambda k: segments[k].target_c)
    if number - 1 < hottest:
        raise table.refuse(
            "pull-before-the-peak", "segment", called=name, number=number, peak=hottest + 1
        )
    hold = segments[int(number) - 1].hold_min
    last = after + (count - 1) * every
    if after < 0.0 or last > hold:
        raise table.refuse(
            "pull-outside-the-hold",
            "after",
            called=name,
            min=last if after >= 0.0 else after,
            hold=hold,
        )
    table.finish()
    return Pull(name, int(number), after, int(count), every, lid_s)


def _smoke(table: Table, pulls: list[Pull]) -> Smoke:
    smoke = Smoke(
        table.quantity("air", seconds, default=Smoke.air_s),
        table.quantity("bin", minutes, default=Smoke.bin_min),
        cast("End", table.choice("then", get_args(End), Smoke.then)),
        assumed=False,
        fan_s=table.quantity("fan", seconds, default=0.0),
        spray_s=table.quantity("spray", seconds, default=0.0),
        bed=cast("Bed", table.choice("bed", get_args(Bed), Smoke.bed)),
    )
    if not pulls:
        raise table.refuse("smoke-without-pull")
    table.finish()
    return smoke


#: A key of a kiln's file, what reads it, and the field it fills.
_KILN = (
    ("heating_cold", rate_c_per_h, "heating_c_per_h"),
    ("heating_at_top", rate_c_per_h, "heating_at_top_c_per_h"),
    ("top", temperature_c, "top_c"),
    ("cooling_half_time", hours, "cooling_half_time_h"),
    ("power", kilowatts, "power_kw"),
    ("volts", volts, "volts"),
    ("lid_drop", difference_c, "lid_drop_c"),
    ("lid_drop_after", seconds, "lid_drop_s"),
    ("lid_recovery", seconds, "lid_recovery_s"),
    ("ware_above_pyrometer", difference_c, "reads_off_c"),
    ("top_to_bottom", difference_c, "top_to_bottom_c"),
)


def _kiln(table: Table, resolve: ResolveKiln | None) -> Kiln:
    kind = table.text("kind", "") if resolve else ""
    base = resolve(kind, table.doc.place(*table.path, "kind")) if resolve and kind else None
    usual = base or Kiln
    fields: dict[str, Any] = {
        field: table.quantity(key, read)
        for key, read, field in _KILN
        if table.has(key) or not hasattr(usual, field)
    }
    fields |= {
        "name": table.name("name", base.name if base else "your kiln"),
        "source": table.text("source", base.source if base else None),
        "fuel": table.choice("fuel", ("electricity", "gas"), usual.fuel),
        "wear": table.number("element_wear_percent", 100.0 * usual.wear) / 100.0,
    }
    kiln = replace(base, **fields) if base else Kiln(**fields)
    table.finish()
    if kiln.heating_at_top_c_per_h > kiln.heating_c_per_h:
        raise table.refuse("faster-when-hot", "heating_at_top")
    return kiln
