"""Batch sheets on a terminal: boxes to tick, weights large and plain, totals that add up."""

from __future__ import annotations

from decimal import Decimal

from rich.console import Console
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from cofire.answers.batch.mixing import start_ml
from cofire.answers.batch.records import Bucket, Method, Need, Pack, Sheet, Units
from cofire.answers.batch.weighing import shown_beside, shown_in
from cofire.show.amounts import bulk, money
from cofire.show.terminal import SEVERITY_STYLE, console, findings_block, heading, title
from cofire.words import volume

_BOX = "[ ]"
#: Boxes in a row for buckets that are alike; more are counted instead.
_MOST_BOXES = 4
#: The other system of units, shown beside.
BESIDE: dict[Units, Units] = {"g": "oz", "kg": "lb", "oz": "g", "lb": "kg"}
_TO: dict[Method, str] = {"dip": "to dip", "pour": "to pour", "brush": "to brush",
                          "spray": "to spray"}  # fmt: skip


def show_pack(pack: Pack) -> None:
    """Print all sheets; before them, where there is more than one glaze, what they need
    together."""
    out = console()
    out.print()
    if len(pack.sheets) > 1 or pack.people or pack.assignments or pack.date:
        aside = ", ".join(
            text
            for text in (
                pack.date,
                f"{pack.people} people" if pack.people else "",
                "a school: stricter rules" if pack.audience == "school" else "",
            )
            if text
        )
        out.print(title(pack.title, aside))
        out.print()
    if pack.assignments:
        out.print(heading("Who makes what"))
        out.print(Padding(_pairs(pack.assignments), (0, 2)))
    stocked = any(n.have_g is not None or n.price_per_kg is not None for n in pack.needs)
    if len(pack.sheets) > 1 or stocked:
        out.print(heading("Materials in all", "the whole order"))
        out.print(Padding(_needs(pack, stocked), (0, 2)))
        _buying(out, pack)
    for sheet in pack.sheets:
        _sheet(out, sheet)
    if pack.cautions:
        out.print(heading("On the day", pack.firing.name if pack.firing else ""))
        for caution in pack.cautions:
            out.print(_caution(caution.severity, caution.text, ()))
    said = "Your supplier's safety data sheets and local rules come before anything here."
    out.print(Padding(Text(said, style="dim"), (1, 1, 0, 1)))
    out.print()


def weight(gram: Decimal, units: Units, step_g: Decimal) -> str:
    """“500.0 g”, as the scale shows it."""
    return f"{shown_in([gram], units, step_g)[1][0]:f} {units}"


def _money(amount: Decimal | float | None, currency: str) -> str:
    return "–" if amount is None else money(amount, currency)


def _pairs(rows: tuple[tuple[str, str], ...]) -> Table:
    table = Table.grid(padding=(0, 2))
    table.add_column(no_wrap=True)
    table.add_column(ratio=1)
    for who, what in rows:
        table.add_row(Text(who, style="bold"), Text(what))
    return table


def _needs(pack: Pack, stocked: bool) -> Table:
    table = Table(box=None, padding=(0, 1), show_edge=False, header_style="dim", expand=True)
    table.add_column("material", ratio=1)
    for name in ("needed", *(("on the shelf", "to buy", "costs") if stocked else ())):
        table.add_column(name, justify="right", no_wrap=True)
    units = pack.sheets[0].units
    for need in pack.needs:
        row = [
            Text(f"{_BOX} {need.part.material.name}"),
            Text(bulk(need.need_g, units), "bold"),
        ]
        if stocked:
            have = bulk(need.have_g, units, on_shelf=True) or "–"
            row += [Text(t) for t in (have, _short(need, units), _cost(need, pack))]
        table.add_row(*row)
    return table


def _short(need: Need, units: Units) -> str:
    if need.buy_g is None:
        return "–"
    return "enough" if need.buy_g == 0.0 else bulk(need.buy_g, units)


def _cost(need: Need, pack: Pack) -> str:
    return "" if need.buy_g == 0.0 else _money(need.cost, pack.currency)


def _buying(out: Console, pack: Pack) -> None:
    short = [n for n in pack.needs if n.buy_g]
    unknown = sum(n.have_g is None for n in pack.needs)
    if short:
        known = [n.cost for n in short if n.cost is not None]
        text = Text(f"To buy: {len(short)} material{'s' * (len(short) != 1)}", style="bold")
        if known:
            text.append(f", {money(sum(known, Decimal(0)), pack.currency)}")
            if len(known) < len(short):
                text.append(f" and {len(short) - len(known)} whose price nobody gave")
        out.print(Padding(text, (1, 2, 0, 2)))
    if 0 < unknown < len(pack.needs):
        count = f"{unknown} material{'s' * (unknown != 1)}"
        said = f"– nobody said what is on the shelf or what it costs ({count})."
        out.print(Padding(Text(said, style="dim"), (0, 2)))


def _sheet(out: Console, sheet: Sheet) -> None:
    recipe = sheet.recipe
    out.print()
    out.print(heading(recipe.name, f"version {sheet.code}"))
    out.print(Padding(Text(sheet.asked), (0, 2)))
    additions = sheet.dry_g - sheet.base_g
    said = weight(sheet.base_g, sheet.units, sheet.scale_g) + " of base"
    if additions:
        said += f" + {weight(additions, sheet.units, sheet.scale_g)} of additions = "
        said += weight(sheet.dry_g, sheet.units, sheet.scale_g)
    step = shown_in([sheet.scale_g], sheet.units, sheet.scale_g)[1][0]
    said += f" dry; scale reads to {step:f} {sheet.units}"
    out.print(Padding(Text(said, style="dim"), (0, 2)))
    out.print(Padding(Text("name ____________________  date __________  lot __________"), (1, 2)))
    for buckets in _alike(sheet.buckets):
        _weigh_up(out, buckets, sheet)
    out.print(heading("Water"))
    for buckets in _alike(sheet.buckets):
        out.print(Padding(_waters(buckets, len(sheet.buckets)), (0, 2)))
    said = "usual densities: common practice, lists differ"
    line = Text("100 ml weigh ________ g    ")
    line.append(said, style="dim")
    out.print(Padding(line, (0, 2)))
    for word, lines in (("Mix", sheet.mixing), ("Keep", sheet.keeping)):
        out.print(heading(word))
        out.print(_numbered(lines, numbers=word == "Mix"))
    if sheet.rounding.advice:
        out.print(heading("Too little for the scale"))
        out.print(Padding(Text(sheet.rounding.advice), (0, 2)))
    if sheet.cost is not None:
        out.print(heading("Cost"))
        out.print(Padding(_costs(sheet), (0, 2)))
    if sheet.findings:
        out.print(heading("Mind"))
        out.print(findings_block(sheet.findings))
    out.print(heading("Take care"))
    for caution, bearers in sheet.cautions:
        out.print(_caution(caution.severity, caution.text, bearers))


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


def _weigh_up(out: Console, buckets: list[Bucket], sheet: Sheet) -> None:
    bucket, units = buckets[0], sheet.units
    boxes = _BOX * len(buckets) if len(buckets) <= _MOST_BOXES else f"{_BOX} x{len(buckets)}"
    weights = [w.weigh_g for w in bucket.weighings]
    lines, running = shown_in(weights, units, sheet.scale_g)
    beside = BESIDE[units]
    other = shown_beside(weights, beside, sheet.scale_g)
    table = Table(box=None, padding=(0, 1), show_edge=False, header_style="dim", expand=True)
    table.add_column("", no_wrap=True)
    table.add_column("", ratio=1)
    table.add_column(f"weigh, {units}", justify="right", no_wrap=True)
    table.add_column("bucket then holds", justify="right", no_wrap=True)
    table.add_column(f"{beside}, rounded", justify="right", no_wrap=True, style="dim")
    base = sum(1 for w in bucket.weighings if not w.addition)
    for k, line in enumerate(bucket.weighings):
        if k == base:
            table.add_row("", Text("additions", style="italic"), "", "", "")
        name = Text(line.part.material.name)
        if line.part.material.name in sheet.teacher_only:
            name.append("  (only the teacher)", style="bold")
        table.add_row(
            boxes, name, Text(f"{lines[k]:f}", style="bold"), f"{running[k]:f}", f"{other[k]:f}"
        )
        if k == base - 1:
            table.add_section()
    total = Text(f"{running[-1]:f}", style="bold")
    table.add_row("", Text("in all", style="dim"), "", total, f"{sum(other):f}")
    out.print(heading(_called(buckets, len(sheet.buckets)), "tick each as it goes in"))
    out.print(Padding(table, (0, 1)))


def _waters(buckets: list[Bucket], of: int) -> Table:
    bucket = buckets[0]
    table = Table(box=None, padding=(0, 1), show_edge=False, header_style="dim", expand=True)
    table.add_column("" if of == 1 else _called(buckets, of), no_wrap=True)
    table.add_column("water in all", justify="right", no_wrap=True)
    table.add_column("g in 100 ml", justify="right", no_wrap=True)
    table.add_column("makes", justify="right", no_wrap=True)
    table.add_column("g/ml", ratio=1, style="dim")
    begin = start_ml(float(bucket.total_g), bucket.waters)
    table.add_row(f"{_BOX} begin with", Text(volume(begin), style="bold"), "", "", "")
    for water in bucket.waters:
        table.add_row(
            f"{_BOX} {_TO[water.method]}",
            Text(volume(water.water_ml), style="bold"),
            Text(f"{100.0 * water.density_g_per_ml:.0f}", style="bold"),
            volume(water.slurry_ml),
            water.note,
        )
    return table


def _numbered(lines: tuple[str, ...], numbers: bool) -> Table:
    table = Table.grid(padding=(0, 1))
    table.add_column(width=4, justify="right")
    table.add_column(ratio=1)
    for k, line in enumerate(lines, 1):
        table.add_row(f"{k}" if numbers else "·", line)
    return table


def _costs(sheet: Sheet) -> Table:
    rows = [
        ("in all", _money(sheet.cost, sheet.currency)),
        ("100 g dry", _money(sheet.cost_per_100_g, sheet.currency)),
    ]
    if len(sheet.buckets) > 1 and sheet.cost is not None:
        rows.append(("a bucket", money(sheet.cost / len(sheet.buckets), sheet.currency)))
    if sheet.cost_per_piece is not None:
        rows.append((f"a {sheet.piece}", money(sheet.cost_per_piece, sheet.currency)))
    return _pairs(tuple(rows))


def _caution(severity: str, text: str, bearers: tuple[str, ...]) -> Table:
    table = Table.grid(padding=(0, 1), expand=True)
    table.add_column(width=8)
    table.add_column(ratio=1)
    said = Text()
    if bearers:
        said.append(f"{', '.join(bearers)}: ", style="bold")
    said.append(text)
    table.add_row(Text(severity, style=SEVERITY_STYLE[severity]), said)
    return table
