from __future__ import annotations

import sys
from pathlib import Path
from typing import IO, Literal

import click

from cofire.cli.common import Number, command, command_name


def _level(ctx: click.Context, param: click.Parameter, value: float) -> float:
    if not 0.5 <= value <= 0.99:  # also true of NaN
        raise click.BadParameter("levels run from 0.5 to 0.99; write 0.9 for 90 %.", ctx, param)
    return value


@command()
@click.argument("table", type=click.Path(path_type=Path))
@click.option(
    "--basis",
    type=click.Choice(["mol", "wt"]),
    required=True,
    help="Whether the amounts are moles or weights; each row may have any total.",
)
@click.option(
    "--out", type=click.Path(path_type=Path), help="Write to this file instead of the screen."
)
@click.option(
    "--level",
    type=Number(),
    callback=_level,
    default=0.9,
    show_default=True,
    help="How often the truth should lie between low and high.",
)
@click.option("--ignore", is_flag=True, help="Leave out columns that are not oxides.")
def predict(
    table: Path,
    basis: Literal["mol", "wt"],
    out: Path | None,
    ignore: bool,
    level: float,
    as_json: bool,
) -> None:
    """Properties of every composition in a CSV table.

    One column per oxide (any order; missing means none), optional columns “name” and
    “temperature_c”. The answer has one row per row, in order, with intervals (_low, _high);
    seals_c, matures_c and runs_c are temperatures of log10 eta 6, 4 and 2.5, to sort by.
    “support” is 0 well inside the measured glasses and 1 outside: trust nothing there.
    """
    from cofire.answers.predict import predict_rows, write_csv
    from cofire.errors import DataFileError, Place
    from cofire.files.atomic_write import writing

    def say(text: str) -> None:
        click.echo(text, err=True)

    def run(source: IO[str], target: IO[str]) -> None:
        name = Path("standard input") if str(table) == "-" else table
        try:
            chunks = predict_rows(source, name, basis, level=level, ignore=ignore, say=say)
            if as_json:
                from cofire.show.json import write_rows

                write_rows({"basis": basis, "level": level}, chunks, target, command_name())
            else:
                write_csv(chunks, target)
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
            source = table.open(encoding="utf-8-sig", newline="")
        except FileNotFoundError:
            raise DataFileError("there is no such file.", place=Place(table)) from None
        except OSError as problem:
            raise DataFileError(
                f"the file cannot be read ({problem.strerror}).", place=Place(table)
            ) from None
        with source:
            run(source, target)

    if out is None:
        read(sys.stdout)
        return
    if out.exists() and table.exists() and out.samefile(table):
        raise DataFileError(
            "the answers would take the place of the table itself.",
            hint="Give --out another name.",
            place=Place(out),
        )
    with writing(out) as target:
        read(target)
