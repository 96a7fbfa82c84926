from __future__ import annotations

import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO, TYPE_CHECKING, Literal, cast

import click

from cofire.cli.common import Number, command, command_name, document, say

if TYPE_CHECKING:
    from cofire.files.long_tables import LongTable

#: An answer up to this size is kept in memory until it is printed.
_IN_MEMORY = 1 << 24
#: Letters printed in one go.
_AT_ONCE = 1 << 16


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
    "--out", type=click.Path(path_type=Path), help="Write to this new file instead of the screen."
)
@click.option(
    "--level",
    type=Number(),
    callback=_level,
    default=0.9,
    show_default=True,
    help="Probability that the true value is between low and high.",
)
@click.option(
    "--keep",
    multiple=True,
    metavar="HEADING",
    help="Carry this column along as it is; repeat the option, or separate headings by commas.",
)
@click.option("--ignore", is_flag=True, help="Leave columns out that are no oxides.")
def predict(
    table: Path,
    basis: Literal["mol", "wt"],
    out: Path | None,
    keep: tuple[str, ...],
    ignore: bool,
    level: float,
    as_json: bool,
) -> None:
    """Properties of every composition in a table: TABLE is a CSV file, or “-” for what is piped.

    One column per oxide in any order and case, such as SiO2, “SiO2 %” or “SiO2 (wt %)”; a column
    that is missing, or an empty cell, means none. Columns called name, id, row, sample, number or
    no are carried along, as are those of --keep; “temperature_c” (°C) adds the viscosity there.
    Commas, semicolons or tabs separate columns. If any row is wrong, nothing is written.

    The answer has one row per row, in order, with intervals (_low, _high). Units: expansion
    (20-300 °C) and expansion_20_400 in 1e-6/K; names that end in _c in °C, in _gpa in GPa;
    log10_viscosity in log10 Pa·s. seals_c, matures_c and runs_c are temperatures of log10 eta 6,
    4 and 2.5, to sort by.
    “support” is 0 well inside the measured glasses and 1 outside: do not trust those rows. In CSV,
    carried text that a spreadsheet would take for a formula gets an apostrophe before it.
    """
    from cofire.answers.predict_table import TableOfGlasses
    from cofire.errors import DataFileError, Place
    from cofire.files.atomic_write import refuse_taken, writing
    from cofire.files.long_tables import long_table
    from cofire.files.toml import standard_input
    from cofire.show.json import write_glasses
    from cofire.show.predict import write_csv

    if out is not None and out.exists() and table.exists() and out.samefile(table):
        raise DataFileError(
            "the answers would take the place of the table itself.",
            hint="Give --out another name.",
            place=Place(out),
        )
    if out is not None:
        refuse_taken(out)
    piped = str(table) == "-"
    stream, path = standard_input() if piped else (None, table)
    with long_table(path, stream) as source:
        glasses = TableOfGlasses(source, basis, level=level, keep=keep, ignore=ignore)
        with (
            _progress(source) as progress,
            writing(out, new=True) if out else _printing() as target,
        ):
            if as_json:
                write_glasses(glasses, target, command_name(), progress.show)
            else:
                write_csv(glasses, target, progress.show)
    for remark in glasses.remarks():
        say(remark, err=True)


@contextmanager
def _printing() -> Iterator[IO[str]]:
    """What is written is printed once the block ends well."""
    from tempfile import SpooledTemporaryFile

    with SpooledTemporaryFile(_IN_MEMORY, "w+", encoding="utf-8", newline="") as kept:
        yield cast(IO[str], kept)
        kept.seek(0)
        while text := kept.read(_AT_ONCE):
            sys.stdout.write(document(text))


class _Progress:
    """On a screen, how far it is, from a second on."""

    def __init__(self, screen: IO[str], table: LongTable) -> None:
        self._screen, self._table = screen, table
        self._total: int | None = None
        self._shown = ""
        self._start = time.monotonic()

    def show(self, done: int) -> None:
        if not self._screen.isatty() or time.monotonic() - self._start < 1.0:
            return
        if self._total is None:
            self._total = self._table.count()
        self._write(f"{done:,} of {max(done, self._total):,} rows")

    def _write(self, text: str) -> None:
        self._screen.write("\r" + text.ljust(len(self._shown)))
        self._screen.flush()
        self._shown = text

    def clear(self) -> None:
        if self._shown:
            self._write("")
            self._screen.write("\r")


@contextmanager
def _progress(table: LongTable) -> Iterator[_Progress]:
    progress = _Progress(sys.stderr, table)
    try:
        yield progress
    finally:
        progress.clear()
