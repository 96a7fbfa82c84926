from __future__ import annotations

import click

from cofire.cli.common import (
    body_options,
    cooling_option,
    fired_in,
    json_option,
    library,
    odds_option,
    print_json,
    ware,
)


@click.command()
@click.argument("recipes", nargs=-1, required=True, metavar="RECIPE...")
@click.option("--firing", required=True, metavar="FIRING", help="See “cofire firings”.")
@click.option("--body", metavar="BODY", help="Also judge the fit on this clay body.")
@cooling_option
@click.option("--kiln", metavar="KILN", help="Fire it in this kiln (see “cofire kilns”).")
@click.option("--load", metavar="WEIGHT", help="Ware and shelves in it, e.g. “12 kg”.")
@click.option("--clear-foot", metavar="LENGTH", help="Bare clay below the glaze; 6 mm if not said.")
@click.option("--ripple", metavar="LENGTH", help="Brush marks a gloss must lose; 2.5 mm.")
@click.option("--grain", metavar="LENGTH", help="Radius of the batch's grains; 0.025 mm.")
@body_options
@odds_option
@json_option
@click.pass_context
def pair(
    ctx: click.Context,
    recipes: tuple[str, ...],
    firing: str,
    body: str | None,
    cooling: str | None,
    kiln: str | None,
    load: str | None,
    clear_foot: str | None,
    ripple: str | None,
    grain: str | None,
    coat: str | None,
    wall: str | None,
    odds: float,
    as_json: bool,
) -> int:
    """Do these glazes share one firing, and do they fit the body?

    Each is judged at the first and at the last pull. Leaves with 0 for yes and 1 for no; the odds
    are always shown.
    """
    from dataclasses import replace

    from cofire.answers.pair import pair as answer_for
    from cofire.errors import QuantityError
    from cofire.read.units import millimetres
    from cofire.ripeness.judge import DEFAULT

    lib = library(ctx)
    coat_read, wall_mm = ware(coat, wall)
    limit = millimetres(clear_foot) if clear_foot else DEFAULT.run_limit_mm
    if not 0.1 <= limit <= 100.0:
        raise QuantityError(
            f"a clear foot of {limit:g} mm is not usable.", hint="Write for example “6 mm”."
        )
    ripple_mm = millimetres(ripple) if ripple else DEFAULT.ripple_mm
    grain_um = 1000.0 * millimetres(grain) if grain else DEFAULT.grain_radius_um
    if not 0.2 <= ripple_mm <= 30.0 or not 0.5 <= grain_um <= 500.0:
        raise QuantityError(
            "ripples are 0.2 to 30 mm long, grains 0.0005 to 0.5 mm.", hint="Check the unit."
        )
    answer = answer_for(
        lib,
        [lib.recipe(r) for r in recipes],
        fired_in(lib, firing, kiln, load),
        lib.body(body) if body else None,
        coat=coat_read,
        wall_mm=wall_mm,
        odds=odds,
        cooled=cooling,
        criteria=replace(
            DEFAULT, run_limit_mm=limit, ripple_mm=ripple_mm, grain_radius_um=grain_um
        ),
    )
    if as_json:
        from cofire.show.machine import pair_dict

        print_json(pair_dict(answer))
    else:
        from cofire.show.verdict import show_pair

        show_pair(answer)
    return 0 if answer.yes else 1
