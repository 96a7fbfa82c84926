from __future__ import annotations

import sys
from pathlib import Path
from typing import cast

import click

from cofire.cli.common import command, finish, library
from cofire.records import SURFACES, Surface


@command()
@click.argument("table", type=click.Path(path_type=Path, allow_dash=True))
@click.option("--name", metavar="NAME", help="What to call the glaze.")
@click.option("--surface", type=click.Choice(SURFACES), help="What it is meant to be.")
@click.option("--column", metavar="HEADING", help="Which column holds the amounts, if several do.")
@click.option(
    "--save", type=click.Path(path_type=Path), metavar="FILE.toml", help="Write it as a recipe."
)
def read(
    table: Path,
    name: str | None,
    surface: str | None,
    column: str | None,
    save: Path | None,
    as_json: bool,
) -> None:
    """A recipe from columns of a spreadsheet: TABLE is a file, or “-” for what is pasted.

    Commas, semicolons, tabs or spaces part names from amounts; decimal commas, per cent, g, kg, oz
    and lb, headings, totals and lines such as “additions” are understood. Nothing is guessed:
    what could mean two things is refused, with its line.
    """
    from cofire.answers.table import DIGITS, understand
    from cofire.errors import QuantityError
    from cofire.files.recipe_writer import write_recipe
    from cofire.files.tables import read_table
    from cofire.files.toml import read_bytes

    if save and not surface:
        raise click.UsageError(
            "to save it, say what it is meant to be:  --surface " + "|".join(SURFACES)
        )
    pasted = str(table) == "-"
    if pasted:
        raw, path = sys.stdin.buffer.read(), Path("what was pasted")
    else:
        raw, path = read_bytes(table), table
    read_rows = read_table(raw, path, column)
    called = (name or read_rows.title or (save or path).stem).strip()
    if not called or not called.isprintable():
        raise QuantityError("the name is empty or cannot be printed.", hint="Write  --name “…”")
    answer = understand(library(), read_rows, path, called, cast("Surface | None", surface))
    if save:
        write_recipe(save, answer.recipe, digits=DIGITS)
    finish(answer, as_json, "table.show_read", saved=str(save) if save else None)
