"""Batch sheets on a terminal: boxes to tick, weights large and plain, totals that add up."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

from rich.console import Console
from rich.padding import Padding
from rich.table import Table

from cofire.answers.batch.mixing import start_ml
from cofire.answers.batch.records import Bucket, Need, Pack, Sheet
from cofire.answers.batch.scale import Units, shown_beside, shown_words
from cofire.answers.batch.water import measure_ml, most_ml
from cofire.answers.results.headline import Headline, Number
from cofire.findings import SEVERITIES, Finding
from cofire.records import Caution
from cofire.show.amounts import bulk, money
from cofire.show.screen import Screen
from cofire.show.sheets.words import firing_cautions, glaze_cautions, loads_of, measure, total_cost
from cofire.show.sheets.words import parts as bucket_parts
from cofire.show.terminal import Text, findings_block, heading, plain_table, section, title
from cofire.words import counted, listed, volume

_BOX = "[ ]"
#: Columns from which a sheet has room for all of its own columns.
_ROOMY = 72
#: Boxes in a row for buckets that are alike; more are counted instead.
_MOST_BOXES = 4
#: The other system of units, shown beside.
BESIDE: dict[Units, Units] = {"g": "oz", "kg": "lb", "oz": "g", "lb": "kg"}


def show_pack(pack: Pack, screen: Screen) -> None:
    """Print all sheets; before them, where there is more than one glaze, what they need
    together."""
    out = screen.begin(_headline(pack))
    if out is None:
        return
    if len(pack.sheets) > 1 or pack.people or pack.assignments or pack.date:
        people = f"{pack.people} people" if pack.people else ""
        school = "a school: stricter rules" if pack.audience == "school" else ""
        out.print(title(pack.title, ", ".join(filter(None, (pack.date, people, school)))))
        out.print()
    if pack.assignments:
        section(out, heading("Who makes what"), _pairs(pack.assignments))
    stocked = any(n.have_g is not None or n.price_per_kg is not None for n in pack.needs)
    if len(pack.sheets) > 1 or stocked:
        section(
            out,
            heading("Materials in all", "the whole order"),
            _needs(pack, stocked),
            *_buying(pack),
        )
    for sheet in pack.sheets:
        _sheet(out, pack, sheet)
    at_kiln = firing_cautions(pack)
    known = {caution.code for caution, _ in at_kiln}
    if cautions := [*((c, ()) for c in pack.cautions if c.code not in known), *at_kiln]:
        where = pack.firing.name if pack.firing else ""
        out.print(heading("On the day", where))
        if loads := loads_of(pack):
            out.print(Padding(Text(loads), (0, 1)))
        out.print(_care(cautions))
    text = "Your supplier's safety data sheets and local rules come first."
    out.print(Padding(Text(text, style="dim"), (1, 1, 0, 1)))
    out.print()


def _headline(pack: Pack) -> Headline:
    """How much of each glaze, and whether the scale can weigh it."""
    numbers = tuple(
        Number(sheet.recipe.name, _makes(sheet), f"{_weight(sheet.dry_g, sheet)} dry")
        for sheet in pack.sheets
    )
    lines = [(s, w) for s in pack.sheets for b in s.buckets for w in b.weighings]
    lost = [w.part.material.name for _, w in lines if not w.weigh_g]
    sheet, least = min(
        ((s, w) for s, w in lines if w.weigh_g), key=lambda one: one[1].weigh_g / one[0].scale_g
    )
    decides = f"{least.part.material.name}, {_weight(least.weigh_g, sheet)}, the least to weigh"
    short = f"{counted(len(pack.sheets), 'glaze')}, the scale weighs all of it"
    sentence = f"Yes: {short}."
    helps = ""
    if lost:
        short = f"{listed(list(dict.fromkeys(lost)))} rounds to nothing on this scale"
        sentence, decides = f"No: {short}.", ""
        helps = "a larger batch, or a finer --scale"
    return Headline(not lost, sentence, short, numbers, decides, helps)


def _makes(sheet: Sheet) -> str:
    """“3366.7 g dry makes 4053 ml to dip”."""
    waters = [bucket.waters[0] for bucket in sheet.buckets if bucket.waters]
    makes = sum(water.slurry_ml for water in waters)
    return f"{_weight(sheet.dry_g, sheet)} dry" + (
        f" makes {volume(makes)} to {waters[0].method}" if waters else ""
    )


def _weight(gram: Decimal, sheet: Sheet) -> str:
    """“500.0 g”, as the scale shows it."""
    return f"{shown_words([gram], sheet.units, sheet.scale_g)[1][0]} {sheet.shown_unit}".rstrip()


def _money(amount: Decimal | float | None, currency: str) -> str:
    return "–" if amount is None else money(amount, currency)


def _pairs(rows: Iterable[tuple[str, str]]) -> Table:
    table = Table.grid(padding=(0, 2))
    table.add_column(no_wrap=True, style="bold")
    table.add_column(ratio=1)
    for who, what in rows:
        table.add_row(who, Text(what))
    return table


def _needs(pack: Pack, stocked: bool) -> Table:
    more = (">on the shelf", ">to buy", ">costs") if stocked else ()
    table = plain_table("~material", ">needed", *more)
    units = pack.sheets[0].units
    for need in pack.needs:
        name = Text(f"{_BOX} {need.part.material.name}")
        row = [name, Text(bulk(need.need_g, units), "bold")]
        if stocked:
            have = bulk(need.have_g, units, on_shelf=True) or "–"
            row += map(Text, (have, *_short(need, units, pack.currency)))
        table.add_row(*row)
    return table


def _short(need: Need, units: Units, currency: str) -> tuple[str, str]:
    if need.buy_g == 0.0:
        return "enough", ""
    return bulk(need.buy_g, units) or "–", _money(need.cost, currency)


def _buying(pack: Pack) -> Iterable[Text]:
    if text := total_cost(pack):
        yield Text(f"\n{text}", "bold")


def _sheet(out: Console, pack: Pack, sheet: Sheet) -> None:
    additions, of = sheet.dry_g - sheet.base_g, len(sheet.buckets)
    text = f"{_weight(sheet.base_g, sheet)} of base"
    if additions:
        text += f" + {_weight(additions, sheet)} of additions = {_weight(sheet.dry_g, sheet)}"
    text += f" dry; scale reads to {_weight(sheet.scale_g, sheet)}"
    out.print()
    blanks = "\nname ____________________  date __________  lot __________\n"
    asked = Text(sheet.asked), Text(text, "dim"), Text(blanks)
    section(out, heading(sheet.recipe.name, f"version {sheet.code}", typed=True), *asked)
    groups = _alike(sheet.buckets)
    for buckets in groups:
        out.print(heading(_called(buckets, of), "tick each as it goes in"))
        out.print(Padding(_weigh_up(buckets, sheet, out.width >= _ROOMY), (0, 1)))
    measured = Text(f"{measure(sheet)} ________ g    ")
    measured.append("usual densities: common practice, lists differ", style="dim")
    section(
        out,
        heading("Water"),
        *(_waters(sheet, buckets, of, out.width >= _ROOMY) for buckets in groups),
        measured,
    )
    steps = {"Mix": sheet.mixing, "Keep": sheet.keeping, "What is left over": sheet.left_over}
    for word, lines in steps.items():
        out.print(heading(word))
        out.print(_numbered(lines, numbers=word == "Mix"))
    if sheet.rounding.advice:
        section(out, heading("Too little for the scale"), Text(sheet.rounding.advice))
    if sheet.cost is not None:
        section(out, heading("Cost"), _pairs(_costs(sheet, sheet.cost)))
    out.print(heading("Safety"))
    out.print(_care(glaze_cautions(pack, sheet), sheet.findings))


def _alike(buckets: tuple[Bucket, ...]) -> list[list[Bucket]]:
    """Buckets in groups that hold the same."""
    groups: dict[tuple[Decimal, ...], list[Bucket]] = {}
    for bucket in buckets:
        groups.setdefault(tuple(w.weigh_g for w in bucket.weighings), []).append(bucket)
    return list(groups.values())


def _called(buckets: list[Bucket], of: int) -> str:
    if of == 1:
        return "Weigh"
    first, last = buckets[0].number, buckets[-1].number
    if len(buckets) == 1:
        return f"Bucket {first} of {of}"
    return f"Buckets {first} to {last} of {of}, each"


def _weigh_up(buckets: list[Bucket], sheet: Sheet, roomy: bool) -> Table:
    lines, units = buckets[0].weighings, sheet.units
    boxes = _BOX * len(buckets) if len(buckets) <= _MOST_BOXES else f"{_BOX} x{len(buckets)}"
    weights = [w.weigh_g for w in lines]
    shown, running = sheet.shown(buckets[0])
    (total,) = shown_words([buckets[0].total_g], units, sheet.scale_g)[1]
    then = "bucket then holds"
    if buckets[0].bowls > 1:
        then = "scale then shows"
    beside = shown_beside(weights, BESIDE[units], sheet.scale_g)
    heads = (
        "|",
        "~",
        ">weigh" + f", {sheet.shown_unit}" * bool(sheet.shown_unit),
        f">{then}" if roomy else f">{then.partition(' ')[2]}",
        *([f">{BESIDE[units]}, rounded"] if roomy else []),
    )
    table = plain_table(*heads)
    parts = dict(bucket_parts(buckets[0]))
    for k, line in enumerate(lines):
        if k in parts:
            table.add_row("", Text(parts[k], style="italic"))
        name = Text(line.part.material.name)
        if line.part.material.name in sheet.teacher_only:
            name.append("  (only the teacher)", style="bold")
        weight, other = Text(shown[k], "bold"), Text(f"{beside[k]:f}", "dim")
        table.add_row(boxes, name, weight, running[k], *([other] if roomy else []))
    whole = [Text(total, style="bold"), Text(f"{sum(beside):f}", "dim")]
    table.add_row("", Text("in all", "dim"), "", *whole[: 1 + roomy])
    return table


def _waters(sheet: Sheet, buckets: list[Bucket], of: int, roomy: bool) -> Table:
    bucket, name = buckets[0], "" if of == 1 else _called(buckets, of)
    in_all, of_ml = most_ml(sheet.buckets), measure_ml(sheet.buckets)
    of_slurry = "a litre" if of_ml == 1000.0 else "100 ml"
    heads = (f"|{name}", ">water in all", f">g in {of_slurry}", ">makes", "~g/ml")
    table = plain_table(*heads[: 4 + roomy])
    begin = volume(start_ml(float(bucket.total_g), bucket.waters), in_all)
    table.add_row(f"{_BOX} begin with", Text(begin, style="bold"))
    for water in bucket.waters:
        table.add_row(
            f"{_BOX} to {water.method}",
            Text(volume(water.water_ml, in_all), style="bold"),
            Text(f"{of_ml * water.density_g_per_ml:.0f}", style="bold"),
            volume(water.slurry_ml, in_all),
            *([Text(water.note, "dim")] if roomy else []),
        )
    return table


def _numbered(lines: tuple[str, ...], numbers: bool) -> Table:
    table = Table.grid(padding=(0, 1))
    table.add_column(width=4, justify="right")
    table.add_column(ratio=1)
    for k, line in enumerate(lines, 1):
        table.add_row(f"{k}" if numbers else "·", line)
    return table


def _costs(sheet: Sheet, cost: Decimal) -> Iterable[tuple[str, str]]:
    yield "in all", money(cost, sheet.currency)
    yield "100 g dry", _money(sheet.cost_per_100_g, sheet.currency)
    if len(sheet.buckets) > 1:
        yield "a bucket", money(cost / len(sheet.buckets), sheet.currency)
    if sheet.cost_per_piece is not None:
        yield f"a {sheet.piece}", money(sheet.cost_per_piece, sheet.currency)


def _care(
    cautions: Iterable[tuple[Caution, tuple[str, ...]]], findings: Iterable[Finding] = ()
) -> Table:
    """Findings and cautions in one list, gravest first."""
    notes = [Finding(c.code, c.severity, c.text, "", ", ".join(by)) for c, by in cautions]
    every = [*findings, *notes]
    return findings_block(sorted(every, key=lambda f: SEVERITIES.index(f.severity)))
