from __future__ import annotations

import shlex
from pathlib import Path

import click

from cofire.cli.common import command, print_json, say


@command()
@click.argument("folder", default=".", type=click.Path(path_type=Path))
@click.option(
    "--name", metavar="NAME", help="Name of the studio; the default is the folder's name."
)
def init(folder: Path, name: str | None, as_json: bool) -> None:
    """Make a studio folder for your own recipes and materials.

    All plain text, safe in a synced folder and under version control. In a folder that is there
    already only what is missing is added; nothing is ever overwritten.
    """
    from cofire.files.new_studio import EXAMPLE
    from cofire.studio import Studio

    begun = Studio.init(folder, name)
    if as_json:
        print_json(begun)
        return
    for one in begun.added:
        say(f"  made  {one}")
    for one in begun.left:
        say(f"  left  {one}, which was there")
    if not begun.added:
        say(f"{begun.folder} is a studio already; nothing was changed.")
        return
    here = begun.folder.resolve() == Path.cwd()
    where = "" if here else f"cd {shlex.quote(str(begun.folder))}, then "
    first = "formula slipway-crackle" if EXAMPLE in begun.added else "check"
    say(f"Your studio is ready. Next: {where}cofire {first}")
