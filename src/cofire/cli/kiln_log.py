from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING

import click

from cofire.cli.common import command, library, print_json

if TYPE_CHECKING:
    from cofire.files.library import Library


@command("kiln-log")
@click.argument("logs", nargs=-1, required=True, type=click.Path(path_type=Path), metavar="LOG...")
@click.option("--like", metavar="KILN", help="Take what the log does not show from this kiln.")
@click.option("--name", default="my kiln", show_default=True, help="What to call it.")
@click.option(
    "--ambient", metavar="TEMPERATURE", help="Temperature of the room; the default is 20 °C."
)
@click.option("--save", metavar="ID", help="Write it to your studio, to be named in firings.")
def kiln_log(
    logs: tuple[Path, ...],
    like: str | None,
    name: str,
    ambient: str | None,
    save: str | None,
    as_json: bool,
) -> None:
    """Learn what a kiln can do from a log of it: CSV with a time and a temperature column.

    One log of a climb at full power and the fall after it is enough, or one of each. A pyrometer
    read by hand every ten minutes will do.
    """
    from cofire.answers.kiln_log import kiln_text, learn_kiln
    from cofire.files.atomic_write import writing
    from cofire.files.kiln_logs import read_kiln_log
    from cofire.read.units import temperature_c

    lib = library()
    room = 20.0 if ambient is None else temperature_c(ambient)
    fit = learn_kiln([read_kiln_log(p) for p in logs], lib.kiln(like) if like else None, room)
    text = kiln_text(fit, name, "logged: " + ", ".join(p.name for p in logs))
    path = None if save is None else _path(lib, save)
    if path is not None:
        path.parent.mkdir(parents=True, exist_ok=True)
        with writing(path) as out:
            out.write(text)
    if as_json:
        print_json({"learnt": fit, "text": text, "file": path})
        return
    for word, missed in (("climb", fit.heating_misses_c), ("fall", fit.cooling_misses_c)):
        if missed is not None:
            click.echo(f"# the {word} is followed within {missed:.0f} °C (root mean square)")
    if fit.limit_c < 2000.0:
        click.echo(f"# at full power it would stand still near {fit.limit_c:.0f} °C")
    click.echo(text, nl=False)
    if path is not None:
        click.echo(f"# written to {path}")


def _path(lib: Library, key: str) -> Path:
    """Where a kiln of the studio goes. Raises QuantityError where it cannot."""
    from cofire.errors import QuantityError
    from cofire.files.atomic_write import refuse_taken

    if not re.fullmatch(r"[a-z0-9][a-z0-9-]*", key):
        raise QuantityError(
            f"“{key}” is not an id.", hint="Use small letters, digits and hyphens: my-kiln."
        )
    path = lib.own_studio() / "recipes" / "kilns" / f"{key}.toml"
    refuse_taken(path)
    return path
