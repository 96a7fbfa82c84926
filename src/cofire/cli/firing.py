from __future__ import annotations

from pathlib import Path

import click

from cofire.cli.common import (
    body_options,
    fired_in,
    json_option,
    library,
    may_draw,
    print_json,
    ware,
)


@click.command()
@click.argument("firing")
@click.argument("recipes", nargs=-1, metavar="[RECIPE]...")
@click.option("--kiln", metavar="KILN", help="Fire it in this kiln (see “cofire kilns”).")
@click.option("--load", metavar="WEIGHT", help="Ware and shelves in it, e.g. “12 kg”.")
@click.option("--price", type=float, metavar="PRICE", help="Of a kWh, in your money.")
@click.option("--svg", metavar="FILE", callback=may_draw, help="Also draw it as a picture.")
@click.option(
    "--cards",
    metavar="FILE",
    callback=may_draw,
    help="Also write cards to print, one per load (HTML).",
)
@body_options
@json_option
@click.pass_context
def firing(
    ctx: click.Context,
    firing: str,
    recipes: tuple[str, ...],
    kiln: str | None,
    load: str | None,
    price: float | None,
    svg: str | None,
    cards: str | None,
    coat: str | None,
    wall: str | None,
    as_json: bool,
) -> None:
    """A firing over time: what to key in, when loads are ready, how glazes ripen along it.

    FIRING is the name of a firing (see “cofire firings”) or a firing file; recipes named after it
    are drawn along the curve.
    """
    from cofire.answers.firing import firing_answer
    from cofire.errors import QuantityError
    from cofire.files.atomic_write import drawing

    lib = library(ctx)
    coat_read, wall_mm = ware(coat, wall)
    if price is not None and not 0.0 <= price < 1e6:
        raise QuantityError(
            f"{price:g} is no price of a kWh.", hint="Write a plain number, such as 0.30."
        )
    changed = fired_in(lib, firing, kiln, load, price)
    answer = firing_answer(
        lib, changed, [lib.recipe(r) for r in recipes], coat=coat_read, wall_mm=wall_mm
    )
    if svg is not None:
        from cofire.show.pictures.firing import firing_svg

        with drawing(Path(svg), "picture") as out:
            out.write(firing_svg(answer))
    if cards is not None:
        from cofire.show.sheets.cards import firing_cards

        with drawing(Path(cards), "page") as out:
            out.write(firing_cards(answer))
    if as_json:
        from cofire.show.machine import firing_dict

        print_json(firing_dict(answer))
    else:
        from cofire.show.firing import show_firing

        show_firing(answer)
