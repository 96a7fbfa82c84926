from __future__ import annotations

import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import ClassVar

import click

from cofire import __version__
from cofire.cli.common import command, may_draw, print_json, say
from cofire.documents import Page
from cofire.record import Record


@dataclass(frozen=True, eq=False, repr=False)
class Documents(Record):
    """All pages in reading order, as markdown."""

    pages: tuple[Page, ...]
    schema: ClassVar = "docs"


@command()
@click.option("--save", metavar="FILE", callback=may_draw, help="Write them to this HTML file.")
@click.option("--schema", is_flag=True, help="Print the JSON Schema of all that --json prints.")
def docs(save: str | None, schema: bool, as_json: bool) -> None:
    """All documents as one page in your browser: no network is asked.

    First steps for potter, teacher and artist, how to do things, every command, file, key and word,
    the science and how well it knows. With --json the same as markdown.
    """
    if schema:
        if save is not None or as_json:
            raise click.UsageError("--schema stands alone; > FILE.json keeps it in a file.")
        from cofire.cli.json_schema import json_schema
        from cofire.show.json import dumps

        click.echo(dumps(json_schema(), indent=2))
        return
    from cofire.cli.reference import made
    from cofire.documents import as_html, pages

    found = pages(made())
    if as_json:
        if save is not None:
            raise click.UsageError("--save writes the page and --json prints it: choose one.")
        print_json(Documents(tuple(found)))
        return
    from cofire.files.atomic_write import write_answer

    path = Path(save) if save else Path(tempfile.mkdtemp(prefix="cofire-")) / "cofire.html"
    write_answer(path, "page", as_html(found, __version__))
    if save is None and sys.stdout.isatty():
        import webbrowser

        webbrowser.open(path.as_uri())
    say(f"Written to {path}: open it in a browser.")
