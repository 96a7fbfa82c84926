from __future__ import annotations

import sys
import tempfile
from pathlib import Path

import click

from cofire import __version__
from cofire.cli.common import command, may_draw, print_json, say


@command()
@click.option("--save", metavar="FILE", callback=may_draw, help="Write them to this HTML file.")
def docs(save: str | None, as_json: bool) -> None:
    """All documents as one page in your browser: no network is asked.

    First steps for potter, teacher and artist, how to do things, every command, file, key and word,
    the science and how well it knows. With --json the same as markdown.
    """
    from cofire.cli.reference import made
    from cofire.documents import as_html, pages

    found = pages(made())
    if as_json:
        if save is not None:
            raise click.UsageError("--save writes the page and --json prints it: choose one.")
        print_json({"pages": [{"name": p.name, "title": p.title, "text": p.text} for p in found]})
        return
    from cofire.files.atomic_write import write_answer

    path = Path(save) if save else Path(tempfile.mkdtemp(prefix="cofire-")) / "cofire.html"
    write_answer(path, "page", as_html(found, __version__))
    if save is None and sys.stdout.isatty():
        import webbrowser

        webbrowser.open(path.as_uri())
    say(f"Written to {path}: open it in a browser.")
