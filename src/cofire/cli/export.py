from __future__ import annotations

from pathlib import Path

import click

from cofire.cli.common import command, finish, studio


@command()
@click.argument("to", type=click.Path(path_type=Path), metavar="FILE.json|FOLDER")
@click.option("--all", "shipped", is_flag=True, help="What is shipped with cofire too.")
def export(to: Path, shipped: bool, as_json: bool) -> None:
    """All that your studio's files say, for other programs.

    One file that ends in .json, or a folder of CSV files: recipes with a line for each part,
    materials with their oxides, bodies, firings, kilns, stock and names. Only new files are
    written.
    """
    finish(studio().export(to, shipped=shipped), as_json, "export.show_exported")
