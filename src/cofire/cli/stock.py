from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from cofire.cli.common import Group, finish, studio
from cofire.cli.import_table import pasted, sheet_options


@click.group(cls=Group, invoke_without_command=True)
@click.option("--json", "as_json", is_flag=True, help="The same as JSON.")
@click.pass_context
def stock(ctx: click.Context, as_json: bool) -> None:
    """What is on your shelf and what it cost: stock.toml in your studio.

    Without a command: list it.
    """
    if ctx.invoked_subcommand is None:
        finish(studio().stock(), as_json, "stock.show_stock")


@stock.command("import")
@click.argument("table", type=click.Path(path_type=Path, allow_dash=True))
@sheet_options("replace", "take what the sheet says")
def import_(table: Path, as_json: bool, **how: Any) -> int:
    """A whole stock list from one sheet: TABLE is CSV, XLSX, or “-” for what is pasted.

    A row to each material, with columns material, amount and price. Units stand in the headings
    (“amount (kg)”, “price per kg”), in columns of their own (unit; pack) or in the cells. All else
    becomes comments. All is written into stock.toml, or nothing where a row is wrong; exit status 1
    then.
    """
    answer = studio().import_stock(**pasted(table), **how)
    finish(answer, as_json, "imported.show_stock")
    return 0 if answer.yes else 1
