from __future__ import annotations

from pathlib import Path

import click

from cofire.cli.common import command, document, print_json, say, studio


@command()
@click.argument("recipe")
@click.option("--dry", metavar="WEIGHT", help="In grams, for so much dry base: “2 kg”.")
@click.option(
    "--scale", metavar="STEP", help="What the scale shows, with --dry; the default is 0.1 g."
)
@click.option("--csv", "file", type=click.Path(path_type=Path), help="Write it to a new file.")
@click.option("--semicolons", is_flag=True, help="For spreadsheets with decimal commas.")
@click.option("--tabs", is_flag=True, help="Tabs between columns, as cells are pasted.")
def table(
    recipe: str,
    dry: str | None,
    scale: str | None,
    file: Path | None,
    semicolons: bool,
    tabs: bool,
    as_json: bool,
) -> None:
    """A recipe or a batch as plain columns, for a spreadsheet.

    Two columns, material and amount; additions stand below a line of that name. “cofire read”
    reads it back.
    """
    from cofire.files.atomic_write import refuse_taken, writing

    answer = studio().table(recipe, dry=dry, scale=scale, semicolons=semicolons, tabs=tabs)
    if file is not None:
        refuse_taken(file)
        with writing(file, new=True) as out:
            out.write(answer.text)
    if as_json:
        print_json(answer)
    elif file is None:
        click.echo(document(answer.text), nl=False)
    else:
        say(f"Written: {file}")
