from __future__ import annotations

from typing import Any

import click

from cofire.cli.common import (
    JUDGED,
    Count,
    answer_command,
    conditions_options,
    draw,
    finish,
    may_draw,
    studio,
)


@answer_command()
@click.argument("recipes", nargs=-1, required=True, metavar="RECIPE...")
@click.option(
    "--add",
    "added",
    multiple=True,
    metavar="WHAT",
    help="“copper carbonate 0-5”: 0 to 5 % of the base of one recipe. Twice gives a grid.",
)
@click.option("--steps", type=Count(), default=5, show_default=True, help="Parts between corners.")
@click.option(
    "--slurry",
    multiple=True,
    metavar="DENSITY",
    help="Mix by volume of slurry: “1.45” (g/ml) for all, or once for each recipe.",
)
@click.option("--cup", metavar="AMOUNT", help="List what goes into cups of “50 g” dry or “60 ml”.")
@click.option("--scale", metavar="STEP", help="What your scale reads to; “0.1 g”.")
@click.option(
    "--tiles", type=Count(1, 12), metavar="N", help="Choose the N points that are best to fire."
)
@click.option("--list", "every", is_flag=True, help="List every point, however many.")
@click.option("--svg", metavar="FILE", callback=may_draw, help="Also draw it.")
@click.option(
    "--csv",
    "table",
    metavar="FILE",
    callback=may_draw,
    help="Also write every point to a new table.",
)
@conditions_options(
    *JUDGED,
    firing={"help": "Show where it is ripe in this firing."},
    body={"help": "Show where it fits this clay body."},
)
def blend(
    recipes: tuple[str, ...],
    added: tuple[str, ...],
    steps: int,
    slurry: tuple[str, ...],
    cup: str | None,
    scale: str | None,
    tiles: int | None,
    every: bool,
    svg: str | None,
    table: str | None,
    asked: dict[str, Any],
    as_json: bool,
) -> int:
    """Blend two, three or four glazes, or additions to one: what is every point like?

    Two recipes make a line, three a triangle, four a grid. Exit status 0 when some point
    is right in all that was asked (--firing, --body), 1 when none is.
    """
    answer = studio().blend(
        recipes, added, steps=steps, slurry=slurry, cup=cup, scale=scale, tiles=tiles, **asked
    )
    draw(answer, svg, "pictures.blend.blend_svg")
    draw(answer, table, "blend.csv_text", "table")
    finish(answer, as_json, "blend.show_blend", every=every)
    return 1 if answer.yes is False else 0
