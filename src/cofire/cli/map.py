from __future__ import annotations

from typing import Any

import click

from cofire.cli.common import (
    JUDGED,
    answer_command,
    conditions_options,
    draw,
    finish,
    may_draw,
    studio,
)

#: As in ``answers.map.quantities.toml``, which is not loaded for help.
SHOW = (
    "right", "expansion", "stress", "fits", "sits", "crazes", "crazes-later", "shivers", "crackle",
    "ripe", "under", "runs", "ripe-margin", "run-margin", "liquidus",
)  # fmt: skip


@answer_command()
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
@click.option("--svg", metavar="FILE", callback=may_draw, help="Also draw the map.")
@conditions_options(*JUDGED)
def map(
    recipe: str,
    across: str,
    up: str,
    show: str | None,
    svg: str | None,
    asked: dict[str, Any],
    as_json: bool,
) -> None:
    """A map of a glaze family: one answer over two materials, or two oxides.

    All else of the base keeps its proportions and fills up to 100; additions stay. With
    both --body and --firing it shows the odds of all that was asked, else the expansion.
    """
    answer = studio().map(recipe, across, up, show=show, **asked)
    draw(answer, svg, "pictures.map.map_svg")
    finish(answer, as_json, "family_map.show_map")
