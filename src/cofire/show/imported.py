"""What an import would make, did make, and could not."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Console
from rich.padding import Padding

from cofire.answers.clashes import Clash
from cofire.answers.import_materials import MaterialsImport
from cofire.answers.import_recipes import ImportAnswer, UnknownMaterial
from cofire.answers.import_stock import StockImport
from cofire.answers.restore import RestoreAnswer
from cofire.errors import CofireError
from cofire.show.problems import describe
from cofire.show.terminal import Text, console, heading, plain_table, print_notes, title


def show_recipes(answer: ImportAnswer) -> None:
    """Print the recipes, then what stands in the way of the others."""
    out = console()
    out.print()
    out.print(title(answer.sheet.name, answer.layout))
    if answer.recipes:
        table = plain_table(">line", "~recipe", "surface", ">materials", "~notes")
        for one in answer.recipes:
            table.add_row(
                Text(str(one.line), "dim"),
                Text(one.recipe.name, "bold"),
                one.recipe.surface,
                str(len(one.lines)),
                Text(one.recipe.notes, "dim"),
            )
        print_block(out, "Recipes", table)
    print_unknown(out, answer.unknown, "recipes")
    print_clashes(out, answer.clashes)
    print_errors(out, answer.errors)
    print_notes(out, answer.findings)
    print_outcome(out, len(answer.recipes), "recipe", answer.written, answer.yes)


def show_restored(answer: RestoreAnswer) -> None:
    """Print what comes back, and what stands in the way of the rest."""
    out = console()
    out.print()
    out.print(title(answer.source.name, "an export"))
    brought = "Brought back" if answer.written else "To bring back"
    for word, counts in ((brought, answer.things), ("Here already", answer.already)):
        if counts:
            said = ", ".join(f"{kind} {count}" for kind, count in counts.items())
            out.print(Text(f"{word}: {said}"))
    print_clashes(out, answer.clashes)
    print_outcome(out, len(answer.files), "file", answer.written, answer.yes)


def print_block(out: Console, name: str, block: object) -> None:
    """Something under its heading."""
    out.print()
    out.print(heading(name))
    out.print(Padding(block, (0, 1)))  # type: ignore[arg-type]


def print_unknown(out: Console, unknown: Sequence[UnknownMaterial], where: str) -> None:
    """Names that are no materials, once each."""
    if unknown:
        table = plain_table("~unknown", f">in {where}", ">first line", "~")
        for material in unknown:
            count, line = str(material.count), str(material.line)
            table.add_row(Text(material.written, "bold"), count, line, Text(material.hint))
        print_block(out, "Unknown materials", table)


def print_clashes(out: Console, clashes: Sequence[Clash], other: str = "rename") -> None:
    """Names that are taken; ``other`` is what can be done beside skipping them."""
    if clashes:
        table = plain_table(">line", "~name", "~taken by", "~")
        for one in clashes:
            outcome = f"renamed to “{one.new_name}”" if one.new_name else one.outcome
            line = Text("" if one.line is None else str(one.line), "dim")
            table.add_row(line, Text(one.name), Text(one.taken_by), outcome)
        print_block(out, "Names that are taken", table)
        if any(one.outcome == "left out" for one in clashes):
            does = "numbers them" if other == "rename" else "takes what the sheet says"
            said = f"  --on-clash skip  leaves them out,  --on-clash {other}  {does}."
            out.print(Text(said, "dim"))


def print_errors(out: Console, errors: Sequence[CofireError]) -> None:
    """What is wrong in which line."""
    if errors:
        text = "\n".join(describe(error) for error in errors)
        print_block(out, "Wrong in the table", Text(text))


def print_outcome(out: Console, count: int, word: str, written: bool, yes: bool) -> None:
    """How many are written, or what to do."""
    many = f"{count} {word}{'' if count == 1 else 's'}"
    if written:
        said = f"{many} written." if yes else f"{many} written; the others are left out."
    elif yes:
        said = f"{many} can be written; nothing is written yet." if count else "Nothing to write."
    else:
        said = f"Nothing is written. {many} could be:  --only-good  writes those alone."
        said = said if count else "Nothing is written."
    out.print()
    out.print(Text(said, "bold"))


def show_materials(answer: MaterialsImport) -> None:
    """Print the materials, then what stands in the way of the others."""
    out = console()
    out.print()
    out.print(title(answer.sheet.name, "a material a row"))
    if answer.materials:
        table = plain_table(">line", "~id", "~names", "~remarks")
        for one in answer.materials:
            line, remarks = Text(str(one.line), "dim"), Text("; ".join(one.remarks), "dim")
            table.add_row(line, Text(one.id, "bold"), Text(", ".join(one.names)), remarks)
        print_block(out, "Materials", table)
    print_clashes(out, answer.clashes)
    print_errors(out, answer.errors)
    for remark in answer.remarks:
        out.print(Text(f"Note: {remark}.", "dim"))
    print_outcome(out, len(answer.materials), "material", answer.written, answer.yes)


def show_stock(answer: StockImport) -> None:
    """Print what is on the shelf, then what stands in the way of the rest."""
    out = console()
    out.print()
    out.print(title(answer.sheet.name, "stock"))
    if answer.stock:
        price = f"price, {answer.currency}" if answer.currency else "price"
        table = plain_table(">line", "~material", ">have", ">price", "~remarks")
        table.columns[3].header = Text(price)
        for one in answer.stock:
            table.add_row(
                Text(str(one.line), "dim"),
                Text(one.written, "bold"),
                Text(one.have),
                Text(one.price),
                Text("; ".join(one.remarks), "dim"),
            )
        print_block(out, "Stock", table)
    print_unknown(out, answer.unknown, "rows")
    print_clashes(out, answer.clashes, "replace")
    print_errors(out, answer.errors)
    for remark in answer.remarks:
        out.print(Text(f"Note: {remark}.", "dim"))
    print_outcome(out, len(answer.stock), "material", answer.written, answer.yes)
