from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

import click

from cofire.cli.common import command, finish, studio
from cofire.records import SURFACES

F = TypeVar("F", bound=Callable[..., Any])


def sheet_options(other: str, does: str) -> Callable[[F], F]:
    """The options of a command that takes one sheet of many things; ``other`` is what it ``does``
    on demand where a name is taken."""
    options = (
        click.option("--dry-run", is_flag=True, help="Say what would be made, and write nothing."),
        click.option(
            "--only-good",
            is_flag=True,
            help="Write those that can be made and leave out the others.",
        ),
        click.option(
            "--on-clash",
            type=click.Choice(["stop", "skip", other]),
            default="stop",
            show_default=True,
            help=f"Where a name is taken: write nothing, leave that one out, or {does}.",
        ),
        click.option("--sheet", "worksheet", metavar="NAME", help="Which worksheet of a workbook."),
    )

    def add(run: F) -> F:
        for option in reversed(options):
            run = option(run)
        return run

    return add


def pasted(table: Path) -> dict[str, Any]:
    """The table as the Python API takes it: a file, or what comes for “-”."""
    if str(table) == "-":
        return {"text": sys.stdin.buffer.read()}
    return {"table": table}


def restored(table: Path, as_json: bool, how: dict[str, Any]) -> int | None:
    """The exit status where the table is what “cofire export” wrote, which is brought back."""
    if str(table) == "-":
        return None
    from cofire.files.exported import is_exported

    if not is_exported(table):
        return None
    said = {key: how.pop(key) for key in ("on_clash", "only_good", "dry_run")}
    for key, value in how.items():
        if value:
            from cofire.errors import Place, refusal

            option = "sheet" if key == "worksheet" else key
            raise refusal("not-for-exports", Place(table), option=option)
    answer = studio().restore(table, **said)
    finish(answer, as_json, "imported.show_restored")
    return 0 if answer.yes else 1


@command("import")
@click.argument("table", type=click.Path(path_type=Path, allow_dash=True))
@sheet_options("rename", "number it")
@click.option(
    "--into", type=click.Path(path_type=Path), metavar="FOLDER", help="Instead of “recipes”."
)
@click.option(
    "--surface", type=click.Choice(SURFACES), help="What those are meant to be that do not say it."
)
@click.option(
    "--notes", multiple=True, metavar="HEADING", help="Keep this column as notes; repeatable."
)
def import_recipes(table: Path, as_json: bool, **how: Any) -> int:
    """Many recipes from one sheet: TABLE is CSV, XLSX, or “-” for what is pasted.

    Long: columns name, material and amount, a line to each material. Wide: a row to each recipe and
    a column to each material, or the other way round. Columns of a cone and of remarks become
    notes. All recipes are written, or none where one of them cannot be; exit status 1 then.

    What “cofire export” wrote comes back the same way: its JSON file, its folder, or one of its
    sheets.
    """
    if (code := restored(table, as_json, how)) is not None:
        return code
    answer = studio().import_recipes(**pasted(table), **how)
    finish(answer, as_json, "imported.show_recipes")
    return 0 if answer.yes else 1


globals()["import"] = import_recipes  # a word of Python, which no function can have as its name
