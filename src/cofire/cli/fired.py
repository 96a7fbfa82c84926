from __future__ import annotations

import click

from cofire.cli.common import command, finish, studio


@command()
@click.argument("recipe")
@click.option("--clay", metavar="BODY", help="The clay it lay on (see “cofire bodies”).")
@click.option("--coat", metavar="COAT", help="e.g. “0.25 mm fired” or “3 brushed”.")
@click.option(
    "--result",
    metavar="WHAT",
    help="crazed or black (“crazed 4 mm”), whole, or shivered; perhaps “after 2 weeks”.",
)
@click.option("--firing", metavar="FIRING", help="See “cofire firings”.")
@click.option("--pull", metavar="NAME", help="Which pull of the firing, e.g. “pot 2”.")
@click.option("--cooling", metavar="HOW", help="“20 s air, 30 min bin, water”.")
@click.option("--wall", metavar="LENGTH", help="Wall of the ware, e.g. “6 mm”.")
@click.option("--shape", type=click.Choice(["pot", "both-sides", "tile"]), help="Usually a tile.")
@click.option("--photo", metavar="FILE", help="A picture of it; only its name is kept.")
@click.option("--words", metavar="TEXT", help="Whatever else there is to say.")
def fired(recipe: str, as_json: bool, **said: str | None) -> None:
    """Write down what came out of the kiln, in plain text beside the recipe.

    “cofire tile --fired” learns your clay from it, and a glaze bought ready-made is known the
    better for it. Without options it shows what was written so far.
    """
    answer = studio().fired(recipe, **{key: text or "" for key, text in said.items()})
    finish(answer, as_json, "fired.show_fired")
