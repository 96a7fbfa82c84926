from __future__ import annotations

import click

from cofire.cli.common import command, finish, studio


@command()
@click.argument("word", nargs=-1)
def explain(word: tuple[str, ...], as_json: bool) -> None:
    """What a word on the screen means, in a potter's words, with its source.

    Without a word: all that can be explained. Words may have spaces: cofire explain unity formula.
    """
    view = "glossary.show_word" if word else "glossary.show_glossary"
    finish(studio().explain(" ".join(word) if word else None), as_json, view)
