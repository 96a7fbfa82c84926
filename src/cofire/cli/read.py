from __future__ import annotations

from pathlib import Path
from typing import cast

import click

from cofire.cli.common import command, finish, studio
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
    from cofire.answers.table import DIGITS
    from cofire.files.recipe_writer import write_recipe
    from cofire.files.toml import read_stream, standard_input

    if save and not surface:
        raise click.UsageError(
            "to save it, say what it is meant to be:  --surface " + "|".join(SURFACES)
        )
    called = name or (save.stem if save else None)
    kind = cast("Surface | None", surface)
    if str(table) == "-":
        pasted = read_stream(*standard_input())
        answer = studio().read(text=pasted, name=called, surface=kind, column=column)
    else:
        answer = studio().read(table, name=called, surface=kind, column=column)
    if save:
        write_recipe(save, answer.recipe, digits=DIGITS)
    finish(answer, as_json, "table.show_read", saved=str(save) if save else None)
