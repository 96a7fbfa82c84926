from __future__ import annotations

import click

from cofire.cli.common import (
    body_options,
    cooling_option,
    json_option,
    library,
    odds_option,
    print_json,
    ware,
)


@click.command()
@click.argument("recipe")
@click.option("--body", metavar="BODY", help="Also shake the fit on this clay body.")
@click.option("--firing", metavar="FIRING", help="Also shake its ripeness in this firing.")
@cooling_option
@click.option(
    "--batch",
    default="100 g",
    show_default=True,
    metavar="WEIGHT",
    help="What is weighed out of the base; additions come on top.",
)
@click.option(
    "--scale", default="0.1 g", show_default=True, metavar="WEIGHT", help="Step of your scale."
)
@click.option("--slips", is_flag=True, help="Every line may also be off by a hundredth.")
@body_options
@odds_option
@json_option
@click.pass_context
def shake(
    ctx: click.Context,
    recipe: str,
    body: str | None,
    firing: str | None,
    cooling: str | None,
    batch: str,
    scale: str,
    slips: bool,
    coat: str | None,
    wall: str | None,
    odds: float,
    as_json: bool,
) -> int:
    """What an answer hangs on: weighing, materials, models, coat, kiln or clay.

    Says which material to weigh most carefully, and where the scale is too coarse. With --body or
    --firing it leaves with 0 when the glaze stays right as it is weighed and bought, else with 1.
    """
    from cofire.answers.sensitivity.sensitivity import shake as answer_for
    from cofire.read.units import grams

    lib = library(ctx)
    coat_read, wall_mm = ware(coat, wall)
    answer = answer_for(
        lib,
        lib.recipe(recipe),
        body=lib.body(body) if body else None,
        firing=lib.firing(firing) if firing else None,
        batch_g=grams(batch),
        step_g=grams(scale),
        slips=slips,
        coat=coat_read,
        wall_mm=wall_mm,
        odds=odds,
        cooled=cooling,
    )
    if as_json:
        from cofire.show.shake import shake_dict

        print_json(shake_dict(answer))
    else:
        from cofire.show.shake import show_shake

        show_shake(answer)
    return 0 if answer.yes else 1
