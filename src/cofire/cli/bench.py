from __future__ import annotations

import click

from cofire.cli.common import Once, say, studio


@click.command(cls=Once)
@click.option("--port", type=click.IntRange(1, 65535), metavar="PORT", help="Where it listens.")
@click.option("--no-open", "quiet", is_flag=True, help="Do not open a browser.")
@click.option("--lan", is_flag=True, help="Also let phones in this network in, by a code.")
def bench(port: int | None, quiet: bool, lan: bool) -> None:
    """A page in your browser for all of this, on your own studio.

    It runs on this computer alone and needs no network. In an empty folder it begins a studio.
    """
    from cofire.page.serve import serve, studio_folder

    serve(studio_folder(studio()), port=port, lan=lan, open_page=not quiet, say=say)
