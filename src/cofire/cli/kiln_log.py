from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from cofire.cli.common import command, document, print_json, say, studio

if TYPE_CHECKING:
    pass


@command("kiln-log")
@click.argument("logs", nargs=-1, required=True, type=click.Path(path_type=Path), metavar="LOG...")
@click.option("--like", metavar="KILN", help="Take what the log does not show from this kiln.")
@click.option("--name", default="my kiln", show_default=True, help="What to call it.")
@click.option(
    "--ambient", metavar="TEMPERATURE", help="Temperature of the room; the default is 20 °C."
)
@click.option("--load", metavar="WEIGHT", help="What was in it, “6 kg”; with --like a kiln.")
@click.option("--save", metavar="ID", help="Write it to your studio, to be named in firings.")
def kiln_log(
    logs: tuple[Path, ...],
    like: str | None,
    name: str,
    ambient: str | None,
    load: str | None,
    save: str | None,
    as_json: bool,
) -> None:
    """Learn what a kiln can do from a log of it: CSV with a time and a temperature column.

    One log of a climb at full power and the fall after it is enough, or one of each. A pyrometer
    read by hand every ten minutes will do.
    """
    answer = studio().kiln_log(logs, like=like, name=name, ambient=ambient, load=load, save=save)
    if as_json:
        print_json(answer)
        return
    fit = answer.learnt
    for word, missed in (("climb", fit.heating_misses_c), ("fall", fit.cooling_misses_c)):
        if missed is not None:
            say(f"# the {word} is followed within {missed:.0f} °C (root mean square)")
    if answer.gaps:
        say("# readings are missing: taken to have gone on as around them")
    if fit.limit_c < 2000.0:
        say(f"# at full power it would stand still near {fit.limit_c:.0f} °C")
    click.echo(document(answer.text), nl=False)
    if answer.file is not None:
        say(f"# written to {answer.file}")
