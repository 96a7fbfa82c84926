from __future__ import annotations

from pathlib import Path

import click

from cofire.cli.common import command, print_json, progress, say, studio


@command()
@click.argument("paths", nargs=-1, type=click.Path(path_type=Path))
def check(paths: tuple[Path, ...], as_json: bool) -> int:
    """Check every material, recipe, body and firing file.

    PATHS are files or folders; without any, your studio's and all that is shipped. Exit status
    2 when there are problems.
    """
    from cofire.show.problems import describe

    answer = studio().check(*paths, progress=progress("Checking", 500))
    if as_json:
        print_json(answer)
        return 2 if answer.errors else 0
    for error in answer.errors:
        say(describe(error))
    for note in answer.notes:
        say(f"{note.subject}: note: {note.message}")
    files = "1 file" if answer.checked == 1 else f"{answer.checked} files"
    if answer.errors:
        count = len(answer.errors)
        say(f"{files} checked: {count} problem{'s' if count > 1 else ''}.")
        return 2
    say(f"{files} checked: all good.")
    return 0
