from __future__ import annotations

import sys
from pathlib import Path
from typing import IO, Literal

import click


@click.command()
@click.argument("table", type=click.Path(path_type=Path))
@click.option(
    "--basis",
    type=click.Choice(["mol", "wt"]),
    required=True,
    help="Whether the amounts are moles or weights; each row may have any total.",
)
@click.option("--out", type=click.Path(path_type=Path), help="Write here instead of the screen.")
@click.option(
    "--level",
    type=click.FloatRange(0.5, 0.99),
    default=0.9,
    show_default=True,
    help="How often the truth should lie between low and high.",
)
@click.option("--ignore", is_flag=True, help="Leave columns out that are no oxides.")
def predict(
    table: Path, basis: Literal["mol", "wt"], out: Path | None, ignore: bool, level: float
) -> None:
    """Properties of every composition in a CSV table.

    One column per oxide (any order; missing means none), optional columns “name” and
    “temperature_c”. The answer has one row per row, in order, with intervals.
    """
    from cofire.answers.predict import predict_table
    from cofire.errors import DataFileError, Place
    from cofire.files.whole import writing

    def say(text: str) -> None:
        click.echo(text, err=True)

    def run(source: IO[str], target: IO[str]) -> None:
        name = Path("standard input") if str(table) == "-" else table
        try:
            predict_table(source, name, basis, target, level=level, ignore=ignore, say=say)
        except UnicodeDecodeError:
            raise DataFileError(
                "the table is not UTF-8 text.",
                hint="Save it again with the encoding UTF-8.",
                place=Place(name),
            ) from None

    def read(target: IO[str]) -> None:
        if str(table) == "-":
            run(sys.stdin, target)
            return
        try:
            with table.open(encoding="utf-8-sig", newline="") as source:
                run(source, target)
        except FileNotFoundError:
            raise DataFileError("there is no such file.", place=Place(table)) from None
        except OSError as problem:
            raise DataFileError(
                f"the file cannot be read ({problem.strerror}).", place=Place(table)
            ) from None

    if out is None:
        read(sys.stdout)
        return
    if out.exists() and table.exists() and out.samefile(table):
        raise DataFileError(
            "the answers would take the place of the table itself.",
            hint="Give --out another name.",
            place=Place(out),
        )
    with writing(out.resolve()) as target:
        read(target)
