from __future__ import annotations

import click

from cofire.cli.common import json_option, library, print_json


@click.command()
@click.argument("recipe")
@click.option("--firing", metavar="FIRING", help="Also say when a pulled pot is in the window.")
@click.option("--wall", metavar="LENGTH", help="Wall of the pot, e.g. “6 mm”.")
@json_option
@click.pass_context
def lustre(
    ctx: click.Context, recipe: str, firing: str | None, wall: str | None, as_json: bool
) -> None:
    """Between which temperatures a lustre glaze can be reduced.

    Soft enough for copper, silver or bismuth to move, too stiff to smear or stick.
    """
    from cofire.answers.lustre import lustre as answer_for
    from cofire.cli.common import ware

    lib = library(ctx)
    _, wall_mm = ware(None, wall)
    answer = answer_for(lib, lib.recipe(recipe), lib.firing(firing) if firing else None, wall_mm)
    if as_json:
        print_json(answer)
    else:
        from cofire.show.practice import show_lustre

        show_lustre(answer)
