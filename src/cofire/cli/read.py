from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, cast

import click

from cofire.cli.common import command, finish, studio
from cofire.errors import CofireError, Problems, UnknownNameError
from cofire.records import SURFACES, Surface

if TYPE_CHECKING:
    from cofire.studio import Studio


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
    maker = studio()
    if str(table) == "-":
        pasted = read_stream(*standard_input())
        answer = maker.read(text=pasted, name=called, surface=kind, column=column)
    else:
        again = True
        while again:
            try:
                answer = maker.read(table, name=called, surface=kind, column=column)
                again = False
            except CofireError as error:
                again = _remembered(maker, error)
                if not again:
                    raise
    if save:
        write_recipe(save, answer.recipe, digits=DIGITS)
    finish(answer, as_json, "table.show_read", saved=str(save) if save else None)


def _remembered(maker: Studio, error: CofireError) -> bool:
    """Asks a person at a screen which materials unknown names mean, and remembers all; whether
    that leaves no error."""
    errors = error.errors if isinstance(error, Problems) else (error,)
    if not (maker.library.studio and sys.stdin.isatty() and sys.stderr.isatty()):
        return False
    from cofire.names import plain

    meant: dict[str, tuple[str, str]] = {}
    for one in errors:
        if not isinstance(one, UnknownNameError) or not one.nearest:
            return False  # what cannot be asked about is said first
        if plain(one.called) not in meant:
            chosen = _chosen(one)
            if chosen is None:
                return False
            meant[plain(one.called)] = one.called, chosen
    names = ", ".join(f"“{called}” for {name}" for called, name in meant.values())
    if not click.confirm(f"Remember {names} in names.toml?", default=True, err=True):
        return False
    for called, name in meant.values():
        maker.call_material(called, name)
    return True


def _chosen(error: UnknownNameError) -> str | None:
    """One of the names that may be meant; None for none of them."""
    click.echo(f"{error.place}: {error.message} Which one is it?", err=True)
    for number, name in enumerate(error.nearest, 1):
        click.echo(f"  {number}  {name}", err=True)
    click.echo("  0  none of these", err=True)
    number = click.prompt("Number", type=click.IntRange(0, len(error.nearest)), default=0, err=True)
    return error.nearest[number - 1] if number else None
