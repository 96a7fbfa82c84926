from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from cofire.cli.common import command, library, print_json

if TYPE_CHECKING:
    from cofire.files.tables import Separator, Unit


@command()
@click.argument("recipe")
@click.option("--dry", metavar="WEIGHT", help="In grams, for so much dry base: “2 kg”.")
@click.option(
    "--scale", metavar="STEP", help="What the scale shows, with --dry; the default is 0.1 g."
)
@click.option("--csv", "file", type=click.Path(path_type=Path), help="Write it to a new file.")
@click.option("--semicolons", is_flag=True, help="For spreadsheets with decimal commas.")
@click.option("--tabs", is_flag=True, help="Tabs between columns, as cells are pasted.")
def table(
    recipe: str,
    dry: str | None,
    scale: str | None,
    file: Path | None,
    semicolons: bool,
    tabs: bool,
    as_json: bool,
) -> None:
    """A recipe or a batch as plain columns, for a spreadsheet.

    Two columns, material and amount; additions stand below a line of that name. “cofire read”
    reads it back.
    """
    from cofire.answers.batch.scale import read_step
    from cofire.answers.table import batch_rows, plain_rows
    from cofire.errors import QuantityError
    from cofire.files.atomic_write import refuse_taken, writing
    from cofire.files.tables import table_text
    from cofire.read.units import WEIGHT, measured

    if semicolons and tabs:
        raise click.UsageError("say --semicolons or --tabs, not both.")
    if scale is not None and dry is None:
        raise click.UsageError("--scale goes with --dry: parts are not weighed.")
    separator: Separator = ";" if semicolons else "\t" if tabs else ","
    unit: Unit
    glaze = library().recipe(recipe)
    if dry is None:
        unit, rows = "parts", plain_rows(glaze)
    else:
        weight = measured(dry, WEIGHT)
        if not 0 < weight <= 10**6:
            raise QuantityError(f"{dry} is not a batch.", hint="Write for example “2 kg”.")
        unit, rows = "g", batch_rows(glaze, weight, read_step(scale or "0.1 g"))
    text = table_text(rows, unit, separator)
    if file is not None:
        refuse_taken(file)
        with writing(file) as out:
            out.write(text)
    if as_json:
        lines = [dict(zip(("written", "amount", "addition"), row, strict=True)) for row in rows]
        print_json({"name": glaze.name, "unit": unit, "lines": lines})
    else:
        click.echo(text if file is None else f"Written: {file}\n", nl=False)
