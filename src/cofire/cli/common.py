"""Options that several commands share."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from cofire.files.library import Library

if TYPE_CHECKING:
    from cofire.files.atomic_write import Kind
    from cofire.read.coat import Coat
    from cofire.records import Firing

F = TypeVar("F", bound=Callable[..., Any])


class Number(click.FloatRange):
    """A number in the grammar of everything that is typed. Raises QuantityError."""

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> float:
        from cofire.read.number import number

        return float(super().convert(float(number(value)), param, ctx))


class Count(click.IntRange):
    """A whole number in that grammar."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> int:
        from cofire.read.number import whole

        return int(super().convert(whole(value), param, ctx))


def library(ctx: click.Context) -> Library:
    """The studio named with --studio, or found, with all that is shipped."""
    return Library.open(ctx.find_root().obj)


def json_option(command: F) -> F:
    return click.option("--json", "as_json", is_flag=True, help="The same as JSON.")(command)


def cooling_option(command: F) -> F:
    return click.option(
        "--cooling",
        metavar="HOW",
        help="“100 C/h” in a kiln, or what a pulled pot goes through: “20 s air, 30 min bin, "
        "water”.",
    )(command)


def body_options(command: F) -> F:
    for option in (
        click.option("--wall", metavar="LENGTH", help="Wall of the pot, e.g. “6 mm”."),
        click.option(
            "--coat", metavar="COAT", help="e.g. “0.25 mm fired”, “0.5 mm dry”, “3 brushed”."
        ),
    ):
        command = option(command)
    return command


def _sure(ctx: click.Context, param: click.Parameter, value: float) -> float:
    if not 0.5 <= value <= 0.999:  # also true of NaN
        raise click.BadParameter("odds run from 0.5 to 0.999; write 0.8 for 80 %.", ctx, param)
    return value


def odds_option(command: F) -> F:
    return click.option(
        "--odds",
        type=Number(),
        callback=_sure,
        default=0.8,
        show_default=True,
        help="How sure a “yes” has to be.",
    )(command)


#: What is drawn, by the name of its option's value.
_DRAWN: dict[str, Kind] = {
    "page": "page", "cards": "page", "save": "page", "svg": "picture", "pdf": "PDF",
    "table": "table",
}  # fmt: skip


def may_draw(ctx: click.Context, param: click.Parameter, value: str | None) -> str | None:
    """For options that name a file to draw: refuses a person's own before anything is reckoned."""
    if value is not None:
        from cofire.files.atomic_write import refuse_theirs

        refuse_theirs(Path(value), _DRAWN[str(param.name)])
    return value


def one_line(ctx: click.Context, param: click.Parameter, value: str) -> str:
    """For options that are printed as they are typed. Raises QuantityError where they cannot be."""
    value = " ".join(value.split())
    if not value.isprintable():
        from cofire.errors import QuantityError

        raise QuantityError(
            f"--{param.name} holds a character that cannot be printed.",
            hint=f"Write  --{param.name} “…”  in plain letters, in UTF-8.",
        )
    return value


def print_json(data: object) -> None:
    click.echo(json.dumps(data, indent=2, ensure_ascii=False, allow_nan=False))


def ware(coat: str | None, wall: str | None) -> tuple[Coat, float]:
    """The coat and the wall (mm) meant; refuses walls no pot has."""
    from cofire.errors import QuantityError
    from cofire.read.coat import DEFAULT, read_coat
    from cofire.read.units import millimetres

    wall_mm = 6.0 if wall is None else millimetres(wall)
    if not 0.5 <= wall_mm <= 60.0:
        raise QuantityError(
            f"a wall of {wall_mm:g} mm is not one of a pot.", hint="Write for example “6 mm”."
        )
    read = DEFAULT if coat is None else read_coat(coat)
    if read.fired_mm > wall_mm:
        raise QuantityError(
            f"a coat of {read.fired_mm:g} mm is thicker than its wall of {wall_mm:g} mm.",
            hint="Check the units of both.",
        )
    return read, wall_mm


def fired_in(
    lib: Library, firing: str, kiln: str | None, load: str | None, price: float | None = None
) -> Firing:
    """The firing named, perhaps in another kiln, with another load or price of a kWh."""
    from cofire.answers.firing import with_changes
    from cofire.errors import QuantityError
    from cofire.read.units import grams

    load_kg = None if load is None else grams(load) / 1000.0
    if load_kg is not None and not 0.0 <= load_kg <= 2000.0:
        raise QuantityError(
            f"a load of {load_kg:g} kg does not go into a studio kiln.",
            hint="Write ware and shelves together, e.g. “12 kg”.",
        )
    return with_changes(lib.firing(firing), lib.kiln(kiln) if kiln else None, load_kg, price)
