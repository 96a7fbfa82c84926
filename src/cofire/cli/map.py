from __future__ import annotations

from pathlib import Path

import click

from cofire.cli.common import (
    body_options,
    cooling_option,
    json_option,
    library,
    may_draw,
    odds_option,
    print_json,
    ware,
)

#: As in ``answers.family_map.SHOWN``, which is not loaded for help.
SHOW = (
    "right", "expansion", "stress", "fits", "sits", "crazes", "crazes-later", "shivers", "crackle",
    "ripe", "under", "runs", "ripe-margin", "run-margin", "liquidus",
)  # fmt: skip


@click.command()
@click.argument("recipe")
@click.option(
    "--across",
    default="silica",
    show_default=True,
    metavar="WHAT",
    help="“silica 10-40” (per cent of the base), “+ tin oxide 0-8” (on top), or “SiO2 2-5” "
    "(moles to one of flux).",
)
@click.option(
    "--up", default="kaolin", show_default=True, metavar="WHAT", help="The same, upwards."
)
@click.option(
    "--show", type=click.Choice(SHOW), help="What is mapped; “right” is all that was asked."
)
@click.option("--body", metavar="BODY", help="On this clay body (see “cofire bodies”).")
@click.option("--firing", metavar="FIRING", help="In this firing (see “cofire firings”).")
@cooling_option
@click.option("--svg", metavar="FILE", callback=may_draw, help="Also draw the map.")
@body_options
@odds_option
@json_option
@click.pass_context
def map(
    ctx: click.Context,
    recipe: str,
    across: str,
    up: str,
    show: str | None,
    body: str | None,
    firing: str | None,
    cooling: str | None,
    svg: str | None,
    coat: str | None,
    wall: str | None,
    odds: float,
    as_json: bool,
) -> None:
    """A map of a glaze family: one answer over two materials, or two oxides.

    All else of the base keeps its proportions and fills up to 100; what comes on top stays. With
    both --body and --firing it shows the odds of all that was asked, else the expansion.
    """
    from cofire.answers.map.family_map import family_map

    lib = library(ctx)
    coat_read, wall_mm = ware(coat, wall)
    answer = family_map(
        lib,
        lib.recipe(recipe),
        across=across,
        up=up,
        show=show,
        body=lib.body(body) if body else None,
        firing=lib.firing(firing) if firing else None,
        coat=coat_read,
        wall_mm=wall_mm,
        odds=odds,
        cooled=cooling,
    )
    if svg is not None:
        from cofire.files.atomic_write import drawing
        from cofire.show.pictures.map import map_svg

        with drawing(Path(svg), "picture") as out:
            out.write(map_svg(answer))
    if as_json:
        from cofire.show.family_map import map_dict

        print_json(map_dict(answer))
    else:
        from cofire.show.family_map import show_map

        show_map(answer)
