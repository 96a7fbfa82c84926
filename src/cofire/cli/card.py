from __future__ import annotations

from pathlib import Path

import click

from cofire.cli.common import command, finish, may_draw, say, studio


@command()
@click.option(
    "--save",
    metavar="FILE",
    callback=may_draw,
    help="Write the whole page, with plots, to an HTML file.",
)
def card(save: str | None, as_json: bool) -> None:
    """How far the glass models miss on glasses they never saw.

    Also how far published tables miss on the same glasses, and how often the intervals hold.
    """
    if save is not None and as_json:
        raise click.UsageError("--save writes the page and --json the numbers: choose one.")
    if save is not None:
        from cofire import glass
        from cofire.files.atomic_write import write_answer

        write_answer(Path(save), "page", glass.card_page())
        say(f"Written to {save}: open it in a browser.")
    else:
        finish(studio().card(), as_json, "card.show_card")
