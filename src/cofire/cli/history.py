from __future__ import annotations

from pathlib import Path

import click

from cofire.cli.common import Count, command, document, finish, print_json, say, studio


@command()
@click.argument("recipe")
@click.option("--at", type=Count(), metavar="N", help="Show version N in full.")
@click.option(
    "--save",
    type=click.Path(path_type=Path),
    metavar="FILE.toml",
    help="With --at: write it to a new file.",
)
def history(recipe: str, at: int | None, save: Path | None, as_json: bool) -> None:
    """What changed in a recipe, when, and why.

    Beside every version stands what it does to expansion and melting. A version is kept by
    “cofire keep” and “cofire set”, and brought back with --at N --save FILE.toml.
    """
    from cofire.files.atomic_write import refuse_taken, writing

    if at is None:
        if save:
            raise click.UsageError("--save goes with --at N: which version?")
        finish(studio().history(recipe), as_json, "history.show_history")
        return
    version = studio().version(recipe, at)
    if save is not None:
        if save.suffix != ".toml":
            raise click.UsageError(f"a recipe's file ends in .toml: write  {save}.toml")
        refuse_taken(save)
        with writing(save, new=True) as out:
            out.write(version.text)
    if as_json:
        print_json(version, version.schema)
    elif save is None:
        click.echo(document(version.text), nl=False)
    else:
        say(f"Written: {save} (version {version.number} of {recipe})")
