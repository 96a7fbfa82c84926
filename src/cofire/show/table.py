"""A recipe read from a table: each line as it stood there and as it was understood."""

from __future__ import annotations

from decimal import Decimal

from rich.padding import Padding
from rich.table import Table

from cofire.answers.table import ReadAnswer, Understood
from cofire.show.terminal import Text, console, heading, plain_table, print_notes, title

_UNITS = {"parts": "parts", "%": "per cent", "g": "grams"}


def show_read(answer: ReadAnswer, saved: str | None = None) -> None:
    """Print the recipe that was read."""
    out = console()
    recipe = answer.recipe
    meant = f"surface: {recipe.surface}" if answer.surface else "surface not given"
    out.print()
    out.print(title(recipe.name, meant))
    out.print()
    out.print(heading("As it was read", f"amounts in {_UNITS[answer.unit]}"))
    out.print(Padding(_lines(answer), (0, 1)))
    print_notes(out, answer.findings)
    out.print()
    if saved:
        out.print(Text(f"Written: {saved}"))
    else:
        out.print(Text("Not saved; --save FILE.toml with --name and --surface does that.", "dim"))


def _lines(answer: ReadAnswer) -> Table:
    heads = (">line", "~written", "~understood as", f">{_UNITS[answer.unit]}", ">% of base")
    table = plain_table(*heads)
    base = [one for one in answer.lines if not one.row.addition]
    added = [one for one in answer.lines if one.row.addition]
    for one in base:
        table.add_row(*_row(one, ""))
    text = "base" if answer.stated_total is None else "base; the total in the table is right"
    table.add_row("", "", Text(text, "dim"), Text(_plain(answer.base_total), "bold"), "")
    if added:
        table.add_row("", Text("additions", "dim"), "", "", "")
    for one in added:
        table.add_row(*_row(one, "+"))
    return table


def _row(one: Understood, sign: str) -> tuple[Text, ...]:
    material = one.part.material
    meant = Text(material.name, "bold")
    if one.others_of_that_name:
        meant.append(f"  {material.id}", "dim")
    return (
        Text(str(one.row.line), "dim"),
        Text(one.row.written),
        meant,
        Text(_plain(one.row.amount)),
        Text(f"{sign}{one.percent_of_base:.1f}"),
    )


def _plain(value: Decimal) -> str:
    """Without trailing zeros; to a hundredth of a gram or part."""
    return f"{float(value):.2f}".rstrip("0").rstrip(".") if abs(value) >= 1 else f"{value:.4g}"
